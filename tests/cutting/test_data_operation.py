"""``cutting_data`` as the machinist meets it."""

import pytest

from ringwright import reckon
from ringwright.reckon.base import Problems

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


CUT = {
    "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
    "target": {"lead_length_mm": 1.0},
}


def _forces(**more):
    return _ask(speeds_rpm=[660, 1320], cut={**CUT, **more})


def test_a_file_that_skates_means_grind():
    got = reckon.cutting_data({"cutter": CARBIDE, "hardness": {"scale": "file", "skates_hrc": 40, "bites_hrc": 45}})

    assert any("grind" in line for line in got.advice)
    assert got.speed_m_min == pytest.approx(
        reckon.cutting_data({"cutter": CARBIDE, "hardness": {"value": 47, "scale": "HRC"}}).speed_m_min
    )
    assert "file_interval" in _codes(got)


def test_a_rebound_reading_is_said_to_read_low():
    got = reckon.cutting_data({"cutter": CARBIDE, "hardness": {"value": 603, "scale": "HLD"}})

    assert "rebound_reads_low" in _codes(got)
    assert got.hardness_hb.high - got.hardness_hb.low > 30


def test_a_worn_edge_pushes_harder_and_a_sharp_one_less():
    sharp, usual, worn = (_forces(wear=w).forces for w in ("sharp", "usual", "worn"))

    assert sharp.torque_nm.likely < usual.torque_nm.likely < worn.torque_nm.likely
    assert worn.torque_nm.likely == pytest.approx(1.5 * sharp.torque_nm.likely)
    assert usual.peak_n.low < usual.peak_n.likely < usual.peak_n.high


def test_the_other_approach_seats_the_worm():
    assert _forces(last_move="clockwise").forces.turning.worm == "unseats"
    assert _forces(last_move="counterclockwise").forces.turning.worm == "seats"
    assert _forces().forces.turning.worm is None


def test_a_long_thin_cutter_bends_more_and_may_break():
    held = [_forces(held={"stick_out_mm": L}).forces.bending for L in (36, 72)]

    assert held[1].tip_um == pytest.approx(8 * held[0].tip_um)
    assert held[1].land_error_mm > held[0].land_error_mm > 0
    assert held[0].with_holder_um == pytest.approx(2.5 * held[0].tip_um)
    assert "stick_out_long" in _codes(_forces(held={"stick_out_mm": 72}))
    assert "cutter_may_break" in _codes(_forces(held={"stick_out_mm": 150}))


def test_a_weak_motor_is_named_and_a_strong_one_is_not():
    assert "motor_weak" in _codes(_forces(motor={"power_kw": 0.1}))
    assert "motor_weak" not in _codes(_forces(motor={"power_kw": 1.5}))


def test_power_is_what_the_steps_allow():
    fast = _forces().forces
    slow = _ask(speeds_rpm=[660], cut=CUT).forces

    factor = 2**-0.153  # the speed factor between half and full speed, below 100 m/min
    assert slow.power_kw.likely == pytest.approx(fast.power_kw.likely / 2 / factor)


def test_runout_takes_more_than_its_share():
    got = _forces(runout_mm=0.02)

    assert "runout_great" in _codes(got)
    assert got.forces.peak_n.likely > _forces().forces.peak_n.likely


def test_every_default_of_the_cut_is_a_note():
    used = {"wear_used", "rake_deg_used", "helix_deg_used", "runout_mm_used", "space_before_cut_used"}

    assert used <= _codes(_forces())
    told = _forces(wear="usual", rake_deg=6, helix_deg=30, runout_mm=0, space_before_cut=True)
    assert not used & _codes(told)


def test_a_rounded_corner_is_called_alike_in_speed_and_cut():
    """Either name, the same forces; and either is said to be rounded."""
    pose = {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]}
    ring = {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60}
    found = []
    for kind in ("bull", "flat"):
        mill = {"kind": kind, "diameter_mm": 12, "corner_radius_mm": 1}
        answer = reckon.cutting_data(
            {
                "cutter": {**mill, "flutes": 4, "material": "carbide"},
                "hardness": {"value": 250, "scale": "HB"},
                "cut": {"ring": ring, "cutter": mill, "pose": pose, "target": {"lead_length_mm": 1}},
            }
        )
        assert "rounded" in {n.code for n in answer.notes}
        found.append(answer.forces)
    assert found[0] == found[1]
    too_round = {**CARBIDE, "kind": "bull", "corner_radius_mm": 7}
    with pytest.raises(Problems) as refused:
        reckon.cutting_data({"cutter": too_round, "hardness": {"value": 250, "scale": "HB"}})
    assert refused.value.problems[0].code == "corner_radius_too_great"
