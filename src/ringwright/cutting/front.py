"""The surface that the cutter leaves behind, and plain sections of the cut: the removal field made visible.

A cutter that only moves along its infeed reaches the point p + t d exactly t later than p. So one sheet of heights over
a plane across the infeed holds the whole field: what is behind the sheet, moved on by the infeed, is gone.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.surface import RIM_MODULES

Array = NDArray[np.float64]
#: Halvings of a step of the looking grid: ends known to some thousandths of a millimetre at worst.
_HALVINGS = 16


@dataclass(frozen=True, slots=True)
class Front:
    """The sheet of heights at touch-off, in the frame (r, t, a) of the space [mm].

    A point p lies at x = (p - at) . across, y = (p - at) . along, z = (p - at) . infeed. It is reached at the infeed
    z + height(x, y), counted from touch-off; never where no row has it between ``low`` and ``high``.
    """

    at: Array
    across: Array
    along: Array
    infeed: Array
    rows: Array
    """(n,) places across."""
    low: Array
    high: Array
    """(n,) ends of each row along."""
    height: Array
    """(n, m) along each row from its low to its high end, places as `places`; inf where it is never reached."""

    @property
    def places(self) -> Array:
        """(m,) shares of a row's length at which its heights stand: close together at both ends."""
        return _close_at_ends(self.height.shape[1])

    def reached(self, points: Array) -> Array:
        """Infeed from touch-off at which points (..., 3) are reached, from the sheet alone; inf where never [mm]."""
        q = np.asarray(points, dtype=float) - self.at
        x, y, z = q @ self.across, q @ self.along, q @ self.infeed
        i = np.clip(np.searchsorted(self.rows, x, side="right") - 1, 0, len(self.rows) - 2)
        share = np.clip((x - self.rows[i]) / (self.rows[i + 1] - self.rows[i]), 0, 1)
        low = self.low[i] * (1 - share) + self.low[i + 1] * share
        high = self.high[i] * (1 - share) + self.high[i + 1] * share
        with np.errstate(invalid="ignore", divide="ignore"):
            along = np.clip((y - low) / (high - low), 0, 1)
        m = self.height.shape[1]
        column = np.arccos(1 - 2 * along) / pi * (m - 1)
        j = np.clip(column.astype(int), 0, m - 2)
        over = column - j
        with np.errstate(invalid="ignore"):
            height = (1 - share) * ((1 - over) * self.height[i, j] + over * self.height[i, j + 1]) + share * (
                (1 - over) * self.height[i + 1, j] + over * self.height[i + 1, j + 1]
            )
        outside = (x < self.rows[0]) | (x > self.rows[-1]) | (y < low) | (y > high) | np.isnan(height)
        return np.where(outside, np.inf, z + height)


def _close_at_ends(n: int) -> Array:
    return np.asarray((1 - np.cos(np.linspace(0, pi, n))) / 2)


def front(at: LeadIn, rows: int = 97, places: int = 97) -> Front:
    """The sheet over the teeth next to the worked space, `rows` by `places` heights.

    Parameters
    ----------
    at : LeadIn
        The set-up, touched off
    rows, places : int
        Heights across and along, at least 3 each

    Notes
    -----
    Exact at its points; between them it is as far out as a chord of the cutter's shape.
    """
    origin, d = at.tip_at_touch_off, at.pose.infeed
    along = _across(at.pose.f if at.pose.d is not None else at.pose.u, d)
    across = np.cross(along, d)
    box = _box(at) - origin
    x_most, y_most = _span(box @ across), _span(box @ along)

    def height(x: Array, y: Array) -> Array:
        return at.field(origin + x[..., None] * across + y[..., None] * along)

    xs, ys = np.linspace(*x_most, 121), np.linspace(*y_most, 161)
    seen = np.isfinite(height(*np.meshgrid(xs, ys, indexing="ij")))
    if not seen.any():
        xs_in, first = x_most, np.zeros(2)
        return Front(origin, across, along, d, np.array(xs_in), first, first, np.full((2, places), np.inf))
    has = np.flatnonzero(seen.any(axis=1))
    x_low = _edge(lambda x: _any(height, x, ys), xs[has[0]], xs[max(has[0] - 1, 0)])
    x_high = _edge(lambda x: _any(height, x, ys), xs[has[-1]], xs[min(has[-1] + 1, len(xs) - 1)])
    places_across = x_low + (x_high - x_low) * (1e-6 + (1 - 2e-6) * _close_at_ends(rows))
    low, high = _ends(height, places_across, np.linspace(*y_most, 321))
    y = low[:, None] + (high - low)[:, None] * _close_at_ends(places)
    return Front(origin, across, along, d, places_across, low, high, height(places_across[:, None] + 0 * y, y))


def _across(v: Array, d: Array) -> Array:
    """The part of ``v`` across ``d``, unit length; any such direction when they are parallel."""
    for w in (v, np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0])):
        rest = w - (w @ d) * d
        if np.linalg.norm(rest) > 1e-6:
            return np.asarray(rest / np.linalg.norm(rest))
    raise AssertionError("one of two crossed directions is never parallel to the infeed")


def _span(values: Array) -> tuple[float, float]:
    return float(values.min()), float(values.max())


def _box(at: LeadIn) -> Array:
    """Points round the teeth and rim that can be seen: two teeth on each side of the space, the whole face, (n, 3)."""
    body = at.body
    rim = RIM_MODULES * body.ring.m_n
    inner, outer = min(body.r_f, body.r_a) - rim, max(body.r_f, body.r_a) + rim
    theta = np.linspace(-2.0, 2.0, 9) * body.pitch
    r, angle, a = np.meshgrid([inner, outer], theta, [0.0, body.b], indexing="ij")
    return np.stack([r * np.cos(angle), r * np.sin(angle), a], axis=-1).reshape(-1, 3)


def _any(height: object, x: float, ys: Array) -> bool:
    assert callable(height)
    return bool(np.isfinite(height(np.full_like(ys, x), ys)).any())


def _edge(holds: object, inside: float, outside: float) -> float:
    """The last place that holds between one inside and one outside."""
    assert callable(holds)
    for _ in range(_HALVINGS):
        middle = (inside + outside) / 2
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside


def _ends(height: object, xs: Array, ys: Array) -> tuple[Array, Array]:
    """First and last reached place of every row, closed in on, (n,) each."""
    assert callable(height)
    seen = np.isfinite(height(xs[:, None] + 0 * ys, ys + 0 * xs[:, None]))
    some = seen.any(axis=1)
    first, last = np.argmax(seen, axis=1), len(ys) - 1 - np.argmax(seen[:, ::-1], axis=1)
    ends = []
    for inside, step in ((ys[first], -1), (ys[last], 1)):
        start = first if step < 0 else last
        outside = ys[np.clip(start + step, 0, len(ys) - 1)]
        for _ in range(_HALVINGS):
            middle = (inside + outside) / 2
            there = np.isfinite(height(xs, middle))
            inside, outside = np.where(there, middle, inside), np.where(there, outside, middle)
        ends.append(np.where(some, inside, 0.0))
    return ends[0], ends[1]
