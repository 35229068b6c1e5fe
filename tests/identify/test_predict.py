"""What a hypothesis predicts: the same as the gear geometry says, and its limits."""

from math import cos, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.gears import measures
from ringwright.gears.ring import RingGeometry
from ringwright.identify.normal import both_positive, upper
from ringwright.identify.predict import Rings, contact_height, inv, inv_inverse, predict
from ringwright.identify.readings import Reading

shapes = st.tuples(
    st.integers(12, 300),
    st.sampled_from([1.0, 2.5, 5.08, 12.0]),
    st.sampled_from([14.5, 20.0, 25.0]),
    st.sampled_from([0.0, 15.0, 30.0]),
    st.floats(-0.3, 0.6),
)


def rings(z, m, alpha_deg, beta_deg=0.0, x=0.0, s=1, **more):
    return Rings(s, *(np.asarray(float(v)) for v in (z, m, radians(alpha_deg), 1, 1.25)), radians(beta_deg), x, **more)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(shapes)
def test_span_and_pins_are_those_of_the_gear_geometry(shape):
    z, m, alpha, beta, x = shape
    r = rings(z, m, alpha, beta, x)
    k = max(2, round(z * alpha / 180 + 0.5))
    W = measures.base_tangent_length(k, z, m, radians(alpha), radians(beta), x)
    M = measures.over_pins(1.728 * m, z, m, radians(alpha), radians(beta), x)

    assert predict(Reading("span", 0, 1, k=k), r) == pytest.approx(float(W), rel=1e-12)
    if np.isfinite(M):
        assert predict(Reading("over_pins", 0, 1, D_M=1.728 * m), r) == pytest.approx(float(M), rel=1e-10)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.integers(40, 300), st.sampled_from([14.5, 20.0, 25.0]), st.floats(-0.4, 0.4))
def test_internal_diameters_and_pins_are_those_of_the_gear_geometry(z, alpha, x):
    r, ring = rings(z, 4.0, alpha, x=x, s=-1), RingGeometry("internal", z, 4.0, alpha_n=radians(alpha), x=x)
    M = measures.between_pins(1.68 * 4, z, 4.0, radians(alpha), 0.0, x)

    assert predict(Reading("tip_diameter", 0, 1), r) == pytest.approx(ring.d_a, rel=1e-12)
    assert predict(Reading("root_diameter", 0, 1), r) == pytest.approx(ring.d_f, rel=1e-12)
    if np.isfinite(M):
        assert predict(Reading("between_pins", 0, 1, D_M=1.68 * 4), r) == pytest.approx(float(M), rel=1e-10)


@pytest.mark.parametrize(("z", "beta"), [(12, 0), (30, 20), (127, 0)])
def test_chord_at_the_reference_circle_is_the_chordal_thickness(z, beta):
    r = rings(z, 10, 20, beta)
    s_n = 5 * pi
    h = float(measures.chordal_height(s_n, z, 10, 10, radians(beta)))
    s_c = float(measures.chordal_thickness(s_n, z, 10, radians(beta)))

    # three rounds of the fixed point leave less than a tenth of a micrometre
    assert predict(Reading("chordal_thickness", 0, 1, h=h), r) == pytest.approx(s_c, abs=1e-4)


def test_thinning_shortens_span_by_cos_alpha_and_topping_the_tip_by_two():
    worn = rings(127, 5, 20, w=0.2, t=1.45)

    W = Reading("span", 0, 1, k=15)
    assert float(predict(W, rings(127, 5, 20)) - predict(W, worn)) == pytest.approx(0.2 * cos(radians(20)))
    assert predict(Reading("tip_diameter", 0, 1), worn) == pytest.approx(642.1)
    assert predict(Reading("whole_depth", 0, 1), worn) == pytest.approx(11.25 - 1.45)


def test_thinning_grows_the_size_between_pins_by_the_slope_of_the_textbook():
    D = Reading("between_pins", 0, 1, D_M=6.72)
    step = 1e-6
    slope = float(predict(D, rings(80, 4, 20, s=-1, w=step)) - predict(D, rings(80, 4, 20, s=-1))) / step
    inv_K = float(inv(radians(20)) - 6.72 / (80 * 4 * cos(radians(20))) + pi / 160)

    assert slope == pytest.approx(cos(radians(20)) / sin(float(inv_inverse(inv_K))), rel=1e-5)


def test_contact_of_the_contracts_example_span():
    assert contact_height(Reading("span", 0, 1, k=15), rings(127, 5, 20)) == pytest.approx(0.1986, abs=1e-4)  # 636.986


def test_pitch_centres_and_helix():
    r = rings(40, 4, 20, 30)

    assert predict(Reading("pitch", 0, 1), r) == pytest.approx(pi * 4 / cos(radians(30)))
    assert predict(Reading("centre_distance", 0, 1, z_mate=20), r) == pytest.approx(120 / cos(radians(30)))
    assert predict(Reading("centre_distance", 0, 1, z_mate=20), rings(80, 4, 20, s=-1)) == pytest.approx(120)
    assert predict(Reading("helix_angle", 0, 1), r) == pytest.approx(radians(30))


def test_normal_tail_against_the_error_function():
    from math import erfc, sqrt

    z = np.linspace(-8, 8, 161)

    assert upper(z) == pytest.approx([0.5 * erfc(v / sqrt(2)) for v in z], rel=3e-7)


def test_chance_of_both_positive_against_its_law_and_a_sample():
    rho = np.linspace(-0.95, 0.95, 9)
    assert both_positive(0.0, 0.0, rho) == pytest.approx(0.25 + np.arcsin(rho) / (2 * pi), abs=1e-7)

    rng = np.random.default_rng(7)
    a, b = rng.standard_normal((2, 400_000))
    seen = np.mean((a + 0.4 > 0) & (-0.7 * a + np.sqrt(1 - 0.49) * b - 0.2 > 0))
    assert float(both_positive(0.4, -0.2, -0.7)) == pytest.approx(seen, abs=0.003)
