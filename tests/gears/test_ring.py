"""A ring's diameters and thicknesses, and the outline drawn from them."""

from math import pi, radians, tan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange, Refusal
from ringwright.gears.outline import ring_outline, tooth_outline
from ringwright.gears.ring import RingGeometry, form_diameter, is_undercut, rack_tip

DRIVE = RingGeometry("external", 127, 5.0)


def test_diameters_of_a_plain_ring():
    assert DRIVE.d == 635
    assert DRIVE.d_a == 645
    assert DRIVE.d_f == 622.5
    assert DRIVE.h == 11.25
    assert DRIVE.d_b == pytest.approx(596.704814, abs=5e-7)


def test_internal_ring_shift_makes_the_tip_circle_smaller_and_the_tooth_thicker():
    plain, shifted = RingGeometry("internal", 80, 4.0), RingGeometry("internal", 80, 4.0, x=0.3)

    assert (plain.d_a, plain.d_f) == (312, 330)
    assert shifted.d_a == pytest.approx(312 - 2 * 4 * 0.3)
    assert shifted.d_f == pytest.approx(330 - 2 * 4 * 0.3)
    assert shifted.s_n > plain.s_n


def test_internal_space_is_the_external_tooth_of_the_same_drawing():
    inner, outer = RingGeometry("internal", 60, 3.0, x=-0.4), RingGeometry("external", 60, 3.0, x=0.4)
    d_y = np.linspace(178, 186, 9)

    assert inner.e_y(d_y) == pytest.approx(outer.s_y(d_y), rel=1e-13)


def test_allowance_is_the_shift_that_gives_the_same_thickness():
    thin = RingGeometry("external", 127, 5.0, radians(20), x=0.25, allowance=0.3)
    same = RingGeometry("external", 127, 5.0, radians(20), x=thin.x_E)

    assert thin.s_n == pytest.approx(same.s_n, rel=1e-14)
    assert thin.d_a == RingGeometry("external", 127, 5.0, x=0.25).d_a


def test_no_thickness_inside_the_base_circle():
    assert np.isnan(DRIVE.s_y(590.0))


@pytest.mark.parametrize(
    ("change", "symbol"),
    [
        ({"z": 4}, "z"),
        ({"alpha_n": 20.0}, "alpha_n"),
        ({"beta": 1.0}, "beta"),
        ({"x": 3.0}, "x"),
        ({"m_n": 0.0}, "m_n"),
    ],
)
def test_out_of_range_is_refused_with_its_symbol(change, symbol):
    with pytest.raises(OutOfRange) as refused:
        RingGeometry(**{"kind": "external", "z": 30, "m_n": 2.0, **change})

    assert refused.value.symbol == symbol


def test_allowance_thicker_than_the_tooth_is_refused():
    with pytest.raises(Refusal, match="tooth_has_no_thickness"):
        RingGeometry("external", 30, 2.0, allowance=3.2)


def test_a_tip_diameter_of_another_ring_is_refused():
    with pytest.raises(OutOfRange, match=r"d_a = 5000 is outside 6 to 300"):
        RingGeometry("external", 30, 2.0, d_a_given=5000.0)


def test_tip_below_root_is_refused():
    with pytest.raises(Refusal, match="tip_beyond_root"):
        RingGeometry("external", 30, 2.0, d_a_given=50.0)


def rolled_rack(ring, points=400):
    """The ring's tooth space by brute force: what is left of a disc when a rack rolls over it."""
    tip = rack_tip(ring)
    t, r = tan(ring.alpha_t), ring.d / 2
    psi = np.linspace(pi / 2 - ring.alpha_t, 0, 60)
    corner = np.column_stack([tip.u_c + tip.rho * np.sin(psi), tip.v_c - tip.rho * np.cos(psi)])
    high = 3 * ring.m_n
    right = np.vstack([[tip.half + high * t, high], corner])
    tooth = np.vstack([right, right[::-1] * (-1, 1)])
    blank = shapely.Point(0, 0).buffer(ring.d_a / 2, quad_segs=4000)
    sector = shapely.Polygon([(0, 0), (-r, 1.2 * r), (r, 1.2 * r)])
    swept = []
    for phi in np.linspace(-0.9, 0.9, points * 3) * min(1.0, 12 / ring.z):
        u, v = tooth[:, 0] - r * phi, r + tooth[:, 1]
        c, s = np.cos(-phi), np.sin(-phi)
        swept.append(shapely.Polygon(np.column_stack([c * u - s * v, s * u + c * v])))
    return blank.intersection(sector).difference(shapely.union_all(swept))


@pytest.mark.parametrize(
    ("ring", "undercut"),
    [
        (RingGeometry("external", 12, 5.0), True),
        (RingGeometry("external", 40, 5.0, x=0.3, allowance=0.4), False),
        (RingGeometry("external", 24, 5.0, x=-0.2, rho_f=0.3), False),
        (RingGeometry("external", 30, 5.0, radians(14.5), h_f=1.157, rho_f=0.2), True),
    ],
    ids=["undercut", "shift and allowance", "negative shift", "14.5"],
)
def test_outline_is_what_a_rolling_rack_leaves(ring, undercut):
    left = rolled_rack(ring)
    drawn = tooth_outline(ring, 200)
    space = pi / ring.z
    c, s = np.cos(space), np.sin(space)
    turned = np.column_stack([c * drawn[:, 0] + s * drawn[:, 1], -s * drawn[:, 0] + c * drawn[:, 1]])
    inside = turned[(np.arctan2(*turned.T) < space) & (np.hypot(*turned.T) < ring.d_a / 2 - 1e-6)]
    off = shapely.distance(left.boundary, shapely.points(inside))

    assert is_undercut(ring) == undercut
    assert off.max() < 0.003  # steps of the brute force


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    z=st.integers(8, 300),
    m_n=st.floats(0.5, 20),
    alpha=st.sampled_from([14.5, 20.0, 25.0]),
    x=st.floats(-0.3, 0.4),
    share=st.floats(0, 0.05),
)
def test_outline_is_a_simple_closed_line_between_root_and_tip(z, m_n, alpha, x, share):
    ring = RingGeometry("external", z, m_n, radians(alpha), x=x, h_a=0.8, rho_f=0.25, allowance=share * m_n)
    drawn = tooth_outline(ring, 12)
    radius = np.hypot(*drawn.T)

    assert drawn == pytest.approx(drawn[::-1] * (-1, 1), abs=1e-9)
    assert radius.min() == pytest.approx(ring.d_f / 2, rel=1e-12)
    assert radius.max() == pytest.approx(ring.d_a / 2, rel=1e-12)
    assert shapely.LineString(drawn).is_simple
    assert np.all(np.diff(np.arctan2(*drawn.T)) > -0.2)
    assert ring.d_f <= form_diameter(ring) < ring.d_a


def test_whole_ring_has_every_tooth_once():
    ring = RingGeometry("external", 40, 3.0)
    whole = shapely.Polygon(ring_outline(ring, 8))
    one = shapely.Polygon(np.vstack([tooth_outline(ring, 8), [[0, 0]]]))

    assert whole.is_valid
    assert whole.area == pytest.approx(40 * one.area, rel=1e-12)


def test_outline_refuses_what_it_does_not_draw():
    with pytest.raises(Refusal, match="chamfer_too_wide"):
        tooth_outline(RingGeometry("external", 60, 3.0, h_K=2.0))
    with pytest.raises(Refusal, match="no_flank"):
        tooth_outline(RingGeometry("internal", 60, 3.0, d_a_given=187.2))
    with pytest.raises(Refusal, match="tooth_pointed"):
        tooth_outline(RingGeometry("external", 12, 3.0, x=1.2))
