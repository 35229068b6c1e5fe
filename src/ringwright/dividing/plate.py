"""A plate to make: where its holes go, how small its circle may be, and what a hole out of place does to the work.

Holes are numbered from 0, the hole that is drilled first, in the sense in which the crank will pass them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import cos, floor, pi, sin

import numpy as np
from numpy.typing import NDArray

from ringwright.dividing.settings import crank_turns, fits
from ringwright.dividing.ways import LARGEST_PLATE, SMALLEST_PLATE
from ringwright.errors import Refusal, require

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class HoleCircle:
    """C holes of diameter D [mm] on the radius R [mm].

    ``start`` [rad] is the angle of hole 0 from +x, counter-clockwise positive; ``sense`` +1 numbers the holes
    counter-clockwise, -1 clockwise; the centre lies at (``x``, ``y``) of the readout [mm].
    """

    C: int
    R: float
    D: float
    start: float = 0.0
    sense: int = 1
    x: float = 0.0
    y: float = 0.0

    def __post_init__(self) -> None:
        require("C", self.C, 2, 1000)
        require("R", self.R, 0.5, 5000)
        require("D", self.D, 0.05, 500)
        if self.web <= 0:
            raise Refusal("holes_run_together", "R", self.R, smallest_radius(self.C, self.D, 0.0), 5000)

    @property
    def chord(self) -> float:
        """From one hole to the next [mm]."""
        return chord(self.C, self.R)

    @property
    def web(self) -> float:
        """Metal left between two holes [mm]."""
        return self.chord - self.D

    def angles(self) -> Array:
        """Angle of every hole from +x, (C,) [rad]; each from its own number, none from the hole before."""
        return np.asarray(self.start + self.sense * 2 * pi * np.arange(self.C) / self.C)

    def centres(self) -> Array:
        """Centres of all holes in the readout's frame, (C, 2) [mm]."""
        return np.column_stack([self.x + self.R * np.cos(self.angles()), self.y + self.R * np.sin(self.angles())])


def hole_centre(C: int, R: float, i: int) -> tuple[float, float]:
    """Centre of hole i of C on radius R [mm], hole 0 on +x, counter-clockwise -> (x, y) [mm].

    >>> hole_centre(23, 60, 6)
    (-4.0945, 59.8601)
    """
    return R * cos(2 * pi * i / C), R * sin(2 * pi * i / C)


def chord(C: int, R: float, spaces: int = 1) -> float:
    """Straight distance over so many spaces, 2 R sin(pi k / C) [mm].

    >>> chord(127, 75)
    3.7102
    """
    return 2 * R * sin(pi * spaces / C)


def smallest_radius(C: int, D: float, web: float) -> float:
    """Smallest radius on which C holes of diameter D leave ``web`` between them [mm].

    >>> smallest_radius(127, 2.5, 1.5)
    80.8589
    """
    return (D + web) / (2 * sin(pi / C))


def counts_that_serve(K: Fraction, N: int, least: int | None = None) -> tuple[int, ...]:
    """Hole counts that divide N with a worm of ratio K, smallest first: multiples of the denominator of K/N.

    A direct plate (K = 1) may have as few holes as there are divisions; one for the crank has at least
    `SMALLEST_PLATE`, so that the pin does not stand too near the middle (common practice). None above `LARGEST_PLATE`.

    >>> counts_that_serve(Fraction(40), 127), counts_that_serve(Fraction(90), 115)[:3]
    ((127, 254, 381), (23, 46, 69))
    """
    q = crank_turns(K, N).denominator
    low = least if least is not None else (2 if K == 1 else SMALLEST_PLATE)
    return tuple(c for c in range(q, LARGEST_PLATE + 1, q) if c >= low)


def serves(K: Fraction, N: int, C: int) -> bool:
    """Whether C holes divide N exactly with a worm of ratio K."""
    return fits(crank_turns(K, N), C)


def transfer(delta: float, R: float, K: Fraction | float) -> float:
    """What a hole ``delta`` [mm] out along its circle of radius R [mm] turns the spindle, delta / (R K) [rad].

    The same for a plate that sits off its centre by ``delta``: either way, once in every turn of the crank.

    >>> transfer(0.05, 60, 40) * 648000 / pi
    4.2972
    """
    return delta / (R * float(K))


@dataclass(frozen=True, slots=True)
class Rounded:
    """Holes as the readout can be set: places [mm] (C, 2), and how far that is off.

    ``along`` is the error along the circle, in the sense of numbering, ``out`` the radial one, outward, (C,) [mm].
    """

    places: Array
    along: Array
    out: Array


def rounded(circle: HoleCircle, step: float) -> Rounded:
    """The centres of all holes rounded to the readout's step [mm], halves up; each from its own angle.

    >>> float(rounded(HoleCircle(23, 60, 6), 0.01).places[1, 1])
    16.1900
    """
    require("step", step, 1e-5, 1)
    exact = circle.centres()
    places = np.asarray(np.floor(exact / step + 0.5) * step)
    off, angle = places - exact, circle.angles()
    out = off[:, 0] * np.cos(angle) + off[:, 1] * np.sin(angle)
    along = circle.sense * (-off[:, 0] * np.sin(angle) + off[:, 1] * np.cos(angle))
    return Rounded(places, np.asarray(along), np.asarray(out))


def holes_met(K: Fraction, N: int, C: int) -> tuple[int, ...]:
    """The hole of each of N divisions in the order of counting, for a circle of C holes that serves.

    >>> holes_met(Fraction(90), 115, 23)[:4]
    (0, 18, 13, 8)
    """
    return tuple(int(j * crank_turns(K, N) * C) % C for j in range(N))


def at_the_teeth(along: Array, R: float, K: Fraction, holes: tuple[int, ...]) -> tuple[float, float]:
    """What errors ``along`` the hole circle [mm] make of the division: worst total and worst from tooth to tooth [rad].

    ``along`` is (C,), ``holes`` the hole of each division as `holes_met` gives it. Total: max E - min E; neighbour:
    the largest error of any pitch, the one from the last division to the first included.
    """
    E = np.asarray(along)[list(holes)] / (R * float(K))
    return float(E.max() - E.min()), float(np.abs(np.diff(np.append(E, E[0]))).max())


@dataclass(frozen=True, slots=True)
class ChordCheck:
    """A check with a caliper: over ``spaces`` spaces the centres stand ``chord`` [mm] apart."""

    spaces: int
    chord: float


def chord_checks(circle: HoleCircle) -> Iterator[ChordCheck]:
    """One space, about a quarter, a third and a half of the way round: what to measure on the finished plate."""
    wanted = dict.fromkeys(k for k in (1, circle.C // 4, circle.C // 3, circle.C // 2) if k > 0)
    return (ChordCheck(k, chord(circle.C, circle.R, k)) for k in wanted)


def next_step_up(value: float, step: float) -> float:
    """The next multiple of ``step`` that is not below ``value`` but for rounding in the last bits.

    >>> next_step_up(80.8589, 0.5), next_step_up(80.0, 0.5)
    (81.0, 80.0)
    """
    steps = floor(value / step)
    return steps * step if value - steps * step < 1e-9 else (steps + 1) * step
