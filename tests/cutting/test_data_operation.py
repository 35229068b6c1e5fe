"""``cutting_data`` as the machinist meets it."""

import pytest

from ringwright import reckon

CARBIDE = {"diameter_mm": 12, "flutes": 4, "material": "carbide"}


def _ask(**more):
    return reckon.cutting_data({"cutter": CARBIDE, "hardness": {"value": 250, "scale": "HB"}, **more})


def _codes(answer):
    return {n.code for n in answer.notes}


def test_steps_are_at_or_below_and_the_feed_follows_the_spindle():
    got = _ask(speeds_rpm=[80, 660, 1320, 1750], feeds_mm_min=[20, 45, 100, 150, 400])

    assert got.spindle_rpm.set == 1320 < got.spindle_rpm.ideal
    assert got.feed_mm_min.ideal == pytest.approx(1320 * 4 * got.feed_per_tooth_mm)
    assert got.feed_mm_min.set == 150
    assert got.feed_per_tooth_as_set_mm == pytest.approx(150 / 1320 / 4)


def test_a_machine_that_is_too_quick_says_so():
    got = _ask(speeds_rpm=[2000, 4000])

    assert got.spindle_rpm.set == 2000
    assert "slowest_too_fast" in _codes(got)
    assert "slowest_too_fast" not in _codes(_ask(speeds_rpm=[1500, 4000]))


def test_little_of_a_tooth_is_cutting():
    got = _ask(engagement="light", feed_travel_mm=26, teeth=100)

    assert got.cutting_share is not None
    assert 0.03 < got.cutting_share < 0.12
    assert got.round_minutes is not None
    assert 100 < got.round_minutes < 150


def test_weld_slows_down_and_warns():
    sound, weld = _ask(condition="sound"), _ask(condition="weld")

    assert weld.speed_m_min == pytest.approx(0.6 * sound.speed_m_min)
    assert {"weld_uneven", "zone_share_used"} <= _codes(weld)


def test_above_fifty_rockwell_grinding_is_advised():
    hard = reckon.cutting_data({"cutter": CARBIDE, "hardness": {"value": 55, "scale": "HRC"}})
    soft = _ask()

    assert any("grind" in line for line in hard.advice)
    assert not any("grind" in line for line in soft.advice)
    assert "speed_carried_on" in _codes(hard)
    assert hard.hardness_hb.low < 560 == hard.hardness_hb.likely < hard.hardness_hb.high


def test_every_default_is_a_note_and_a_given_value_is_none():
    assert {"engagement_used", "condition_used", "machine_share_used"} <= _codes(_ask())
    told = _ask(engagement="heavy", condition="sound", machine_share=0.5)
    assert not {"engagement_used", "condition_used", "machine_share_used"} & _codes(told)
    assert told.speed_m_min == pytest.approx(50)


def test_a_feed_step_that_rubs_is_seen():
    assert "edge_rubs" in _codes(_ask(speeds_rpm=[1320], feeds_mm_min=[20]))
    assert "edge_rubs" not in _codes(_ask(speeds_rpm=[1320], feeds_mm_min=[150]))


@pytest.mark.parametrize("material", ["hss", "hss_cobalt"])
def test_cobalt_gains_a_fifth(material):
    got = reckon.cutting_data({"cutter": {**CARBIDE, "material": material}, "hardness": {"value": 150, "scale": "HB"}})
    assert got.speed_m_min == pytest.approx(30.5 * (1.2 if material == "hss_cobalt" else 1))
    assert "feed_from_carbide" in _codes(got)


def test_inches_come_in_as_text():
    inch = reckon.cutting_data(
        {"cutter": {**CARBIDE, "diameter_mm": "1/2 in"}, "hardness": {"value": 250, "scale": "HB"}}
    )
    assert inch.spindle_rpm.ideal == pytest.approx(60_000 / 3.141592653589793 / 12.7)
