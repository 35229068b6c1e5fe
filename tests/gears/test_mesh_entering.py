"""The lead-in that the mate asks for: which flank, how long, and how often ends butt."""

from __future__ import annotations

from math import pi, radians, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.errors import OutOfRange
from ringwright.gears import entering

RING = {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60}
MATE = {"kind": "external", "teeth": 20, "module_mm": 5, "face_width_mm": 50}
PITCH = 5 * pi


def asked(ring=RING, mate=MATE, **entry):
    answer = reckon.mesh({"ring": ring, "mate": mate, "centre_distance_mm": 367.8, "entry": entry})
    return answer.lead_in, [note.code for note in answer.notes]


def drops_in(ring_ends, mate_ends, places):
    """Share of places at which no flat of the mate lies over a flat of the ring, ends as (from, to) within a pitch."""
    at = (np.arange(places) + 0.5) / places * PITCH
    clear = np.ones(places, bool)
    for k in range(-3, 4):
        low, high = mate_ends[0] + at + k * PITCH, mate_ends[1] + at + k * PITCH
        clear &= (high <= ring_ends[0]) | (low >= ring_ends[1])
    return clear.mean()


@pytest.mark.parametrize("loaded", ["plus", "minus"])
@pytest.mark.parametrize("lead", [1.0, 2.5, 6.0])
def test_butting_counted_over_all_places_of_the_mate(loaded, lead):
    """Tooth of the ring about 0, one of its flanks bevelled at 45 degrees; mate with 2 mm off both its flanks."""
    found, _ = asked(how="thrown_at_rest", loaded_flank=loaded, lead_length_mm=lead, mate_bevel={"length_mm": 2})
    half = PITCH / 4
    bevelled = (-half, half - lead) if found.flanks[0].flank == "plus" else (-half + lead, half)
    mate = (-half + 2, half - 2)

    for ends, chance in (((-half, half), found.chance_of_butting.before), (bevelled, found.chance_of_butting.after)):
        assert 1 - drops_in(ends, mate, 20_000) == pytest.approx(chance, abs=2e-4)


@pytest.mark.parametrize(("loaded", "drives"), [("minus", 1), ("plus", -1)])
def test_story_s7_the_bevel_helps_on_the_side_where_the_mate_slips_off(loaded, drives):
    """A mate that stands on a tooth's end and moves on as it drives falls in over one flank only: the bevelled one."""
    found, codes = asked(how="thrown_at_rest", loaded_flank=loaded, lead_length_mm=2)
    (flank,) = found.flanks
    half = PITCH / 4
    edge_before, edge_after = half, half - 2  # where the flat ends on the side it slips off
    starts = np.linspace(-half, half - 2.1, 50)  # trailing edge of the mate's tooth, on the flat, along its motion

    assert (flank.flank == "plus") == (drives > 0)
    assert ((edge_after - starts) < (edge_before - starts)).all()  # less way to go before it falls in
    assert "bevel_idle_flank" in codes
    assert found.bearing_face_mm == found.engaged_face_mm  # and the loaded flank keeps its whole length


def test_story_d3_turned_over_the_loaded_flank_is_the_other_one():
    one, other = (asked(how="thrown_at_rest", loaded_flank=flank)[0].flanks[0] for flank in ("plus", "minus"))

    assert (one.flank, other.flank) == ("minus", "plus")
    assert (one.in_lead_in, other.in_lead_in) == ("plus", "minus")


def test_in_lead_in_names_the_side_that_cuts_this_flank():
    """A clockwise flank of a tooth looks to +t; it bounds the space in which its own tooth stands at -t."""
    ring = {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60}
    pose = {"tool_axis": [1, 0.2, -1], "feed": [-1, 0, 0], "tip": [340, 1.5, -1]}
    cut = reckon.lead_in(
        {"ring": ring, "cutter": {"kind": "flat", "diameter_mm": 12}, "pose": pose, "target": {"infeed_mm": 8}}
    )
    longer = max(("plus", "minus"), key=lambda side: getattr(cut.lead_length_mm, side))

    assert cut.tip_at_touch_off[1] > 0  # the cutter stands off to +t and leans: it cuts the tooth at +t more
    assert longer == "plus"  # so lead_in's "plus" is the tooth at +t, whose flank there looks to -t: the map's "minus"
    found, _ = asked(how="thrown_at_rest", loaded_flank="plus")
    assert found.flanks[0].in_lead_in == "plus"
    assert found.flanks[0].flank == "minus"


@pytest.mark.parametrize("how", ["thrown_at_rest", "thrown_turning", "slid"])
@pytest.mark.parametrize("loaded", [None, "both"])
def test_both_flanks_where_either_may_carry(how, loaded):
    assert entering.flanks_to_bevel(how, loaded) == ("plus", "minus")


@settings(derandomize=True, deadline=None, max_examples=100)
@given(st.floats(0.5, 30), st.floats(0, 1), st.floats(10, 80), st.integers(1, 2))
def test_lead_and_land_undo_each_other(land, share, angle, flanks):
    slope, wanted = tan(radians(angle)), share * land
    lead = entering.lead_for_land(land, wanted, slope, flanks)

    assert entering.land_left(land, lead, slope, flanks) == pytest.approx(wanted, abs=1e-9)
    assert entering.land_left(land, lead * 3 + 100, slope, flanks) == 0


def test_a_land_that_is_there_already_needs_no_lead():
    assert entering.lead_for_land(0.3, 0.5, 1.0, 1) == 0


@pytest.mark.parametrize(
    ("arguments", "engaged"),
    [((55, 10, 60, 50), 45), ((80, 10, 60, 50), 50), ((None, 10, 60, None), 60), ((8, 10, None, None), -2)],
)
def test_face_in_mesh(arguments, engaged):
    assert entering.engaged_face(*arguments) == engaged


def test_nothing_known_of_the_face():
    assert entering.engaged_face(None, 3, None, None) is None


@pytest.mark.parametrize(("flanks", "loaded", "most"), [(("minus",), "plus", 20), (("plus", "minus"), "plus", 10)])
def test_a_loaded_flank_gives_less(flanks, loaded, most):
    assert entering.most_lead(40, flanks, loaded) == most


def test_limits_of_lands():
    for bad in ({"land": -1}, {"slope": 0.01}, {"lead": -0.1}):
        values = {"land": 5.0, "lead": 1.0, "slope": 1.0, "flanks": 1, **bad}
        with pytest.raises(OutOfRange):
            entering.land_left(**values)
    with pytest.raises(OutOfRange):
        entering.lead_for_land(5, 1, 1, 0)


def test_every_assumption_is_said():
    _, codes = asked(ring={**RING, "face_width_mm": None}, mate={**MATE, "face_width_mm": None}, how="thrown_at_rest")

    assert {"loaded_flank_unknown", "engaged_unknown", "entry_face"} <= set(codes)
    _, codes = asked(how="thrown_turning", loaded_flank="plus", throw_mm=5, gap_mm=6)
    assert {"thrown_turning", "throw_too_short"} <= set(codes)
    _, codes = asked(how="slid", loaded_flank="plus", lead_length_mm=30)
    assert "lead_too_long" in codes
    _, codes = asked(how="always")
    assert "no_lead_in_needed" in codes
    assert "loaded_flank_unknown" not in codes


def test_chance_never_passes_one():
    found, _ = asked(how="thrown_at_rest", ring_end_land_mm=15, mate_end_land_mm=15, lead_length_mm=0)

    assert found.chance_of_butting.before == found.chance_of_butting.after == 1


def test_the_working_shows_the_sums_of_the_ends():
    request = {"ring": RING, "mate": MATE, "entry": {"how": "thrown_at_rest", "loaded_flank": "plus", "throw_mm": 40}}
    answer = reckon.mesh({**request, "working": True})
    lines = [line for line in answer.working if line.source == "common-practice"]
    chance = answer.lead_in.chance_of_butting

    assert [line.value for line in lines] == [answer.lead_in.end_land_finished_mm, 40, chance.before, chance.after]
    assert "tan 45°" in lines[0].put_in
    assert "common-practice" in answer.sources
    assert "common-practice" not in reckon.mesh({"ring": RING, "mate": MATE}).sources
