"""What small errors of the set-up do to the cut, and what would reach a target that this set-up does not reach."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import radians

import numpy as np

from ringwright.cutting.cutter import Cutter
from ringwright.cutting.lead_in import EVER, Aim, Cut, LeadIn, touched
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import ToothedRing
from ringwright.errors import Refusal

#: Errors looked at: name -> amount in mm, or rad for the nod (common practice, our choice of amounts).
ERRORS: dict[str, float] = {
    "tip_radial": 0.05,
    "tip_axial": 0.05,
    "centre": 0.05,
    "nod": radians(0.5),
    "touch_off": 0.05,
    "cutter_diameter": -0.1,
    "tooth_thickness": -0.1,
}
_DIRECTION = {"tip_radial": 0, "centre": 1, "tip_axial": 2}
_DIAMETERS = (0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 14.0, 20.0)
_SHIFTS = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0)
_NODS = (2.5, 5.0, 10.0, 15.0, 20.0)


@dataclass(frozen=True, slots=True)
class Effect:
    """Change of the smaller lead and of the finished land [mm], None where the cut no longer exists."""

    name: str
    amount: float
    lead: float | None
    land: float | None


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the set-up that reaches the target: which, the new value in mm or rad, the infeed [mm]."""

    name: str
    value: float
    infeed: float


def effects(at: LeadIn, cut: Cut) -> list[Effect]:
    """What each of `ERRORS` does to the cut when touch-off is taken afresh and the same infeed is turned.

    Only ``touch_off`` itself is an error of the zero: 0.05 mm further in than meant. A smaller lead or a land that
    has grown is a change with its sign.
    """
    return [_effect(at, cut, name, amount) for name, amount in ERRORS.items()]


def _effect(at: LeadIn, cut: Cut, name: str, amount: float) -> Effect:
    infeed = cut.infeed
    try:
        if name == "touch_off":
            other, infeed = at, infeed + amount
        else:
            changed = _altered(at, name, amount)
            grids = at.grids if changed[0] is at.body else None
            other = touched(*changed, shift=False, grids=grids)
        return Effect(name, amount, other.leads(infeed).least - cut.leads.least, other.land(infeed) - cut.land_finished)
    except Refusal:
        return Effect(name, amount, None, None)


def _altered(at: LeadIn, name: str, amount: float) -> tuple[ToothedRing, Cutter, Pose]:
    body, mill, pose = at.body, at.mill, at.pose
    if name in _DIRECTION:
        by = np.zeros(3)
        by[_DIRECTION[name]] = amount
        pose = pose.moved(by)
    elif name == "nod":
        pose = pose.nodded(amount)
    elif name == "cutter_diameter":
        mill = mill.reground(amount)
    elif name == "tooth_thickness":
        ring = replace(body.ring, allowance=max(body.ring.allowance - amount, 0.0))
        body = ToothedRing(ring, body.b)
    return body, mill, pose


def would_reach(at: LeadIn, could: Callable[[LeadIn], bool], aim: Callable[[LeadIn], Aim]) -> list[Change]:
    """The least change of each kind, among a few steps each way, with which the target is reached.

    ``could`` is asked first, of a set-up that is not touched off: whether any infeed at all would do.
    """
    found = []
    for trials in (_diameters(at), _shifts(at), _nods(at)):
        for name, value, amount, kind in trials:
            try:
                other = _altered(at, kind, amount)
                cut = aim(touched(*other, shift=False, grids=at.grids)).cut if could(LeadIn(*other, at.touch)) else None
            except Refusal:
                continue
            if cut is not None:
                found.append(Change(name, value, cut.infeed))
                break
    return found


def diameter_for_land(at: LeadIn, land: float) -> float | None:
    """Diameter [mm] of this kind of cutter that leaves the finished land [mm] however far it goes, None if none does.

    For poses in which the infeed does not change the land, as a plunge along the ring's axis.
    """

    def left(by: float) -> float:
        return LeadIn(at.body, at.mill.reground(by), at.pose, at.touch).land(EVER) - land

    low, high = -1.8 * at.mill.R, 2 * at.body.pitch * at.body.r
    try:
        if left(low) < 0 or left(high) > 0:
            return None
        while high - low > 1e-9:
            middle = (low + high) / 2
            low, high = (middle, high) if left(middle) > 0 else (low, middle)
        return 2 * at.mill.R + high if abs(left(high)) < 1e-5 else None
    except Refusal:
        return None


def _diameters(at: LeadIn) -> Iterator[tuple[str, float, float, str]]:
    whole = 2 * at.mill.R
    for step in _DIAMETERS:
        for amount in (step, -step):
            if whole + amount > 0.2:
                yield "cutter_diameter", whole + amount, amount, "cutter_diameter"


def _shifts(at: LeadIn) -> Iterator[tuple[str, float, float, str]]:
    if abs(float(at.pose.infeed[2])) > 1 - 1e-9:  # fed along a: its place there is what the infeed changes
        return
    for step in _SHIFTS:
        for amount in (step, -step):
            yield "tip_axial", float(at.pose.tip[2]) + amount, amount, "tip_axial"


def _nods(at: LeadIn) -> Iterator[tuple[str, float, float, str]]:
    for step in _NODS:
        for amount in (step, -step):
            yield "nod", radians(amount), radians(amount), "nod"
