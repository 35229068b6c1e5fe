"""A space cut to depth: laws of width, centre and depth, and the operation's answers."""

from __future__ import annotations

from dataclasses import replace
from math import asin, cos, pi, radians, sqrt, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.cutting.cutter import Disc, DoubleAngle, EndMill
from ringwright.cutting.form import involute_form
from ringwright.cutting.gash import Gash, OldSpace
from ringwright.cutting.surface import ToothedRing
from ringwright.errors import OutOfRange, Refusal
from ringwright.gears.ring import RingGeometry
from ringwright.reckon.base import Problems

RING = RingGeometry("external", 40, 5.0)
BODY = ToothedRing(RING, 30.0)
BASE = {
    "ring": {"kind": "external", "teeth": 40, "module_mm": 5, "face_width_mm": 30},
    "cutter": {"kind": "involute_form", "diameter_mm": 80, "design_teeth": 40},
    "target": {"full_depth": True},
}


def test_a_cutter_on_its_own_ring_leaves_the_true_involute():
    for z in (17, 24, 40, 90):
        gash = Gash(
            ToothedRing(RingGeometry("external", z, 5.0), 30.0), involute_form(50.0, RingGeometry("external", z, 5.0))
        )
        profile = gash.profile(gash.full_depth)
        good = profile.rho > profile.rho[0] + 0.3
        assert abs(profile.plus[good]).max() < 1e-3
        assert abs(profile.minus[good]).max() < 1e-3
        assert gash.root_left(gash.full_depth)[0] < 2e-3


def test_a_cutter_for_fewer_teeth_thins_tips_and_one_for_more_leaves_metal():
    few, many = (Gash(BODY, involute_form(40.0, replace(RING, z=z))) for z in (35, 55))

    assert few.profile(11.25).plus[-1] < -0.02
    assert many.profile(11.25).plus[-1] > 0.02
    # flanks of both pass through the pitch point's neighbourhood
    for one in (few, many):
        assert abs(np.interp(100.0, one.profile(11.25).rho, one.profile(11.25).plus)) < 0.02


def test_a_cutter_off_centre_moves_both_flanks_by_its_share():
    """Square to the flank the shift e counts e cos(angle of the flank to the middle of the space)."""
    e = 0.05
    true, off = (Gash(BODY, involute_form(40.0, RING), x).profile(11.25) for x in (0.0, e))
    k = int(np.argmin(abs(true.rho - 100.0)))
    lean = cos(radians(20) + pi / 80)

    assert off.plus[k] - true.plus[k] == pytest.approx(-e * lean, rel=0.02)
    assert off.minus[k] - true.minus[k] == pytest.approx(e * lean, rel=0.02)


def test_a_tenth_deeper_widens_a_v_by_twice_its_tangent():
    """On the straight pitch line the V gives 2 d tan(kappa); the round reference circle takes the secant's share."""
    kappa = radians(20)
    gash = Gash(BODY, DoubleAngle(40.0, kappa, kappa, 18.0))
    phi = gash.width(13.0) / 200
    # r(phi) = 100 cos phi, t = 100 sin phi on the V's side: d(t) = d(depth) tan k + d(r) tan k
    slope = 2 * tan(kappa) / (cos(phi) + np.sin(phi) * tan(kappa))

    assert (gash.width(13.001) - gash.width(12.999)) / 0.002 == pytest.approx(slope, rel=1e-5)


@settings(derandomize=True, deadline=None, max_examples=30)
@given(st.floats(1.0, 10.5), st.floats(0.5, 3.5))
def test_a_slot_is_as_wide_as_its_cutter_at_any_depth(depth, R):
    gash = Gash(BODY, EndMill(R))
    expected = 200 * asin(R / 100) if depth > 105 - 100 * cos(asin(R / 100)) else None

    if expected is not None and depth > 5.1:
        assert gash.width(depth) == pytest.approx(expected, abs=1e-9)
        assert Gash(BODY, Disc(30.0, 2 * R)).width(depth) == pytest.approx(expected, abs=1e-9)


def test_width_and_depth_are_each_other_s_answer():
    gash = Gash(BODY, DoubleAngle(40.0, radians(18), radians(24), 18.0), 0.2)
    for width in (3.0, 5.5, 7.0):
        depth = gash.depth_for_width(width)
        assert depth is not None
        assert gash.width(depth) == pytest.approx(width, abs=1e-7)
    assert Gash(BODY, EndMill(2.0)).depth_for_width(6.0) is None


def test_passes_take_the_same_section():
    """A slot: the same section is the same depth, but for the tip circle's rounding."""
    ends = Gash(BODY, EndMill(2.0)).passes(9.0, 3)

    assert np.diff([0, *ends]) == pytest.approx([3, 3, 3], abs=0.08)
    with pytest.raises(OutOfRange, match="passes"):
        Gash(BODY, EndMill(2.0)).passes(9.0, 0)


def test_internal_spaces_open_inwards():
    ring = RingGeometry("internal", 60, 5.0)
    gash = Gash(ToothedRing(ring, 30.0), EndMill(1.5))

    assert gash.full_depth == pytest.approx((312.5 - 290) / 2)
    assert gash.width(gash.full_depth) == pytest.approx(300 * asin(0.01), abs=1e-9)
    assert (gash.profile(gash.full_depth).plus > 0).any()


def test_helical_and_far_off_centre_are_refused():
    with pytest.raises(Refusal, match="gash_helical"):
        Gash(ToothedRing(replace(RING, beta=0.1), 30.0), EndMill(2.0))
    with pytest.raises(OutOfRange, match="e = 9"):
        Gash(BODY, EndMill(2.0), 9.0)


def test_the_answer_says_the_cutter_of_the_set():
    answer = reckon.gash({**BASE, "cutter": {"kind": "involute_form", "diameter_mm": 80}})

    assert (answer.cutter_number, answer.design_teeth) == ("3", 35)
    assert answer.worst_um > 20
    assert any("design_teeth" in n.text for n in answer.notes)
    assert len(answer.profile) == 13


def test_working_puts_the_numbers_in():
    lines = {line.symbol: line for line in reckon.gash({**BASE, "working": True}).working}

    assert lines["depth"].put_in == "(210.0000 - 187.5000) / 2"
    assert lines["e_t"].value == pytest.approx(2.5 * pi)


def test_a_refusal_from_the_cutter_is_told_at_its_field():
    bad = {"kind": "double_angle", "diameter_mm": 10, "angle_deg": 5, "angle_high_deg": 5, "width_mm": 150}
    with pytest.raises(Problems) as told:
        reckon.gash({**BASE, "cutter": bad})
    assert told.value.problems[0].code == "cutter_outline_crossed"
    assert told.value.problems[0].where.startswith("cutter")


def test_which_way_the_edges_go():
    """Frame r x t = a. On an arbor along t the lowest edge, at -r, moves along -t x -r = t x r = -a: climbing, fed
    along a. An end mill along r: its edge at +t moves along -r x t = -a, at -t along +a."""
    assert Gash(BODY, Disc(30.0, 4.0)).senses == ("climb", "climb")
    assert Gash(BODY, EndMill(2.0)).senses == ("climb", "conventional")
    inside = Gash(ToothedRing(RingGeometry("internal", 60, 5.0), 30.0), EndMill(1.5))
    assert inside.senses == ("conventional", "climb")
    assert reckon.gash(BASE).cuts == ("climb", "climb")
    said = " ".join(reckon.gash(BASE).says)
    assert "it climbs" in said


def _slot(R, low, top):
    """Section of a slot of half width R from x = low up to the circle of radius ``top`` [mm2], by its closed form."""
    return R * sqrt(top**2 - R**2) + top**2 * asin(R / top) - 2 * R * low


def test_metal_of_a_slot_in_a_blank_and_below_an_old_space():
    """End of the end mill at x = 105 - 9; the blank reaches out to 105, the bottom of the old space to 100."""
    gash = Gash(BODY, EndMill(2.0))
    blank, below = (float(gash.removed(np.array(9.0), old)) for old in (None, OldSpace(0.0, 5.0)))
    assert blank == pytest.approx(30 * _slot(2.0, 96.0, 105.0), rel=0.02)
    assert below == pytest.approx(30 * _slot(2.0, 96.0, 100.0), rel=0.02)


@pytest.mark.parametrize("lost", [-0.4, 0.4])
def test_an_old_space_differs_by_a_skin_along_the_involute(lost):
    """Length of an involute between two radii: (r2^2 - r1^2) / (2 r_b); the skin is that long and ``lost`` thick."""
    gash, r_b = Gash(BODY, involute_form(40.0, RING)), 100 * cos(radians(20))
    steps = (np.arange(1200) + 0.5) / 1200
    rho, theta = (BODY.r_form + (105.0 - BODY.r_form) * steps)[:, None], BODY.pitch * (steps - 0.5)
    cell = rho * (105.0 - BODY.r_form) / 1200 * BODY.pitch / 1200 + 0 * theta
    drawn, other = (float(cell[gash.is_metal(rho, theta, OldSpace(x))].sum()) for x in (0.0, lost))
    along = (105.0**2 - BODY.r_form**2) / (2 * r_b)
    assert drawn - other == pytest.approx(2 * lost * along, rel=0.02)


def test_a_cutter_on_its_own_space_takes_nothing_and_the_skin_where_one_stands():
    gash = Gash(BODY, involute_form(40.0, RING))
    blank, drawn, narrow = (float(gash.removed(np.array(11.25), x)) for x in (None, OldSpace(), OldSpace(-0.4)))
    assert drawn < 0.01 * blank
    skin = 30 * 0.8 * (105.0**2 - BODY.r_form**2) / (200 * cos(radians(20)))  # along the involute alone
    assert narrow - drawn > 0.97 * skin
    assert narrow < blank


def test_passes_share_what_is_there_and_begin_below_the_old_bottom():
    gash = Gash(BODY, EndMill(2.0))
    ends = gash.passes(9.0, 2, OldSpace(0.0, 5.0))
    # 4 mm of slot are left, less the rounding of the old bottom: half of it goes down to about 7
    assert ends == (pytest.approx(7.0, abs=0.08), 9.0)
    wide = reckon.gash({**BASE, "space_now": {"flanks_lost_mm": 0.2}, "passes": 2})
    assert wide.removed_mm3 == pytest.approx(sum(p.removed_mm3 for p in wide.passes))
    # 0.2 square to each flank: 2 * 0.2 / cos 20 on the reference circle
    said = next(s for s in wide.says if "wider at the reference circle" in s)
    assert float(said.split()[4]) == pytest.approx(0.4 / cos(radians(20)), abs=2e-3)
    assert "old_space_taken" in {n.code for n in wide.notes}
    assert "passes_in_solid" not in {n.code for n in wide.notes}


def test_an_old_space_deeper_than_the_cut_leaves_nothing_to_take():
    slot = {**BASE, "cutter": {"kind": "flat", "diameter_mm": 3}, "target": {"depth_mm": 4}, "passes": 3}
    air = reckon.gash({**slot, "space_now": {"depth_mm": 9}})
    assert air.removed_mm3 == 0
    assert [p.depth_mm for p in air.passes] == [4]
    assert any("5.000 mm deeper than this cut" in s for s in air.says)
    with pytest.raises(Problems) as refused:
        reckon.gash({**slot, "space_now": {}})
    assert [(p.code, p.where) for p in refused.value.problems] == [("space_now_empty", "space_now")]
