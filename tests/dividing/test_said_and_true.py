"""What a way says at the head is so: what is back after a round, how far to go back, what is not to be used."""

from __future__ import annotations

import math
import re
from fractions import Fraction as F

import pytest

from ringwright import reckon
from ringwright.dividing.detent import Space, Wedge, seat_pawl
from ringwright.gears.ring import RingGeometry
from ringwright.reckon.base import Problems
from ringwright.reckon.crank import dial_reading

PLATES = [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33], [37, 39, 41, 43, 47, 49]]
GEARS = [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100]
HEAD = {"name": "head", "ratio": 40, "circles": PLATES, "change_gears": GEARS}


def _ways(device, N, method, **more):
    return reckon.divide({"divisions": N, "device": device, "methods": [method], **more}).ways


def _said(words):
    """Holes past the first after a round, as the words have them: none where they say that the pins are back."""
    found = re.search(r"pin stands (\d+) spaces past", words)
    other = re.search(r"stop pin (\d+) past", words)
    return int(found[1]) if found else 0, int(other[1]) if other else 0


@pytest.mark.parametrize(
    ("device", "N", "method"),
    [
        (HEAD, 60, "plain"),
        ({**HEAD, "ratio": "2550/47", "circles": [[47, 94]]}, 50, "plain"),
        ({**HEAD, "ratio": "81/2"}, 30, "plain"),
        (HEAD, 57, "differential"),
        (HEAD, 127, "differential"),
        (HEAD, 123, "differential"),
        (HEAD, 99, "compound"),
        ({**HEAD, "circles": [[33, 27], [39, 21], [12, 15]]}, 91, "compound"),
        ({**HEAD, "circles": [[15, 18, 24]]}, 72, "compound"),
        ({**HEAD, "ratio": "7/3", "circles": [[20, 34]]}, 61, "plate_to_make"),
    ],
)
def test_what_is_back_after_a_round_is_reckoned_move_by_move(device, N, method):
    ways = [w for w in _ways(device, N, method) if w.exact]
    assert ways
    for way in ways:
        pin = stop = 0
        for _move in range(N):
            pin = (pin + way.move.holes) % way.move.circle
            stop = (stop + way.move.second.holes) % way.move.second.circle if way.move.second else 0
        assert _said(way.prove) == (pin, stop), way.prove
        assert "spindle" in way.prove


def test_a_plate_that_goes_round_with_the_spindle_does_not_bring_the_pin_back():
    # 57 by 35 on 49 with 40/56: 57 x 35 = 1995 spaces = 40 turns and 35 spaces on the plate
    way = next(w for w in _ways(HEAD, 57, "differential") if w.move.circle == 49)
    assert "the spindle is back, and the pin stands 35 spaces past its first hole on the 49" in way.prove


@pytest.mark.parametrize(("backlash", "turns"), [(None, 0), (60.0, 0), (16199.0, 0), (16200.0, 1), (33000.0, 2)])
def test_half_a_turn_back_is_said_only_where_it_takes_up_the_lost_motion(backlash, turns):
    # 40:1: one turn of the crank is 32400 seconds at the spindle, half a turn 16200
    answer = reckon.divide({"divisions": 60, "device": {**HEAD, "backlash_arcsec": backlash}, "methods": ["plain"]})
    said = answer.ways[0].steps_note
    assert ("back half a turn" in said) == (turns == 0)
    if turns:
        assert f"back {turns} full turn" in said
        assert turns * 32400 > backlash
    assert ("lost_motion_large" in {n.code for n in answer.notes}) == (turns > 0)


def test_damaged_holes_of_a_nose_plate_are_kept_clear_of():
    nose = {"ratio": 40, "direct_circles": [24], "damaged": [{"circle": 24, "holes": [0, 2]}]}
    way = _ways(nose, 12, "direct")[0]
    met = {(way.start_hole + m * way.move.holes) % 24 for m in range(12)}
    assert not met & {0, 2}
    assert f"begin with the pin in the hole marked {way.start_hole}" in way.steps_note
    assert _ways(nose, 24, "direct") == ()


@pytest.mark.parametrize("coarse", [{"dial": {"smallest_arcsec": 36_000.0}}, {"readout": {"counts_per_turn": 100}}])
def test_no_way_where_two_teeth_read_alike(coarse):
    device = {"ratio": 36, **coarse}
    method = "dial" if "dial" in coarse else "counts"
    assert _ways(device, 127, method) == ()
    assert len(_ways(device, 36 if method == "dial" else 100, method)) == 1


@pytest.mark.parametrize("rest", ["59.9996", "59.99949", "0.0004", "59.999"])
def test_a_reading_just_short_of_a_minute_is_carried(rest):
    reading = dial_reading((F(3599) * 60 - 60 + F(rest)) / 1_296_000)
    assert abs(reading.turns * 1_296_000 - (F(3599) * 60 - 60 + F(rest))) <= F(1, 2000)


def test_a_plate_geared_to_the_spindle_is_not_moved_by_hand():
    gears = {"spindle": 56, "worm": 24, "idlers": 2, "plate_turns": "against"}
    setting = {"ratio": 40, "turns": 0, "holes": 13, "circle": 39, "second": {"circle": 37, "holes": 2}}
    with pytest.raises(Problems) as problems:
        reckon.check_setting({**setting, "gears": gears})
    assert [(p.code, p.where) for p in problems.value.problems] == [("second_with_gears", "second")]


def test_a_setting_that_does_not_close_says_how_many_spaces_it_goes_at_a_time():
    # 16 on 47 at 40:1 is 235/2: 235 places, two at a time
    said = reckon.check_setting({"ratio": 40, "turns": 0, "holes": 16, "circle": 47}).says
    assert "It meets 235 places, 2 spaces at a time, and closes after 2 rounds." in said
    places, position = set(), F(0)
    for _move in range(235):
        places.add(position % 1)
        position += F(16, 47) / 40
    assert (len(places), position) == (235, 2)


def test_the_second_count_is_given_in_spaces_and_in_holes():
    way = _ways(HEAD, 57, "compound")[0]
    n = way.move.second.holes
    assert f"At the stop pin {n} spaces are {n + 1} holes with its own." in way.steps_note


def test_a_tooth_named_twice_is_not_said_to_be_missing():
    with pytest.raises(Problems) as problems:
        reckon.divide({"divisions": 100, "device": HEAD, "teeth": [7, 8, 7]})
    assert [(p.code, p.where) for p in problems.value.problems] == [("named_twice", "teeth[2]")]
    ring = {"kind": "external", "teeth": 40, "module_mm": 4}
    with pytest.raises(Problems) as problems:
        reckon.detent({"ring": ring, "detent": {"shape": "ball"}, "cut": [3, 3]})
    assert [(p.code, p.where) for p in problems.value.problems] == [("named_twice", "cut[1]")]


def _without_going_back(side, x):
    """Whether two circles of a side hold x with the plate going with the crank; by trying every pair of counts."""
    return any(
        F(a, one) + F(b, two) == x and a % one and b % two
        for one in side
        for two in side
        if one != two
        for a in range(1, int(x * one) + 1)
        for b in [int((x - F(a, one)) * two)]
        if b > 0
    )


def test_a_plate_is_turned_back_only_where_no_pair_goes_forward():
    back = forward = 0
    for side in (PLATES[0], PLATES[1], [12, 15, 20, 28], [33, 27, 23]):
        for N in range(50, 100):
            first = next((w for w in _ways({"ratio": 40, "circles": [side]}, N, "compound") if w.exact), None)
            if first is None:
                continue
            with_the_crank = first.move.second.holes > 0
            assert with_the_crank == _without_going_back(side, F(40, N)), (side, N)
            forward, back = forward + with_the_crank, back + (not with_the_crank)
    assert forward > 10
    assert back > 0


def test_the_plate_is_followed_where_sharing_out_is_no_better():
    # one new tooth between old ones 100 short and 100 past: 100 at both joints by the plate, 200 / 2 shared out
    old = [{"tooth": k, "um": {1: -100.0, 3: 100.0}.get(k, 0.0)} for k in range(1, 21) if k != 2]
    asked = {"divisions": 20, "device": HEAD, "radius_mm": 200, "teeth": [2], "measured": {"position_um": old}}
    ring = reckon.divide(asked).real_ring
    assert (ring.follow, ring.plate.worst_pitch_um, ring.teeth.worst_pitch_um) == ("plate", 100.0, 100.0)
    assert "no better" in ring.why
    old[1]["um"] = 60.0  # 180 / 2 with the old tooth 3 at 60 and 1 at -120: 90 shared out, 118 and more by the plate
    old[0]["um"] = -120.0
    assert reckon.divide(asked).real_ring.follow == "teeth"


def test_one_space_on_a_plate_that_goes_round_as_well():
    # 117 on 40:1, plate one turn with the crank for one of the spindle: a space of 39 is 1/39 of 1/39 of the ring
    way = next(w for w in _ways(HEAD, 117, "differential", radius_mm=200) if w.move.circle == 39)
    assert (way.gears.spindle, way.gears.worm, way.gears.plate_turns) == (24, 24, "with")
    assert way.one_space_um == pytest.approx(2 * math.pi * 200_000 / (39 * 39), rel=1e-12)


@pytest.mark.parametrize("face_deg", [18.0, 20.0, 22.0])
def test_a_pawl_and_the_flank_it_bears_on_stand_at_one_angle(face_deg):
    space = Space(RingGeometry("external", 60, 5.0))
    at = seat_pawl(space, Wedge(math.radians(face_deg)), space.ring.d_a / 2 - 7.0)
    assert (at.touches, at.on_nose) == ("flank", False)
    assert at.slope == pytest.approx(math.radians(face_deg), abs=1e-5)


@pytest.mark.parametrize(("tolerance", "said"), [(5.0, True), (1000.0, False)])
def test_that_nothing_stays_within_is_said_only_when_it_is_so(tolerance, said):
    # 17 on 54 for 127 at 317.5 mm is 916.3 um out at worst
    asked = {"divisions": 127, "device": {"ratio": 40, "circles": [[54]]}, "methods": ["plain"], "radius_mm": 317.5}
    answer = reckon.divide({**asked, "tolerance_um": tolerance})
    assert ("none_within" in {n.code for n in answer.notes}) == said
    assert answer.ways[0].within_tolerance != said
