"""``cutter_life`` as the machinist meets it."""

import pytest

from ringwright import reckon
from ringwright.reckon import lasting

SOUND = {"first": 1, "last": 100, "hardness_hb": 220}
HARD = {"first": 101, "last": 115, "zone": "hard", "hardness_hb": 420}


def _ask(stretches=(SOUND, HARD), **more):
    asked = {"cutter": {"material": "carbide"}, "speed_m_min": 90, "seconds_per_tooth": 20, **more}
    return reckon.cutter_life({"stretches": list(stretches), **asked})


def _codes(answer):
    return {n.code for n in answer.notes}


def _print(HB):
    asked = {
        "cutter": {"diameter_mm": 12, "flutes": 4, "material": "carbide"},
        "hardness": {"value": HB, "scale": "HB"},
    }
    return reckon.cutting_data({**asked, "machine_share": 1.0}).speed_m_min


def test_hard_teeth_come_last_and_the_count_never_jumps_back():
    got = _ask(
        [{"first": 30, "last": 40, "zone": "weld_start_stop"}, {"first": 1, "last": 29}, {"first": 41, "last": 60}]
    )

    assert [lap.teeth for lap in got.laps] == [(*range(1, 30), *range(41, 61)), tuple(range(30, 41))]
    assert got.change[-1].after_tooth == 60
    assert got.change[-1].why == "lap"
    counted = _ask([{"first": 30, "last": 40, "zone": "hard"}, {"first": 1, "last": 29}], laps="as_counted")
    assert [lap.teeth for lap in counted.laps] == [tuple(range(1, 41))]


def test_the_chance_to_finish_is_neither_of_the_two_alone():
    got = _ask().finish

    assert got.both < min(got.wear_alone, got.chipping_alone)
    assert got.both >= got.wear_alone * got.chipping_alone - 0.01
    assert "lesser_of_two" in _codes(_ask())


def test_grinding_the_hard_teeth_first_is_worth_something():
    got = _ask()

    assert got.finish_without_hard.both > got.finish.both
    assert _ask([SOUND]).finish_without_hard is None


def test_above_fifty_rockwell_or_where_a_file_skates_grinding_is_advised():
    hard = _ask([SOUND, {**HARD, "hardness_hb": 500}])
    skates = _ask([SOUND, {"first": 101, "last": 103, "zone": "sound", "hardness_hb": 220, "file_skates": True}])

    assert hard.grind_first == tuple(range(101, 116))
    assert skates.grind_first == (101, 102, 103)
    assert any(line.startswith("Grind 3 teeth first") for line in skates.advice)
    assert _ask().grind_first == ()


def test_edges_are_changed_before_wear_takes_them():
    got = _ask(history={"minutes": 12, "same_steel": True})

    wear = [change for change in got.change if change.why == "wear"]
    assert len(wear) >= 2
    assert all(change.says for change in wear)
    assert got.edges.p50 >= len(got.change) + 1
    assert got.edges.p50 <= got.edges.p90 <= got.edges.at_confidence + 1


def test_more_confidence_wants_more_edges_and_corners_save_cutters():
    few, many = (_ask(confidence=c, history={"minutes": 12}).edges.at_confidence for c in (0.6, 0.99))
    assert few < many
    got = _ask(cutter={"material": "carbide", "edges_per_cutter": 3}, history={"minutes": 12})
    assert got.cutters == -(-got.edges.at_confidence // 3)
    assert "one_edge_each" not in _codes(got)


def test_chances_of_edges_rise_to_nearly_one():
    chances = [c.chance for c in _ask().edges.chances]

    assert chances == sorted(chances)
    assert chances[-1] >= 0.99


@pytest.mark.parametrize("what", ["worn", "chipped", "gone"])
def test_an_edge_lost_early_lowers_hope_and_a_fine_one_raises_it(what):
    before = _ask([SOUND])
    lost = _ask([SOUND], seen=[{"tooth": 12, "what": what}])
    fine = _ask([SOUND], seen=[{"tooth": 60, "what": "fine"}])

    assert lost.teeth_per_edge.p90 < before.teeth_per_edge.p90
    assert fine.finish.both > before.finish.both
    assert lost.next_tooth == 13
    assert fine.teeth_left == 40


def test_a_slower_speed_lasts_longer_but_not_without_end():
    lives = [_ask([SOUND], speed_m_min=v).wear.median_min for v in (20, 60, 90, 110, 200)]

    assert lives[0] == lives[1] == pytest.approx(135, rel=0.01)  # three times 45 min and no more
    assert lives[1] > lives[2] > lives[3] > lives[4]
    at_print = _ask([SOUND], speed_m_min=_print(220)).wear.median_min
    assert at_print == pytest.approx(45, rel=0.01)


def test_runout_shortens_the_life():
    true, out = (_ask(cutter={"material": "carbide", "runout_mm": r}).wear.median_min for r in (0, 0.0254))
    assert out == pytest.approx(0.9**10 * true, rel=0.01)
    assert "runs_true" in _codes(_ask())


def test_weld_counts_twice_in_minutes():
    weld = _ask([{**SOUND, "zone": "weld_start_stop"}], working=True)
    sound = _ask([SOUND], working=True)

    minutes = [next(w.value for w in a.working if w.symbol == "t") for a in (weld, sound)]
    same_hardness = (_print(200) / _print(220)) ** 4  # sound is 200 HB where no sound stretch says
    assert minutes[0] == pytest.approx(2 * minutes[1] * same_hardness)


def test_what_the_kit_knows_of_chips_outweighs_the_guess():
    known = _ask([SOUND], chipping=[{"zone": "sound", "entered": 5000, "chipped": 100}])

    assert known.chipping[0].chance_per_tooth == pytest.approx(0.02, rel=0.1)
    assert known.chipping[0].high / known.chipping[0].low < 1.5
    wide = _ask([SOUND]).chipping[0]
    assert wide.high / wide.low > 20


def test_every_default_is_a_note():
    used = {"confidence_used", "laps_used", "one_edge_each", "runs_true", "life_from_print"}
    assert used <= _codes(_ask())
    assert "hardness_used" in _codes(_ask([{"first": 1, "last": 9}]))
    told = _ask(
        cutter={"material": "carbide", "edges_per_cutter": 1, "runout_mm": 0},
        confidence=0.9,
        laps="hard_last",
        history={"minutes": 40},
    )
    assert not (used | {"hardness_used"}) & _codes(told)


def test_the_same_request_has_the_same_answer():
    seen = [{"tooth": 30, "what": "gone"}]
    one = _ask(seen=seen)

    lasting._answered.cache_clear()
    assert _ask(seen=seen) == one


def test_high_speed_steel_chips_less_and_wears_sooner():
    hss = _ask([{**SOUND, "hardness_hb": 150}], cutter={"material": "hss"}, speed_m_min=40)
    carbide = _ask([{**SOUND, "hardness_hb": 150}], speed_m_min=40)

    assert hss.chipping[0].chance_per_tooth < carbide.chipping[0].chance_per_tooth
    assert hss.wear.median_min < carbide.wear.median_min
