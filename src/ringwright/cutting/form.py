"""Outline of an involute form cutter: the tooth space of the ring it was designed for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import Turned
from ringwright.cutting.surface import ToothedRing
from ringwright.errors import Refusal, require
from ringwright.gears.ring import RingGeometry

Array = NDArray[np.float64]
#: The straight pieces of an outline lie within this of the curve [mm].
TOLERANCE = 5e-4
_FINE = 3000


def involute_form(R: float, ring: RingGeometry, reach: float = 0.25, tolerance: float = TOLERANCE) -> Turned:
    """Form cutter of outside radius ``R`` that leaves the space of an external spur ring.

    Parameters
    ----------
    R : float
        Outside radius, 0.05 to 250 [mm]
    ring : RingGeometry
        The ring it was designed for: the least tooth count of the cutter's range, no helix
    reach : float
        How far the flank goes on past that ring's tips, 0 to 1 [modules]; beyond, the sides are flat
    tolerance : float
        Largest distance of the outline's straight pieces from the curve, 1e-5 to 0.1 [mm]

    Returns
    -------
    Turned
        Zero: the middle of its width. The root is the one that the rack generates, an undercut left uncut, since a
        relieved disc does not reach behind its own rim.

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.
    Refusal
        ``form_of_internal``: the space of an internal ring is not cut with a disc; ``cutter_outline_crossed``: the
        tooth is deeper than the cutter's radius.
    """
    require("beta", ring.beta, 0, 0)
    require("reach", reach, 0, 1)
    require("tolerance", tolerance, 1e-5, 0.1)
    if ring.kind == "internal":
        raise Refusal("form_of_internal", "kind")
    body = ToothedRing(ring, 1.0)
    top = body.r_a + reach * ring.m_n
    rho = body.r_f + (top - body.r_f) * np.linspace(0, 1, _FINE) ** 2
    half = np.pi / ring.z - body.half_angle(rho)
    root = half[0] * np.linspace(0, 1, 60)[:-1]
    width = np.concatenate([body.r_f * np.sin(root), rho * np.sin(half)])
    depth = np.concatenate([body.r_f * np.cos(root), rho * np.cos(half)])
    depth -= depth.min()  # the root is round: the cutter's corners stand out the furthest
    width = np.minimum.accumulate(width[::-1])[::-1]
    kept = thinned(np.column_stack([width, R - depth]), tolerance)
    if kept[-1, 1] <= 0:
        raise Refusal("cutter_outline_crossed", "D", 2 * R, 2 * float(depth[-1]))
    both = np.concatenate([kept[::-1] * [-1, 1], kept[1:]])
    return Turned(tuple(map(float, both[:, 0])), tuple(map(float, both[:, 1])))


def thinned(points: Array, tolerance: float) -> Array:
    """The fewest-halvings choice of points (n, 2) whose straight connections pass all others within ``tolerance``."""
    kept = {0, len(points) - 1}
    todo = [(0, len(points) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        chord = points[last] - points[first]
        inner = points[first + 1 : last] - points[first]
        away = abs(inner[:, 0] * chord[1] - inner[:, 1] * chord[0]) / max(float(np.hypot(*chord)), 1e-12)
        if away.max() > tolerance:
            middle = first + 1 + int(np.argmax(away))
            kept.add(middle)
            todo += [(first, middle), (middle, last)]
    return points[sorted(kept)]
