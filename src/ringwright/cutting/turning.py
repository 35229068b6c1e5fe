"""Which way the edges go through the metal: climb or conventional, where the burr comes, how the cut pushes the ring.

A right-hand cutter turns clockwise seen from the spindle: an edge at the offset rho from its axis moves along
-u x rho. Where that runs with the cutter's own feed, edge and work meet head on: conventional; else it climbs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.pose import Pose

Array = NDArray[np.float64]
#: Cosine below which an edge goes neither with nor against a direction (our choice).
CLEAR = 0.05
#: Share of the edge's motion that has to leave through a boundary to raise a burr there (our choice).
BURR = 0.3


@dataclass(frozen=True, slots=True)
class FlankCut:
    """How one flank is cut: ``sense`` "climb", "conventional" or "across"; where burrs come; push along +t [-]."""

    sense: str
    burr: tuple[str, ...]
    push: float


@dataclass(frozen=True, slots=True)
class Turning:
    """Both flanks, None where one is not cut; ``push`` is the mean push on the ring along +t, -1 to 1."""

    plus: FlankCut | None
    minus: FlankCut | None

    @property
    def push(self) -> float:
        """Mean push of the edges on the ring along +t (clockwise), -1 to 1 [-]."""
        cut = [side.push for side in (self.plus, self.minus) if side is not None]
        return float(np.mean(cut)) if cut else 0.0


def edge_motion(pose: Pose, offset: Array, hand: int = 1) -> Array:
    """Direction in which an edge moves that stands ``offset`` [mm] from the axis; hand 1 right, -1 left; shape (3,).

    Zero on the axis itself.

    >>> from ringwright.cutting.pose import pose
    >>> edge_motion(pose([0, 0, -1], [-1, 0, 0], [0, 0, 0]), np.array([0.0, 5.0, 0.0])) + 0.0
    array([-1.,  0.,  0.])
    """
    v = -hand * np.cross(pose.u, offset)
    length = float(np.linalg.norm(v))
    return np.asarray(v / length) if length > 1e-12 else np.zeros(3)


def turning(at: LeadIn, infeed: float, hand: int = 1) -> Turning:
    """Senses, burrs and push of the cut at ``infeed`` [mm] from touch-off, at the end of its way."""
    return Turning(*(_flank(at, infeed, side, hand) for side in (1, -1)))


def _flank(at: LeadIn, infeed: float, side: int, hand: int) -> FlankCut | None:
    points = _engaged(at, infeed, side)
    if not len(points):
        return None
    moves = np.array([edge_motion(at.pose, _offset(at, p, infeed), hand) for p in points])
    mean = moves.mean(axis=0)
    along = float(mean @ at.pose.f)
    sense = "across" if abs(along) < CLEAR else "conventional" if along > 0 else "climb"
    out = float(at.body.ring.s)  # the tips of an internal ring lie inwards
    burr = [
        name
        for name, share in (
            ("entry_face", -mean[2]),
            ("flank", mean[2]),
            ("tip", out * mean[0]),
            ("root", -out * mean[0]),
        )
        if share > BURR
    ]
    return FlankCut(sense, tuple(burr), float(mean[1]))


def _engaged(at: LeadIn, infeed: float, side: int) -> Array:
    """Points of the flank's edge and reference line that the cutter is at when it has come to its infeed, (n, 3)."""
    body, j = at.body, 0 if side > 0 else -1
    lead = at.leads(infeed).plus if side > 0 else at.leads(infeed).minus
    rho = np.linspace(body.r_f, body.r_a, 25)
    edge = body.flank(j, -side, rho, np.zeros(25))
    line = body.flank(j, -side, np.full(9, body.r), np.linspace(0, lead, 9))
    points = np.concatenate([edge, line])
    return points[at.field(points) <= infeed]


def _offset(at: LeadIn, point: Array, infeed: float) -> Array:
    """From the cutter's axis to where it stands when it makes that point [mm], (3,)."""
    pose = at.pose
    q = point - at.tip_at_touch_off - infeed * pose.infeed
    if pose.d is None:
        return np.asarray(q - float(q @ pose.u) * pose.u)
    lean = pose.u - float(pose.u @ pose.f) * pose.f
    if float(np.linalg.norm(lean)) < 1e-9:
        return np.zeros(3)
    e1 = lean / np.linalg.norm(lean)
    e2 = np.cross(pose.f, e1)
    across = float(np.clip((q @ e2) / at.mill.R, -1, 1))
    low = e1 - float(e1 @ pose.u) * pose.u
    length = float(np.linalg.norm(low))
    low = low / length if length > 1e-9 else np.zeros(3)
    return np.asarray(at.mill.R * (across * e2 - np.sqrt(1 - across * across) * low))
