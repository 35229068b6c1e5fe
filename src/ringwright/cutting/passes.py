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
    """Metal taken from one space by the cut at each infeed [mm] -> [mm3], same shape.

    Within about 4 per cent; a graze of less than a cubic millimetre within 10, a bare touch within a quarter. Over
    the space with half a tooth on either side, and the rim below it.
    """
    s, volume = _cells(at, float(np.max(infeeds)))
    order = np.argsort(s)
    total = np.concatenate([[0.0], np.cumsum(volume[order])])
    return np.asarray(total[np.searchsorted(s[order], infeeds, side="right")])


def beyond(at: LeadIn, infeed: float) -> float:
    """Metal taken past the middles of the two teeth next to the space, from the spaces beyond them [mm3].

    As closely as `removed`; one pitch to either side.
    """
    total = 0.0
    for turn in (at.body.pitch, -at.body.pitch):
        _, volume = _cells(at, infeed, turn)
        total += float(volume.sum())
    return total


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


def _cells(at: LeadIn, infeed: float, turn: float = 0.0) -> tuple[Array, Array]:
    """Field and volume of the cells of metal that are reached, each (n,), about the space ``turn`` [rad] further."""
    body, out = at.body, at.body.ring.s
    deep = min(RIM_MODULES * body.ring.m_n, 0.9 * body.r_f)
    ends = sorted((body.r_f - out * deep, body.r_a))
    (t0, t1), (r0, r1), far = _box(at, ends[0], ends[1], infeed, turn)
    n_t, n_r, n_a = _CELLS
    theta, rho = (low + (high - low) * (np.arange(n) + 0.5) / n for low, high, n in ((t0, t1, n_t), (r0, r1, n_r)))
    a = far * (np.arange(n_a) + 0.5) / n_a
    in_space = abs(theta)[:, None] < body.pitch / 2 - body.half_angle(rho)
    metal = ~in_space | ((rho < body.r_f) if out > 0 else (rho > body.r_f))
    at_t, at_r = np.nonzero(metal)
    s = at.field(body.point(rho[at_r, None], theta[at_t, None] + turn, a))
    each = (r1 - r0) / n_r * (t1 - t0) / n_t * far / n_a * rho[at_r]
    reached = s <= infeed
    return s[reached], np.broadcast_to(each[:, None], s.shape)[reached]


def _box(
    at: LeadIn, low: float, high: float, infeed: float, turn: float
) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Angles, radii between two and greatest depth beyond which nothing is reached, with two grid steps to spare.

    Looked at finely in the end face, where most cuts begin, and coarsely through the whole depth.
    """
    half, depths = at.body.pitch / 2, at.body.b * np.linspace(0, 1, 48) ** 2
    found: list[list[tuple[float, float]]] = []
    for n, a in ((81, depths[:1]), (25, depths)):
        axes = half * np.linspace(-1, 1, n), np.linspace(low, high, n), a
        reached = at.field(at.body.point(axes[1][:, None], axes[0][:, None, None] + turn, a)) <= infeed
        if reached.any():
            found.append([_ends(values, np.moveaxis(reached, k, 0)) for k, values in enumerate(axes)])
    if not found:
        return (-half, half), (low, high), at.body.b
    ends = [(min(f[k][0] for f in found), max(f[k][1] for f in found)) for k in range(3)]
    return ends[0], ends[1], max(ends[2][1], float(depths[2]))


def _ends(values: Array, reached: NDArray[np.bool_]) -> tuple[float, float]:
    """First and last of the values where anything is reached, two steps further out."""
    some = np.flatnonzero(reached.reshape(len(values), -1).any(axis=1))
    return float(values[max(some[0] - 2, 0)]), float(values[min(some[-1] + 2, len(values) - 1)])
