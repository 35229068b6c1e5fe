"""Events: plain, small, of a known version, and never able to trip the fold."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from ringwright.job.events import KINDS, Event, Logged, read_event
from ringwright.job.fold import fold

GIVEN = {
    "v": 1,
    "event_id": "0123-abcd",
    "job_id": "job",
    "round_id": "r1",
    "sheet_digest": "0" * 64,
    "station": "mill",
    "station_seq": 1,
    "at": "2026-11-25T08:00:00+01:00",
    "kind": "done",
    "tooth": 31,
    "data": {"seen_seq": 4, "by": "R."},
}


def test_an_event_goes_through_json_unchanged():
    event = read_event(GIVEN)
    assert read_event(json.loads(event.model_dump_json())) == event
    assert event.model_dump(mode="json") == GIVEN


@pytest.mark.parametrize("version", [2, 0, "1", None, True])
def test_a_version_that_is_not_known_is_refused_not_guessed(version):
    with pytest.raises(ValueError, match="version"):
        read_event({**GIVEN, "v": version})


def test_an_old_version_is_brought_up_to_date_step_by_step(monkeypatch):
    """As it will be when version 2 renames a kind: the step runs on reading, the kept event stays as it is."""
    from ringwright.job import events

    def step(old):
        return {**old, "v": 1, "kind": {"finish": "finished"}.get(old["kind"], old["kind"])}

    monkeypatch.setattr(events, "UPCASTS", (step,))
    kept = {**GIVEN, "kind": "finish"}
    assert read_event(kept).kind == "finished"
    assert kept["kind"] == "finish"


@pytest.mark.parametrize(
    "fault",
    [
        {"kind": "thought"},
        {"tooth": 0},
        {"tooth": 1001},
        {"event_id": "short"},
        {"event_id": "with space in it"},
        {"sheet_digest": "0" * 63},
        {"station_seq": 0},
        {"extra": 1},
        {"data": {"deep": {"er": 1}}},
        {"data": {"big": 2**53 + 2}},
        {"data": {"inf": float("inf")}},
        {"data": {"nan": [float("nan")]}},
        {"data": {"text": "x" * 4000}},
        {"data": {str(n): n for n in range(41)}},
    ],
    ids=lambda fault: next(iter(fault)),
)
def test_faulty_events_are_refused(fault):
    with pytest.raises(ValidationError):
        Event.model_validate({**GIVEN, **fault})


WORDS = ["seen_seq", "undoes", "stood_at", "spindle_deg", "painted", "checked", "from", "to", "last_hole", "degrees"]
WORDS += ["hole", "falls_in_first", "closes", "within", "reason"]
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(2**53), 2**53),
    st.sampled_from([1, 2, 3, 30.0, 60.0, 1.5, 1e308, -1e308]),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=8),
)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(KINDS),
            st.one_of(st.none(), st.integers(1, 8)),
            st.dictionaries(st.sampled_from(WORDS), st.one_of(SCALARS, st.lists(SCALARS, max_size=3)), max_size=5),
        ),
        max_size=25,
    ),
    st.sampled_from(["spindle_deg", "painted"]),
)
@settings(derandomize=True, deadline=None, max_examples=300)
def test_no_event_that_is_let_in_trips_the_fold(rounds, acts, kind):
    r = rounds.Round(rounds.sheet_of(kind=kind)).begin()
    n = len(r.log)
    for i, (kind_of_act, tooth, data) in enumerate(acts, n + 1):
        event = Event.model_validate(
            {**GIVEN, "event_id": f"any-{i:05d}", "station_seq": i, "kind": kind_of_act, "tooth": tooth, "data": data}
        )
        r.log.append(Logged(seq=i, event=event))
    state = fold(r.sheet, r.log)
    assert state.seq == len(r.log)
    assert fold(r.sheet, [Logged.model_validate_json(one.model_dump_json()) for one in r.log]) == state
