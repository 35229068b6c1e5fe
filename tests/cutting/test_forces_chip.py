"""Forces along the real chip section: against closed forms on plain blocks, and laws on a ring."""

from math import acos, cos, pi, radians, sin

import numpy as np
import pytest

from ringwright.cutting import chip, data, forces
from ringwright.cutting.chip import Law, Running
from ringwright.cutting.cutter import Dovetail, EndMill
from ringwright.cutting.lead_in import touched
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.errors import OutOfRange, Refusal
from ringwright.gears.ring import RingGeometry

FLAT = EndMill(6.0)
UP = pose([0, 0, 1], [1, 0, 0], [0, 0, 0])
ZERO = np.zeros(3)
PLAIN = forces.Steel(2000.0, 0.0, 0.1)
C45 = forces.of_grade("C45")


def _slot(p):
    return (p[..., 2] >= 0) & (p[..., 2] <= 3)


def _side(p):
    return _slot(p) & (p[..., 1] <= -6 + 2.4)


def _load(metal, running, law, mill=FLAT, where=UP, high=6.0):
    return chip.load(metal, mill, where, ZERO, running, law, high)


def test_a_full_slot_against_the_integral_of_the_law():
    """One edge: int over half a turn of k_c(h) h b; four edges share the turn."""
    got = _load(_slot, Running(4, 0.04, 1591.5), Law(C45, 1.5, 0.0))
    phi = (np.arange(20_000) + 0.5) * pi / 20_000
    h = 0.04 * np.sin(phi)
    one = (2220 * np.maximum(h, 0.03) ** -0.14 * h * 3 * 1.5).sum() * pi / 20_000
    assert got.torque == pytest.approx(one * 4 / (2 * pi) * 6, rel=0.01)
    assert got.section == pytest.approx(36, rel=0.01)
    assert got.chip == pytest.approx(0.04, rel=1e-3)
    assert got.arc == pytest.approx(pi, abs=2 * 2 * pi / 180)


def test_the_worked_slot_within_what_the_mean_chip_hides():
    """0.956 kW from the mean chip, law carried on below 0.03 mm; here the law stands still there and h varies."""
    factor = forces.corrections(C45, 60, C45.gamma_ref, 1.3)
    got = _load(_slot, Running(4, 0.04, 1591.5), Law(C45, factor, 0.4))
    assert got.power(1591.5) == pytest.approx(0.956, rel=0.05)


def test_without_the_rise_of_thin_chips_power_is_force_times_metal_removed():
    got = _load(_side, Running(4, 0.04, 1591.5), Law(PLAIN, 1.0, 0.0))
    assert got.power(1591.5) == pytest.approx(3 * 2.4 * 1591.5 * 4 * 0.04 * 2000 / 60e6, rel=0.01)
    assert got.section == pytest.approx(7.2, rel=0.01)


def test_peak_over_mean_with_one_edge_in_the_cut():
    got = _load(_side, Running(4, 0.04, 1591.5), Law(PLAIN, 1.0, 0.0))
    assert got.torque_peak / got.torque == pytest.approx(data.peak_to_mean(0.2, 4), rel=0.02)
    assert got.chip == pytest.approx(0.04 * sin(acos(0.6)), rel=0.03)


def test_mean_force_of_a_slot_in_the_frame():
    """Straight edges, k_c constant: along the feed K_r h sin^2, across it -h sin^2, integrated over half a turn."""
    got = _load(_slot, Running(2, 0.04, 1000), Law(PLAIN, 1.0, 0.5))
    strength = 2000 * 0.04 * 3 * 2 / (2 * pi) * pi / 2  # k_c f_z b z/(2 pi) times int sin^2
    assert got.mean == pytest.approx([0.5 * strength, -strength, 0], abs=0.01 * strength)


def test_clockwise_seen_from_the_spindle():
    """Metal on the right of the way is climbed by a clockwise cutter: its edges there run against the feed."""
    right = _load(lambda p: _slot(p) & (p[..., 1] <= -3.6), Running(4, 0.04, 1000), Law(PLAIN, 1.0, 0.0))
    left = _load(lambda p: _slot(p) & (p[..., 1] >= 3.6), Running(4, 0.04, 1000), Law(PLAIN, 1.0, 0.0))
    assert right.mean[0] < 0 < left.mean[0]


def test_a_helix_evens_out_and_keeps_the_mean():
    straight = _load(_side, Running(4, 0.04, 1591.5), Law(PLAIN, 1.0, 0.4))
    helical = _load(_side, Running(4, 0.04, 1591.5, helix=radians(45)), Law(PLAIN, 1.0, 0.4))
    assert helical.torque == pytest.approx(straight.torque)
    assert helical.torque_peak < straight.torque_peak


def test_helix_draws_the_metal_towards_the_spindle():
    got = _load(_side, Running(4, 0.04, 1591.5), Law(PLAIN, 1.0, 0.4, axial=0.43))
    assert got.mean[2] > 0


def test_runout_loads_one_edge_more():
    true = _load(_side, Running(4, 0.04, 1591.5), Law(PLAIN, 1.0, 0.0))
    out = _load(_side, Running(4, 0.04, 1591.5, tir=0.02), Law(PLAIN, 1.0, 0.0))
    assert out.torque_peak == pytest.approx(1.5 * true.torque_peak, rel=1e-9)
    assert out.torque == true.torque
    assert out.chip == pytest.approx(1.5 * true.chip)


def test_plunging_straight_down_cuts_with_the_whole_end():
    down = pose([0, 0, 1], [0, 0, -1], [0, 0, 0])
    got = chip.load(lambda p: p[..., 2] < 1, FLAT, down, ZERO, Running(2, 0.03, 800), Law(PLAIN, 1.0, 0.0), 6.0)
    assert got.section == pytest.approx(pi * 36, rel=0.01)
    assert got.chip == pytest.approx(0.03)
    assert got.mean == pytest.approx([0, 0, 0], abs=1e-9)


@pytest.mark.parametrize("c", [0.0, 2.0, 6.0])
def test_section_is_the_shadow_of_the_end(c):
    """A cutter of any end, sunk by 6 in a full slot: its shadow along the feed."""
    got = _load(
        lambda p: (p[..., 2] >= 0) & (p[..., 2] <= 6), Running(4, 0.05, 1000), Law(PLAIN, 1.0, 0.0), EndMill(6.0, c)
    )
    assert got.section == pytest.approx(72 - (2 - pi / 2) * c * c, rel=0.02)


def test_outline_of_a_dovetail_is_its_own_surface():
    mill = Dovetail(10.0, radians(60), 6.0)
    at, normal, length = chip.outline(mill.solid, 20.0)
    side = normal[:, 0] > 0.1
    assert length[side].sum() == pytest.approx(6 / sin(radians(60)), rel=1e-6)
    assert normal[side] == pytest.approx(np.tile([sin(radians(60)), cos(radians(60))], (side.sum(), 1)))
    assert np.hypot(normal[:, 0], normal[:, 1]) == pytest.approx(np.ones(len(at)))


def test_air_is_no_load():
    assert _load(lambda p: np.zeros(p.shape[:-1], dtype=bool), Running(4, 0.04, 1000), Law(PLAIN, 1.0, 0.0)) is None


@pytest.mark.parametrize(
    ("more", "symbol"),
    [({"z": 0}, "z"), ({"f_z": 0.0}, "f_z"), ({"n": 0}, "n"), ({"tir": 3}, "tir"), ({"helix": 2}, "helix")],
)
def test_a_cutter_that_cannot_run(more, symbol):
    with pytest.raises(OutOfRange) as refused:
        Running(**{"z": 4, "f_z": 0.04, "n": 1000, **more})
    assert refused.value.symbol == symbol


BODY = ToothedRing(RingGeometry("external", 127, 5.0), 60.0)
RUN = Running(4, 0.036, 1320, helix=radians(30))
LAW = Law(C45, 1.5, 0.4, 0.43)


@pytest.fixture(scope="module")
def example():
    return touched(BODY, FLAT, pose([1, 0, -1], [-1, 0, 0], [337.5, 0, -1]), shift=False)


INTERNAL = ToothedRing(RingGeometry("internal", 127, 5.0), 60.0)
HELICAL = ToothedRing(RingGeometry("external", 90, 5.0, beta=radians(20)), 40.0)


@pytest.mark.parametrize(
    ("body", "mill", "stands", "infeed"),
    [
        (BODY, FLAT, ([1, 0, -1], [-1, 0, 0], [337.5, 0, -1]), 5.7),
        (BODY, EndMill(6.0, 2.0), ([1, 0, -1], [-1, 0, 0.3], [337.5, 0.4, -1]), 4.0),
        (BODY, EndMill(5.0, 5.0), ([1, 0.2, -1], [-1, 0, 0], [337.5, 0, 0]), 4.0),
        (BODY, Dovetail(8.0, radians(60), 6.0), ([0, 0, -1], [-1, 0, 0], [340, 0, 4]), 4.0),
        (INTERNAL, FLAT, ([-0.3, 0, -1], [0, 0, 1], [316, 0, -5]), 3.0),
        (HELICAL, FLAT, ([1, 0, -1], [-1, 0, 0], [260, 0, -1]), 5.0),
    ],
)
def test_sections_along_the_infeed_add_up_to_what_the_field_removes(body, mill, stands, infeed):
    at, metal = touched(body, mill, pose(*stands), shift=False), chip.ring_metal(body)
    ways = (np.arange(30) + 0.5) * infeed / 30
    tips = at.tip_at_touch_off + ways[:, None] * at.pose.f
    found = [chip.load(metal, mill, at.pose, tip, RUN, LAW, 24.0) for tip in tips]
    swept = sum(one.section for one in found if one is not None) * infeed / 30
    step = 0.25
    axes = [np.arange(lo, hi, step) for lo, hi in ((body.r - 8, body.r + 8), (-14, 14), (0, 10))]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    grid = grid + step * np.random.default_rng(3).random(grid.shape)  # one point somewhere in each cell
    removed = (at.field(grid[metal(grid)]) <= infeed).sum() * step**3
    assert swept == pytest.approx(removed, rel=0.03)


def test_what_the_space_before_took_is_not_cut_again():
    """A cutter so wide that neighbouring cuts overlap; the small one leaves land between them and shows no change."""
    at = touched(BODY, EndMill(20.0), pose([1, 0, -1], [-1, 0, 0], [337.5, 0, -1]), shift=False)
    alone = chip.heaviest(at, 4.0, RUN, LAW, neighbour_cut=False)[0]
    after = chip.heaviest(at, 4.0, RUN, LAW)[0]
    assert after.section < alone.section
    assert np.linalg.norm(after.peak) <= 1.01 * np.linalg.norm(alone.peak)


def test_a_deeper_cut_loads_no_less_and_needs_metal(example):
    loads = [np.linalg.norm(chip.heaviest(example, s, RUN, LAW)[0].peak) for s in (1.0, 3.0, 5.713)]
    assert loads[0] < loads[1] < loads[2]
    with pytest.raises(Refusal):
        chip.heaviest(example, 0.0, RUN, LAW)[0]


def test_moment_about_the_ring_is_no_more_than_force_times_tip_radius(example):
    got = chip.heaviest(example, 5.713, RUN, LAW)[0]
    least, mean, most = got.turning
    assert least <= mean <= most
    assert max(-least, most) <= np.linalg.norm(got.peak) * 345 * 1.001


def test_a_pass_across_with_the_depth_locked_has_a_load_too():
    at = touched(BODY, FLAT, pose([1, 0, -1], [0, 1, 0], [337.5, 0, -1], [-1, 0, 0]), shift=False)
    got = chip.heaviest(at, 3.0, RUN, LAW)[0]
    assert got.section > 0
    assert np.linalg.norm(got.peak) > np.linalg.norm(got.mean) > 0
