"""Facing chewed ends: what is left, by its laws."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.cutting.face_off import Faced, cuts, damage_left, steps_to_clear
from ringwright.errors import OutOfRange, Refusal

depths = st.dictionaries(st.integers(1, 127), st.floats(0, 20), min_size=1, max_size=30)
BASE = {
    "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
    "target": {"remove_mm": 4},
}


@settings(derandomize=True, deadline=None, max_examples=80)
@given(depths, st.floats(0, 25))
def test_more_off_never_leaves_more_damage(damage, removed):
    left, more = damage_left(damage, removed), damage_left(damage, removed + 1)

    assert set(more) <= set(left)
    assert all(more[t] == pytest.approx(left[t] - 1) for t in more)
    assert damage_left(damage, max(damage.values())) == {}


@settings(derandomize=True, deadline=None, max_examples=80)
@given(depths)
def test_each_step_clears_as_many_as_it_says(damage):
    for remove, teeth in steps_to_clear(damage):
        assert len(damage) - len(damage_left(damage, remove)) == teeth


@settings(derandomize=True, deadline=None, max_examples=80)
@given(st.floats(0, 20), st.floats(0, 20), st.floats(-30, 80), st.floats(1, 100))
def test_mesh_is_counted_in_small_slices(entry, far, start, width):
    """The same length by slices of the face that both cover."""
    faced, n = Faced(60.0, entry, far), 6000
    slices = [(k + 0.5) * 60 / n for k in range(n)]
    both = sum(entry <= a <= 60 - far and start <= a <= start + width for a in slices) * 60 / n

    assert faced.overlap(start, width) == pytest.approx(both, abs=0.03)


def test_cuts_are_even_and_none_too_heavy():
    for total, most in ((4.0, 1.5), (3.0, 1.0), (0.2, 1.0)):
        ends = cuts(total, most)
        steps = [b - a for a, b in zip([0.0, *ends], ends, strict=False)]
        assert max(steps) <= most + 1e-9
        assert ends[-1] == pytest.approx(total)
        assert max(steps) - min(steps) < 1e-9
    assert list(cuts(0.0, 1.0)) == []


def test_nothing_left_is_refused():
    with pytest.raises(Refusal, match="nothing_left"):
        Faced(10.0, 6.0, 4.0)
    with pytest.raises(OutOfRange, match="entry"):
        Faced(10.0, -1.0)


def test_the_lead_in_on_the_new_face_knows_the_narrower_ring():
    lead = {
        "cutter": {"kind": "flat", "diameter_mm": 12},
        "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
        "target": {"lead_length_mm": 1},
    }
    answer = reckon.face_off({**BASE, "lead_in": lead})
    alone = reckon.lead_in({**lead, "ring": BASE["ring"]})

    assert answer.lead_in.infeed_mm == pytest.approx(alone.infeed_mm, abs=1e-7)
    assert alone.full_face_mm - answer.lead_in.full_face_mm == pytest.approx(4.0, abs=1e-5)


def test_what_is_not_known_is_said():
    codes = {n.code for n in reckon.face_off(BASE).notes}

    assert {"seat_not_known", "throw", "look_again", "default_used"} <= codes
    assert reckon.face_off(BASE).overlap_now_mm is None


def test_old_lead_in_left_over_is_said():
    some = reckon.face_off({**BASE, "lead_length_mm": 6})
    none = reckon.face_off({**BASE, "lead_length_mm": 3})

    assert (some.lead_left_mm, none.lead_left_mm) == (2, 0)
    assert any("cut the new one through it" in text for text in some.says)
    assert any("cut the lead-in again" in text for text in none.says)
