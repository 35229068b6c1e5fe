"""What the operations of the cut are asked for a round, from job, kit and log."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from ringwright import reckon
from ringwright.job.demo import demo_job, demo_kit
from ringwright.job.document import Hardness, Map, RoundPlan, Stretch
from ringwright.reckon.asking_cut import Order, forces_of, lead_in_of, life_of, order_of, seen_in, travel_mm

Round = runpy.run_path(str(Path(__file__).with_name("rounds.py")))["Round"]


def of_demo(**changed):
    job, kit = demo_job(), demo_kit()
    return job, kit, job.set_out.rounds[0].model_copy(update=changed)


def with_axis(kit, name, **changed):
    machine = kit.machines[0]
    axes = tuple(a.model_copy(update=changed) if a.name == name else a for a in machine.axes)
    return kit.model_copy(update={"machines": (machine.model_copy(update={"axes": axes}),)})


def test_the_infeed_is_turned_on_the_scale_of_the_slide_that_feeds():
    job, kit, plan = of_demo(passes=1)
    wheel = with_axis(kit, "saddle", readout=False, mm_per_turn=2.5, mm_per_division=0.02)
    answer = reckon.lead_in(lead_in_of(job, wheel, plan))
    # 5.689 mm at 2.5 a turn in 125 divisions of 0.02: 2 turns are 5.0, 0.689 / 0.02 is nearest to 34
    assert answer.turned.startswith("2 turns + 34 divisions, saddle towards you")
    assert reckon.lead_in(lead_in_of(job, kit, plan)).turned.startswith("readout 5.69 mm")


def test_a_machine_that_is_not_in_the_kit_leaves_the_infeed_in_millimetres():
    job, kit, plan = of_demo(machine="another")
    asked = lead_in_of(job, kit, plan)
    assert "axis" not in asked
    assert reckon.lead_in(asked).turned is None


def test_shank_and_holder_are_judged_once_the_holder_is_measured():
    job, kit, plan = of_demo()
    assert "behind" not in lead_in_of(job, kit, plan)
    cutter = kit.cutters[0].model_copy(update={"holder_diameter_mm": 40.0})
    measured = kit.model_copy(update={"cutters": (cutter, *kit.cutters[1:])})
    behind = reckon.lead_in(lead_in_of(job, measured, plan)).behind
    assert [part.part for part in behind] == ["shank", "holder"]
    assert all(part.gap_mm > 0 for part in behind)  # 38 out of the holder at 45 degrees: both stand well off


def test_the_way_of_one_space():
    free = RoundPlan(round_id="r", title="", lead_in={"cutter": {"diameter_mm": 12}, "pose": {"feed": [-1, 0, 0]}})
    assert travel_mm(free, [4.0, 6.0], 1.0) == 4 + 2 + 6 + 2  # each pass from touch-off, 2 mm run-in each
    locked = free.model_copy(update={"lead_in": {**free.lead_in, "pose": {"depth_by": "-knee"}}})
    assert travel_mm(locked, [4.0, 6.0], 1.0) == 2 * (1 + 12 + 2)


def test_forces_need_a_cutter_a_cut_and_a_hardness():
    job, kit, plan = of_demo()
    assert forces_of(job, kit, plan.model_copy(update={"cutter": "another"}), None) is None
    assert forces_of(job, kit, plan.model_copy(update={"lead_in": None}), None) is None
    soft = job.model_copy(update={"map": job.map.model_copy(update={"hardness": ()})})
    assert forces_of(soft, kit, plan, None) is None
    asked = forces_of(job, kit, plan, 9.0, {"wear": "worn"})
    assert asked["feed_travel_mm"] == 9
    assert asked["cut"]["wear"] == "worn"
    assert asked["cut"]["held"]["stick_out_mm"] == 38
    assert asked["cut"]["motor"] == {"power_kw": 2.2}


# -- the order and the log --------------------------------------------------------------------------------------------


def hard_at(first, last, *readings):
    return Map(
        stretches=(Stretch(first=first, last=last, kind="hard"),),
        hardness=tuple(Hardness(tooth=t, value=v, scale="HB") for t, v in readings),
    )


def test_hard_teeth_come_last_where_the_plan_says_so():
    job, _kit, plan = of_demo(teeth=(1, 2, 3, 4, 5, 6, 7, 8))
    job = job.model_copy(update={"map": hard_at(4, 5)})
    # the space behind tooth 3 lies between 3 and the hard 4: it is hard too
    assert order_of(job, plan).teeth == (1, 2, 6, 7, 8, 3, 4, 5)
    once = order_of(job, plan.model_copy(update={"hard_last": False}))
    assert once.teeth == tuple(range(1, 9))
    assert not once.hard_last


def test_the_life_is_asked_by_places_in_the_order_so_that_a_way_may_step_over_spaces():
    job, kit, _plan = of_demo()
    job = job.model_copy(update={"map": hard_at(4, 5, (1, 200), (4, 450))})
    order = Order((1, 4, 7, 2, 5), ("sound", "hard", "sound", "sound", "hard"), False)
    log = Round()
    log.press("note", 7, edge="worn")
    asked = life_of(job, kit.cutters[0], order, 60, 4, seen_in(log.log, order))
    zones = [(s["first"], s["last"], s["zone"]) for s in asked["stretches"]]
    assert zones == [(1, 1, "sound"), (2, 2, "hard"), (3, 4, "sound"), (5, 5, "hard")]
    assert [s["hardness_hb"] for s in asked["stretches"]] == [200, 450, 200, 450]
    assert asked["seen"] == [{"tooth": 3, "what": "worn"}]  # tooth 7 is the third that is cut
    assert reckon.cutter_life(asked).next_tooth == 4


ORDER = Order((1, 2, 3, 4, 5, 6), ("sound",) * 6, False)


def test_what_the_log_says_of_the_edge_goes_forward():
    log = Round()
    log.press("done", 1)
    log.press("note", 2, edge="chipped")
    log.press("note", 1, edge="worn")  # goes back: not taken
    log.press("note", 3, text="lunch")
    log.press("note", 4, edge="melted")  # no such word
    log.press("trouble", 4, reason="squealed", edge="gone")
    assert [(s.tooth, s.what) for s in seen_in(log.log, ORDER)] == [(2, "chipped"), (4, "gone")]


def test_teeth_done_since_say_that_the_edge_still_cuts():
    log = Round()
    log.press("note", 2, edge="changed")
    for tooth in (1, 2, 3, 4, 5):
        log.press("done", tooth)
    found = seen_in(log.log, ORDER)
    assert [(s.tooth, s.what) for s in found] == [(2, "changed"), (5, "fine")]
    assert [bool(s.seq) for s in found] == [True, False]


def test_an_event_taken_back_says_nothing_of_the_edge():
    log = Round()
    gone = log.press("trouble", 3, edge="gone")
    log.press("undone", undoes=gone)
    assert seen_in(log.log, ORDER) == ()


def test_without_a_tooth_the_last_one_done_is_meant():
    log = Round()
    log.press("paused", edge="worn")  # nothing done yet: about no tooth
    log.press("done", 2)
    log.press("paused", edge="worn")
    assert [(s.tooth, s.what) for s in seen_in(log.log, ORDER)] == [(2, "worn")]


def test_an_edge_that_went_early_makes_the_round_less_sure():
    job, kit, plan = of_demo()
    order = order_of(job, plan)
    log = Round()
    before = reckon.cutter_life(life_of(job, kit.cutters[0], order, 62, 4))
    log.press("note", 23, edge="gone")
    after = reckon.cutter_life(life_of(job, kit.cutters[0], order, 62, 4, seen_in(log.log, order)))
    assert after.next_tooth == order.place(23) + 1
    assert after.finish.both < before.finish.both - 0.05
    # a fresh edge that is gone so soon speaks for chips
    assert after.chipping[0].chance_per_tooth > 2 * before.chipping[0].chance_per_tooth


@pytest.mark.parametrize("edges", [1, 3])
def test_what_the_kit_knows_of_an_edge_is_told(edges):
    job, kit, plan = of_demo()
    cutter = kit.cutters[0].model_copy(update={"edges": edges, "minutes": 80.0, "runout_mm": 0.02})
    asked = life_of(job, cutter, order_of(job, plan), 62, 4)
    assert asked["history"] == {"minutes": 80.0}
    assert asked["cutter"] == {"material": "carbide", "edges_per_cutter": edges, "runout_mm": 0.02}
