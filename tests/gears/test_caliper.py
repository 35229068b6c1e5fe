"""The tooth caliper against chords taken off drawn teeth, and against print."""

from math import cos, pi, radians, tan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange
from ringwright.gears import caliper, touch
from ringwright.gears.outline import ring_outline
from ringwright.gears.ring import RingGeometry


def unwound(r_b, n=20_001, most=1.2):
    """Radius and angle of a string unwound from the base circle."""
    t = np.linspace(0, most, n)
    x, y = r_b * (np.cos(t) + t * np.sin(t)), r_b * (np.sin(t) - t * np.cos(t))
    return np.hypot(x, y), np.arctan2(y, x)


def caliper_reads(ring, depth):
    """Width of a spur tooth at that depth below the bar, from an unwound flank; the bar rests on the tip."""
    radius, angle = unwound(ring.z * ring.m_n * cos(ring.alpha_n) / 2)
    at_ref = np.interp(ring.d / 2, radius, angle)
    inside = ring.kind == "internal"
    # an inside tooth is what two spaces leave, and a space has the outline of an outside tooth
    if inside:
        half = pi / ring.z - (pi / ring.z - ring.s_n / ring.d) - at_ref + angle
    else:
        half = ring.s_n / ring.d + at_ref - angle
    x, y = radius * np.sin(half), radius * np.cos(half)
    if not inside:
        return 2 * _at(y, x, ring.d_a / 2 - depth)
    corner = np.interp(ring.d_a / 2, radius, y)
    return 2 * _at(y, x, corner + depth)


def _at(y, x, level):
    order = np.argsort(y)
    return float(np.interp(level, y[order], x[order]))


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8])
@pytest.mark.parametrize(
    "ring",
    [
        RingGeometry("external", 23, 4.0, x=0.3),
        RingGeometry("external", 127, 5.0, radians(14.5), allowance=0.2, d_a_given=643.0),
        RingGeometry("internal", 70, 3.0, x=-0.2, allowance=0.1),
        RingGeometry("internal", 96, 2.0, radians(25), d_a_given=188.6),
    ],
    ids=["shifted", "topped and thinned", "internal", "internal topped"],
)
def test_caliper_set_to_the_depth_reads_the_chord(ring, share):
    low, high = touch.flank_range(ring)
    chord = caliper.chordal_at(ring, low + share * (high - low))

    assert caliper_reads(ring, chord.h_c) == pytest.approx(chord.s_c, abs=2e-5)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    z=st.integers(14, 300), alpha=st.sampled_from([14.5, 20.0, 25.0]), x=st.floats(-0.1, 0.4), thin=st.floats(0, 0.05)
)
def test_constant_chord_is_where_the_rack_touches_both_flanks(z, alpha, x, thin):
    ring = RingGeometry("external", z, 4.0, radians(alpha), x=x, allowance=thin * 4.0, h_a=0.8)
    chord = caliper.constant_chord(ring)
    if isinstance(chord, touch.NoMeasure):
        assert chord.code == "constant_chord_off_flank"
        return

    # a straight rack flank through (s/2, 0) at the pressure angle: the foot of the square line from the pitch point
    t = tan(ring.alpha_n)
    foot = np.array([ring.s_n / 2 * cos(ring.alpha_n) ** 2, ring.s_n / 2 * t * cos(ring.alpha_n) ** 2])
    assert chord.s_c == pytest.approx(2 * foot[0], rel=1e-12)
    assert chord.h_c == pytest.approx((ring.d_a - ring.d) / 2 - foot[1], rel=1e-12)
    assert caliper_reads(ring, chord.h_c) == pytest.approx(chord.s_c, abs=2e-5)


def test_constant_chord_does_not_know_the_number_of_teeth():
    chords = [caliper.constant_chord(RingGeometry("external", z, 1.0)) for z in (24, 40, 127)]

    assert [c.s_c for c in chords] == pytest.approx([1.38705] * 3, abs=5e-6)  # pi/2 cos^2 20 deg
    assert [c.h_c for c in chords] == pytest.approx([0.74758] * 3, abs=5e-6)  # 1 - pi/4 sin 20 cos 20


def test_internal_constant_chord_is_read_off_the_drawn_tooth():
    ring = RingGeometry("internal", 72, 4.0, x=0.1)
    chord = caliper.constant_chord(ring)

    assert chord.s_c == pytest.approx(ring.s_n * cos(ring.alpha_n) ** 2, rel=1e-12)
    assert caliper_reads(ring, chord.h_c) == pytest.approx(chord.s_c, abs=2e-5)


def helical_section(ring, d_y):
    """The tooth of a helical ring cut by the plane square to its helix at d_y: points across and up from the axis."""
    radius, angle = unwound(ring.d_b / 2)
    half = ring.s_t / ring.d + np.interp(ring.d / 2, radius, angle) - angle
    turn = tan(ring.beta) / (ring.d / 2)
    lean = np.arctan(turn * d_y / 2)
    # a flank point at the height a along the axis lies in the plane when a cos(lean) + x sin(lean) = 0
    a = np.zeros_like(radius)
    for _step in range(60):
        a = -radius * np.sin(half + turn * a) * np.tan(lean)
    x, y = radius * np.sin(half + turn * a), radius * np.cos(half + turn * a)
    return x / np.cos(lean), y


@pytest.mark.parametrize("beta_deg", [8, 20, 30])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_helical_chord_is_that_of_the_section_square_to_the_tooth(beta_deg, share):
    ring = RingGeometry("external", 48, 5.0, beta=radians(beta_deg), x=0.1)
    low, high = touch.flank_range(ring)
    chord = caliper.chordal_at(ring, low + share * (high - low))
    across, up = helical_section(ring, chord.d_y)

    assert 2 * _at(up, across, ring.d_a / 2 - chord.h_c) == pytest.approx(chord.s_c, abs=2e-5)


def test_constant_chord_of_a_helical_ring_in_the_section_square_to_the_tooth():
    ring = RingGeometry("external", 48, 5.0, beta=radians(25), x=0.1)
    chord = caliper.constant_chord(ring)
    across, up = helical_section(ring, ring.d)

    assert 2 * _at(up, across, ring.d_a / 2 - chord.h_c) == pytest.approx(chord.s_c, abs=2e-5)


def test_jaws_off_the_flank_are_refused():
    with pytest.raises(OutOfRange) as refused:
        caliper.chordal_at(RingGeometry("external", 127, 5.0), 645.5)

    assert refused.value.symbol == "d_y"


def test_a_chamfer_moves_the_corners_on_which_the_bar_rests():
    plain, broken = RingGeometry("internal", 60, 4.0), RingGeometry("internal", 60, 4.0, h_K=0.5)
    s_a = float(plain.s_y(plain.d_a))
    before = plain.d_a / 2 * (1 - cos(s_a / plain.d_a))
    after = plain.d_a / 2 * (1 - cos((s_a - 1.0) / plain.d_a))

    moved = caliper.chordal_at(plain, 240.0).h_c - caliper.chordal_at(broken, 240.0).h_c

    assert moved == pytest.approx(before - after, rel=1e-9)
    assert moved > 0


def test_outline_with_a_chamfer_loses_two_triangles_a_tooth():
    c = 0.4
    plain, broken = (RingGeometry("external", 40, 4.0, h_K=h) for h in (0.0, c))
    lost = [shapely.Polygon(ring_outline(r, tolerance=1e-4)).area for r in (plain, broken)]

    assert (lost[0] - lost[1]) / 80 == pytest.approx(c * c / 2, rel=0.02)
