"""What a lead-in is asked for, as the core seeks it, and the second unknown beside the infeed."""

from __future__ import annotations

from collections.abc import Callable
from math import radians
from typing import Literal

import numpy as np

from ringwright.cutting.lead_in import EVER, Aim, Cut, LeadIn, touched
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.unknown import Solved, solve
from ringwright.errors import Refusal
from ringwright.reckon.leading_cutters import Cutter, core_cutter
from ringwright.reckon.leading_models import AskedPose, LeadInRequest, Target
from ringwright.reckon.measuring import core_ring

#: How far the second unknown is looked for on either side of what was given [deg] or [modules] (our choice).
#: Lengths below this count as nothing [mm].
NOTHING = 0.005
HEAD_SPAN, PLACE_SPAN, CENTRE_SPAN = 30.0, 2.0, 0.5


def seeker(target: Target) -> Callable[[LeadIn, bool], Aim]:
    """How a set-up is asked for the target; the flag asks what lies around it if it is not reached."""
    lead, land, infeed = target.lead, target.land, target.infeed_mm
    tip, root = target.bevel_tip_mm, target.bevel_root_mm
    if lead is not None:
        return lambda here, best: here.aim_lead(lead, best=best)
    if land is not None:
        return lambda here, best: here.aim_land(land, best=best)
    if tip is not None:
        return lambda here, best: here.aim_lead(tip, rho=here.body.r_a, best=best)
    if root is not None:
        return lambda here, best: here.aim_lead(root, rho=here.body.r_form, best=best)
    assert infeed is not None  # _one holds
    return lambda here, best: Aim(here.cut(infeed), None, None)


def could(target: Target) -> Callable[[LeadIn], bool]:
    """Whether a set-up could have the target at some infeed, asked without its touch-off."""
    if target.infeed_mm is not None:
        return lambda here: True
    if target.land is not None:
        land = target.land
        return lambda here: here.land(EVER) <= land
    wished, rho = _lead_wished(target)
    return lambda here: here.leads(EVER, rho(here)).least >= wished


def stands_still(at: LeadIn, target: Target, cut: Cut | None) -> Literal["land", "lead"] | None:
    """What stands still in infeed although it was asked for: the cutter's diameter sets it, or its place."""
    if cut is not None or target.infeed_mm is not None:
        return None
    what: Literal["land", "lead"] = "land" if target.land is not None else "lead"
    values = [at.land(s) if what == "land" else at.leads(s).least for s in (0.05, 1.0, 5.0)]
    return what if max(values) - min(values) < NOTHING else None


def _lead_wished(target: Target) -> tuple[float, Callable[[LeadIn], float | None]]:
    """The lead that is wished and the radius on which."""
    if target.bevel_tip_mm is not None:
        return target.bevel_tip_mm, lambda here: here.body.r_a
    if target.bevel_root_mm is not None:
        return target.bevel_root_mm, lambda here: here.body.r_form
    return target.lead or 0.0, lambda here: None


def _off(target: Target) -> Callable[[LeadIn, Cut], float]:
    """By how much a cut misses a wish; positive: it takes too much."""
    if target.land is not None:
        land = target.land
        return lambda here, cut: land - cut.land_finished
    if target.infeed_mm is not None:
        infeed = target.infeed_mm
        return lambda here, cut: cut.infeed - infeed
    wished, rho = _lead_wished(target)
    return lambda here, cut: here.leads(cut.infeed, rho(here)).least - wished


def _second(asked: LeadInRequest) -> Callable[[LeadIn, Cut], float]:
    if asked.also is not None:
        return _off(asked.also)
    if asked.target.given is not None and asked.target.given.end_land_finished_mm is not None:
        land = asked.target.given.end_land_finished_mm
        return lambda here, cut: land - cut.land_finished
    return _alike


def _alike(here: LeadIn, cut: Cut) -> float:
    """How much further the flank at +t is cut, in lead and land together: the end face alone may set both leads."""
    return cut.leads.plus - cut.leads.minus + cut.land_minus - cut.land_plus


def second_unknown(asked: LeadInRequest, core_pose: Callable[[AskedPose], Pose]) -> tuple[Cutter | None, Solved | None]:
    """The cutter chosen from the kit, or the unknown's value with its set-up and cut; None where there is none."""
    if asked.ring.face_width_mm is None:
        raise Refusal("face_width_for_lead", "b")
    ring = core_ring(asked.ring)
    body, here = ToothedRing(ring, asked.ring.face_width_mm), core_pose(asked.pose)
    if asked.solve_for == "cutter":
        return _from_kit(asked, body, here)
    poses, span, present = _poses(asked, body, here, core_pose)
    aim = seeker(asked.target)
    mill = core_cutter(asked.cutter, ring)
    return None, solve(body, mill, poses, lambda at: aim(at, False), _second(asked), span, present)


def _from_kit(asked: LeadInRequest, body: ToothedRing, here: Pose) -> tuple[Cutter | None, Solved | None]:
    """The first cutter of the kit, nearest in diameter to the one given, that reaches the target."""
    aim = seeker(asked.target)
    for cutter in sorted(asked.cutters, key=lambda c: abs(c.diameter_mm - asked.cutter.diameter_mm)):
        try:
            at = touched(body, core_cutter(cutter, body.ring), here, shift=False)
        except Refusal:
            continue
        cut = aim(at, False).cut
        if cut is not None:
            return cutter, Solved(cutter.diameter_mm, at, cut)
    return None, None


def _poses(
    asked: LeadInRequest, body: ToothedRing, here: Pose, core_pose: Callable[[AskedPose], Pose]
) -> tuple[Callable[[float], Pose], tuple[float, float], float]:
    """The pose for each value of the unknown, in mm or degrees; where to look; what was given."""
    m = body.ring.m_n
    if asked.solve_for in ("nod_deg", "tilt_deg"):
        present = float(getattr(asked.pose, asked.solve_for) or 0.0)
        change = asked.solve_for
        head = lambda value: core_pose(asked.pose.model_copy(update={change: value}))  # noqa: E731
        return head, (present - HEAD_SPAN, present + HEAD_SPAN), present
    if asked.solve_for == "tip_offset_t":
        way = np.array([0.0, 1.0, 0.0])
        present, span = float(here.tip[1]), CENTRE_SPAN * m
    else:
        k = locked_axis(here)
        way = np.eye(3)[k] - here.infeed[k] * here.infeed
        way = way / way[k]
        present, span = float(here.tip[k]), PLACE_SPAN * m
    return lambda value: here.moved((value - present) * way), (present - span, present + span), present


def locked_axis(here: Pose) -> int:
    """Index of the coordinate (0 = r, 2 = a) that the infeed changes less."""
    return 0 if abs(float(here.infeed[0])) < abs(float(here.infeed[2])) else 2


def head_radians(asked: AskedPose) -> dict[str, float]:
    """Angles of the head that are not nought [rad]."""
    angles = {"nod": radians(asked.nod_deg or 0.0), "tilt": radians(asked.tilt_deg or 0.0)}
    return {name: value for name, value in angles.items() if value}
