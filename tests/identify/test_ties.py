"""Which candidates are said to be tied: those that the readings do not tell apart."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.identify import Next, Reading, identify, parting
from ringwright.identify.ties import tied

WEIGHTS = st.lists(st.tuples(st.floats(1e-4, 1), st.floats(1e-9, 1)), min_size=1, max_size=12)


@settings(derandomize=True, deadline=None, max_examples=200)
@given(WEIGHTS)
def test_a_tie_is_mutual_never_with_itself_and_never_at_ten_to_one(weights):
    p, before = np.array(weights).T
    ties = tied(p, before)

    assert (ties == ties.T).all()
    assert not ties.diagonal().any()
    assert not ties[p[:, None] >= 10.001 * p].any()
    assert ties[(p[:, None] >= p) & (p[:, None] < 2.999 * p) & ~np.eye(p.size, dtype=bool)].all()


@pytest.mark.parametrize(
    ("p", "before", "said"),
    [
        ((0.60, 0.21), (0.5, 0.5), True),  # 2.9 to 1
        ((0.80, 0.10), (0.5, 0.5), False),  # 8 to 1 by the readings
        ((0.80, 0.10), (0.4, 0.1), True),  # 8 to 1, by the readings 2 to 1
        ((0.80, 0.10), (0.8, 0.1), True),  # 8 to 1, of which the readings say nothing
        ((0.80, 0.10), (0.9, 0.01), True),  # 8 to 1, though the readings speak for the other
        ((0.80, 0.10), (0.2, 0.1), False),  # 8 to 1, by the readings 4 to 1
        ((0.90, 0.08), (0.9, 0.08), False),  # 11 to 1: whatever it rests on
    ],
)
def test_only_what_the_readings_say_parts_two_candidates(p, before, said):
    assert tied(np.array(p), np.array(before))[0, 1] == said


def test_dedendums_closer_than_roots_are_made_are_tied_though_the_weights_prefer_one():
    # 124 teeth of 5 DP, 14 1/2 degrees: dedendum 1.157 and 1.167 lie 0.05 mm apart, roots are made to 0.15 mm
    read = (
        Reading("tip_diameter", 126 * 5.08 - 0.2, 0.02, True),
        Reading("root_diameter", 124 * 5.08 - 2 * 1.162 * 5.08, 0.02),
        Reading("span_difference", np.pi * 5.08 * np.cos(np.radians(14.5)), 0.02, n=1),
    )
    candidates = identify(1, 124, read).candidates
    wanted = [(n, c.names[0]) for n, c in enumerate(candidates) if abs(c.names[0].m - 5.08) < 1e-9]
    at = {round(r.hf, 3): n for n, r in wanted if r.ha == 1 and round(np.degrees(r.alpha), 3) == 14.5}

    assert at[1.157] == 0
    assert candidates[0].probability > 3 * candidates[at[1.167]].probability
    assert at[1.167] in candidates[0].tied_with


def test_two_pitches_that_the_readings_part_are_not_tied():
    # module 5 against 5 DP on 127 teeth: 10 mm over the tips
    read = (Reading("tip_diameter", 645.0, 0.05), Reading("span", 222.923, 0.02, k=15))
    first = identify(1, 127, read).candidates[0]

    assert first.names[0].m == 5
    assert all(identify(1, 127, read).candidates[k].names[0].m == 5 for k in first.tied_with)


def test_what_nothing_here_parts_is_said_so_and_that_only_tip_and_root_differ():
    readings = [
        {"what": "tip_diameter", "value": 126 * 5.08 - 0.2, "uncertainty": 0.02, "unit": "mm", "worn": True},
        {"what": "root_diameter", "value": 124 * 5.08 - 2 * 1.162 * 5.08, "uncertainty": 0.02, "unit": "mm"},
        {"what": "whole_depth", "value": 2.162 * 5.08 - 0.1, "uncertainty": 0.02, "unit": "mm", "worn": True},
        {"what": "span_difference", "value": 15.451, "uncertainty": 0.02, "unit": "mm", "teeth_apart": 1},
    ]
    answer = reckon.identify({"kind": "external", "teeth": 124, "readings": readings})
    first = answer.candidates[0]
    rivals = [answer.candidates[k] for k in first.tied_with]

    assert rivals
    assert all(r.size == first.size for r in rivals)
    assert "No further reading that can be taken here tells" in answer.settles
    assert "differ in tip and root only" in answer.settles


def test_a_reading_that_parts_the_tied_is_said_to_settle_it():
    # 20 DP and module 1.25 lie 1.6 percent apart: ten teeth between the anvils differ by 0.4 mm
    only = {
        "pressure_angles": [{"deg": 20, "weight": 1}],
        "no_shift": 1,
        "systems": {"module": 1, "diametral_pitch": 1},
    }
    tips = {"what": "tip_diameter", "value": 42 * 1.26, "uncertainty": 0.5, "unit": "mm"}
    ranked = identify(1, 40, (Reading("tip_diameter", 42 * 1.26, 0.5),))
    told = parting(ranked, Next(Reading("tip_diameter", 0, 0.001), 1.0, ()))
    answer = reckon.identify({"kind": "external", "teeth": 40, "readings": [tips], "prior": only})

    assert set(told.parted) <= set(ranked.candidates[0].tied_with)
    assert told.parted  # tips a hundred times as exact part modules
    assert answer.settles.startswith("Not settled between ")
    assert answer.settles.endswith(answer.next_reading.how)
