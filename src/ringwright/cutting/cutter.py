"""Cutters as solids of revolution about their own axis, as measured: what they sweep when they turn.

Every kind has its largest radius ``R`` [mm], its ``solid`` and a way to be ``reground``. Heights count from the zero
that a pose's ``tip`` names: the end face of what is held by a shank, the middle of what sits on an arbor. What stands
behind the edges (shank, arbor, holder, head) is no part of a cutter: see ``holder``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import inf, pi
from typing import Protocol, Self

import numpy as np

from ringwright.cutting.solids import Bead, Frustum, Piece, Solid, angled, chain
from ringwright.errors import Refusal, require

#: Largest diameter of any cutter here [mm].
_LARGEST = 500.0
#: Sides of angle and dovetail cutters may lie this far from their rim's plane [rad].
_STEEPEST, _FLATTEST = 85 * pi / 180, 5 * pi / 180


class Cutter(Protocol):
    """What the field asks of a cutter."""

    @property
    def R(self) -> float:
        """Largest radius [mm]."""

    @property
    def solid(self) -> Solid:
        """What its edges sweep."""

    def reground(self, by: float) -> Self:
        """The same cutter with its diameter changed by ``by`` [mm]."""


def _rounding(c: float, most: float) -> None:
    if not 0 <= c <= most:
        raise Refusal("corner_radius_too_great", "r_c", c, 0, most)


@dataclass(frozen=True, slots=True)
class EndMill:
    """End mill: a cylinder of radius ``R`` [mm] closed below by a disc, its corner rounded by ``c`` [mm].

    ``c`` = 0 is a flat cutter, ``c`` = ``R`` a ball. It cuts up to the height ``L`` [mm], endless unless said.
    Zero: the end face; of a ball its lowest point.
    """

    R: float
    c: float = 0.0
    L: float = inf

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, _LARGEST)
        _rounding(self.c, self.R)
        if not self.c < self.L:
            raise Refusal("flutes_too_short", "L_c", self.L, self.c)

    @property
    def is_ball(self) -> bool:
        """Whether nothing of the flat end is left."""
        return self.R - self.c < 1e-9

    @property
    def solid(self) -> Solid:
        """Cylinder over a rounded end."""
        if self.c == 0:
            return Solid((Frustum(0.0, self.L, self.R, self.R),))
        end = Bead(self.c, 0.0 if self.is_ball else self.R - self.c, self.c)
        return Solid((Frustum(self.c, self.L, self.R, self.R), end))

    def reground(self, by: float) -> EndMill:
        """The same cutter with its diameter changed by ``by`` [mm]; a ball stays a ball."""
        R = self.R + by / 2
        return replace(self, R=R, c=R if self.is_ball else min(self.c, R))


@dataclass(frozen=True, slots=True)
class Dovetail:
    """Dovetail cutter on a shank: widest at its end, the side leaning in at ``kappa`` [rad] to the end face.

    ``R`` [mm] is taken over the corner's rounding ``c`` [mm]; ``w`` [mm] the height of the side. Zero: the end face.
    """

    R: float
    kappa: float
    w: float
    c: float = 0.0

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, _LARGEST)
        require("kappa", self.kappa, _FLATTEST, _STEEPEST)
        require("b_c", self.w, 0.1, 200)
        _ = self.solid

    @property
    def solid(self) -> Solid:
        """Cone over a rounded edge."""
        return Solid(angled(self.R, self.c, 0.0, self.kappa, 0.0, self.w))

    def reground(self, by: float) -> Dovetail:
        """The same cutter with its diameter changed by ``by`` [mm]."""
        return replace(self, R=self.R + by / 2)


@dataclass(frozen=True, slots=True)
class SingleAngle:
    """Single-angle cutter: one flat side and one at ``kappa`` [rad] to it, ``w`` [mm] wide, rim rounded by ``c`` [mm].

    Zero: the flat side, which looks away from the spindle when ``flat_below``, else towards it.
    """

    R: float
    kappa: float
    w: float
    c: float = 0.0
    flat_below: bool = True

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, _LARGEST)
        require("kappa", self.kappa, _FLATTEST, _STEEPEST)
        require("b_c", self.w, 0.1, 200)
        _ = self.solid

    @property
    def solid(self) -> Solid:
        """Cone beside a flat."""
        sides = (0.0, self.kappa, 0.0, self.w) if self.flat_below else (self.kappa, 0.0, self.w, 0.0)
        return Solid(angled(self.R, self.c, *sides))

    def reground(self, by: float) -> SingleAngle:
        """The same cutter with its diameter changed by ``by`` [mm]."""
        return replace(self, R=self.R + by / 2)


@dataclass(frozen=True, slots=True)
class DoubleAngle:
    """Double-angle cutter: sides at ``low`` (away from the spindle) and ``high`` [rad] to the plane of its rim.

    Their sum is the angle included. ``w`` [mm] wide, half to each side of the rim; rim rounded by ``c`` [mm]. Zero:
    the plane of the rim.
    """

    R: float
    low: float
    high: float
    w: float
    c: float = 0.0

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, _LARGEST)
        require("kappa", [self.low, self.high], _FLATTEST, _STEEPEST)
        require("b_c", self.w, 0.1, 200)
        _ = self.solid

    @property
    def solid(self) -> Solid:
        """Two cones base to base."""
        return Solid(angled(self.R, self.c, self.low, self.high, self.w / 2, self.w / 2))

    def reground(self, by: float) -> DoubleAngle:
        """The same cutter with its diameter changed by ``by`` [mm]."""
        return replace(self, R=self.R + by / 2)


@dataclass(frozen=True, slots=True)
class Disc:
    """Side-and-face cutter or slitting saw: ``w`` [mm] wide, both corners rounded by ``c`` [mm]. Zero: its middle."""

    R: float
    w: float
    c: float = 0.0

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, _LARGEST)
        require("b_c", self.w, 0.1, 200)
        _rounding(self.c, min(self.R, self.w / 2))

    @property
    def solid(self) -> Solid:
        """Cylinder between two rounded edges."""
        half, c = self.w / 2, self.c
        if c == 0:
            return Solid((Frustum(-half, half, self.R, self.R),))
        if half - c < 1e-9:
            return Solid((Bead(0.0, self.R - c, c),))
        rim = Frustum(c - half, half - c, self.R, self.R)
        return Solid((rim, Bead(c - half, self.R - c, c), Bead(half - c, self.R - c, c)))

    def reground(self, by: float) -> Disc:
        """The same cutter with its diameter changed by ``by`` [mm]."""
        return replace(self, R=self.R + by / 2, c=min(self.c, self.R + by / 2))


@dataclass(frozen=True, slots=True)
class FlyCutter:
    """One bit that swings at ``R`` [mm], its outer corner rounded by ``c`` [mm], for facing.

    The bit is ``w`` [mm] wide towards the axis and stands ``L`` [mm] out of its body; inside it there is nothing: a
    fly cutter plunged straight leaves a core. Zero: the plane that the bit turns in.
    """

    R: float
    w: float
    L: float
    c: float = 0.0

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, _LARGEST)
        require("b_c", self.w, 0.1, self.R - 0.05)
        require("L_c", self.L, 0.1, 200)
        _rounding(self.c, min(self.w, self.L / 2))

    @property
    def solid(self) -> Solid:
        """Cylinder with a rounded edge, less a hole."""
        hole = Frustum(0.0, self.L, self.R - self.w, self.R - self.w)
        return Solid(EndMill(self.R, self.c, self.L).solid.pieces, hole)

    def reground(self, by: float) -> FlyCutter:
        """The same cutter with its diameter changed by ``by`` [mm]."""
        return replace(self, R=self.R + by / 2)


@dataclass(frozen=True)
class Turned:
    """Any outline as measured: ``radii`` at rising ``heights`` [mm], straight between; a ground single point too.

    Zero: where its heights count from.
    """

    heights: tuple[float, ...]
    radii: tuple[float, ...]
    _pieces: tuple[Piece, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.heights) != len(self.radii) or len(self.heights) < 2:
            raise Refusal("outline_points_unpaired", "h", len(self.radii), len(self.heights))
        require("D", 2 * max(self.radii), 0.1, _LARGEST)
        require("D", [2 * r for r in self.radii], 0, _LARGEST)
        pieces = chain(np.array(self.heights, dtype=float), np.array(self.radii, dtype=float))
        if not pieces:
            raise Refusal("cutter_outline_crossed", "h")
        object.__setattr__(self, "_pieces", pieces)

    @property
    def R(self) -> float:
        """Largest radius [mm]."""
        return max(self.radii)

    @property
    def solid(self) -> Solid:
        """A frustum between every two points."""
        return Solid(self._pieces)

    def reground(self, by: float) -> Turned:
        """The same outline on a diameter changed by ``by`` [mm], as a form-relieved cutter keeps it."""
        return Turned(self.heights, tuple(max(r + by / 2, 0.0) for r in self.radii))
