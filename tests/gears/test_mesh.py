"""Meshing pairs against two outlines rolled together, against laws, and at their limits."""

from __future__ import annotations

import importlib.util
import sys
from math import atan, cos, inf, isnan, pi, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from ringwright import reckon
from ringwright.errors import OutOfRange, Refusal
from ringwright.gears import backlash, interference, mesh, systems
from ringwright.gears.mesh import Pair
from ringwright.gears.ring import RingGeometry, is_undercut
from ringwright.tables import load

_spec = importlib.util.spec_from_file_location("rolled", Path(__file__).with_name("rolled.py"))
rolled = importlib.util.module_from_spec(_spec)
sys.modules["rolled"] = rolled
_spec.loader.exec_module(rolled)
Drawn = rolled.Drawn


def both(z_1, z_2, m, alpha_deg, out, x_1=0.0, x_2=0.0, thin_1=0.0, thin_2=0.0, h_a=1.0):
    """The pair drawn by hand (its shift counts the space of an internal ring the product's way), and the product's."""
    alpha = radians(alpha_deg)
    drawn = Drawn(z_1, m, alpha, 1, x_1, h_a, thin=thin_1), Drawn(z_2, m, alpha, out, x_2, h_a, thin=thin_2)
    kind = "external" if out > 0 else "internal"
    pair = Pair(
        RingGeometry("external", z_1, m, alpha, x=x_1, h_a=h_a, allowance=thin_1),
        RingGeometry(kind, z_2, m, alpha, x=x_2, h_a=h_a, allowance=thin_2),
    )
    return drawn, pair


ROLLED = [
    (20, 127, 5, 20, 1, 0, 0, 0.1, 0.05, 1.0, 0.3),
    (30, 127, 5, 14.5, 1, 0.4, -0.1, 0.2, 0.1, 1.0, 0.9),
    (17, 35, 3, 25, 1, 0.2, 0.15, 0, 0, 0.8, 1.2),
    (24, 80, 4, 20, -1, 0, 0, 0.05, 0, 1.0, -0.2),
    (23, 60, 4, 25, -1, 0.1, 0.1, 0, 0.1, 0.8, -0.3),
]


@pytest.mark.parametrize("given_pair", ROLLED)
def test_play_of_two_rolled_outlines_is_the_backlash(given_pair):
    *given_pair, apart = given_pair
    (one, two), pair = both(*given_pair)

    play = rolled.play(one, two, pair.a + apart)

    found = backlash.backlash(pair, pair.a + apart)
    assert play == pytest.approx(found.turn_ring, abs=2e-8)
    assert found.turn_pinion == pytest.approx(play * two.z / one.z, abs=1e-7)


@pytest.mark.parametrize("given_pair", ROLLED[:1] + ROLLED[2:4])
def test_flanks_that_touch_are_counted_over_one_pitch(given_pair):
    *given_pair, apart = given_pair
    (one, two), pair = both(*given_pair)

    counted = rolled.contacts(one, two, pair.a + apart)

    # a pair is counted from about 5 um before it touches: no more than 0.01 of a pitch, and 200 steps of a pitch
    assert counted == pytest.approx(mesh.tip_contact_ratio(pair, pair.a + apart), abs=0.012)


def test_a_starter_pinion_counted_the_same_way():
    """10/12 with 9 teeth in a ring of 132, 0.020 in wider than tight: for a moment no pair touches."""
    (one, two), pair = both(9, 132, 2.54, 20, 1, 0.5, 0, h_a=10 / 12)
    a_w = backlash.tight_centre_distance(pair) + 0.508

    assert rolled.contacts(one, two, a_w) == pytest.approx(mesh.tip_contact_ratio(pair, a_w), abs=0.012)
    assert mesh.tip_contact_ratio(pair, a_w) < 1


@pytest.mark.parametrize(("beta", "apart"), [(0.3, 0.2), (0.5, 0.6)])
def test_a_helical_pair_rolled_in_its_transverse_section(beta, apart):
    m_t, alpha_t = 4 / cos(beta), atan(tan(radians(20)) / cos(beta))
    flat = [
        Drawn(z, m_t, alpha_t, 1, x * cos(beta), cos(beta), thin=0.1 / cos(beta)) for z, x in ((25, 0.2), (60, -0.1))
    ]
    pair = Pair(
        RingGeometry("external", 25, 4, beta=beta, x=0.2, allowance=0.1),
        RingGeometry("external", 60, 4, beta=-beta, x=-0.1, allowance=0.1),
    )
    a_w = pair.a + apart
    found = backlash.backlash(pair, a_w)

    assert rolled.play(*flat, a_w) == pytest.approx(found.turn_ring, abs=2e-8)
    assert rolled.contacts(*flat, a_w) == pytest.approx(mesh.tip_contact_ratio(pair, a_w), abs=0.012)
    assert mesh.overlap_ratio(pair, 50) == pytest.approx(50 * tan(beta) / (pi * m_t))  # the tooth's way over its pitch


def test_only_flank_that_is_there_counts():
    """A pinion of 12 is undercut: the drawn outline without fillet touches longer than the real one."""
    pair = Pair(RingGeometry("external", 12, 3), RingGeometry("external", 127, 3))
    whole, real = (f(pair, pair.a) for f in (mesh.tip_contact_ratio, mesh.transverse_contact_ratio))
    on_pinion, on_ring = interference.root_contacts(pair, mesh.path_of_contact(pair, pair.a))

    assert real < whole
    assert whole - real == pytest.approx(on_pinion.missing / pair.pinion.p_bt, rel=1e-12)
    assert on_ring.missing < 0


@pytest.mark.parametrize(
    ("z_1", "z_2", "h_a", "digs"),
    [(12, 127, 1.0, False), (24, 127, 1.2, True), (30, 60, 1.2, True), (20, 127, 1.0, False)],
)
def test_tips_in_a_fillet_that_a_drawn_rack_has_cut(z_1, z_2, h_a, digs):
    """Undercut takes the metal away: the tip swings free and contact is lost. A fillet left standing is run upon."""
    cut = rolled.rack_cut(z_1, radians(20), 1.25, 0.38)
    metal = rolled.metal_in_metal(cut, z_1, Drawn(z_2, 1.0, radians(20), 1, 0, h_a, 1.35, 0.02))
    answer = reckon.mesh(
        {
            "ring": {"kind": "external", "teeth": z_2, "module_mm": 1, "addendum_coef": h_a, "dedendum_coef": 1.35,
                     "root_radius_coef": 0.2},
            "mate": {"kind": "external", "teeth": z_1, "module_mm": 1},
        }
    )  # fmt: skip

    assert (metal > 1e-4) == digs
    assert answer.mate.tip_meets_fillet == digs
    assert answer.runs != digs
    assert (answer.mate.flank_missing_mm > 0) == (digs or z_1 == 12)


def test_a_shift_that_frees_the_root_brings_the_contact_back():
    pair = Pair(RingGeometry("external", 12, 3, x=0.5), RingGeometry("external", 127, 3, x=-0.5))

    assert mesh.transverse_contact_ratio(pair, pair.a) == pytest.approx(mesh.tip_contact_ratio(pair, pair.a))
    assert backlash.backlash(pair, pair.a).j_wt == pytest.approx(0, abs=1e-9)  # long and short addendum: same centres


PAIRS = st.builds(
    lambda z, more, m, alpha, beta, x_1, x_2, s: Pair(
        RingGeometry("external", z, m, alpha, beta, x=x_1),
        RingGeometry("external" if s > 0 else "internal", z + more, m, alpha, -s * beta, x=x_2),
    ),
    st.integers(18, 60),
    st.integers(30, 120),
    st.floats(1, 20),
    st.floats(0.25, 0.5),
    st.floats(-0.6, 0.6),
    st.floats(-0.3, 0.3),
    st.floats(-0.3, 0.3),
    st.sampled_from([1, -1]),
)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(PAIRS, st.floats(0, 0.5))
def test_each_backlash_leads_back_to_its_centres(pair, share):
    tight = backlash.tight_centre_distance(pair)
    j = share * pair.ring.m_n * 0.3
    if isnan(tight) or pair.inv_tight < 0.02:
        return
    names = {"circumferential": "j_wt", "normal": "j_bn", "radial": "j_r"}
    for kind, name in names.items():
        a_w = backlash.centre_distance_for(pair, kind, j)
        assert getattr(backlash.backlash(pair, a_w), name) == pytest.approx(j, abs=1e-7)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(PAIRS)
def test_thicknesses_fill_the_pitch_where_the_mesh_is_tight(pair):
    tight = backlash.tight_centre_distance(pair)
    if isnan(tight) or pair.inv_tight < 0.001:
        return
    r_1 = tight * pair.pinion.z / pair.z_sum
    r_2 = tight * pair.ring.z / pair.z_sum
    thick = float(pair.pinion.s_y(2 * r_1) + pair.ring.s_y(2 * r_2))

    assert thick == pytest.approx(2 * pi * r_1 / pair.pinion.z, rel=1e-9)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(PAIRS, st.floats(0, 0.4))
def test_lost_thickness_is_backlash_by_the_cosine_at_any_centres(pair, share):
    lost = share * pair.pinion.s_n
    worn = Pair(pair.pinion, pair.ring, lost_pinion=lost * 0.3, lost_ring=lost * 0.7)
    a_w = pair.a_b / cos(pair.ring.alpha_t) * 1.0
    more = backlash.backlash(worn, a_w).j_bn - backlash.backlash(pair, a_w).j_bn

    assert more == pytest.approx(lost * cos(pair.ring.alpha_n), rel=1e-9, abs=1e-12)
    assert backlash.thickness_for(more, pair.ring.alpha_n) == pytest.approx(lost, abs=1e-9)


def test_a_thickness_allowance_is_the_same_as_wear():
    thin = Pair(RingGeometry("external", 20, 5, allowance=0.4), RingGeometry("external", 127, 5))
    worn = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 127, 5), lost_pinion=0.4)

    assert backlash.backlash(thin, 368).j_wt == pytest.approx(backlash.backlash(worn, 368).j_wt, rel=1e-12)


def test_cutting_deeper_is_thinning_by_the_rack():
    """Depth by a cutter's way: the same ring with its shift reduced has the backlash that the depth promises."""
    a_w, depth = 367.8, 0.5
    plain = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 127, 5))
    deeper = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 127, 5, x=-depth / 5))
    more = backlash.backlash(deeper, a_w).j_bn - backlash.backlash(plain, a_w).j_bn

    assert backlash.depth_for(backlash.thickness_for(more, radians(20)), radians(20)) == pytest.approx(depth, rel=1e-9)


def test_small_changes_follow_the_rule_of_the_shop():
    pair = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 127, 5))
    found = backlash.backlash(pair, pair.a + 0.01)

    assert found.j_wt == pytest.approx(2 * tan(radians(20)) * 0.01, rel=1e-3)
    assert found.j_bn == pytest.approx(2 * sin(radians(20)) * 0.01, rel=1e-3)
    assert found.j_r == pytest.approx(0.01, abs=1e-9)


def test_sliding_is_nought_at_the_pitch_point_and_balances():
    pair = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 60, 5))
    path = mesh.path_of_contact(pair, pair.a)
    pitch_point = pair.a * 20 / 80 * sin(radians(20))

    assert mesh.sliding(pair, path, pitch_point) == pytest.approx((0, 0), abs=1e-12)
    for t in (path.start, path.end):
        one, two = mesh.sliding(pair, path, t)
        assert (1 - one) * (1 - two) == pytest.approx(1)  # each is the other's speed turned round
        assert one * two < 0 or one == two == 0
    assert mesh.sliding(pair, path, 0.0)[0] == -inf


def test_sliding_by_moving_points():
    """Speeds along the flank from two turning points of contact, external and internal."""
    for kind, s in (("external", 1), ("internal", -1)):
        pair = Pair(RingGeometry("external", 20, 5), RingGeometry(kind, 60, 5))
        path = mesh.path_of_contact(pair, pair.a)
        a, u = pair.a, 20 / 60
        line = np.array([sin(radians(20)), cos(radians(20))])  # direction of the line of action, from the base tangent
        foot = pair.pinion.d_b / 2 * np.array([cos(radians(20)), -sin(radians(20))])
        for t in (path.start, (path.start + path.end) / 2.1, path.end):
            point = foot + t * line
            turn = np.array([-point[1], point[0]])
            centre = np.array([s * a, 0.0])
            turn_2 = -s * u * np.array([-(point - centre)[1], (point - centre)[0]])
            along = np.array([line[1], -line[0]])  # the flank stands square to the line of action
            v_1, v_2 = turn @ along, turn_2 @ along
            assert turn @ line == pytest.approx(turn_2 @ line)  # they do not part
            expected = (v_1 - v_2) / v_1, (v_2 - v_1) / v_2
            assert mesh.sliding(pair, path, t) == pytest.approx(expected, rel=1e-9)


def test_overlap_needs_a_helix():
    spur = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 60, 5))

    assert mesh.overlap_ratio(spur, 60) == 0


@pytest.mark.parametrize(
    ("ring", "code"),
    [
        (RingGeometry("external", 60, 5, beta=0.3), "hands_do_not_mesh"),
        (RingGeometry("internal", 60, 5, beta=-0.3), "hands_do_not_mesh"),
        (RingGeometry("external", 60, 5, beta=-0.25), "helix_angles_differ"),
        (RingGeometry("external", 60, 5), "helix_angles_differ"),
        (RingGeometry("internal", 20, 5, beta=0.3), "ring_not_larger"),
    ],
)
def test_pairs_that_cannot_run(ring, code):
    with pytest.raises(Refusal) as refused:
        Pair(RingGeometry("external", 20, 5, beta=0.3), ring)

    assert refused.value.code == code


@pytest.mark.parametrize(
    "ring", [RingGeometry("external", 60, 5, beta=-0.3), RingGeometry("internal", 60, 5, beta=0.3)]
)
def test_hands_that_mesh(ring):
    assert Pair(RingGeometry("external", 20, 5, beta=0.3), ring).z_sum in (80, 40)


def test_story_f3_near_twins_do_not_mesh():
    """10 DP and module 2.5, 5 DP and 5, 14 1/2 and 20 degrees: they seem to, over two teeth, and wear out."""
    for ours, theirs in ((2.54, 2.5), (5.08, 5.0), (25.4 / 6, 4.25)):
        with pytest.raises(Refusal) as refused:
            Pair(RingGeometry("external", 20, ours), RingGeometry("external", 60, theirs))
        assert refused.value.code == "base_pitches_differ"
    with pytest.raises(Refusal):
        Pair(RingGeometry("external", 20, 5, radians(14.5)), RingGeometry("external", 60, 5))


def test_what_must_match_is_the_base_pitch():
    """A starter pinion at 12 degrees and a ring called module 2.20328 at 20: one base pitch, one mesh."""
    m = systems.equal_base_pitch(25.4 / 12, radians(12), radians(20))
    pair = Pair(RingGeometry("external", 9, 25.4 / 12, radians(12), x=0.5), RingGeometry("external", 130, m))
    tight = backlash.tight_centre_distance(pair)

    assert pair.pitch_error == pytest.approx(0, abs=1e-12)
    assert backlash.backlash(pair, tight).j_wt == pytest.approx(0, abs=1e-9)
    assert mesh.working_angle(pair, tight) > radians(12)


def test_story_p3_starter_rings():
    """0.020 to 0.040 in of extra centres give 0.0146 to 0.0291 in; print rounds the second up to 0.030."""
    pair = Pair(systems.starter_pinion(10, 10, 12), RingGeometry("external", 132, 2.54, h_a=10 / 12, h_f=12.5 / 12))
    tight = backlash.tight_centre_distance(pair)
    for spread, printed in ((0.020, 0.0146), (0.040, 0.0291)):
        j = backlash.backlash(pair, tight + 25.4 * spread).j_wt / 25.4
        # the enlarged pinion works at more than 20 degrees, so that the real backlash is a little more
        assert printed < j < 1.12 * printed


def test_story_f14_centres_of_unshifted_gears():
    for kind, expected in (("external", 367.5), ("internal", 267.5)):
        pair = Pair(RingGeometry("external", 20, 5), RingGeometry(kind, 127, 5))
        assert pair.a == pytest.approx(expected)
        assert backlash.tight_centre_distance(pair) == pytest.approx(expected)


def test_story_d9_an_enlarged_pinion_takes_up_a_recut_ring():
    recut = RingGeometry("external", 127, 5, x=-0.3)
    pair = Pair(RingGeometry("external", 20, 5, x=0.3), recut)

    assert backlash.backlash(pair, 367.5).j_wt == pytest.approx(0, abs=1e-9)
    assert pair.pinion.d_a == pytest.approx(113)  # 100 + 10 x 1.3


@pytest.mark.parametrize(
    ("kind", "a_w", "code"),
    [("external", 345.0, "out_of_reach"), ("external", 378.0, "out_of_reach"), ("internal", 257.0, "too_near_inside")],
)
def test_centres_out_of_reach(kind, a_w, code):
    pair = Pair(RingGeometry("external", 20, 5), RingGeometry(kind, 127, 5))

    with pytest.raises(Refusal) as refused:
        mesh.working_angle(pair, a_w)
    assert refused.value.code == code


def test_losses_outside_the_tooth_are_refused():
    for lost in (-0.1, 20.0):
        with pytest.raises(OutOfRange):
            Pair(RingGeometry("external", 20, 5), RingGeometry("external", 60, 5), lost_ring=lost)


def test_a_backlash_that_no_centres_give():
    thin = Pair(RingGeometry("external", 20, 5, x=-1), RingGeometry("external", 60, 5, x=-1))
    assert thin.inv_tight < 0
    assert isnan(backlash.tight_centre_distance(thin))
    for kind in ("normal", "circumferential", "radial"):
        with pytest.raises(Refusal) as refused:
            backlash.centre_distance_for(thin, kind, 0.0)
        assert refused.value.code == "no_such_backlash"


# Internal pairs: overlap of two drawn polygons, and the tooth differences that the gear makers print.


def polygons(z_1, z_2, alpha_deg, h_a, thin):
    one = Drawn(z_1, 1.0, radians(alpha_deg), 1, 0, h_a, 1.5, thin)
    two = Drawn(z_2, 1.0, radians(alpha_deg), -1, 0, h_a, 1.5, thin)
    bore = Polygon(two.points())  # the air inside the ring
    return one, two, Polygon(one.points()), bore


def overlap(one, two, pinion, bore, a, turn):
    """Metal in metal: pinion outside the air of the ring, one flank brought to bear."""
    ahead, _behind = rolled.gaps(one, two, a, turn, 400)
    push = 1e-4 - np.nanmin(ahead)  # the ring turned back until it nearly touches
    hole = rotate(bore, np.degrees(turn * one.z / two.z + pi / two.z + push), origin=(0, 0))
    return rotate(pinion, np.degrees(turn), origin=(0, 0)).difference(translate(hole, -a, 0)).area


@pytest.mark.parametrize(
    ("alpha_deg", "h_a", "z_2", "least"),
    [(20, 1.0, 50, 9), (20, 1.0, 80, 8), (20, 0.8, 80, 7), (25, 1.0, 80, 6)],
)
def test_least_difference_of_teeth_free_of_tip_interference(alpha_deg, h_a, z_2, least):
    """The differences that gear makers' rules give at standard centres, and where two drawn gears begin to overlap."""
    for difference, clear in ((least, True), (least - 1, False)):
        _drawn, pair = both(z_2 - difference, z_2, 1.0, alpha_deg, -1, h_a=h_a)
        margin = interference.internal_tests(pair, mesh.path_of_contact(pair, pair.a), pair.a).tips
        assert (margin >= 0) == clear


@pytest.mark.parametrize(("z_2", "difference"), [(50, 9), (50, 7), (80, 9), (80, 6)])
def test_tip_interference_is_where_drawn_gears_overlap(z_2, difference):
    one, two, pinion, bore = polygons(z_2 - difference, z_2, 20, 1.0, 0.05)
    _drawn, pair = both(z_2 - difference, z_2, 1.0, 20, -1)
    margin = interference.internal_tests(pair, mesh.path_of_contact(pair, pair.a), pair.a).tips
    worst = max(overlap(one, two, pinion, bore, pair.a, turn) for turn in np.linspace(0, 2 * pi / one.z, 24))

    assert abs(margin) > 0.01  # the case is a clear one
    assert (worst > 1e-4) == (margin < 0)


@pytest.mark.parametrize(
    ("alpha_deg", "h_a", "z_2", "least"), [(20, 1.0, 80, (16, 17)), (20, 0.8, 80, (13,)), (25, 1.0, 80, (11,))]
)
def test_least_difference_for_pushing_the_pinion_in_radially(alpha_deg, h_a, z_2, least):
    def clear(difference):
        _drawn, pair = both(z_2 - difference, z_2, 1.0, alpha_deg, -1, h_a=h_a)
        return interference.internal_tests(pair, mesh.path_of_contact(pair, pair.a), pair.a).radial >= 0

    assert next(n for n in range(5, 40) if clear(n)) in least


@pytest.mark.parametrize(
    ("z_2", "difference", "alpha_deg", "h_a"),
    [(80, 19, 20, 1.0), (80, 13, 20, 1.0), (60, 20, 20, 1.0), (60, 12, 20, 1.0), (80, 15, 25, 1.0), (80, 8, 25, 1.0)],
)
def test_a_pinion_pushed_in_step_by_step(z_2, difference, alpha_deg, h_a):
    """In every place of its teeth; nearly no backlash, so that the drawn way in and the formula speak of one thing."""
    (one, two), pair = both(z_2 - difference, z_2, 1.0, alpha_deg, -1, thin_1=0.004, thin_2=0.004, h_a=h_a)
    margin = interference.internal_tests(pair, mesh.path_of_contact(pair, pair.a), pair.a).radial
    worst = max(rolled.pushed_in(one, two, pair.a, turn) for turn in np.linspace(0, 2 * pi / one.z, 14))

    assert abs(margin) > 0.01
    assert (worst < 0) == (margin > 0)


def test_no_involute_below_the_base_circle_of_a_ring():
    pair = Pair(RingGeometry("external", 20, 5, radians(14.5)), RingGeometry("internal", 60, 5, radians(14.5)))
    found = interference.internal_tests(pair, mesh.path_of_contact(pair, pair.a), pair.a)

    assert pair.ring.d_a < pair.ring.d_b
    assert isnan(found.tips)
    assert isnan(found.radial)
    assert found.involute < 0


@pytest.mark.parametrize(("z_2", "least"), [(40, 24), (60, 21), (80, 20), (100, 19), (200, 18)])
def test_least_pinion_free_of_involute_interference(z_2, least):
    """Standard centres, 20 degrees full depth, the ring's tip not cut back."""
    for z_1, clear in ((least, True), (least - 1, False)):
        _drawn, pair = both(z_1, z_2, 1.0, 20, -1)
        assert (mesh.path_of_contact(pair, pair.a).tip_ring >= 0) == clear


def test_undercut_limit_is_where_the_fillet_meets_the_base_circle():
    for z, rho in ((12, 0.38), (14, 0.25), (10, 0.0)):
        ring = RingGeometry("external", z, 1, rho_f=rho)
        x = mesh.least_shift(ring)
        for off, cut in ((-0.01, True), (0.01, False)):
            assert is_undercut(RingGeometry("external", z, 1, rho_f=rho, x=x + off)) == cut


def test_advice_covers_what_its_source_covers():
    pair = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 127, 5))
    least, ranged = backlash.advice(pair, pair.a)

    assert least.covers
    assert (ranged.low, ranged.high) == pytest.approx((0.508, 0.762))  # 14.47 in, 5.08 DP: 0.020 to 0.030 in
    assert backlash.advice(pair, pair.a, "girth")[0].high == pytest.approx(0.3)
    small = Pair(RingGeometry("external", 20, 1), RingGeometry("external", 40, 1))
    assert [one.covers for one in backlash.advice(small, 30)] == [False]
    assert backlash.advice(pair, pair.a, "starter")[0].covers
    assert not backlash.advice(small, 30, "starter")[0].covers


def test_the_range_table_has_no_cell_twice():
    rows = load("backlash_ranges")
    assert len({(r["centres_from_in"], r["pitch_from"]) for r in rows}) == len(rows) == 23
    for row in rows:
        assert float(row["low_in"]) < float(row["high_in"])


def test_a_pitch_on_the_limit_belongs_to_the_finer_column():
    """Print has 3.5 to 5.99 and 6 to 9.99 per inch: 6 at 15 in is 0.015 to 0.025."""
    pair = Pair(RingGeometry("external", 60, 25.4 / 6), RingGeometry("external", 120, 25.4 / 6))
    ranged = backlash.advice(pair, pair.a)[1]

    assert pair.a / 25.4 == pytest.approx(15)
    assert (ranged.low / 25.4, ranged.high / 25.4) == pytest.approx((0.015, 0.025))
