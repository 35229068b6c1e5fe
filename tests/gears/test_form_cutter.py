"""What a form cutter of another tooth count leaves, against two drawn spaces laid over each other."""

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
import shapely

from ringwright.errors import Refusal
from ringwright.gears import cutters, form_cutter, touch
from ringwright.gears.ring import RingGeometry


def space_flank(z, m, alpha, s, n=40_001):
    """Right side of a space between strings unwound from the base circle, height over the reference circle."""
    r_b = z * m * cos(alpha) / 2
    t = np.linspace(0, 0.9, n)
    radius, angle = r_b * np.hypot(1, t), t - np.arctan(t)
    half = pi / z - s / (z * m) - (tan(alpha) - alpha) + angle
    return radius * np.sin(half), radius * np.cos(half) - z * m / 2, radius


def laid_over(z, z_low, m, alpha, places, allowance=0.0):
    """Signed distance of the cutter's flank from the ring's on those diameters [mm]; plus is metal left on."""
    s = m * pi / 2
    u, v, radius = space_flank(z, m, alpha, s - allowance)
    form_u, form_v, _r = space_flank(z_low, m, alpha, s)
    # sink the cutter until it is as wide as the space where the ring's reference circle is
    ref = np.interp(z * m / 2, radius, np.arange(len(radius)))
    wide, high = np.interp(ref, np.arange(len(u)), u), np.interp(ref, np.arange(len(v)), v)
    form_v = form_v + high - np.interp(wide, form_u, form_v)
    line = shapely.LineString(np.column_stack([form_u, form_v]))
    ends = []
    for d_y in places:
        at = np.interp(d_y / 2, radius, u), np.interp(d_y / 2, radius, v)
        sign = 1 if np.interp(at[1], form_v, form_u) < at[0] else -1
        ends.append(sign * line.distance(shapely.Point(at)))
    return ends


@pytest.mark.parametrize(
    ("z", "z_low", "m", "alpha_deg", "allowance"),
    [(127, 80, 5, 20, 0), (127, 55, 5, 20, 0.2), (134, 80, 3, 14.5, 0), (54, 42, 4, 20, 0), (79, 55, 8, 20, 0.1)],
)
def test_error_is_the_distance_of_the_two_drawn_flanks(z, z_low, m, alpha_deg, allowance):
    alpha = radians(alpha_deg)
    ring = RingGeometry("external", z, float(m), alpha, allowance=allowance)
    d_y, error = form_cutter.error_curve(ring, z_low)
    above = d_y > ring.d - 1.4 * m  # nearer to the root the cutter's own fillet begins
    by_hand = laid_over(z, z_low, m, alpha, d_y[above], allowance)

    assert error[above] == pytest.approx(by_hand, abs=0.0008)
    assert touch.flank_range(ring) == pytest.approx((d_y[0], d_y[-1]), abs=1e-9)


def test_the_cutter_for_the_ring_itself_leaves_nothing():
    for z in (12, 26, 80, 135):
        got = form_cutter.shape_error(RingGeometry("external", z, 5.0), z)

        assert abs(got.most) < 2e-5


def test_the_lower_form_takes_too_much_at_both_ends_and_the_finer_set_takes_less():
    """The trade's rule: a cutter for its lowest count relieves tips and flanks of every larger wheel, never fouls."""
    ring = RingGeometry("external", 127, 5.0)
    fifteen, eight = (form_cutter.shape_error(ring, z_low) for z_low in (80, 55))

    assert eight.tip < fifteen.tip < 0
    assert eight.root < fifteen.root < 0
    assert form_cutter.shape_error(ring, 200).tip > 0  # a form for more teeth leaves metal standing


def test_error_grows_with_the_module():
    small, large = (form_cutter.shape_error(RingGeometry("external", 127, m), 80) for m in (2.0, 10.0))

    assert large.most == pytest.approx(5 * small.most, rel=1e-6)


def test_helical_ring_by_its_virtual_teeth():
    ring = RingGeometry("external", 64, 4.0, beta=radians(20))
    low = cutters.form_cutter(ring.z_v).low
    straight = form_cutter.shape_error(RingGeometry("external", 77, 4.0), low)

    # 64 / cos^3 20 deg = 77.13
    assert form_cutter.shape_error(ring, low).tip == pytest.approx(straight.tip, rel=0.03)


def test_internal_rings_are_refused():
    with pytest.raises(Refusal, match="external_only"):
        form_cutter.shape_error(RingGeometry("internal", 80, 4.0), 55)


def test_slope_and_bend_by_hand():
    """At the tip: half the difference of bends times length squared, and the lean of the narrower space."""
    got = form_cutter.shape_error(RingGeometry("external", 127, 5.0), 80).tip
    length = 5 / cos(radians(20))
    bend = (1 / (200 * sin(radians(20))) - 1 / (317.5 * sin(radians(20)))) / 2 * length**2
    lean = (radians(90 / 80) - radians(90 / 127)) * length

    assert -got == pytest.approx(bend + lean, rel=0.15)
