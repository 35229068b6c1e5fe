"""From what was set out to a round sheet."""

from __future__ import annotations

from fractions import Fraction

import pytest

from ringwright import reckon
from ringwright.job.document import (
    FindOut,
    Hardness,
    JobDocument,
    Map,
    Mark,
    RoundPlan,
    SetOut,
    Stretch,
)
from ringwright.job.kit import Axis, Cutter, Device, Kit, Machine
from ringwright.job.resume import CODES, rechecks
from ringwright.reckon.base import Problems
from ringwright.reckon.rounds import infeed_words, make_sheet, recheck_words, zones_of_spaces

RING = {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60}
TABLE = Device(name="Table", ratio=90, dial={"smallest_arcsec": 60, "vernier_arcsec": 10})
HEAD = Device(
    name="Head", ratio=40, circles=((39, 54),), change_gears=(24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100)
)
KNEE = Axis(name="knee", travel_mm=400, mm_per_turn=2.5, mm_per_division=0.02, clockwise="knee goes up")
MILL = Machine(
    name="Mill",
    axes=(
        KNEE,
        Axis(name="table", travel_mm=800, readout=True, readout_step_mm=0.005, mm_per_turn=5, mm_per_division=0.05),
    ),
    throat_mm=300,
    spindle_nose_to_table_mm=450,
    table_length_mm=1200,
    table_width_mm=300,
    table_load_kg=300,
    head_nods_deg=45,
    speeds_rpm=(80, 660, 1320, 1750),
    power_kw=2.2,
)
CUTTER = Cutter(name="E12", diameter_mm=12, flutes=4, flute_length_mm=26, stick_out_mm=40)
KIT = Kit(machines=(MILL,), devices=(TABLE, HEAD), cutters=(CUTTER,))
# the worked example of the contract: lead 1.0 at an infeed of 5.713
LEAD_IN = {
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
    "target": {"lead_length_mm": 1.0},
}


def way_of(device, method, N=127, **asked):
    answer = reckon.divide({"divisions": N, "device": device.as_asked(), "radius_mm": 317.5, **asked})
    return next(w.model_dump(mode="json") for w in answer.ways if w.method == method)


def job_with(map_=None, ring=RING, **plan):
    given = {"round_id": "r1", "title": "Lead-in", "machine": "Mill", "device": "Table", "cutter": "E12"}
    if "way" not in plan:
        given["way"] = way_of(TABLE, "dial")
    return JobDocument(
        job_id="job",
        number="1",
        title="Drum ring",
        find_out=FindOut(ring=ring),
        map=map_ or Map(hardness=(Hardness(tooth=1, value=250, scale="HB"),)),
        set_out=SetOut(rounds=(RoundPlan(**{**given, **plan}),)),
    )


def test_a_dial_round_has_every_tooth_at_its_angle_and_asks_for_painted_numbers():
    sheet = make_sheet(job_with(), KIT, "r1")

    assert sheet.order == tuple(range(1, 128))
    assert sheet.witness.kind == "painted"
    for row in sheet.rows:  # set to 10 arc seconds on the worm's dial, a turn being 4 degrees
        assert row.position.spindle_deg == pytest.approx((row.tooth - 1) * 360 / 127, abs=5.01 / 3600)
    # tooth 2: 360/127 = 2.8346457 degrees = 2 deg 50 min 04.7 sec, to the nearest 10 sec
    assert sheet.row(2).position.dial == "2° 50′ 00″"
    assert (sheet.row(3).position.turns, sheet.row(3).position.dial) == (1, "1° 40′ 10″")
    assert sheet.closing.spindle_deg == 0


def test_the_same_plan_freezes_to_the_same_digest_and_another_to_another():
    assert make_sheet(job_with(), KIT, "r1").digest == make_sheet(job_with(), KIT, "r1").digest
    assert make_sheet(job_with(), KIT, "r1").digest != make_sheet(job_with(witness_every=5), KIT, "r1").digest


def test_a_geared_round_names_its_holes_and_closes_on_the_first():
    way = way_of(HEAD, "differential")
    sheet = make_sheet(job_with(device="Head", way=way), KIT, "r1")

    move = Fraction(way["move"]["turns"]) + Fraction(way["move"]["holes"], way["move"]["circle"])
    for row in sheet.rows:
        total = (row.tooth - 1) * move
        assert row.position.hole == total % 1 * way["move"]["circle"]
        assert row.position.turns == total // 1
    assert sheet.witness.kind == "spindle_deg"
    assert sheet.closing.hole == 127 * move % 1 * way["move"]["circle"]
    assert "gears_and_plate" in sheet.rechecks
    assert "stop_pin_in" not in sheet.rechecks


def test_a_way_that_does_not_close_says_where_it_will_stand():
    # 127 by 17 on 54 of a 40:1 head: 127 x 17 = 2159 = 39 x 54 + 53, and 600 seconds short (contract)
    way = {**way_of(HEAD, "differential"), "method": "plain", "gears": None}
    way["move"] = {"turns": 0, "circle": 54, "holes": 17, "second": None, "dial": None}
    way["closing_error_arcsec"] = -600.0
    sheet = make_sheet(job_with(device="Head", way=way), KIT, "r1")

    assert sheet.closing.hole == 53
    assert sheet.closing.spindle_deg == pytest.approx(360 - 600 / 3600)
    assert "39 53/54" in sheet.closing.identity
    assert "600″" in sheet.closing.identity


def test_hard_and_welded_teeth_come_in_a_second_lap_in_counting_order():
    map_ = Map(stretches=(Stretch(first=40, last=42, kind="hard"), Stretch(first=126, last=1, kind="weld")))
    sheet = make_sheet(job_with(map_), KIT, "r1")

    laps = {lap: [row.tooth for row in sheet.rows if row.lap == lap] for lap in (1, 2)}
    # a space is as hard as the worse tooth beside it; one tooth either side of the weld is heat affected
    assert laps[2] == [1, 2, 39, 40, 41, 42, 124, 125, 126, 127]
    assert laps[1] == [t for t in range(1, 128) if t not in laps[2]]
    assert [sheet.row(t).zone for t in (124, 125, 126, 127, 1, 2, 39, 42, 43)] == [
        "heat_affected", "weld", "weld", "weld", "weld", "heat_affected", "hard", "hard", "sound",
    ]  # fmt: skip
    once = make_sheet(job_with(map_, hard_last=False), KIT, "r1")
    assert once.order == tuple(range(1, 128))


def test_chosen_teeth_only_and_the_first_is_reached_from_tooth_one():
    sheet = make_sheet(job_with(teeth=(31, 5, 12)), KIT, "r1")
    assert sheet.order == (5, 12, 31)
    assert sheet.rows[0].move_words.startswith("From tooth 1:")


def test_readings_make_hard_zones_and_soft_by_hand_overrules():
    def read(*pairs, **more):
        return Map(hardness=tuple(Hardness(tooth=t, value=v, scale="HB") for t, v in pairs), **more)

    near = zones_of_spaces(read((10, 450), (14, 450), (60, 250)), 127)
    assert [t for t, zone in near.items() if zone == "hard"] == list(range(9, 15))
    far = zones_of_spaces(read((10, 450), (40, 450)), 127)
    assert [t for t, zone in far.items() if zone == "hard"] == [9, 10, 39, 40]
    soft = zones_of_spaces(read((10, 450), stretches=(Stretch(first=10, last=10, kind="soft"),)), 127)
    assert set(soft.values()) == {"sound"}
    marked = zones_of_spaces(Map(marks=(Mark(tooth=1, condition="weld"),)), 20)
    assert {t: z for t, z in marked.items() if z != "sound"} == {
        20: "weld", 1: "weld", 19: "heat_affected", 2: "heat_affected",
    }  # fmt: skip


def test_the_infeed_of_the_contracts_example_is_in_every_row():
    sheet = make_sheet(job_with(lead_in=LEAD_IN), KIT, "r1")
    assert [row.infeed_mm for row in sheet.rows] == [pytest.approx(5.713, abs=0.001)] * 127
    assert sheet.rows[0].infeed_words == "5.71 mm from touch-off"
    assert any("infeed in mm only" in note for note in sheet.notes)


def test_the_infeed_is_said_as_the_named_slide_turns():
    # the same cut in machine words: entry face up, work at the left, head nodded to the ring's axis by tilt
    pose = {
        "entry_face_looks": "+z",
        "work_at": "+x",
        "tilt_deg": 45,
        "nod_deg": 0,
        "feed_by": "-table",
        "tip": [337.5, 0, -1],
    }
    sheet = make_sheet(job_with(lead_in={**LEAD_IN, "pose": pose}), KIT, "r1")
    assert sheet.rows[0].infeed_mm == pytest.approx(5.713, abs=0.001)
    assert sheet.rows[0].infeed_words == "readout 5.715 mm, table to the right"
    assert "readout_zero" in sheet.rechecks

    two = make_sheet(job_with(lead_in={**LEAD_IN, "pose": pose}, passes=2), KIT, "r1").rows[0].infeed_words
    assert two.startswith("from touch-off, pass by pass: readout ")
    assert two.endswith("; readout 5.715 mm, table to the right")
    first = float(two.removeprefix("from touch-off, pass by pass: readout ").split(" mm")[0])

    def metal(target):
        return reckon.lead_in({"ring": RING, **LEAD_IN, "pose": pose, "target": target}).removed_mm3

    # about the same metal each: the first pass, cut by itself, takes half of it; half the infeed would take far less
    assert metal({"infeed_mm": first}) == pytest.approx(metal({"lead_length_mm": 1.0}) / 2, rel=0.03)


@pytest.mark.parametrize(
    ("mm", "said"),
    [
        (5.68, "2 turns + 34 divisions, knee up (5.68 mm)"),
        (0.0, "0 divisions, knee up (0 mm)"),
        (2.5, "1 turn, knee up (2.5 mm)"),
        (2.4901, "1 turn, knee up (2.5 mm)"),
        (2.4899, "124 divisions, knee up (2.48 mm)"),
    ],
)
def test_turns_and_divisions(mm, said):
    assert infeed_words(KNEE, mm, "-knee") == said


def test_an_inch_dial_turns_in_thousandths():
    inch = Axis(name="knee", travel_mm=400, mm_per_turn=2.54, mm_per_division=0.0254, inch=True)
    assert infeed_words(inch, 3.81, "+knee") == "1 turn + 50 divisions, knee down (3.81 mm)"


def test_speeds_are_the_machines_steps_by_zone():
    map_ = Map(
        hardness=(Hardness(tooth=80, value=250, scale="HB"), Hardness(tooth=41, value=400, scale="HB")),
        stretches=(Stretch(first=40, last=42, kind="hard"),),
    )
    sheet = make_sheet(job_with(map_), KIT, "r1")
    # the worked example of cutting_data: carbide 12, 250 HB -> 1320 of the steps
    assert sheet.row(80).speed_words.startswith("1320 rev/min")
    # 400 HB through hard metal: slower, so that the next step below is 660 or less
    assert sheet.row(41).speed_words.split()[0] in ("80", "660")


def test_what_is_not_known_stays_open_and_is_named():
    sheet = make_sheet(job_with(Map(), cutter="", machine=""), KIT, "r1")
    assert {row.speed_words for row in sheet.rows} == {""}
    assert any("No speeds" in note for note in sheet.notes)
    assert any("infeed is set by hand" in note for note in sheet.notes)
    assert any("machine is not in the kit" in note for note in sheet.notes)


@pytest.mark.parametrize(
    ("plan", "code", "where"),
    [
        ({"way": None}, "no_way_chosen", "set_out.rounds[0]"),
        ({"way": {"method": "guess"}}, "way_not_readable", "set_out.rounds[0].way"),
        ({"divide": {"divisions": 126}}, "divisions_not_teeth", "set_out.rounds[0].divide"),
        ({"teeth": (3, 128)}, "tooth_not_on_ring", "set_out.rounds[0].teeth"),
        ({"teeth": ()}, "tooth_not_on_ring", "set_out.rounds[0].teeth"),
        ({"device": "Nothing"}, "no_way_chosen", "set_out.rounds[0].device"),
        (
            {"lead_in": {**LEAD_IN, "target": {"lead_length_mm": 30}}},
            "infeed_not_reachable",
            "set_out.rounds[0].lead_in",
        ),
        ({"lead_in": {**LEAD_IN, "cutter": {}}}, "missing", "set_out.rounds[0].lead_in.cutter"),
    ],
)
def test_faults_are_told_at_their_place_in_the_document(plan, code, where):
    with pytest.raises(Problems) as refused:
        make_sheet(job_with(**plan), KIT, "r1")
    assert (refused.value.problems[0].code, refused.value.problems[0].where) == (code, where)


def test_a_round_that_is_not_there():
    with pytest.raises(Problems) as refused:
        make_sheet(job_with(), KIT, "r2")
    assert refused.value.problems[0].code == "no_such_round"


# -- re-checks ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "method", ["plain", "compound", "differential", "direct", "dial", "step_over", "from_teeth", "plate_to_make"]
)
@pytest.mark.parametrize("zero", ["readout", "handwheel", "felt"])
def test_rechecks_come_in_order_each_with_words(method, zero):
    codes = rechecks(method, zero)
    assert list(codes) == sorted(set(codes), key=CODES.index)
    assert all(recheck_words(code) for code in codes)
    assert codes[-1] == "touch_off_again"
    assert ("pin_in_hole" in codes) == (method in ("plain", "compound", "differential", "step_over", "plate_to_make"))
    assert ("readout_zero" in codes) == (zero == "readout")
    assert "lock_holds" not in rechecks(method, zero, has_lock=False)


# -- every way that a shelf has -------------------------------------------------------------------------------------

SHELF = Device(
    name="Head",
    ratio=40,
    circles=((15, 16, 17, 18, 19, 20, 21, 23, 27, 29, 31, 33), (37, 39, 41, 43, 47, 49)),
    change_gears=(24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100),
    direct_circles=(24, 36),
    dial={"smallest_arcsec": 60},
)
METHODS = ["direct", "plain", "compound", "differential", "dial", "step_over", "from_teeth", "plate_to_make"]


@pytest.mark.parametrize("N", [12, 51, 77, 127])
def test_every_way_becomes_a_sheet_whose_places_are_the_teeth(N):
    answer = reckon.divide(
        {"divisions": N, "device": SHELF.as_asked(), "radius_mm": 317.5, "methods": METHODS, "tolerance_um": 5000}
    )
    kit = Kit(devices=(SHELF,))
    ring = {**RING, "teeth": N}
    assert len({way.method for way in answer.ways}) >= 3
    for way in answer.ways:
        plan = {"way": way.model_dump(mode="json"), "device": "Head", "machine": "", "cutter": ""}
        sheet = make_sheet(job_with(Map(), ring, **plan), kit, "r1")

        off_allowed = (way.worst_error_arcsec or 0.0) / 3600 + 1e-9
        for row in sheet.rows:
            off = (row.position.spindle_deg - (row.tooth - 1) * 360 / N + 180) % 360 - 180
            assert abs(off) <= off_allowed, (way.method, row)
            assert row.move_words
        assert sorted(sheet.order) == list(range(1, N + 1))
        if way.exact and way.method != "differential" and sheet.closing.hole is not None:  # geared, the plate turns on
            assert sheet.closing.hole == sheet.rows[0].position.hole, way.method
        assert (sheet.witness.kind == "painted") == (way.method in ("dial", "from_teeth"))
        assert type(sheet).model_validate_json(sheet.canonical()).digest == sheet.digest
