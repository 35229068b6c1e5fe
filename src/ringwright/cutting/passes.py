"""The metal that a cut takes away, and its infeed in passes that each take the same."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.surface import RIM_MODULES
from ringwright.errors import require

Array = NDArray[np.float64]
#: Cells of the grid of volume: round the ring, in height, in depth.
_CELLS = (48, 44, 36)


def removed(at: LeadIn, infeeds: Array) -> Array:
    """Metal taken from one space by the cut at each infeed [mm] -> [mm3], same shape; within about 2 per cent.

    Over the space with half a tooth on either side, and the rim below it.
    """
    s, volume = _cells(at, float(np.max(infeeds)))
    order = np.argsort(s)
    total = np.concatenate([[0.0], np.cumsum(volume[order])])
    return np.asarray(total[np.searchsorted(s[order], infeeds, side="right")])


def equal_passes(at: LeadIn, infeed: float, passes: int) -> tuple[float, ...]:
    """Infeeds from touch-off [mm] at which each of so many passes ends, all taking about the same metal.

    The first goes deep, since it enters at a corner; a pass that would take nothing is left out.

    Raises
    ------
    OutOfRange
        passes outside 1 to 50.
    """
    require("passes", passes, 1, 50)
    if passes == 1 or infeed <= 0:
        return (infeed,)
    s, volume = _cells(at, infeed)
    if not len(s):
        return (infeed,)
    order = np.argsort(s)
    total = np.cumsum(volume[order])
    wanted = total[-1] * np.arange(1, passes) / passes
    ends = s[order][np.searchsorted(total, wanted)]
    return (*(float(x) for x in np.unique(np.round(ends, 6)) if 0 < x < infeed - 1e-3), infeed)


def _cells(at: LeadIn, infeed: float) -> tuple[Array, Array]:
    """Field and volume of the cells of metal that are reached, each (n,)."""
    body, (n_t, n_r, n_a) = at.body, _CELLS
    out = body.ring.s
    deep = min(RIM_MODULES * body.ring.m_n, 0.9 * body.r_f)
    ends = sorted((body.r_f - out * deep, body.r_a))
    rho = ends[0] + (ends[1] - ends[0]) * (np.arange(n_r) + 0.5) / n_r
    theta = body.pitch * ((np.arange(n_t) + 0.5) / n_t - 0.5)
    far = _farthest(at, rho, theta, infeed)
    a = far * (np.arange(n_a) + 0.5) / n_a
    in_space = abs(theta)[:, None] < body.pitch / 2 - body.half_angle(np.broadcast_to(rho, (n_t, n_r)))
    metal = ~in_space | ((rho < body.r_f) if out > 0 else (rho > body.r_f))
    at_t, at_r = np.nonzero(metal)
    s = at.field(body.point(rho[at_r, None], theta[at_t, None], a))
    each = (ends[1] - ends[0]) / n_r * body.pitch / n_t * far / n_a * np.broadcast_to(rho, (n_t, n_r))[metal]
    volume = np.broadcast_to(each[:, None], s.shape)
    reached = s <= infeed
    return s[reached], volume[reached]


def _farthest(at: LeadIn, rho: Array, theta: Array, infeed: float) -> float:
    """Depth a behind which nothing is reached [mm]."""
    a = at.body.b * np.linspace(0, 1, 120) ** 2
    s = at.field(at.body.point(rho[None, ::5, None], theta[::5, None, None], a)) <= infeed
    some = np.flatnonzero(s.any(axis=(0, 1)))
    return float(a[min(some[-1] + 1, len(a) - 1)]) if len(some) else float(at.body.b)
