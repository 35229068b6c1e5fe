"""Measures against print, against laws, and against flanks unwound point by point."""

from math import cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import tables
from ringwright.errors import OutOfRange
from ringwright.gears import cutters, measures, touch
from ringwright.gears.ring import RingGeometry
from ringwright.reckon.proofs import prove

OURS = tuple(name for name in tables.case_names() if name.startswith("gears."))


def test_every_published_row_recomputes_or_is_known_to_be_wrong():
    proofs = list(prove(OURS))

    assert len(proofs) >= 130
    assert [p.case for p in proofs if not p.as_expected] == []


def unwound(d_b, half_angle, d, turn=1.0, n=40_001):
    """Points of an involute unwound from its base circle; at d/2 it stands ``half_angle`` to the right of +y."""
    t = np.linspace(0, turn, n)
    x, y = d_b / 2 * (np.sin(t) - t * np.cos(t)), d_b / 2 * (np.cos(t) + t * np.sin(t))
    lean = half_angle + np.interp(d / 2, np.hypot(x, y), np.arctan2(x, y))
    # mirrored: this flank leans to the left as it rises, as the right side of an outside tooth does
    return y * np.sin(lean) - x * np.cos(lean), y * np.cos(lean) + x * np.sin(lean)


@pytest.mark.parametrize(
    ("k", "z", "m", "alpha_deg", "x"),
    [(15, 127, 5, 20, 0), (4, 24, 3, 20, 0.4), (10, 113, 4, 14.5, -0.2), (12, 91, 6, 25, 0.3), (3, 17, 2, 20, 0.2)],
)
def test_span_is_the_width_between_parallel_tangents(k, z, m, alpha_deg, x):
    alpha, d = radians(alpha_deg), z * m
    s = m * (pi / 2 + 2 * x * tan(alpha))
    right = unwound(d * cos(alpha), s / d + (k - 1) * pi / z, d)[0]

    W_k = measures.base_tangent_length(k, z, m, alpha, x=x)

    assert 2 * right.max() == pytest.approx(float(W_k), abs=1e-4)
    assert abs(2 * right.max() - W_k) < 0.001


@pytest.mark.parametrize(
    ("D_M", "z", "m", "alpha_deg", "x"),
    [
        (8.64, 127, 5, 20, 0),
        (8.64, 126, 5, 20, 0.2),
        (5.25, 113, 3, 20, 0.25),
        (7, 97, 4, 14.5, 0),
        (3.5, 23, 2, 25, -0.1),
    ],
)
def test_over_pins_is_what_circles_between_flanks_measure(D_M, z, m, alpha_deg, x):
    alpha, d = radians(alpha_deg), z * m
    s = m * (pi / 2 + 2 * x * tan(alpha))
    px, py = unwound(d * cos(alpha), s / d - pi / z, d)  # right flank of the tooth on the left of a space on +y
    low, high = d / 2 - 3 * m, d / 2 + 3 * m
    for _step in range(50):
        up = (low + high) / 2
        near = np.hypot(px, py - up).min()
        low, high = (up, high) if near < D_M / 2 else (low, up)
    turn = pi if z % 2 == 0 else pi - pi / z
    M = hypot(up * sin(turn), up - up * cos(turn)) + D_M

    assert float(measures.over_pins(D_M, z, m, alpha, x=x)) == pytest.approx(M, abs=0.001)
    at = np.hypot(px, py - up).argmin()
    contact = measures.pin_contact_diameter("external", D_M, z, m, alpha, x=x)
    assert float(contact) == pytest.approx(2 * hypot(px[at], py[at]), abs=0.01)


@pytest.mark.parametrize(("D_M", "z", "m", "alpha_deg", "x"), [(1.7, 41, 1, 20, -0.2), (5, 90, 3, 25, 0.3)])
def test_between_pins_is_what_circles_between_inside_flanks_measure(D_M, z, m, alpha_deg, x):
    alpha, d = radians(alpha_deg), z * m
    space = pi * m - m * (pi / 2 + 2 * x * tan(alpha))
    px, py = unwound(d * cos(alpha), space / d, d)  # an inside space has the outline of an outside tooth
    low, high = d / 2 - 3 * m, d / 2 + 3 * m
    for _step in range(50):
        up = (low + high) / 2
        low, high = (up, high) if np.hypot(px, py - up).min() > D_M / 2 else (low, up)
    turn = pi if z % 2 == 0 else pi - pi / z
    M = hypot(up * sin(turn), up - up * cos(turn)) - D_M

    assert float(measures.between_pins(D_M, z, m, alpha, x=x)) == pytest.approx(M, abs=0.001)


def test_one_tooth_more_adds_one_base_pitch():
    W = measures.base_tangent_length(np.arange(5, 15), 127, 5, radians(20), radians(12))

    assert np.diff(W) == pytest.approx(float(measures.base_pitch(5, radians(20))), rel=1e-12)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(
    kind=st.sampled_from(["external", "internal"]),
    z=st.integers(40, 400),
    alpha=st.floats(0.25, 0.5),
    beta=st.floats(-0.5, 0.5),
    x=st.floats(-0.3, 0.3),
)
def test_thickness_moves_the_pins_by_the_slope_of_the_wedge(kind, z, alpha, beta, x):
    over = measures.over_pins if kind == "external" else measures.between_pins
    step = 1e-5
    D_M = 1.75 if kind == "external" else 1.6
    moved = (over(D_M, z, 1, alpha, beta, x + step) - over(D_M, z, 1, alpha, beta, x - step)) / (2 * step)
    alpha_t = measures.transverse_pressure_angle(alpha, beta)
    alpha_K = measures.pin_pressure_angle(kind, D_M, z, 1, alpha, beta, x)
    c = 1 if z % 2 == 0 else cos(pi / (2 * z))
    # a thicker tooth: outside pins further apart, inside pins nearer together
    slope = (1 if kind == "external" else -1) * c * np.cos(alpha_t) / np.sin(alpha_K) * 2 * tan(alpha) / cos(beta)

    assert float(moved) == pytest.approx(float(slope), rel=1e-4)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(z=st.integers(20, 300), alpha=st.floats(0.25, 0.45), x=st.floats(-0.2, 0.5))
def test_ideal_pin_agrees_with_the_closed_form_for_straight_teeth(z, alpha, x):
    eta = pi / (2 * z) - (tan(alpha) - alpha) - 2 * x * tan(alpha) / z
    at = np.arccos(z * cos(alpha) / (z + 2 * x))
    phi = tan(at) + eta
    closed = z * cos(alpha) * (tan(phi) - phi + eta)

    assert measures.ideal_pin("external", z + 2 * x, z, 1, alpha, x=x) == pytest.approx(closed, rel=1e-9)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(z=st.integers(30, 300), beta=st.floats(0, 0.6), x=st.floats(-0.2, 0.5))
def test_ideal_span_touches_on_the_wanted_circle(z, beta, x):
    k = float(measures.ideal_span_teeth(z, radians(20), beta, x))
    W = measures.base_tangent_length(k, z, 1, radians(20), beta, x)
    d_M = float(measures.span_contact_diameter(W, z, 1, radians(20), beta))

    assert d_M == pytest.approx(z / cos(beta) + 2 * x, rel=1e-9)


def test_chord_and_height_are_those_of_a_sector():
    s_n, z, m, h_a = 8.0, 60, 5.0, 5.2
    half = s_n / (z * m)

    assert float(measures.chordal_thickness(s_n, z, m)) == pytest.approx(2 * (z * m / 2) * sin(half), rel=1e-14)
    assert float(measures.chordal_height(s_n, z, m, h_a)) == pytest.approx(z * m / 2 + h_a - z * m / 2 * cos(half))


@pytest.mark.parametrize(("k", "symbol"), [(1, "k"), (14, "k")])
def test_impossible_spans_are_refused(k, symbol):
    with pytest.raises(OutOfRange) as refused:
        measures.base_tangent_length(k, 24, 3, radians(20))

    assert (refused.value.symbol, refused.value.value) == (symbol, k)


def test_degrees_by_mistake_are_refused():
    with pytest.raises(OutOfRange, match=r"alpha_n = 20 is outside 0\.17 to 0\.62"):
        measures.base_tangent_length(3, 20, 2, 20)


def test_a_pin_too_small_finds_no_involute():
    assert np.isnan(measures.over_pins(0.3, 60, 1, radians(20)))


@pytest.mark.parametrize("table", ["form_cutters", "form_cutters_eight"])
def test_each_tooth_count_from_twelve_to_a_rack_has_one_cutter(table):
    rows = cutters.form_cutters(table)
    counts = [sum(c.low <= z and (c.high is None or z <= c.high) for c in rows) for z in range(12, 1001)]

    assert set(counts) == {1}
    assert len({c.number for c in rows}) == len(rows)
    assert cutters.form_cutter(11.9, table) is None
    assert cutters.form_cutter(1e6, table).number == "1"


def test_a_count_between_takes_the_lower_cutter():
    assert cutters.form_cutter(79.6).number == "2"


class TestChoice:
    def test_span_nearest_the_wanted_circle(self):
        ring = RingGeometry("external", 127, 5.0)
        found = touch.span(ring)

        assert isinstance(found, touch.Span)
        others = [touch.span(ring, k) for k in (found.k - 1, found.k + 1)]
        assert all(abs(found.d_M - 635) <= abs(o.d_M - 635) for o in others if isinstance(o, touch.Span))

    def test_topped_ring_keeps_to_its_flank(self):
        ring = RingGeometry("external", 60, 5.0, d_a_given=301.0)
        found = touch.span(ring)

        assert isinstance(found, touch.Span)
        assert found.d_M < 301

    def test_anvils_above_the_tip_are_no_measure(self):
        found = touch.span(RingGeometry("external", 127, 5.0), 30)

        assert isinstance(found, touch.NoMeasure)
        assert found.code == "span_off_flank"

    @pytest.mark.parametrize(("D_M", "code"), [(3.0, "pin_off_flank"), (20.0, "pin_off_flank"), (7.0, "pin_below_tip")])
    def test_unusable_pins_say_why(self, D_M, code):
        found = touch.pins(RingGeometry("external", 127, 5.0), D_M)

        assert isinstance(found, touch.NoMeasure)
        assert found.code == code

    @settings(derandomize=True, deadline=None, max_examples=40)
    @given(
        kind=st.sampled_from(["external", "internal"]),
        z=st.integers(45, 300),
        x=st.floats(-0.2, 0.2),
        allowance=st.floats(0, 0.2),
    )
    def test_the_chosen_pin_touches_near_the_wanted_circle(self, kind, z, x, allowance):
        ring = RingGeometry(kind, z, 4.0, x=x, allowance=allowance)
        found = touch.pins(ring)

        assert isinstance(found, touch.Pins)
        assert found.d_M == pytest.approx(touch.wanted_diameter(ring), abs=0.03)
        assert round(found.D_M, 2) == found.D_M
