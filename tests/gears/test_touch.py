"""Which spans and pins can be used, told by drawing them."""

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import tables
from ringwright.errors import Refusal
from ringwright.gears import measures, touch
from ringwright.gears.outline import ring_outline, tooth_outline
from ringwright.gears.ring import RingGeometry
from ringwright.gears.root import generated_root
from ringwright.gears.shaper import ShaperCutter, reach_diameter, setting, trims_tip

DRIVE = RingGeometry("external", 127, 5.0)


class TestSpans:
    def test_every_span_touches_between_fillet_and_tip(self):
        low, high = touch.flank_range(DRIVE)
        ks = [s.k for s in touch.spans(DRIVE)]

        assert ks == list(range(ks[0], ks[-1] + 1))
        assert all(low < s.d_M < high for s in touch.spans(DRIVE))
        assert isinstance(touch.span(DRIVE, ks[0] - 1), touch.NoMeasure)
        assert isinstance(touch.span(DRIVE, ks[-1] + 1), touch.NoMeasure)

    def test_a_chamfer_takes_away_the_spans_that_would_sit_on_it(self):
        broken = RingGeometry("external", 127, 5.0, h_K=2.0)

        assert max(s.k for s in touch.spans(broken)) < max(s.k for s in touch.spans(DRIVE))
        assert all(s.d_M < 645 - 4 for s in touch.spans(broken))

    def test_internal_rings_have_none(self):
        assert touch.spans(RingGeometry("internal", 80, 4.0)) == ()

    def test_a_narrow_helical_face_asks_for_fewer_teeth_or_none(self):
        ring = RingGeometry("external", 90, 4.0, beta=radians(25))
        wide, best = touch.span(ring, b=400.0), touch.span(ring)
        narrow = touch.span(ring, b=best.b_k - 1)

        assert wide == best
        # by hand: the anvils stand W sin(beta_b) apart along the face
        assert best.b_k == pytest.approx(best.W_k * sin(radians(25)) * cos(radians(20)), rel=1e-12)
        assert narrow.k < best.k
        assert narrow.b_k < best.b_k - 1
        refused = touch.span(ring, b=20.0)
        assert refused.code == "span_face_too_narrow"
        assert refused.facts["need"] > 20

    def test_straight_teeth_ask_for_no_face(self):
        assert touch.span(DRIVE, b=1.0) == touch.span(DRIVE)


RINGS = [
    RingGeometry("external", 127, 5.0),
    RingGeometry("external", 25, 4.0, x=0.4, allowance=0.1),
    RingGeometry("external", 40, 3.0, radians(14.5), h_f=1.157, rho_f=0.2),
    RingGeometry("external", 18, 6.0, h_a=0.8, h_f=1.0, rho_f=0.3),
    RingGeometry("internal", 60, 3.0),
    RingGeometry("internal", 91, 4.0, radians(25), x=-0.2),
]


def lies_in(ring, D_M):
    """A circle of that size between the drawn flanks of the space on +y: its centre, and how deep it sinks."""
    tooth = shapely.Polygon(ring_outline(ring, tolerance=2e-5))
    metal = shapely.boundary(tooth)
    turn = pi / ring.z
    near, far = ring.d / 2 - 3 * ring.m_n, ring.d / 2 + 3 * ring.m_n
    # from the open end inward until it touches
    start, stop = (far, near) if ring.s > 0 else (near, far)
    for _step in range(45):
        middle = (start + stop) / 2
        free = shapely.distance(metal, shapely.Point(middle * sin(turn), middle * cos(turn))) > D_M / 2
        start, stop = (middle, stop) if free else (start, middle)
    return start


class TestPinRange:
    @pytest.mark.parametrize("ring", RINGS, ids=lambda r: f"{r.kind} {r.z}")
    def test_inside_the_range_the_pin_lies_on_the_flanks_and_stands_proud(self, ring):
        low, high = touch.pin_range(ring)
        c = 1 if ring.z % 2 == 0 else cos(pi / (2 * ring.z))
        for D_M in np.linspace(low, high, 4):
            centre = lies_in(ring, D_M)
            M = c * 2 * centre + ring.s * D_M

            assert touch.pins(ring, float(D_M)).M_dK == pytest.approx(M, abs=1e-3)
            assert ring.s * (2 * centre + ring.s * D_M - ring.d_a) > 0

    @pytest.mark.parametrize("ring", RINGS, ids=lambda r: f"{r.kind} {r.z}")
    def test_outside_the_range_it_does_not(self, ring):
        low, high = touch.pin_range(ring)
        for D_M in (low - 0.003 * ring.m_n, high + 0.003 * ring.m_n):
            assert isinstance(touch.pins(ring, D_M), touch.NoMeasure)

    def test_no_range_where_no_pin_fits(self):
        assert touch.pin_range(RingGeometry("external", 60, 5.0, d_a_given=289.0)) is None


class TestUsualPins:
    def test_table_names_say_their_size(self):
        for row in tables.load("standard_pins"):
            number, _, unit = row["name"].partition("/P" if "/P" in row["name"] else " ")
            if row["modules"]:
                assert float(number) == float(row["modules"])
            elif unit == "mm":
                assert float(number) == float(row["mm"])
            else:
                top, _, bottom = number.partition("/")
                assert float(row["mm"]) == pytest.approx(25.4 * int(top) / int(bottom or 1), rel=1e-12)

    def test_only_pins_that_can_be_used_stand_there_best_first(self):
        limits = touch.pin_range(DRIVE)
        found = touch.usual_pins(DRIVE)
        away = [abs(one.reads.d_M - touch.wanted_diameter(DRIVE)) for one in found]

        assert "1.728/P" in [one.name for one in found]
        assert away == sorted(away)
        assert all(limits[0] - 0.01 <= one.reads.D_M <= limits[1] + 0.01 for one in found)

    def test_the_rule_for_another_angle_is_left_out(self):
        names = {one.name for one in touch.usual_pins(RingGeometry("external", 90, 5.0, radians(14.5), h_f=1.157))}

        assert "1.7 m" in names
        assert "1.75 m" not in names

    def test_of_my_own_pins_the_best_usable_is_taken(self):
        best = touch.best_of(DRIVE, (2.0, 8.5, 12.0, 30.0))

        assert best.D_M == 8.5
        assert touch.best_of(DRIVE, (2.0, 30.0)).code == "pin_none_at_hand"


@settings(derandomize=True, deadline=None, max_examples=40)
@given(z=st.integers(30, 250), x=st.floats(-0.3, 0.3), kind=st.sampled_from(["external", "internal"]))
def test_ideal_pin_touches_where_it_was_asked_to(z, x, kind):
    ring = RingGeometry(kind, z, 2.0, x=x)
    low, high = touch.flank_range(ring)
    d_M = (low + high) / 2
    D_M = measures.ideal_pin(kind, d_M, z, 2.0, radians(20), x=x)

    assert float(measures.pin_contact_diameter(kind, D_M, z, 2.0, radians(20), x=x)) == pytest.approx(d_M, abs=1e-6)


class TestOutlineTolerance:
    @pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.001])
    @pytest.mark.parametrize(
        "ring",
        [
            DRIVE,
            RingGeometry("external", 14, 6.0, beta=radians(20), h_K=0.4),
            RingGeometry("internal", 48, 4.0, x=-0.2),
        ],
        ids=["drive ring", "helical, undercut, chamfer", "internal"],
    )
    def test_lines_stay_within_what_is_stated(self, ring, tolerance):
        fine = shapely.LineString(tooth_outline(ring, 2000))
        coarse = tooth_outline(ring, tolerance=tolerance)
        between = shapely.LineString(coarse).interpolate(np.linspace(0, 1, 4001), normalized=True)

        assert shapely.distance(fine, between).max() <= tolerance + 2e-5
        assert len(coarse) < 2200
        assert shapely.distance(fine, shapely.points(coarse)).max() < 2e-5

    def test_ten_times_finer_takes_about_three_times_the_points(self):
        n = [len(tooth_outline(DRIVE, tolerance=t)) for t in (1e-2, 1e-3, 1e-4)]

        assert n[0] < n[1] < n[2] < 12 * n[0]

    def test_helical_section_has_the_transverse_thickness(self):
        ring = RingGeometry("external", 60, 4.0, beta=radians(-18), x=0.2)
        drawn = tooth_outline(ring, 400)
        right = drawn[drawn[:, 0] > 0]
        radius, angle = np.hypot(*right.T), np.arctan2(*right.T)
        half = np.interp(-ring.d / 2, -radius, angle)

        s_t = 4 * (pi / 2 + 0.4 * tan(radians(20))) / cos(radians(18))
        assert half * ring.d == pytest.approx(s_t, abs=1e-5)


class TestShaper:
    def test_more_teeth_leave_less_fillet_on_a_ring(self):
        ring = RingGeometry("internal", 90, 4.0)
        forms = [generated_root(ring, ShaperCutter(z)).d_Ff for z in (15, 25, 40, 60)]

        assert forms == sorted(forms)
        assert all(form < ring.d_f for form in forms)

    def test_fillet_begins_on_the_root_circle_and_ends_on_the_flank(self):
        ring = RingGeometry("internal", 60, 3.0, beta=radians(15), allowance=0.1)
        made = generated_root(ring, ShaperCutter(20))
        radius, angle = made.curve(np.array([0.0, made.end]))
        space = pi / ring.z - ring.s_y(made.d_Ff) / made.d_Ff

        assert radius == pytest.approx([ring.d_f / 2, made.d_Ff / 2], rel=1e-12)
        assert angle[1] == pytest.approx(float(space), abs=1e-12)

    @pytest.mark.parametrize(("z_0", "trims"), [(20, False), (51, False), (52, True)])
    def test_a_cutter_nearly_as_large_as_the_ring_takes_off_the_tips(self, z_0, trims):
        # the same step from 51 to 52 comes out when the cutter is rolled through the ring, see test_generated
        ring = RingGeometry("internal", 60, 3.0, rho_f=0.1)

        assert trims_tip(ring, setting(ring, ShaperCutter(z_0))) is trims

    def test_too_few_teeth_do_not_reach_the_tip(self):
        # by hand: the line of action leaves the cutter at its base circle, a_0 sin 20 deg from the ring's tangent point
        ring = RingGeometry("internal", 60, 3.0)
        at = setting(ring, ShaperCutter(15))
        a_0 = 45 / 2 * 3
        by_hand = 2 * np.hypot(90 * cos(radians(20)), a_0 * sin(radians(20)))

        assert reach_diameter(ring, at) == pytest.approx(by_hand, rel=1e-12)
        assert reach_diameter(ring, at) > ring.d_a

    def test_a_cutter_that_finds_no_place_is_refused(self):
        with pytest.raises(Refusal, match="shaper_too_many_teeth"):
            setting(RingGeometry("internal", 40, 3.0), ShaperCutter(39))
