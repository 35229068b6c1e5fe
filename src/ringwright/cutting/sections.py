"""Plain sections of the teeth beside the worked space, before and after the cut, for drawings and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.surface import RIM_MODULES

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
_HALVINGS = 20


@dataclass(frozen=True, slots=True)
class Section:
    """Metal of one tooth in a plane, column by column: from ``low`` to ``high`` before, ``left_*`` after the cut [mm].

    Where nothing is left of a column both ``left_`` values are the same. A column cut in two keeps its longer piece.
    """

    name: str
    x: Array
    low: Array
    high: Array
    left_low: Array
    left_high: Array


def sections(at: LeadIn, infeed: float, *, finished: bool, columns: int = 81) -> tuple[Section, ...]:
    """The tooth at +t: unrolled at the reference circle, its flank seen square on, and the entry face.

    Parameters
    ----------
    at : LeadIn
        The set-up, touched off
    infeed : float
        From touch-off [mm]
    finished : bool
        True: every space has had the same cut; False: this space only
    columns : int
        Columns of every section, at least 3

    Returns
    -------
    tuple of Section
        ``reference``: x the arc from the middle of the tooth, y the depth a. ``flank``, facing the worked space: x the
        radius less the reference radius, y the depth a. ``end``: x as there, y the arc at that radius from the middle.
    """
    body = at.body
    turns = at.spaces if finished else np.zeros(1)
    mid, b = body.middle(0), body.b

    def gone(rho: Array, theta: Array, a: Array) -> Flags:
        """Whether any of the spaces' cuts has been at the places; broadcast shape."""
        under = turns.reshape((-1,) + (1,) * max(rho.ndim, theta.ndim, a.ndim))
        return np.asarray((at.field(body.point(rho, theta + under, a)) <= infeed).any(axis=0))

    half = float(body.half_angle(np.array(body.r)))
    angle = mid + half * np.linspace(-1, 1, columns)
    rim = RIM_MODULES * body.ring.m_n
    inner = min(body.r_f, body.r_a) - (rim if body.ring.kind == "external" else 0.0)
    outer = max(body.r_f, body.r_a) + (rim if body.ring.kind == "internal" else 0.0)
    rho = np.linspace(inner, outer, columns)
    in_tooth = (rho - body.r_f) * (body.r_a - body.r_f) > 0
    wide = np.where(
        in_tooth, body.half_angle(np.clip(rho, min(body.r_f, body.r_a), max(body.r_f, body.r_a))), pi / body.ring.z
    )
    high = np.linspace(min(body.r_f, body.r_a), max(body.r_f, body.r_a), columns)
    facing = mid - body.half_angle(high)
    through = np.zeros(columns)
    face, arc = np.full(columns, b), rho * wide
    return (
        _section("reference", body.r * (angle - mid), through, face, lambda y: gone(np.array(body.r), angle, y)),
        _section("flank", high - body.r, through, face, lambda y: gone(high, facing, y)),
        _section("end", rho - body.r, -arc, arc, lambda y: gone(rho, mid + y / rho, np.array(0.0))),
    )


def _section(name: str, x: Array, low: Array, high: Array, gone: Callable[[Array], Flags]) -> Section:
    """Closes in on the ends of the longest run of metal in every column."""
    share = (1 - np.cos(np.linspace(0, pi, 161)))[:, None] / 2  # looked at closely near both ends
    grid = low + (high - low) * share
    metal = ~gone(grid)
    start, stop = np.array([_longest(column) for column in metal.T]).T
    columns = np.arange(len(x))
    inside = np.stack([grid[start, columns], grid[stop, columns]])
    outside = np.stack([grid[np.maximum(start - 1, 0), columns], grid[np.minimum(stop + 1, len(grid) - 1), columns]])
    for _ in range(_HALVINGS):
        middle = (inside + outside) / 2
        there = ~gone(middle)
        inside, outside = np.where(there, middle, inside), np.where(there, outside, middle)
    left = np.where(metal.any(axis=0), inside, (low + high) / 2)
    return Section(name, x, low, high, left[0], left[1])


def _longest(metal: Flags) -> tuple[int, int]:
    """First and last index of the longest run of True; (0, 0) when there is none."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], metal, [False]]).astype(np.int8)))
    runs = edges.reshape(-1, 2)
    if not len(runs):
        return 0, 0
    first, after = runs[np.argmax(runs[:, 1] - runs[:, 0])]
    return int(first), int(after) - 1
