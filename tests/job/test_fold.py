"""The fold: what the screen shows after each thing that can happen at the machine."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.job import fold as folding
from ringwright.job.events import KINDS, Logged
from ringwright.job.fold import fold, transitions

TESTS = Path(__file__).parents[1]
MAKER = runpy.run_path(str(Path(__file__).with_name("fold_vectors.py")))


# -- the way through ------------------------------------------------------------------------------------------------


def test_the_first_tooth_is_measured_before_the_rest_is_released(rounds):
    r = rounds.Round()
    r.press("dry_run_closed", closes=True)
    assert (r.state.phase, r.state.next_tooth) == ("first_tooth", 1)

    r.press("done", 2)
    assert r.state.set_aside[-1].why == "is_first"
    r.press("first_measured", within=True)
    assert r.state.set_aside[-1].why == "first_done"

    r.press("done", 1)
    r.press("first_measured", within=False)
    assert r.state.phase == "first_tooth"

    r.press("first_measured", within=True)
    assert (r.state.phase, r.state.next_tooth, r.state.left) == ("cutting", 2, 5)


def test_a_dry_run_that_does_not_close_starts_again(rounds):
    r = rounds.Round()
    for tooth in (1, 2, 3):
        r.press("scribed", tooth)
    assert (r.state.scribed, r.state.next_tooth, r.state.at_tooth) == (3, 4, 3)

    r.press("dry_run_closed", closes=False)
    assert (r.state.phase, r.state.scribed, r.state.at_tooth) == ("dry_run", 0, 1)


def test_a_whole_round_from_start_to_signed_off(rounds):
    r = rounds.Round().begin().done(2, 3)
    r.press("witness", spindle_deg=r.degrees(3))
    r.done(4, 5, 6)
    assert (r.state.phase, r.state.left) == ("witness", 0)
    r.press("witness", spindle_deg=r.degrees(6))
    assert r.state.phase == "closing"
    r.press("finished")
    assert (r.state.phase, r.state.set_aside[-1].why) == ("closing", "closed")

    r.press("closing", falls_in_first=True, spindle_deg=0, hole=0)
    r.press("finished")

    assert (r.state.phase, r.state.closed, r.state.next_tooth) == ("finished", True, None)


def test_trouble_comes_round_again_and_skipped_does_not(rounds):
    r = rounds.Round(rounds.sheet_of(every=50)).begin()
    r.press("trouble", 2, reason="hard spot")
    r.press("skipped", 3)
    r.done(4, 5)
    assert (r.state.next_tooth, r.state.left_teeth) == (6, (2, 6))
    r.done(6)
    assert (r.state.phase, r.state.next_tooth) == ("cutting", 2)
    r.done(2)
    assert r.state.phase == "closing"


def test_chosen_teeth_in_two_laps_go_in_the_sheets_order(rounds):
    r = rounds.Round(rounds.sheet_of((2, 5, 9, 4, 7), every=50)).begin()
    went = []
    while (tooth := r.state.next_tooth) is not None:
        went.append(tooth)
        r.done(tooth)
    assert went == [5, 9, 4, 7]
    r.press("done", 3)
    assert r.state.set_aside[-1].why == "known_tooth"


# -- undo -----------------------------------------------------------------------------------------------------------


def test_undo_takes_back_the_latest_mark_of_the_tooth(rounds):
    r = rounds.Round(rounds.sheet_of(every=50)).begin()
    r.press("trouble", 2)
    r.press("done", 2)
    r.press("undone", 2)
    assert r.state.marks[-1].mark == "trouble"
    r.press("undone", 2)
    assert [m.tooth for m in r.state.marks] == [1]
    assert r.state.next_tooth == 2


def test_an_undo_that_comes_before_its_mark_still_takes_it_back(rounds):
    r = rounds.Round(rounds.sheet_of(every=50)).begin()
    r.press("undone", 2, station="desk", undoes="late-event")
    r.press("done", 2, event_id="late-event")
    assert r.state.left == 5


def test_undo_after_the_close_opens_the_round_again(rounds):
    r = rounds.Round(rounds.sheet_of((1, 2), every=50)).begin().done(2)
    r.press("closing", falls_in_first=True)
    r.press("finished")
    r.press("undone", 2)
    assert (r.state.phase, r.state.closed, r.state.next_tooth) == ("cutting", False, 2)


# -- witnesses: the log counts presses, not teeth -------------------------------------------------------------------


def test_a_space_indexed_but_not_pressed_is_caught_and_bounded(rounds):
    r = rounds.Round().begin().done(2, 3)
    assert r.state.phase == "witness"

    r.press("witness", spindle_deg=r.degrees(4))  # the ring stands at 4

    slip = r.state.slips[0]
    assert (slip.at_tooth, slip.stands_at, slip.teeth, slip.settled) == (3, 4, (1, 2, 3), False)
    assert r.state.phase == "witness"
    r.done(4)
    r.press("witness", spindle_deg=r.degrees(4))
    assert (r.state.phase, r.state.slips[0].settled, r.state.next_tooth) == ("cutting", True, 5)


def test_a_press_that_was_no_tooth_is_caught_and_undone(rounds):
    r = rounds.Round().begin().done(2, 3)  # the switch bounced: the ring stands at 2
    r.press("witness", spindle_deg=r.degrees(2))
    assert r.state.slips[0].stands_at == 2

    r.press("undone", 3, stood_at=2)
    r.press("witness", spindle_deg=r.degrees(2) + 0.1)

    assert (r.state.phase, r.state.next_tooth, r.state.at_tooth) == ("cutting", 3, 2)


def test_with_a_dial_the_painted_number_is_the_witness_and_degrees_are_none(rounds):
    r = rounds.Round(rounds.sheet_of(kind="painted")).begin().done(2, 3)
    r.press("witness", spindle_deg=r.degrees(3))
    assert (r.state.phase, r.state.set_aside[-1].why) == ("witness", "readable")
    r.press("witness", painted=4)
    assert r.state.slips[0].stands_at == 4
    r.press("witness", painted=3)
    assert r.state.phase == "cutting"


@pytest.mark.parametrize(("read", "agrees"), [(359.9, True), (0.1, True), (7.4, True), (7.6, False), (352.4, False)])
def test_degrees_agree_across_nought_within_a_quarter_pitch(rounds, read, agrees):
    r = rounds.Round().begin()
    r.press("witness", spindle_deg=read)
    assert (r.state.slips == ()) is agrees


# -- pause, paper, too soon ------------------------------------------------------------------------------------------


def test_a_pause_is_left_only_with_every_recheck_and_then_by_a_witness(rounds):
    r = rounds.Round(rounds.sheet_of(rechecks=("tram", "touch_off"))).begin().done(2)
    r.press("paused", reason="urgent shaft")
    assert (r.state.phase, r.state.pause_reason, r.state.left_teeth) == ("paused", "urgent shaft", (3, 4, 5, 6))
    r.press("resumed", checked=["tram"])
    assert (r.state.phase, r.state.set_aside[-1].why) == ("paused", "checked")

    r.press("resumed", checked=["touch_off", "tram"])
    assert r.state.phase == "witness"
    r.press("witness", spindle_deg=r.degrees(2))
    assert (r.state.phase, r.state.next_tooth) == ("cutting", 3)


@pytest.mark.parametrize(("before", "after"), [("dry_run", "dry_run"), ("first_tooth", "first_tooth")])
def test_a_pause_goes_back_to_where_it_came_from(rounds, before, after):
    r = rounds.Round()
    if before == "first_tooth":
        r.press("dry_run_closed", closes=True)
    r.press("paused", reason="lunch")
    r.press("resumed", checked=[])
    r.press("witness", spindle_deg=0)
    assert r.state.phase == after


def test_teeth_done_on_paper_are_one_event_held_against_degrees_and_hole(rounds):
    r = rounds.Round(rounds.sheet_of(every=3)).begin()
    r.press("paper_teeth", 2, from_=2, to=4, by="R.", last_hole=1, degrees=90.0)  # tooth 4: hole 21 mod 20, 90 degrees
    assert (r.state.phase, r.state.next_tooth, [m.paper for m in r.state.marks]) == ("cutting", 5, [False] + [True] * 3)


@pytest.mark.parametrize("last", [{"last_hole": 2, "degrees": 90}, {"last_hole": 1, "degrees": 60}])
def test_paper_that_does_not_agree_is_a_slip(rounds, last):
    r = rounds.Round().begin()
    r.press("paper_teeth", 2, from_=2, to=4, **last)
    assert (r.state.phase, r.state.slips[0].teeth) == ("witness", (1, 2, 3, 4))


def test_paper_without_a_reading_asks_for_one(rounds):
    r = rounds.Round().begin()
    r.press("paper_teeth", 2, from_=2, to=3)
    assert (r.state.phase, r.state.slips) == ("witness", ())
    r.press("paper_teeth", 2, from_=5, to=4)
    assert r.state.set_aside[-1].why == "good_run"


def test_a_press_too_soon_is_kept_and_does_not_advance(rounds):
    r = rounds.Round().begin()
    before = r.state
    r.press("too_soon", 2, after_s=0.3)
    after = r.state
    assert (after.too_soon, after.next_tooth, after.left) == (1, before.next_tooth, before.left)


def test_a_close_that_misses_the_first_space_is_a_slip(rounds):
    r = rounds.Round(rounds.sheet_of((1, 2), every=50)).begin().done(2)
    r.press("closing", falls_in_first=True, hole=1)
    assert (r.state.phase, r.state.slips[0].teeth, r.state.closed) == ("witness", (1, 2), False)


# -- two stations ---------------------------------------------------------------------------------------------------


def test_contrary_marks_of_stations_that_did_not_know_of_each_other_are_contested(rounds):
    r = rounds.Round(rounds.sheet_of(every=50)).begin()
    seen = len(r.log)
    r.press("done", 2, station="mill", seen_seq=seen)
    r.press("trouble", 2, station="tablet", seen_seq=seen)
    assert r.state.contested == (2,)
    assert 2 in r.state.left_teeth

    r.press("done", 2, station="tablet", seen_seq=len(r.log))
    assert (r.state.contested, r.state.left) == ((), 4)


def test_a_change_of_mind_that_knew_is_not_contested(rounds):
    r = rounds.Round(rounds.sheet_of(every=50)).begin()
    r.press("done", 2, station="mill", seen_seq=4)
    r.press("trouble", 2, station="tablet", seen_seq=5)
    assert (r.state.contested, r.state.marks[-1].mark) == ((), "trouble")


def test_a_contested_tooth_keeps_the_round_from_being_finished(rounds):
    r = rounds.Round(rounds.sheet_of((1, 2), every=50)).begin()
    r.press("done", 2, seen_seq=4)
    r.press("closing", falls_in_first=True)
    r.press("skipped", 2, station="tablet", seen_seq=4)
    r.press("finished")
    assert (r.state.phase, r.state.contested) == ("cutting", (2,))


def test_marks_made_under_another_revision_are_named(rounds):
    r = rounds.Round(rounds.sheet_of(every=50)).begin().done(2)
    assert fold(rounds.sheet_of(every=49, revision=2), r.log).other_plan == (1, 2)


# -- laws -----------------------------------------------------------------------------------------------------------


def test_the_table_names_only_what_stands_and_uses_all_of_it():
    table = transitions()
    rules = [rule for kinds in table["table"].values() for of_kind in kinds.values() for rule in of_kind]
    assert {g for rule in rules for g in rule["when"]} == set(table["guards"]) == set(folding.GUARDS)
    assert {a for rule in rules for a in rule["do"]} == set(table["actions"]) == set(folding.ACTIONS)
    assert {rule["to"] for rule in rules} <= {"same", "settle", *table["phases"]}
    assert {kind for kinds in table["table"].values() for kind in kinds} == set(KINDS)
    assert set(table["table"]) == {"*", *table["phases"]}
    assert {step["if"] for step in table["settle"]} == set(folding.SETTLING)


@given(st.integers(0, 10**9))
@settings(derandomize=True, deadline=None, max_examples=150)
def test_laws_of_any_log(seed):
    """No event trips the fold; what stands is whole: marks, left and contested agree."""
    sheet, log = MAKER["some_round"](seed)
    state = fold(sheet, log)

    settled = {m.tooth for m in state.marks if m.mark != "trouble"} - set(state.contested)
    assert settled.isdisjoint(state.left_teeth)
    assert settled | set(state.left_teeth) == set(sheet.order)
    assert state.left == len(state.left_teeth)
    assert state.phase != "finished" or (state.left == 0 and state.closed)
    assert state.at_tooth in sheet.order
    assert state.next_tooth is None or state.next_tooth in sheet.order
    assert fold(sheet, reversed(log)) == state, "seq is the only order"
    assert {a.seq for a in state.set_aside} <= {one.seq for one in log}


@given(st.integers(0, 10**9), st.integers(0, 60))
@settings(derandomize=True, deadline=None, max_examples=100)
def test_an_act_and_its_undoing_leave_no_mark(seed, cut):
    sheet, log = MAKER["some_round"](seed)
    log = log[:cut]
    before = fold(sheet, log)
    n = len(log)
    tooth = sheet.order[-1]
    act = MAKER["event_of"](sheet, n + 1, "done", tooth, seen_seq=n)
    back = MAKER["event_of"](sheet, n + 2, "undone", tooth, undoes=act.event_id)

    after = fold(sheet, [*log, Logged(seq=n + 1, event=act), Logged(seq=n + 2, event=back)])

    assert after.marks == before.marks
    assert after.left_teeth == before.left_teeth
    assert after.contested == before.contested


def test_the_browsers_vectors_are_what_the_fold_says_today():
    """The file is for the browser's fold; it is written anew by ``python tests/job/fold_vectors.py``."""
    vectors = json.loads((TESTS / "fold_vectors.json").read_text("utf-8"))
    assert len(vectors) >= 40
    assert {v["state"]["phase"] for v in vectors} == set(transitions()["phases"])
    for vector in vectors:
        sheet, log = MAKER["read_vector"](vector)
        assert json.loads(fold(sheet, log).model_dump_json()) == vector["state"], vector["name"]


IDLE = {"measured", "pass"}  # actions that only say that the event counts


@pytest.mark.parametrize(
    ("part", "name"),
    [("GUARDS", g) for g in folding.GUARDS] + [("ACTIONS", a) for a in folding.ACTIONS if a not in IDLE],
)
def test_the_vectors_see_a_fault_planted_in_each_guard_and_action(monkeypatch, part, name):
    vectors = json.loads((TESTS / "fold_vectors.json").read_text("utf-8"))
    right = getattr(folding, part)
    wrong = (lambda f: not right[name](f)) if part == "GUARDS" else (lambda f: None)
    monkeypatch.setattr(folding, part, {**right, name: wrong})

    assert any(_differs(vector) for vector in vectors)


def _differs(vector):
    try:
        return json.loads(fold(*MAKER["read_vector"](vector)).model_dump_json()) != vector["state"]
    except (AssertionError, KeyError, IndexError):
        return True
