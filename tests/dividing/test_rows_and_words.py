"""Round-sheet rows, the words of a move, and finding the tooth again."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.errors import Refusal
from ringwright.reckon.crank_rows import table_rows
from ringwright.reckon.crank_words import move_words

TABLE = {"name": "t", "ratio": 90, "circles": [[23]], "dial": {"smallest_arcsec": 60, "vernier_arcsec": 30}}
HEAD = {
    "name": "h",
    "ratio": 40,
    "circles": [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33], [37, 39, 41, 43, 47, 49]],
    "change_gears": [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100],
}


def _way(device, N, method):
    asked = {"divisions": N, "device": device, "methods": [method], "radius_mm": 300, "tolerance_um": 5000}
    return reckon.divide(asked).ways[0]


def test_words_on_a_circle():
    rows = table_rows(_way(TABLE, 115, "plain"), TABLE, 115)

    assert move_words(rows[0], rows[1]) == "No full turn, 18 spaces on the 23 circle. Come up clockwise. Lock."
    assert move_words(rows[0], rows[23]).startswith("18 full turns, the same hole of the 23 circle.")
    assert move_words(rows[5], rows[3]).startswith("Back: 1 full turn, 13 spaces on the 23 circle, and half a turn")


def test_words_of_a_dial():
    rows = table_rows(_way(TABLE, 127, "dial"), TABLE, 127)

    assert move_words(rows[56], rows[57]) == (
        "dial 1° 34′ 30″; from 2° 44′ 30″ on past zero: less than one turn; the counter then stands at 40 turns. "
        "Come up clockwise. Lock."
    )


def test_words_of_two_circles_and_of_the_teeth():
    rows = table_rows(_way(HEAD, 99, "compound"), HEAD, 99)
    assert move_words(rows[0], rows[1]) == (
        "Crank: No full turn, 6 spaces on the 33 circle. Then stop pin out, plate and crank together clockwise: "
        "No full turn, 6 spaces on the 27 circle; stop pin in. Lock."
    )
    back = move_words(rows[5], rows[2])
    assert back.count("half a turn too far and up again clockwise") == 2
    assert back.endswith("stop pin in. Lock.")
    rows = table_rows(_way(HEAD, 99, "from_teeth"), HEAD, 99)
    assert move_words(rows[3], rows[20]) == "17 teeth of the ring. Let the detent seat on both flanks. Lock."


@pytest.mark.parametrize(
    ("device", "N", "method"), [(TABLE, 115, "plain"), (HEAD, 99, "compound"), (HEAD, 127, "differential")]
)
def test_a_jump_in_one_go_is_the_sum_of_its_moves(device, N, method):
    rows = table_rows(_way(device, N, method), device, N)

    for first, last in ((0, 17), (3, 4), (40, 90)):
        step = rows[1].total
        assert rows[last].total - rows[first].total == (last - first) * step
        assert len(move_words(rows[first], rows[last])) <= 300


def test_a_way_of_another_count_makes_no_rows():
    with pytest.raises(Refusal) as refusal:
        table_rows(_way(TABLE, 115, "plain"), TABLE, 127)
    assert refusal.value.code == "way_of_another_count"


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    st.sampled_from([(TABLE, 115, "plain"), (TABLE, 127, "dial"), (HEAD, 127, "differential"), (HEAD, 99, "compound")]),
    st.integers(0, 98),
    st.integers(-9, 9),
)
def test_every_tooth_is_found_again_from_what_is_seen(setting, j, tenth):
    device, N, method = setting
    way = _way(device, N, method)
    row = table_rows(way, device, N)[j]
    seen = {"spindle_deg": row.spindle_deg + tenth * 0.03, "spindle_uncertainty_deg": 0.1}
    if row.hole is not None:
        seen["hole"] = row.hole
    if row.dial is not None:
        seen["dial"] = row.dial.model_dump()
    found = reckon.where_am_i({"divisions": N, "way": way.model_dump(mode="json"), "seen": seen})

    assert found.tooth == j + 1
    assert F(found.position_turns) == row.total


def test_a_circle_that_comes_back_is_not_guessed():
    way = _way(TABLE, 115, "plain").model_dump(mode="json")
    found = reckon.where_am_i({"divisions": 115, "way": way, "seen": {"hole": 0}})

    assert found.cannot_tell
    assert found.candidates == (1, 24, 47, 70, 93)


def test_several_spaces_at_a_time_are_recognised_when_the_count_is_made():
    movement = {"ratio": 40, "turns": 2, "circle": 39, "holes": 23, "second": {"circle": 49, "holes": 12}}
    found = reckon.check_setting({**movement, "divisions": 127})

    assert found.spaces_per_move == 9
    assert found.errors.closing_error_arcsec == pytest.approx(-16.95, abs=0.005)
    assert found.errors.error_per_tooth_arcsec == pytest.approx(-0.1335, abs=0.00005)


def test_one_hole_too_many_says_what_it_divides():
    found = reckon.check_setting({"ratio": 90, "turns": 0, "holes": 19, "circle": 23, "divisions": 115})

    assert found.divides == "2070/19"
    assert "It is not 115." in found.says


def test_the_moves_between_chosen_teeth_and_nothing_else():
    asked = {"divisions": 115, "device": TABLE, "methods": ["plain"], "table": True, "teeth": [40, 3, 20]}
    table = reckon.divide(asked).ways[0].table

    # 17 teeth on are 17 x 18/23 = 13 7/23 turns, 20 on 15 15/23
    assert [row.move for row in table] == [
        None,
        "13 full turns, 7 spaces on the 23 circle. Come up clockwise. Lock.",
        "15 full turns, 15 spaces on the 23 circle. Come up clockwise. Lock.",
    ]


def test_a_dial_with_a_vernier_and_one_in_decimals():
    # 360/127 = 2.834646 deg = 2 deg 50' 4.7", on a dial of minutes with a vernier of 10": 2 deg 50' and line 0;
    # tooth 3: 5 deg 40' 9.4" = one turn of 4 deg and 1 deg 40' 10", line 1
    vernier = {"name": "t", "ratio": 90, "dial": {"smallest_arcsec": 60, "vernier_arcsec": 10}}
    table = reckon.divide({"divisions": 127, "device": vernier, "table": True}).ways[0].table
    assert [row.reading for row in table[1:3]] == ["2° 50′ 00″ (vernier line 0)", "1° 40′ 10″ (vernier line 1)"]

    tenths = {"name": "t", "ratio": 90, "dial": {"smallest_arcsec": 3.6, "shows": "decimal"}}
    way = reckon.divide({"divisions": 127, "device": tenths, "table": True}).ways[0]
    assert [row.reading for row in way.table[1:3]] == ["2.835°", "1.669°"]
    seen = {"dial_decimal_deg": 1.669, "spindle_deg": 5.7}
    found = reckon.where_am_i({"divisions": 127, "way": way.model_dump(mode="json"), "seen": seen})
    assert (found.tooth, found.cannot_tell) == (3, False)
    rows = table_rows(way, tenths, 127)
    assert move_words(rows[1], rows[2]).startswith("dial 1.669°; from 2.835° on past zero")


def test_the_words_of_a_readout():
    device = {"name": "t", "ratio": 40, "readout": {"counts_per_turn": 192000}}
    rows = table_rows(_way(device, 127, "counts"), device, 127)
    assert move_words(rows[0], rows[1]) == "readout to 1512 (+1512). Come up clockwise. Lock."
    assert "too far back, and come up clockwise" in move_words(rows[5], rows[2])


def test_chosen_teeth_have_their_rows_only_and_their_effort():
    asked = {"divisions": 115, "device": TABLE, "methods": ["plain"], "table": True}
    all_of_them = reckon.divide(asked).ways[0]
    some = reckon.divide({**asked, "teeth": [30, 3, 58]}).ways[0]

    assert [r.tooth for r in some.table] == [3, 30, 58]
    assert some.effort.moves == 3
    assert some.effort.seconds < all_of_them.effort.seconds
