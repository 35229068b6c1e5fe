"""Which way it cuts and pushes, on the round sheet, on the page and on paper: against cases that every miller knows."""

from __future__ import annotations

import re
from types import SimpleNamespace

import pytest

from ringwright import reckon
from ringwright.job.document import FindOut, JobDocument, Map, RoundPlan, SetOut
from ringwright.job.kit import Device, Kit
from ringwright.paper import set_up
from ringwright.reckon.rounds import make_sheet
from ringwright.web.cutting_lines import how_set, said_of_cut

RING = {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60}
TABLE = Device(name="Table", ratio=90, dial={"smallest_arcsec": 60, "vernier_arcsec": 10})
NODDED = {
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"entry_face_looks": "-y", "work_at": "+z", "nod_deg": 45, "feed_by": "-knee", "tip": [337.5, 0, -1]},
    "target": {"lead_length_mm": 1.0},
}
# from the spindle down onto the entry face, pushed inwards: +t lies on the left of the cutter's way
DOWN = {
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"tool_axis": [0, 0, -1], "feed": [-1, 0, 0], "tip": [340, 0, 3]},
    "target": {"infeed_mm": 8},
}
ARBOR = {
    "cutter": {"kind": "disc", "diameter_mm": 80, "width_mm": 8},
    "pose": {"tool_axis": [0, 1, 0], "feed": [-1, 0, 0], "tip": [370, 0, -20]},
    "target": {"lead_length_mm": 6},
}


def _sheet(lead_in):
    way = reckon.divide({"divisions": 127, "device": TABLE.as_asked(), "radius_mm": 317.5}).ways
    dial = next(w.model_dump(mode="json") for w in way if w.method == "dial")
    plan = RoundPlan(round_id="r1", title="Lead-in", device="Table", way=dial, lead_in=lead_in)
    job = JobDocument(
        job_id="job", number="1", title="Ring", find_out=FindOut(ring=RING), map=Map(), set_out=SetOut(rounds=(plan,))
    )
    return make_sheet(job, Kit(devices=(TABLE,)), "r1").setup_words


def _flanks(words):
    """What the sheet says of either flank: {"clockwise": "conventional", ...}."""
    found = {}
    for line in words:
        told = re.match(r"Tooth (\w+) of the space: it (climbs|cuts conventional|cuts neither)", line)
        if told:
            found[told[1]] = told[2].removeprefix("cuts ")
    return found


def test_a_slot_is_conventional_on_the_left_of_a_right_hand_cutters_way():
    # common practice, no source
    assert _flanks(_sheet(DOWN)) == {"clockwise": "conventional", "anticlockwise": "climbs"}


def test_a_left_hand_cutter_swaps_the_flanks():
    words = _sheet({**DOWN, "hand_of_cutter": "left"})
    assert _flanks(words) == {"clockwise": "climbs", "anticlockwise": "conventional"}
    assert any(line.startswith("Spindle anticlockwise") for line in words)


def test_a_disc_on_an_arbor_cuts_both_flanks_alike():
    """Turning about +t its rim goes -u x rho: at its lowest -t x a = -r, along with the feed, against the work."""
    assert _flanks(_sheet(ARBOR)) == {"clockwise": "conventional", "anticlockwise": "conventional"}
    turned = {**ARBOR, "pose": {**ARBOR["pose"], "tool_axis": [0, -1, 0]}}
    assert _flanks(_sheet(turned)) == {"clockwise": "climbs", "anticlockwise": "climbs"}


def test_sheet_and_page_say_what_the_lead_in_says_and_always_to_lock():
    for asked in (NODDED, ARBOR, DOWN):
        answer = reckon.lead_in({"ring": RING, **asked})
        words = _sheet(asked)
        assert set(answer.turning.says) <= set(words)
        assert set(answer.turning.says) <= set(said_of_cut(answer, "mm"))
        assert any("the worm alone does not hold" in line for line in words)


def test_without_a_lead_in_nothing_is_said_of_it():
    words = _sheet(None)
    assert not _flanks(words)
    assert not any("Spindle" in line for line in words)


def _pushed(push, chips, seats):
    flank = SimpleNamespace(cuts="climb", burr=())
    return SimpleNamespace(plus=flank, minus=None, push=push, pushed_by_chips=chips, seats_worm=seats, says=())


@pytest.mark.parametrize(
    ("turning", "value", "why"),
    [
        (_pushed("clockwise", "both", None), "both ways", "rattles"),
        (_pushed("none", "both", None), "both ways", "the lock alone holds"),
        (_pushed("clockwise", "clockwise", True), "clockwise", "seats the worm"),
        (_pushed("anticlockwise", None, None), "anticlockwise", "lock before each cut"),
    ],
)
def test_chips_that_push_both_ways_are_said_to_rattle(turning, value, why):
    cut = SimpleNamespace(turning=turning, passes=(), better_touch_off=(), head_setting=(), behind=())
    line = next(one for one in how_set(cut, "mm") if one.label == "The cut pushes the ring")
    assert line.value == value
    assert why in line.why


def test_the_head_is_set_with_the_plunger_level_and_the_tilt_first():
    both = {**NODDED, "pose": {**NODDED["pose"], "nod_deg": 33, "tilt_deg": 4}, "target": {"lead_length_mm": 0.2}}
    answer = reckon.lead_in({"ring": RING, **both})
    nod, tilt = answer.head_setting
    assert (nod.first, tilt.first) == (False, True)
    lines = [one for one in how_set(answer, "mm") if "indicator over" in one.label]
    assert [one.why for one in lines] == [nod.says, tilt.says]
    assert all("plunger level (not square to the bar)" in one.why for one in lines)
    inches = next(one for one in how_set(answer, "in") if "indicator over" in one.label)
    assert f"moves {10 * 0.649408 / 25.4:.4f} in" in inches.why  # tan 33 = 0.649408
    assert " mm" not in inches.why


def test_a_tooth_that_cuts_air_is_said_on_the_page():
    worn = reckon.lead_in({"ring": RING, **NODDED, "lost": [{"tooth": 9, "corner_mm": 30}]})
    assert any("Tooth 9 will cut air" in line for line in said_of_cut(worn, "mm"))


def test_the_paper_says_the_same_of_the_head_and_of_a_tooth_that_cuts_air():
    asked = {"ring": RING, **NODDED, "lost": [{"tooth": 9, "corner_mm": 30}]}
    answer = reckon.lead_in(asked)
    assert [one.note for one in set_up._by_indicator(answer)] == [one.says for one in answer.head_setting]
    assert any("Tooth 9 will cut air" in line for line in set_up._afterwards(answer))
