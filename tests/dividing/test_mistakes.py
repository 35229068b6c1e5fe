"""The slips that have cost rings: each one is met by something the answer says, refuses or makes impossible."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from ringwright import reckon
from ringwright.dividing.settings import assert_closes
from ringwright.reckon.base import Problems
from ringwright.reckon.crank_rows import table_rows
from ringwright.reckon.crank_words import move_words

PLATES = [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33], [37, 39, 41, 43, 47, 49]]
GEARS = [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100]
HEAD = {"name": "head", "ratio": 40, "circles": PLATES, "change_gears": GEARS}
TABLE = {"name": "table", "ratio": 90, "circles": [[23]], "dial": {"smallest_arcsec": 60, "vernier_arcsec": 10}}


def _way(device, N, method, **more):
    asked = {"divisions": N, "device": device, "methods": [method], "radius_mm": 300, "tolerance_um": 5000, **more}
    return reckon.divide(asked).ways[0]


def _check(**setting):
    return reckon.check_setting(setting)


def test_a_row_that_needs_gears_read_as_plain_indexing():
    # a chart lists 22 on 33 for 57; without its gears that is 60 (thread "Gear help needed", 2020)
    found = _check(ratio=40, turns=0, holes=22, circle=33, divisions=57)
    assert (found.divides, "It is not 57." in found.says) == ("60", True)
    geared = _way({**HEAD, "circles": [[33]], "change_gears": [48, 24, 32]}, 57, "differential")
    assert "without gears 60, not 57" in geared.steps_note


def test_the_nearest_setting_used_on_purpose():
    # 10 on 18 was sold for 73 and divides 72
    assert _check(ratio=40, turns=0, holes=10, circle=18, divisions=73).divides == "72"
    ways = reckon.divide({"divisions": 73, "device": {**HEAD, "circles": [[18]]}, "methods": ["plain"]}).ways
    assert ways == ()


def test_a_compound_row_taken_as_one_tooth_per_move():
    # a printed row for 106 is 1 turn, 7 on 39 and 29 on 41: five teeth at a time
    row = {"ratio": 40, "turns": 1, "holes": 7, "circle": 39, "second": {"circle": 41, "holes": 29}}
    found = _check(**row, divisions=106)
    assert found.spaces_per_move == 5
    near = _way({**HEAD, "circles": [PLATES[2]]}, 127, "compound", tolerance_um=50)
    assert near.spaces_per_move > 1
    assert f"One move goes {near.spaces_per_move} teeth on" in near.steps_note


def test_wrong_degrees_per_turn():
    # 4 turns of a 90:1 table are 16 degrees, not 88
    rows = table_rows(_way(TABLE, 115, "plain"), TABLE, 115)
    row = next(r for r in rows if r.turns_total == "18")
    assert row.spindle_deg == pytest.approx(18 * 4)


def test_a_wrong_ratio_assumed():
    found = _check(ratio=40, turns=0, holes=18, circle=23, divisions=115)  # made for 90:1
    assert found.divides == "460/9"
    with pytest.raises(AssertionError):
        assert_closes(F(40), 115, F(18, 23), F(0))


def test_a_supplied_table_that_is_wrong():
    # 9 turns + 54 on 66 was printed where 0 turns + 54 is meant (60:1): both are recomputed, neither is 66 parts of it
    assert (
        _check(ratio=60, turns=9, holes=54, circle=66).divides != _check(ratio=60, turns=0, holes=54, circle=66).divides
    )


def test_holes_counted_instead_of_spaces():
    way = _way(TABLE, 115, "plain")
    assert (way.arms.spaces, way.arms.holes) == (18, 19)
    assert "Arms: 18 spaces, that is 19 holes with the pin's own." in way.steps_note
    assert _check(ratio=90, turns=0, holes=19, circle=23, divisions=115).divides == "2070/19"


def test_the_step_angle_rounded_and_added():
    # 22 steps of 16.4 degrees overrun by 0.8 degrees (read); from the list none is off by more than half a mark
    tenth = {"name": "t", "ratio": 90, "dial": {"smallest_arcsec": 360}}
    way = _way(tenth, 22, "dial", table=True)
    assert all(abs(r.spindle_deg - (r.tooth - 1) * 360 / 22) <= 0.05 + 1e-9 for r in way.table)
    assert way.closing_error_arcsec == 0
    assert "never add the step" in way.steps_note


def test_a_rounding_mix_that_does_not_close():
    # 84 x 1512 + 42 x 1510 + 1512 is 191940 of 192000 pulses (read)
    way = _way({"name": "t", "ratio": 40, "readout": {"counts_per_turn": 192000}}, 127, "counts", table=True)
    steps = [b.counts - a.counts for a, b in zip(way.table, way.table[1:], strict=False)]
    steps.append(192000 - way.table[-1].counts)
    assert (sum(steps), set(steps), steps.count(1512)) == (192000, {1511, 1512}, 103)


def test_no_overshoot_recovery_and_mixed_direction():
    for method in ("plain", "differential", "dial"):
        device, N = (HEAD, 127) if method == "differential" else (TABLE, 115)
        way = _way(device, N, method)
        assert "Gone too far: back half a turn" in way.steps_note
        rows = table_rows(way, device, N)
        for a, b in ((4, 5), (5, 4), (3, 40)):
            assert "ome up clockwise" in move_words(rows[a], rows[b])


def test_cutting_with_the_spindle_unlocked():
    for method, device, N in (("plain", TABLE, 115), ("differential", HEAD, 127), ("from_teeth", HEAD, 127)):
        way = _way(device, N, method)
        assert way.steps_note.index("unlock") < way.steps_note.index("Lock. Cut.")
        rows = table_rows(way, device, N)
        assert move_words(rows[0], rows[1]).endswith("Lock.")


def test_the_last_two_teeth_too_close():
    way = _way({**HEAD, "circles": [[54]]}, 127, "plain")
    assert way.closing_error_arcsec == pytest.approx(-600)
    assert "Go round dry with a scriber" in way.prove
    assert "600″ short of the first line" in way.prove
    for method in ("dial", "plain", "compound", "differential"):
        assert "dry" in _way(TABLE if method == "dial" else HEAD, 115 if method == "plain" else 99, method).prove


def test_the_order_of_two_moves_changed_midway():
    way = _way(HEAD, 99, "compound")
    assert "Keep this order." in way.steps_note
    rows = table_rows(way, HEAD, 99)
    for a, b in ((0, 1), (7, 3), (3, 60)):
        words = move_words(rows[a], rows[b])
        assert words.index("Crank") < words.index("Then stop pin out")
        assert ("too far and up again" in words) == (b < a)


def test_the_stop_pin_left_in_or_out():
    assert "Stop pin in." in _way(TABLE, 115, "plain").steps_note
    assert "Stop pin out." in _way(HEAD, 127, "differential").steps_note
    compound = _way(HEAD, 99, "compound").steps_note
    assert compound.index("Stop pin in.") < compound.index("stop pin out") < compound.index("stop pin in.")


def test_idlers_or_the_order_of_gears_wrong():
    # with A = 60 and 57 wanted the wrong sense makes 63
    way = _way({**HEAD, "circles": [[33]], "change_gears": [48, 24, 32]}, 57, "differential")
    assert "Turning the other way it would divide 63" in way.steps_note
    gears = {"spindle": 48, "worm": 24, "idlers": 2, "plate_turns": "with"}
    found = _check(ratio=40, turns=0, holes=22, circle=33, gears=gears)
    assert "idlers_disagree" in {n.code for n in found.notes}
    compound = _way({"name": "h", "ratio": 40, "circles": [[20]], "change_gears": [32, 56, 28, 40]}, 99, "differential")
    assert "on the spindle meshes with" in compound.steps_note
    assert "on the same stud drives" in compound.steps_note


def test_the_count_lost_after_an_interruption():
    way = _way(TABLE, 115, "plain")
    row = table_rows(way, TABLE, 115)[57]
    asked = {"divisions": 115, "way": way.model_dump(mode="json")}
    seen = {"hole": row.hole, "spindle_deg": round(row.spindle_deg, 1)}
    assert reckon.where_am_i({**asked, "seen": seen}).tooth == 58
    assert reckon.where_am_i({**asked, "seen": {"hole": row.hole}}).cannot_tell
    # the same hole every 23 teeth, a fifth of the circle: 36 degrees either way are enough to tell them apart
    assert (way.hole_comes_back_after, way.place_sure_within_deg) == (23, 36)
    # 13 on 39 comes back every third tooth; 127 = 3 x 42 + 1, so teeth 127 and 1 have the same hole, 360/127 apart
    geared = _way({**HEAD, "circles": [[39]]}, 127, "differential")
    assert geared.hole_comes_back_after == 3
    assert geared.place_sure_within_deg == pytest.approx(180 / 127)


def test_the_pin_slid_to_another_hole():
    way = _way(TABLE, 115, "plain")
    rows = table_rows(way, TABLE, 115)
    seen = {"hole": (rows[9].hole + 1) % 23, "spindle_deg": rows[9].spindle_deg, "spindle_uncertainty_deg": 0.03}
    found = reckon.where_am_i({"divisions": 115, "way": way.model_dump(mode="json"), "seen": seen})
    assert (found.tooth, found.cannot_tell) == (None, True)


def test_a_prime_believed_to_be_the_reason():
    # 57 is 3 x 19; it fails since no circle here is a multiple of 57
    ways = reckon.divide({"divisions": 57, "device": {**HEAD, "circles": PLATES}, "methods": ["plate_to_make"]}).ways
    assert "57 goes into none of the circles here" in ways[0].why
    assert "prime" not in ways[0].why


def test_two_circles_of_different_sides():
    sides = [[27, 31], [33, 37]]
    ways = reckon.divide({"divisions": 99, "device": {**HEAD, "circles": sides}, "methods": ["compound"]}).ways
    assert ways
    for way in ways:
        assert not way.exact
        assert any({way.move.circle, way.move.second.circle} <= set(side) for side in sides)
        assert {way.move.circle, way.move.second.circle} <= set(sides[way.plate_side - 1])


def test_the_worm_put_back_one_tooth_off():
    way = _way({**HEAD, "direct_circles": [24]}, 12, "direct")
    assert "one tooth off" in way.risk
    assert "Worm out of mesh" in way.steps_note


def test_every_way_has_its_words():
    asked = {"divisions": 127, "devices": [HEAD, TABLE, {**TABLE, "readout": {"counts_per_turn": 3600}}]}
    methods = ["plain", "compound", "differential", "dial", "counts", "step_over", "from_teeth", "plate_to_make"]
    ways = reckon.divide({**asked, "methods": methods, "radius_mm": 300}).ways
    assert {w.method for w in ways} == set(methods)
    for way in ways:
        assert all((way.why, way.ranks, way.steps_note, way.prove, way.risk)), way.method


def test_a_way_sent_back_whole_is_taken():
    methods = ["plain", "compound", "differential", "dial", "counts", "step_over", "plate_to_make"]
    device = {**HEAD, "dial": {"smallest_arcsec": 30}, "readout": {"counts_per_turn": 4096, "on": "crank"}}
    for way in reckon.divide({"divisions": 127, "device": device, "methods": methods, "table": True}).ways:
        row = way.table[40]
        seen = {"spindle_deg": row.spindle_deg}
        if way.method == "counts":
            seen["counts"] = row.counts
        found = reckon.where_am_i({"divisions": 127, "way": way.model_dump(mode="json"), "seen": seen})
        assert found.tooth == 41, way.method


@pytest.mark.parametrize("seen", [{"counts": 5}, {"dial_decimal_deg": 1.2}])
def test_what_cannot_be_read_on_this_way(seen):
    way = _way(TABLE, 115, "plain").model_dump(mode="json")
    with pytest.raises(Problems) as problems:
        reckon.where_am_i({"divisions": 115, "way": way, "seen": seen})
    assert problems.value.problems[0].code == "not_on_this_way"
    assert problems.value.problems[0].where == f"seen.{next(iter(seen))}"
