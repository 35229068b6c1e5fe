"""The pieces that every cutter, shank and holder is put together from: solids of revolution about one axis.

``h`` runs along the axis from the cutter's own zero towards the spindle. Each piece is convex, so a point that stands
still in the moving piece is inside it during one run; a cutter is the union of its pieces, less a hole.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, inf, sin

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frustum:
    """Between two discs of radii ``r0`` at ``h0`` and ``r1`` at ``h1`` > ``h0`` [mm]; ``h1`` inf asks r1 = r0."""

    h0: float
    h1: float
    r0: float
    r1: float

    def __post_init__(self) -> None:
        if not (self.h1 > self.h0 and self.r0 >= 0 and self.r1 >= 0 and max(self.r0, self.r1) > 0):
            raise Refusal("cutter_outline_crossed", "h", self.h1, self.h0)
        if self.h1 == inf and self.r0 != self.r1:
            raise Refusal("cutter_outline_crossed", "h", self.h1, self.h0)

    @property
    def R(self) -> float:
        """Largest radius [mm]."""
        return max(self.r0, self.r1)


@dataclass(frozen=True, slots=True)
class Bead:
    """A disc of radius ``r`` at ``h`` grown all round by a ball of radius ``c`` [mm]: torus outside, ball if r = 0."""

    h: float
    r: float
    c: float

    @property
    def R(self) -> float:
        """Largest radius [mm]."""
        return self.r + self.c


Piece = Frustum | Bead


@dataclass(frozen=True, slots=True)
class Solid:
    """Union of ``pieces``, less the cylinder ``hole`` open at both ends; with a hole the pieces together are convex."""

    pieces: tuple[Piece, ...]
    hole: Frustum | None = None

    @property
    def R(self) -> float:
        """Largest radius [mm]."""
        return max(p.R for p in self.pieces)

    def radius(self, h: Array) -> Array:
        """Largest radius of the pieces at heights ``h`` [mm], same shape; nan beside them."""
        if len(self.pieces) > 4 and all(isinstance(p, Frustum) for p in self.pieces):
            return _chain_radius(self.pieces, h)  # type: ignore[arg-type]
        found = np.full_like(h, np.nan)
        for piece in self.pieces:
            if isinstance(piece, Bead):
                r = piece.r + np.sqrt(piece.c**2 - (h - piece.h) ** 2)
            else:
                slope = 0.0 if piece.r0 == piece.r1 else (piece.r1 - piece.r0) / (piece.h1 - piece.h0)
                r = np.where((h >= piece.h0) & (h <= piece.h1), piece.r0 + (h - piece.h0) * slope, np.nan)
            found = np.fmax(found, r)
        return found


def _chain_radius(pieces: tuple[Frustum, ...], h: Array) -> Array:
    """Radius along frusta that follow one another upward."""
    heights = np.array([(p.h0, p.h1) for p in pieces]).ravel()
    radii = np.array([(p.r0, p.r1) for p in pieces]).ravel()
    return np.asarray(np.interp(h, heights, radii, left=np.nan, right=np.nan))


def chain(heights: Array, radii: Array) -> tuple[Frustum, ...]:
    """Frusta through the points of a measured outline, heights rising; steps (equal heights) part two of them.

    Raises
    ------
    Refusal
        ``cutter_outline_crossed``: the heights fall back.
    """
    steps = np.diff(heights)
    if len(heights) < 2 or (steps < 0).any():
        raise Refusal("cutter_outline_crossed", "h")
    every = zip(heights[:-1], heights[1:], radii[:-1], radii[1:])
    return tuple(Frustum(*map(float, four)) for four in every if four[1] - four[0] > 1e-9 and max(four[2:]) > 0)


def angled(R: float, c: float, low: float, high: float, w_low: float, w_high: float) -> tuple[Piece, ...]:
    """A rim of largest radius ``R``, rounded by ``c``, between two sides at ``low`` and ``high`` [rad] to its plane.

    The plane square to the axis through the rim is h = 0; a side at 0 is flat and lies in it, the rounding then being
    above or below. The sides run for ``w_low`` towards -h and ``w_high`` towards +h [mm].

    Raises
    ------
    Refusal
        ``corner_radius_too_great``; ``cutter_outline_crossed`` when a side comes to the axis before its width.
    """
    if not 0 <= c < R or (c and c > max(w_low, w_high)):
        raise Refusal("corner_radius_too_great", "r_c", c, 0, min(R, max(w_low, w_high)))
    centre = c if low == 0 else (-c if high == 0 else 0.0)
    pieces: list[Piece] = [Bead(centre, R - c, c)] if c else []
    for sense, angle, width in ((-1.0, low, w_low), (1.0, high, w_high)):
        if angle == 0:
            continue
        # where the side leaves the rounding: along its normal from the rounding's centre
        start, r0 = centre + sense * c * cos(angle), R - c + c * sin(angle)
        length = width - sense * start
        r1 = r0 - length * cos(angle) / sin(angle)
        if length <= 0 or r1 < 0:
            raise Refusal("cutter_outline_crossed", "b_c", width)
        end = sense * width
        pieces.append(Frustum(start, end, r0, r1) if sense > 0 else Frustum(end, start, r1, r0))
    return tuple(pieces)


def outline_distance(piece: Piece, h: Array, rho: Array) -> Array:
    """Distance of points (h, rho) from a piece [mm], 0 inside, same shape."""
    if isinstance(piece, Bead):
        return np.asarray(np.maximum(np.hypot(np.maximum(rho - piece.r, 0.0), h - piece.h) - piece.c, 0.0))
    h1 = min(piece.h1, 1e6)
    dh, dr = h1 - piece.h0, piece.r1 - piece.r0
    length = hypot(dh, dr)
    along = np.clip(((h - piece.h0) * dh + (rho - piece.r0) * dr) / length**2, 0.0, 1.0)
    side = np.hypot(h - piece.h0 - along * dh, rho - piece.r0 - along * dr)
    ends = [np.hypot(h - at, np.maximum(rho - r, 0.0)) for at, r in ((piece.h0, piece.r0), (h1, piece.r1))]
    within = (h >= piece.h0) & (h <= h1) & (rho <= piece.r0 + (h - piece.h0) * dr / dh)
    return np.where(within, 0.0, np.minimum(side, np.minimum(*ends)))
