"""Runs of a complete pass: with the depth axis locked only the cutter's shadow along the feed counts.

The shadow is a plane figure. In axes along and across the depth a point keeps its place ``e`` across; the figure's
chord there, from ``low`` to ``high``, says when it goes in and out. A disc's shadow is an ellipse, a frustum's two of
them and the quadrilateral between their common tangents, a bead's an ellipse grown by a circle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.solids import Bead, Frustum, Solid

Array = NDArray[np.float64]
Chord = tuple[Array, Array]
_NIL = 1e-9
#: Stands for a cutter's endless length [mm]; chords that go beyond `_FAR` count as endless.
_ENDLESS, _FAR = 1e7, 2e4
_STEPS = 30
#: Angles of a table, close together towards its ends, where the outline runs along the depth [rad].
_ANGLES = np.pi / 2 * np.sin(np.pi / 2 * np.linspace(-1, 1, 4097))
_COSINES, _SINES = np.cos(_ANGLES), np.sin(_ANGLES)


@dataclass(frozen=True, slots=True)
class Screen:
    """The plane square to the feed: the cutter's axis in it is ``(w1, w2)``, along and across the depth."""

    w1: float
    w2: float

    @property
    def M11(self) -> float:
        """1 - w1^2, the squared half width of a unit disc's shadow along the depth."""
        return max(1 - self.w1**2, 0.0)

    @property
    def M22(self) -> float:
        """1 - w2^2, the same across it."""
        return max(1 - self.w2**2, 0.0)

    @property
    def sine(self) -> float:
        """Sine of the angle between the cutter's axis and the feed."""
        return min(hypot(self.w1, self.w2), 1.0)

    @property
    def det(self) -> float:
        """Squared cosine of that angle."""
        return max(1 - self.sine**2, 0.0)


def solid_run(q: Array, solid: Solid, u: Array, f: Array, d: Array, *, first_only: bool = False) -> tuple[Array, Array]:
    """First in and last out along ``d`` of points ``q`` relative to the tip, shape (n, 3); (inf, -inf) where never.

    ``first_only`` leaves the last unsaid.
    """
    across_feed = d - float(d @ f) * f
    rate = float(np.linalg.norm(across_feed))
    m = across_feed / rate
    n = np.cross(f, m)
    both = q @ np.stack([m, n], axis=1)
    along, e = np.ascontiguousarray(both[:, 0]), np.ascontiguousarray(both[:, 1])
    low, high = solid_chord(e, solid, Screen(float(u @ m), float(u @ n)), high_only=first_only)
    return (along - high) / rate, (along - low) / rate


def solid_chord(e: Array, solid: Solid, screen: Screen, *, high_only: bool = False) -> Chord:
    """The shadow's chord at each ``e``: (inf, -inf) where there is none, endless where the cutter is.

    ``high_only`` leaves the low end unsaid.
    """
    if abs(screen.w2) > 1 - 1e-15 and solid.hole is None:  # the cutter is seen square from the side, upright
        radius = solid.radius(e * np.sign(screen.w2))
        return np.where(radius >= 0, -radius, np.inf), np.where(radius >= 0, radius, -np.inf)
    low, high = np.full_like(e, np.inf), np.full_like(e, -np.inf)
    for figure in _figures(solid, screen):
        one, two, some = figure(e, high_only and solid.hole is None)
        low[some] = np.minimum(low[some], one)
        high[some] = np.maximum(high[some], two)
    if solid.hole is not None:
        low, high = _less(low, high, *_hole(e, solid.hole, screen))
    met = low <= high
    low, high = np.where(low < -_FAR, -np.inf, low), np.where(high > _FAR, np.inf, high)
    return np.where(met, low, np.inf), np.where(met, high, -np.inf)


def _less(low: Array, high: Array, one: Array, two: Array) -> Chord:
    some = one < two
    return (
        np.where(some & (one <= low) & (low < two), two, low),
        np.where(some & (one < high) & (high <= two), one, high),
    )


Figure = tuple[Array, Array, NDArray[np.intp]]


def _figures(solid: Solid, screen: Screen) -> list[Callable[[Array, bool], Figure]]:
    """The convex figures that a solid's shadow is made of; each gives chords at the points that meet it."""
    found: list[Callable[[Array, bool], Figure]] = []
    discs = set()
    for piece in solid.pieces:
        if isinstance(piece, Bead):
            found.append(partial(_bead, piece=piece, screen=screen))
            continue
        h1 = min(piece.h1, _ENDLESS)
        discs |= {(piece.h0, piece.r0)} | ({(h1, piece.r1)} if piece.h1 == h1 else set())
        corners = _tangent_corners(piece.h0, h1, piece.r0, piece.r1, screen)
        if corners is not None:
            found.append(partial(_polygon, corners=corners))
    if screen.det > 1e-18:
        found += [partial(_disc, h=h, r=r, screen=screen) for h, r in sorted(discs) if r > 0]
    return found


def _within(e: Array, low: float, high: float) -> NDArray[np.intp]:
    return np.flatnonzero((e >= low) & (e <= high))


def _disc(e: Array, high_only: bool, h: float, r: float, screen: Screen) -> Figure:
    """Chords of a disc's shadow."""
    wide = r * sqrt(screen.M22)
    some = _within(e, h * screen.w2 - wide, h * screen.w2 + wide) if wide > _NIL else np.empty(0, np.intp)
    x = e[some] - h * screen.w2
    middle = h * screen.w1 - x * (screen.w1 * screen.w2 / screen.M22 if len(some) else 0.0)
    half = sqrt(screen.det / screen.M22) * np.sqrt(np.maximum(r * r - x * x / screen.M22, 0.0)) if len(some) else x
    return middle - half, middle + half, some


def _tangent_corners(h0: float, h1: float, r0: float, r1: float, screen: Screen) -> Array | None:
    """Where the common tangents touch the shadows of two discs, (4, 2) in order; None when one shadow hides the other.

    On both ellipses the tangent of one direction v touches at h w + r (v - (v.w) w) / sqrt(1 - (v.w)^2); it is common
    where v.w = (r0 - r1) / sqrt((h1 - h0)^2 + (r0 - r1)^2), the sine of the cone's half angle.
    """
    x = (r0 - r1) / hypot(h1 - h0, r0 - r1)
    sine = screen.sine
    if sine < _NIL or abs(x) >= sine:
        return None
    w = np.array([screen.w1, screen.w2])
    ahead = w / hypot(*w)
    aside = np.array([-ahead[1], ahead[0]])
    cosine = x / sine
    corners = []
    for sign in (1.0, -1.0):
        v = cosine * ahead + sign * sqrt(1 - cosine**2) * aside
        touch = (v - x * w) / sqrt(1 - x * x)
        corners += [h0 * w + r0 * touch, h1 * w + r1 * touch][:: int(sign)]
    return np.array(corners)


def _polygon(e: Array, high_only: bool, corners: Array) -> Figure:
    """Chords of a convex polygon with corners (k, 2) in order."""
    bottom, top = float(corners[:, 1].min()), float(corners[:, 1].max())
    some = _within(e, bottom, top)
    x = e[some]
    low, high = np.full_like(x, np.inf), np.full_like(x, -np.inf)
    for one, two in zip(corners, np.roll(corners, -1, axis=0)):
        if two[1] < one[1]:
            one, two = two, one
        rise = float(two[1] - one[1])
        if rise <= 1e-12 * (top - bottom):
            ends = (min(one[0], two[0]), max(one[0], two[0]))
            at = abs(x - one[1]) <= rise
            low, high = np.where(at, np.minimum(low, ends[0]), low), np.where(at, np.maximum(high, ends[1]), high)
            continue
        value = one[0] + (x - one[1]) * float((two[0] - one[0]) / rise)
        if one[1] > bottom or two[1] < top:
            at = (x >= one[1]) & (x <= two[1])
            low, high = np.where(at, np.minimum(low, value), low), np.where(at, np.maximum(high, value), high)
        else:
            low, high = np.minimum(low, value), np.maximum(high, value)
    return low, high, some


def _bead(e: Array, high_only: bool, piece: Bead, screen: Screen) -> Figure:
    """Chords of an ellipse grown by a circle; the figure is its own image through its middle."""
    wide = piece.r * sqrt(screen.M22) + piece.c
    some = _within(e, piece.h * screen.w2 - wide, piece.h * screen.w2 + wide)
    x = e[some] - piece.h * screen.w2
    middle = piece.h * screen.w1
    if piece.r == 0 or screen.sine < _NIL:
        half = np.sqrt(np.maximum(piece.R**2 - x * x, 0.0))
        return middle - half, middle + half, some
    reach = _capsule if screen.det < 1e-16 else _grown
    high = middle + reach(x, piece, screen)
    return high if high_only else middle - reach(-x, piece, screen), high, some


def _capsule(x: Array, piece: Bead, screen: Screen) -> Array:
    """Upper end of the chords of a straight line grown by a circle: the disc is seen from its edge."""
    end = piece.r * np.array([-screen.w2, screen.w1]) / screen.sine
    high = np.full_like(x, -np.inf)
    for at in (end, -end):
        under = piece.c**2 - (x - at[1]) ** 2
        high = np.where(under >= 0, np.maximum(high, at[0] + np.sqrt(np.maximum(under, 0.0))), high)
    aside = piece.c * np.array([screen.w1, screen.w2]) / screen.sine
    sides = _polygon(x, False, np.array([end + aside, -end + aside, -end - aside, end - aside]))
    high[sides[2]] = np.maximum(high[sides[2]], sides[1])
    return high


def _grown(x: Array, piece: Bead, screen: Screen) -> Array:
    """Upper end of the chords: the outline's point whose outward direction is at the angle theta to the depth.

    Across the depth that point's place rises with theta, so a fine table gives theta and Newton steps finish it.
    """
    m11, m12, m22 = screen.M11, -screen.w1 * screen.w2, screen.M22

    def place(cosine: Array, sine: Array) -> tuple[Array, Array, Array, Array]:
        """The point along and across, and how fast both change with theta."""
        one, two = m11 * cosine + m12 * sine, m12 * cosine + m22 * sine
        squared = cosine * one + sine * two
        grow = piece.r / np.sqrt(squared)
        bend = grow * screen.det / squared + piece.c  # the outline's radius of curvature
        return grow * one + piece.c * cosine, grow * two + piece.c * sine, -bend * sine, bend * (cosine + _NIL)

    theta = np.interp(x, np.maximum.accumulate(place(_COSINES, _SINES)[1]), _ANGLES)
    high = np.empty_like(x)
    left = np.arange(len(x))
    for _ in range(_STEPS):
        along, across, fall, rise = place(np.cos(theta[left]), np.sin(theta[left]))
        step = np.clip((x[left] - across) / rise, -1e-2, 1e-2)
        high[left] = along + fall * step
        theta[left] += step
        left = left[abs(step) > 1e-6]  # what the straight continuation leaves is the square of this
        if len(left) == 0:
            break
    return high


def _hole(e: Array, hole: Frustum, screen: Screen) -> Chord:
    """Chords of what one sees through a cylindrical hole: where both its rims let the feed through."""
    low, high = np.full_like(e, -np.inf), np.full_like(e, np.inf)
    for h, r in ((hole.h0, hole.r0), (hole.h1, hole.r1)):
        one, two, some = _disc(e, False, h, r, screen)
        a, b = np.full_like(e, np.inf), np.full_like(e, -np.inf)
        a[some], b[some] = one, two
        low, high = np.maximum(low, a), np.minimum(high, b)
    return low, high
