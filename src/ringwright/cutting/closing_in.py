"""Where a field along a line passes an infeed: crossings, last reached, least beyond, length left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
#: Steps of every closing-in: the stretch is cut into so many parts at once.
_PARTS = 64
STEPS = 60
#: Width at which a crossing is known [mm or rad].
NARROW = 1e-11


@dataclass(frozen=True, slots=True)
class Line:
    """A line on the ring: ``at`` gives its field at any parameters, ``s`` is the field on ``grid``."""

    at: Callable[[Array], Array]
    grid: Array
    s: Array


def line_over(at: Callable[[Array], Array], grid: Array) -> Line:
    return Line(at, grid, at(grid))


def graded(b: float, n: int = 400) -> Array:
    """Depths from 0 to b, close together near the entry face."""
    return np.asarray(b * np.linspace(0, 1, n) ** 2)


def crossing(
    reached: Callable[[Array], Array], inside: Array, outside: Array, infeed: float, narrow: float = NARROW
) -> Array:
    """Where reached passes ``infeed`` between a point inside and its neighbour outside; shapes (n,).

    Every stretch is cut into many parts at once, few when there are many stretches: a step costs the same.
    """
    inside, outside = inside.copy(), outside.copy()
    if not len(inside):
        return inside
    parts = _PARTS if len(inside) < 8 else _PARTS // 8
    share = np.arange(1, parts) / parts
    rows = np.arange(len(inside))
    for _ in range(STEPS):
        if np.abs(outside - inside).max() <= narrow:
            break
        marks = inside[:, None] + (outside - inside)[:, None] * share
        within = np.concatenate([reached(marks) <= infeed, np.zeros((len(rows), 1), dtype=bool)], axis=1)
        first_out = np.argmin(within, axis=1)
        marks = np.concatenate([inside[:, None], marks, outside[:, None]], axis=1)
        inside, outside = marks[rows, first_out], marks[rows, first_out + 1]
    return inside


def last_reached(line: Line, infeed: float) -> float:
    """Largest parameter whose field is at most ``infeed``, -inf when none is."""
    inside = np.flatnonzero(line.s <= infeed)
    if len(inside) == 0:  # met first in its middle, a line may be reached between two places only
        soonest, where = _least(line, float(line.grid[0]), float(line.grid[-1]))
        beyond = line.grid[line.grid > where]
        if soonest > infeed or not len(beyond):
            return -np.inf
        return float(crossing(line.at, np.array([where]), beyond[:1], infeed)[0])
    at = int(inside[-1])
    if at + 1 == len(line.grid):
        return float(line.grid[-1])
    return float(crossing(line.at, line.grid[at : at + 1], line.grid[at + 1 : at + 2], infeed)[0])


def least_beyond(line: Line, low: float, high: float) -> float:
    """Least field between two parameters, both ends counted."""
    return _least(line, low, high)[0]


def _least(line: Line, low: float, high: float) -> tuple[float, float]:
    """Least field between two parameters and where it stands."""
    low, high = min(low, high), max(low, high)
    inner = (line.grid > low) & (line.grid < high)
    points = np.concatenate([[low], line.grid[inner], [high]])
    ends = line.at(np.array([low, high]))
    s = np.concatenate([ends[:1], line.s[inner], ends[1:]])
    for _ in range(STEPS):
        at = int(np.argmin(s))
        one, two = points[max(at - 1, 0)], points[min(at + 1, len(points) - 1)]
        if two - one < 1e-10:
            break
        points = np.linspace(one, two, _PARTS + 1)
        s = line.at(points)
    at = int(np.argmin(s))
    return float(s[at]), float(points[at])


def length_left(line: Line, infeed: float) -> float:
    """Length of the line's stretch where the field is above ``infeed``."""
    grid, cut = line.grid, line.s <= infeed
    changes = np.flatnonzero(cut[1:] != cut[:-1])
    inside = np.where(cut[changes], grid[changes], grid[changes + 1])
    outside = np.where(cut[changes], grid[changes + 1], grid[changes])
    ends = crossing(line.at, inside, outside, infeed)
    marks = np.concatenate([grid[:1], ends, grid[-1:]])
    state, total = bool(cut[0]), 0.0
    for one, two in pairwise(marks):
        total += 0.0 if state else two - one
        state = not state
    return float(total)
