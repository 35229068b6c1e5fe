"""What a cut does besides its lead and land: bevel at tip and root, edge left sharp, root, rim and neighbours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.as_it_is import RingAsItIs, Tooth
from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.surface import RIM_MODULES, Lost
from ringwright.cutting.touch_off import Grids, first_on_worn

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bevel:
    """Depth in a [mm] to which the flanks at +t and -t are cut at one height."""

    plus: float
    minus: float


@dataclass(frozen=True, slots=True)
class Beside:
    """All lengths in mm.

    ``tip`` and ``root`` bevel where the involute ends; ``sharp_plus`` and ``sharp_minus`` length of the flank's edge
    at the entry face that stays sharp; ``nick`` depth below the root circle; ``neighbour`` depth in a to which a
    flank is cut that does not face this space.
    """

    tip: Bevel
    root: Bevel
    sharp_plus: float
    sharp_minus: float
    nick: float
    neighbour: float


def beside(at: LeadIn, infeed: float) -> Beside:
    """What the cut of this one space does at ``infeed`` [mm] from touch-off."""
    body = at.body
    return Beside(
        tip=Bevel(*at.leads(infeed, body.r_a)),
        root=Bevel(*at.leads(infeed, body.r_form)),
        sharp_plus=_sharp(at, infeed, 1),
        sharp_minus=_sharp(at, infeed, -1),
        nick=_nick(at, infeed),
        neighbour=_neighbour(at, infeed),
    )


def starts_at(at: LeadIn, corner: float) -> float | None:
    """Infeed from touch-off on the sound ring at which a ring with every tooth edge so worn is met [mm].

    ``corner`` [mm]: leg of the 45 degree corner that flank edges and the tip's end edge have lost. None: never.
    """
    if corner <= 0:
        return 0.0
    s = first_on_worn(at.grids_kept, at.mill, at.pose, Lost(corner, corner, 0.0))
    return None if s is None else max(s - at.zero, 0.0)


def meets_at(at: LeadIn, tooth: Tooth) -> float | None:
    """Infeed from touch-off on the sound ring at which such a tooth is met, below 0 sooner than a sound one [mm].

    It stands on both sides of the space, so that either of its flanks may come first. None: never.
    """
    ring = RingAsItIs(at.body.ring, at.body.b, {0: tooth, -1: tooth})
    s = first_on_worn(Grids(ring), at.mill, at.pose, Lost())
    return None if s is None else s - at.zero


def _sharp(at: LeadIn, infeed: float, side: int) -> float:
    body = at.body
    rho = np.linspace(body.r_f, body.r_a, 801)
    points = body.flank(0 if side > 0 else -1, -side, rho, 0 * rho)
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    kept = at.field((points[1:] + points[:-1]) / 2) > infeed
    return float(steps[kept].sum())


def _nick(at: LeadIn, infeed: float) -> float:
    """How far below the root circle the cutter goes, at any depth [mm]."""
    body = at.body
    depth = min(RIM_MODULES * body.ring.m_n, 0.9 * body.r_f)
    theta, a = body.pitch * np.linspace(-0.5, 0.5, 41), body.b * np.linspace(0, 1, 41) ** 2
    # what goes below the root circle goes through it: deeper only where that is reached
    through = np.argwhere(at.field(body.point(np.array(body.r_f), theta[:, None], a)) <= infeed)
    if not len(through):
        return 0.0
    theta, a = theta[through[:, 0]], a[through[:, 1]]
    down = np.linspace(0, depth, 121)
    reached = at.field(body.point(body.r_f - body.ring.s * down[:, None], theta, a)) <= infeed
    last = int(np.flatnonzero(reached.any(axis=1))[-1])
    if last + 1 == len(down):
        return float(depth)
    low, high = float(down[last]), float(down[last + 1])
    column = int(np.argmax(reached[last]))
    for _ in range(30):
        middle = (low + high) / 2
        point = body.point(np.array(body.r_f - body.ring.s * middle), theta[column], a[column])
        low, high = (middle, high) if float(at.field(point)) <= infeed else (low, middle)
    return low


def _neighbour(at: LeadIn, infeed: float) -> float:
    """Greatest depth a at which a flank is cut that faces another space [mm]."""
    body = at.body
    rho, few = np.linspace(body.r_f, body.r_a, 41)[:, None], np.linspace(body.r_f, body.r_a, 9)[:, None]
    a, sparse = body.b * np.linspace(0, 1, 240) ** 2, body.b * np.linspace(0, 1, 40) ** 2
    far = 0.0
    for j, side in ((0, 1), (-1, -1), (1, -1), (-2, 1), (1, 1), (-2, -1)):
        # where the cutter comes at all it comes over an edge, at the face or along the tip, or across the middle
        looks = ((rho, np.zeros(1)), (np.array([[body.r_a]]), a), (few, sparse))
        if not any((at.field(body.flank(j, side, *look)) <= infeed).any() for look in looks):
            continue
        some = np.flatnonzero((at.field(body.flank(j, side, rho, a)) <= infeed).any(axis=0))
        far = max(far, float(a[some[-1]]) if len(some) else 0.0)
    return far
