"""The ways judged: what closes each, and the laws that hold whatever the map says."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange
from ringwright.repair.butting import chance_of_butting
from ringwright.repair.heat import preheat
from ringwright.repair.judging import WELD_CAUTIONS, Situation, judge
from ringwright.repair.teeth import DamagedTooth, left_of_tooth
from ringwright.repair.times import WAYS, elements, hours
from ringwright.strength.left import Range

PLAIN = Situation(
    N=127, m_n=5, p=15.708, b=60, helical=False, teeth=(DamagedTooth(1, lost_entry=4),), looked=True, holds=False,
    land_now=6, land_after=0.3, land_pinion=7.85, lead=3, turns=True, turns_better=True, stops_teeth=(30, 31, 32),
    turns_over=True, preheat=preheat(0.35, None),
)  # fmt: skip


def ways(**changed):
    return {w.way: w for w in judge(replace(PLAIN, **changed))}


def test_all_are_open_when_nothing_stands_against_them():
    assert all(w.open for w in ways().values())
    assert tuple(ways()) == WAYS


@pytest.mark.parametrize(
    ("changed", "way", "code"),
    [
        ({"teeth": (DamagedTooth(1, cracked=True),)}, "dress_and_lead_in", "cracked"),
        ({"teeth": (DamagedTooth(1, missing=True),)}, "reclock", "missing"),
        ({"teeth": (DamagedTooth(1, lost_far=18.1),)}, "dress_and_lead_in", "face_lost"),
        ({"teeth": (DamagedTooth(1, lost_far=30.1),), "helical": True}, "dress_and_lead_in", "face_lost"),
        ({"turns": False}, "reclock", "seat_fixed"),
        ({"turns_better": None}, "reclock", "seat_or_stops_unknown"),
        ({"turns_better": False}, "reclock", "no_better_place"),
        ({"turns_over": None}, "turn_over", "turning_over_unknown"),
        ({"turns_over": False}, "turn_over", "seat_one_way"),
        ({"teeth": (DamagedTooth(1, lost_entry=2, lost_far=2),)}, "turn_over", "nothing_gained"),
        ({"teeth": ()}, "weld_and_recut", "nothing_to_weld"),
        ({"weldable": False}, "weld_and_recut", "not_weldable"),
        ({"cast_iron": True}, "weld_and_recut", "cast_iron"),
        ({"preheat": None}, "weld_and_recut", "carbon_unknown"),
        ({"preheat": preheat(0.7, 180.0)}, "weld_and_recut", "preheat_crosses"),
        ({"holds": True}, "weld_and_recut", "duty"),
    ],
)
def test_what_closes_a_way(changed, way, code):
    assert ways(**changed)[way].closed_by == (code,)
    assert ways(**changed)["new_ring"].open


@pytest.mark.parametrize("lost", [18.0, 29.0])
def test_just_inside_the_limits_a_tooth_runs_on(lost):
    assert ways(teeth=(DamagedTooth(1, lost_entry=lost),), helical=lost > 18)["dress_and_lead_in"].open


def test_without_a_look_for_cracks_no_strength_is_said():
    unlooked = ways(looked=False)

    assert all(unlooked[w].strength is None and unlooked[w].look_first for w in WAYS if w != "new_ring")
    assert unlooked["new_ring"].strength == Range(1, 1)


def test_a_welded_tooth_has_no_figure_and_all_the_cautions():
    weld = ways()["weld_and_recut"]

    assert weld.strength is None
    assert set(WELD_CAUTIONS) <= set(weld.cautions)
    assert "second_crack_test" in weld.needs


def test_a_tooth_welded_before_has_no_lower_bound():
    assert left_of_tooth(DamagedTooth(1, weld=True), 5, 60, 3).low == 0
    assert left_of_tooth(DamagedTooth(1, measured=False), 5, 60, 3).low == 0
    assert left_of_tooth(DamagedTooth(1, lost_entry=3), 5, None, 3).low == 0
    assert left_of_tooth(DamagedTooth(1, missing=True), 5, 60, 3) == Range(0, 0)


def test_turning_over_carries_the_damage_to_the_far_end():
    over = ways(teeth=(DamagedTooth(1, lost_entry=7, lost_far=1),))["turn_over"].strength
    swapped = ways(teeth=(DamagedTooth(1, lost_entry=1, lost_far=7),))["dress_and_lead_in"].strength

    assert over == swapped
    assert ways(teeth=(DamagedTooth(1, gone=0.5),), one_flank=True)["turn_over"].open


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.floats(0, 30), st.floats(0, 30), st.floats(0, 8), st.floats(0, 20))
def test_another_damaged_tooth_never_makes_the_ring_stronger(entry, far, gone, lead):
    one = ways(lead=lead)["dress_and_lead_in"].strength
    two = ways(lead=lead, teeth=(*PLAIN.teeth, DamagedTooth(9, entry, far, gone)))["dress_and_lead_in"].strength

    assert two.low <= one.low + 1e-12
    assert two.high <= one.high + 1e-12


def test_butting_against_dropped_pinions():
    rng = np.random.default_rng(8)
    at = rng.random(40_000) * 16  # offset of the pinion's land centre from the ring's
    butts = np.minimum(at, 16 - at) < (3 + 2) / 2

    assert chance_of_butting(3, 2, 16) == pytest.approx(butts.mean(), abs=0.01)
    assert chance_of_butting(12, 8, 16) == 1
    assert chance_of_butting(0, 0, 16) == 0
    with pytest.raises(OutOfRange, match="land_ring"):
        chance_of_butting(17, 1, 16)


def test_halving_both_lands_halves_the_chance():
    assert chance_of_butting(1, 2, 16) == chance_of_butting(2, 4, 16) / 2


def test_hours_without_doubt_add_up_exactly():
    own = dict.fromkeys(elements(), (10.0, 10.0))
    # strip, set up, prove once; dressing 5 times, lead-in 127 times
    assert hours("dress_and_lead_in", 127, 5, own).quantile(0.8) == pytest.approx((3 + 5 + 127) / 6)


@pytest.mark.parametrize("way", WAYS)
def test_doubt_makes_the_eightieth_later_and_damage_costs_time(way):
    few, many = hours(way, 127, 2), hours(way, 127, 40)

    assert few.quantile(0.8) > few.quantile(0.5) > 0
    assert many.mean > few.mean or way == "new_ring"
