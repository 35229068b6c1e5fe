"""Better places to touch off than a worn edge: the end face, a sound tip, the root, a gauge laid on either."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import Cutter
from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.pose import Pose
from ringwright.cutting.solids import Bead

Vector = NDArray[np.float64]
#: A slide this far off square to a surface [cosine] does not set the distance from it.
_SQUARE = 0.1


@dataclass(frozen=True, slots=True)
class Datum:
    """One surface to touch.

    ``on`` "end_face", "tip" or "root"; ``sets_infeed``: whether the infeed's own slide comes up against it, else it
    sets the cutter's place. ``offset`` [mm]: from that touch on to touch-off (along the infeed), or to the cutter's
    place (square to the surface, positive away from the metal). ``infeed`` [mm]: from that touch to the finished cut.
    """

    on: str
    sets_infeed: bool
    offset: float
    infeed: float | None


def reach(mill: Cutter, u: Vector, n: Vector) -> float:
    """How far the cutter goes from its zero against the direction ``n`` [mm]; inf where it has no end that way.

    >>> from ringwright.cutting.cutter import EndMill
    >>> reach(EndMill(6.0), np.array([1.0, 0.0, -1.0]) / sqrt(2), np.array([1.0, 0.0, 0.0]))
    4.2426
    """
    cosine = float(u @ n)
    sine = sqrt(max(1 - cosine * cosine, 0.0))
    far = -inf
    for p in mill.solid.pieces:
        if isinstance(p, Bead):
            far = max(far, -p.h * cosine + p.r * sine + p.c)
            continue
        for h, r in ((p.h0, p.r0), (p.h1, p.r1)):
            if h != inf:
                far = max(far, -h * cosine + r * sine)
            elif cosine < -1e-12:
                return inf
    return far


def better_touch_offs(at: LeadIn, infeed: float, gauge: float = 0.0) -> list[Datum]:
    """Surfaces that can be touched instead of the first contact, with a flat gauge of ``gauge`` [mm] laid on them.

    The tip is taken as the flat that touches the tip circle in the middle of the tooth under the cutter, the root as
    the one in the middle of the space; the root is left out where the cutter does not go down to it.
    """
    body, out = at.body, float(at.body.ring.s)
    r, a = np.array([out, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    found = []
    for on, normal, height in (("end_face", -a, 0.0), ("tip", r, out * body.r_a), ("root", r, out * body.r_f)):
        datum = _datum(at, on, normal, height + gauge, infeed)
        if datum is not None and (on != "root" or _goes_to_root(at, gauge)):
            found.append(datum)
    return sorted(found, key=lambda d: not d.sets_infeed)


def _datum(at: LeadIn, on: str, normal: Vector, height: float, infeed: float) -> Datum | None:
    pose = at.pose
    far = reach(at.mill, pose.u, normal)
    if far == inf:
        return None
    standing = float(at.tip_at_touch_off @ normal)
    rate = -float(pose.infeed @ normal)
    if rate > _SQUARE:
        offset = (height + far - standing) / rate
        return Datum(on, True, offset, offset + infeed)
    return Datum(on, False, standing - height - far, None) if abs(rate) < 1e-9 else None


def _goes_to_root(at: LeadIn, gauge: float) -> bool:
    """Whether the cutter, drawn back square to the root over the middle of the face, comes down to it first."""
    body, out = at.body, float(at.body.ring.s)
    if gauge > 0:
        return False
    rho = np.linspace(body.r_f, body.r_a, 60)
    a = np.linspace(0, body.b, 60)
    far = reach(at.mill, at.pose.u, np.array([out, 0.0, 0.0]))
    flanks = [body.flank(j, -side, rho[:, None], a) for j, side in ((0, 1), (-1, -1))]
    inside = np.array([body.r_f + out * far, float(at.pose.tip[1]), body.b / 2])
    square = Pose(at.pose.u, np.array([-out, 0.0, 0.0]), inside, None, at.pose.nod_about)
    return bool(min(float(at.reached_by(square, f).min()) for f in flanks) > 0)
