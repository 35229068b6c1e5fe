"""The demo holds together: every stage is answered by the operations, from the demo's own data."""

import json
from fractions import Fraction
from importlib.resources import files

import pytest

from ringwright import reckon
from ringwright.job.demo import demo_job, demo_kit


@pytest.fixture(scope="module")
def job():
    return demo_job()


@pytest.fixture(scope="module")
def kit():
    return demo_kit()


@pytest.fixture(scope="module")
def plan(job):
    return job.set_out.rounds[0]


def _map(job):
    told = job.map.model_dump(mode="json", exclude_none=True)
    return {n: told[n] for n in ("marks", "hardness", "stretches", "stops_at", "cracks_looked_for")}


def test_the_data_come_back_as_they_were():
    raw = json.loads((files("ringwright.job") / "demo.json").read_text(encoding="utf-8"))
    again = demo_job().model_dump(mode="json", exclude_unset=True)

    assert again == raw["job"]
    assert demo_kit().model_dump(mode="json", exclude_unset=True) == raw["kit"]


def test_the_readings_name_the_ring_that_was_settled(job):
    found = job.find_out
    asked = {"kind": found.kind, "teeth": found.teeth, "teeth_sure": found.teeth_sure}

    answer = reckon.identify({**asked, "readings": [r.asked for r in found.readings]})

    best = answer.candidates[0]
    assert best.ring.module_mm == found.ring["module_mm"]
    assert best.ring.pressure_angle_deg == 20
    assert best.probability == pytest.approx(found.ring_probability, abs=0.04)


def test_the_readings_are_those_of_a_worn_ring_of_that_size(job):
    sizes = reckon.gear({"ring": job.find_out.ring, "span_teeth": 15})
    read = {(r.asked["what"], r.asked.get("span_teeth")): r.asked["value"] for r in job.find_out.readings}

    assert 2 < sizes.tip_diameter_mm - read["tip_diameter", None] < 4
    assert 0.2 < sizes.span.length_mm - read["span", 15] < 0.6
    assert read["span", 15] - read["span", 14] == pytest.approx(sizes.base_pitch_mm, abs=0.06)
    mate = job.find_out.mate["teeth"]
    assert read["centre_distance", None] == pytest.approx((127 + mate) * 5 / 2, abs=0.5)


def test_the_map_shows_two_places_and_a_weld(job):
    ends = [m.tooth for m in job.map.marks if m.condition in ("chewed", "chipped")]

    for stop in job.map.stops_at:
        near = [t for t in ends if abs(t - stop) <= 5]
        assert len(near) >= 9
        ends = [t for t in ends if t not in near]
    assert ends == []
    assert [m.tooth for m in job.map.marks if m.condition == "weld"] == list(range(100, 109))
    assert len({m.tooth for m in job.map.marks}) == len(job.map.marks)
    assert all(1 <= m.tooth <= 127 for m in job.map.marks)
    assert job.map.gone_round


def test_the_weld_is_hard_and_the_rest_is_not(job):
    assert len({h.tooth for h in job.map.hardness}) == 14
    hard = {h.tooth for h in job.map.hardness if h.scale == "HRC" and h.value > 40}

    assert hard
    assert hard <= set(range(100, 109))
    assert all(200 <= h.value <= 230 for h in job.map.hardness if h.scale == "HB")


def test_it_can_be_saved_and_the_way_taken_is_open(job):
    answer = reckon.ways_to_save({"ring": job.find_out.ring, "duty": job.duty, **_map(job), **job.decide.asked})

    ways = {w.way: w for w in answer.ways}
    assert ways[job.decide.taken].open
    assert not answer.look_first
    assert answer.best != "new_ring"
    assert ways[job.decide.taken].price.p80 < ways["new_ring"].price.p50
    butting = ways[job.decide.taken].chance_of_butting
    assert butting.after < butting.before


def test_turned_by_bolt_holes_the_stops_find_sound_teeth(job):
    asked = {"teeth": 127, "marks": _map(job)["marks"], "stops_at": job.map.stops_at, "seat": job.decide.asked["seat"]}

    answer = reckon.reclock(asked)

    assert answer.now.damage > 0
    best = answer.positions[0]
    assert best.damage == 0
    assert abs(Fraction(best.turn_teeth)) % Fraction(127, 16) == 0
    assert round(Fraction(best.turn_teeth)) == job.decide.reclock_by_teeth
    assert all(str(stop.tooth) in job.prove.back_on for stop in best.stops)


def test_the_lead_in_can_be_reached_and_said_on_the_saddle(plan):
    answer = reckon.lead_in(plan.lead_in)

    assert answer.reachable
    assert answer.lead_length_mm.plus == pytest.approx(plan.lead_in["target"]["lead_length_mm"], abs=0.01)
    assert answer.lead_length_mm.minus == pytest.approx(answer.lead_length_mm.plus, abs=1e-6)


def test_the_land_wanted_is_the_land_that_the_cut_leaves(job, plan):
    left = reckon.lead_in(plan.lead_in).end_land_finished_mm

    assert job.decide.asked["lead"]["end_land_finished_mm"] == pytest.approx(left, abs=0.1)
    wanted = [c.wanted for c in job.prove.checks if c.what == "end_land"]
    assert wanted == pytest.approx([left] * len(wanted), abs=0.1)


def test_the_round_is_divided_within_its_tolerance(plan):
    answer = reckon.divide(plan.divide)

    assert answer.ways[0].method == "dial"
    assert answer.ways[0].worst_error_um < plan.tolerances.position_um
    assert plan.divide["tolerance_um"] == plan.tolerances.position_um


def test_the_head_divides_127_by_its_gears(kit):
    head = kit.devices[1]
    answer = reckon.divide({"divisions": 127, "device": head.as_asked(), "radius_mm": 317.5})

    assert answer.ways[0].method == "differential"
    assert answer.ways[0].exact


def test_the_ring_does_not_swing_on_the_head_and_goes_flat_on_the_table(kit, plan):
    head = kit.devices[1].model_dump(mode="json", exclude_none=True)

    upright = reckon.setup_check({**plan.setup, "device": head, "set_up": "upright"})
    flat = reckon.setup_check(plan.setup)

    swing = next(f for f in upright.fits if f.what == "swing")
    assert (swing.ok, upright.verdict) == (False, "does_not_go")
    assert flat.verdict == "look"
    assert {f.what for f in flat.fits if not f.ok} == {"travel_saddle", "seat", "overhang", "worm_lock"}


def test_the_weight_told_is_that_of_the_ring(plan):
    unweighed = {**plan.setup, "section": {"bore_mm": plan.setup["section"]["bore_mm"]}}

    assert reckon.setup_check(unweighed).mass_kg == pytest.approx(plan.setup["section"]["mass_kg"], rel=0.01)


def test_the_round_names_what_is_in_the_kit(kit, plan):
    machine = next(m for m in kit.machines if m.name == plan.machine)
    device = next(d for d in kit.devices if d.name == plan.device)
    cutter = next(c for c in kit.cutters if c.name == plan.cutter)

    assert plan.setup["machine"] == machine.model_dump(mode="json", exclude_unset=True)
    assert plan.setup["device"] == device.model_dump(mode="json", exclude_unset=True)
    assert plan.divide["devices"] == [one.as_offered() for one in kit.devices]
    assert plan.lead_in["cutter"]["diameter_mm"] == cutter.diameter_mm
    assert plan.setup["cutter"]["stick_out_mm"] == cutter.stick_out_mm
    assert plan.setup["ring"] == plan.lead_in["ring"]


def test_only_table_and_saddle_have_a_readout(kit):
    assert {a.name for a in kit.machines[0].axes if a.readout} == {"table", "saddle"}


def test_every_cutter_has_its_speed_in_sound_metal(kit):
    machine = kit.machines[0]
    end_mills = [c for c in kit.cutters if c.kind == c.end]  # the tables are for end mills
    assert len(end_mills) == 4
    for cutter in end_mills:
        asked = cutter.model_dump(include={"kind", "diameter_mm", "flutes", "material"})
        answer = reckon.cutting_data(
            {
                "cutter": asked,
                "hardness": {"value": 215, "scale": "HB"},
                "speeds_rpm": machine.speeds_rpm,
                "feeds_mm_min": machine.feeds_mm_min,
            }
        )
        assert answer.spindle_rpm.set in machine.speeds_rpm
        assert answer.spindle_rpm.set <= answer.spindle_rpm.ideal


def test_high_speed_steel_is_kept_out_of_the_weld(kit, job):
    hss = next(c for c in kit.cutters if c.material == "hss_cobalt")
    hardest = max((h for h in job.map.hardness if h.scale == "HRC"), key=lambda h: h.value)
    asked = {"cutter": hss.model_dump(include={"kind", "diameter_mm", "flutes", "material"}), "condition": "weld"}

    with pytest.raises(reckon.Problems) as refused:
        reckon.cutting_data({**asked, "hardness": {"value": hardest.value, "scale": hardest.scale}})
    assert refused.value.problems[0].code == "hss_too_hard"


def test_proof_is_prepared_and_not_yet_given(job):
    open_checks = [c for c in job.prove.checks if c.passed is None]

    assert len(open_checks) >= 6
    assert all(c.value is None for c in open_checks)
    assert job.prove.signed_by == ""


def test_the_head_is_left_out_because_the_ring_does_not_swing_on_it(plan):
    lying = reckon.divide(plan.divide)
    upright = reckon.divide({**plan.divide, "set_up": "upright"})

    assert [(one.device, one.code) for one in lying.cannot_take] == [("Dividing head 40:1", "does_not_lie")]
    assert {(one.device, one.code) for one in upright.cannot_take} >= {("Dividing head 40:1", "swing")}
    assert {way.device for way in lying.ways} == {"Rotary table 90:1"}
