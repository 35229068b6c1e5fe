"""The sheet of heights and the sections say what the field says."""

from __future__ import annotations

import numpy as np
import pytest

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.front import front
from ringwright.cutting.lead_in import LeadIn, touched
from ringwright.cutting.pose import pose
from ringwright.cutting.sections import sections
from ringwright.cutting.surface import ToothedRing
from ringwright.gears.ring import RingGeometry

BODY = ToothedRing(RingGeometry("external", 127, 5.0), 60.0)
POSES = {
    "nodded": pose(tool_axis=[1, 0, -1], feed=[-1, 0, 0], tip=[337.5, 0, -1]),
    "plunged": pose(tool_axis=[0, 0, -1], feed=[0, 0, 1], tip=[322, 0, -10]),
    "leaning": pose(tool_axis=[1, 0.2, -1], feed=[-1, 0.1, 0.3], tip=[337.5, 0.5, -1]),
    "passed": pose(tool_axis=[1, 0, -1], feed=[0, 1, 0], tip=[337.5, 0, -1], depth=[-1, 0, 0]),
}
MILLS = {"flat": EndMill(6.0), "rounded": EndMill(6.0, 1.5), "ball": EndMill(6.0, 6.0)}


def set_up(mill: str, how: str) -> LeadIn:
    return touched(BODY, MILLS[mill], POSES[how], shift=False)


@pytest.mark.parametrize("mill", MILLS)
@pytest.mark.parametrize("how", POSES)
def test_the_sheet_gives_the_field_back(mill: str, how: str) -> None:
    at, rng = set_up(mill, how), np.random.default_rng(3)
    r, theta = rng.uniform(BODY.r_f - 3, BODY.r_a, 16000), rng.uniform(-1, 1, 16000) * BODY.pitch
    points = BODY.point(r, theta, rng.uniform(0, 8, 16000))
    wanted, got = at.field(points), front(at, 129, 129).reached(points)
    both = np.isfinite(wanted) & np.isfinite(got)
    assert both.sum() > 100
    assert (np.isfinite(wanted) != np.isfinite(got)).mean() < 2e-3  # only a hair along the sheet's ends
    far = np.abs(wanted[both] - got[both])
    assert np.quantile(far, 0.5) < 3e-3
    assert np.quantile(far, 0.95) < 0.1  # a chord across a steep stretch between two heights


def test_a_finer_sheet_is_a_truer_one() -> None:
    at, rng = set_up("ball", "leaning"), np.random.default_rng(4)
    points = BODY.point(rng.uniform(314, 322, 4000), rng.uniform(-0.5, 0.5, 4000) * BODY.pitch, rng.uniform(0, 6, 4000))
    wanted = at.field(points)

    def worst(n: int) -> float:
        got = front(at, n, n).reached(points)
        both = np.isfinite(got) & np.isfinite(wanted)
        return float(np.quantile(np.abs(got[both] - wanted[both]), 0.9))

    assert worst(129) < worst(33) / 4


def test_the_sections_show_the_lead_and_the_land_of_the_cut() -> None:
    at = set_up("flat", "nodded")
    cut = at.aim_lead(1.0).cut
    assert cut is not None
    unrolled, flank, end = sections(at, cut.infeed, finished=True)
    assert unrolled.left_low[[0, -1]] == pytest.approx([1.0, 1.0], abs=1e-5)
    assert np.interp(0.0, flank.x, flank.left_low) == pytest.approx(1.0, abs=0.01)
    assert flank.left_low[-1] == 0  # the nodded cutter passes over the tip
    at_reference = [np.interp(0.0, end.x, end.left_high), np.interp(0.0, end.x, end.left_low)]
    assert at_reference[0] - at_reference[1] == pytest.approx(cut.land_finished, abs=0.01)
    alone = sections(at, cut.infeed, finished=False)[2]
    left = np.interp(0.0, alone.x, alone.left_high) - np.interp(0.0, alone.x, alone.left_low)
    assert left == pytest.approx(cut.land_plus, abs=0.01)


def test_nothing_is_gone_before_touch_off() -> None:
    for section in sections(set_up("ball", "nodded"), -0.01, finished=True):
        assert section.left_low == pytest.approx(section.low)
        assert section.left_high == pytest.approx(section.high)


def test_the_lead_at_the_reference_circle_is_the_lead() -> None:
    at = set_up("rounded", "nodded")
    cut = at.cut(6.0)
    assert cut.leads.plus > 0.3
    assert at.leads(cut.infeed, BODY.r).plus == pytest.approx(cut.leads.plus, abs=1e-6)
    assert at.leads(-1.0, BODY.r).minus == 0.0
