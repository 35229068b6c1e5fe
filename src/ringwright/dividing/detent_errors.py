"""What a detent in an old tooth space carries over into the new one, undivided, at the reference circle."""

from __future__ import annotations

import cmath
from dataclasses import dataclass
from math import cos, pi, sin, sqrt

from ringwright.dividing.detent import Seat, Space, pawl_shift, worn_shift


@dataclass(frozen=True, slots=True)
class Old:
    """What is wrong with the old teeth and with how they are held; lengths in mm, arcs at the reference circle.

    ``w_plus``, ``w_minus`` wear normal to the two flanks of the space; ``f`` how far one flank may stand out of place
    either way; ``e`` the ring's centre off the axis of the table; ``psi`` [rad] the detent's place from the cutter;
    ``play`` of the plunger in its guide, both sides together; ``sigma`` standard deviation of seating again.
    """

    w_plus: float = 0.0
    w_minus: float = 0.0
    f: float = 0.0
    e: float = 0.0
    psi: float = 0.0
    play: float = 0.0
    sigma: float = 0.0


@dataclass(frozen=True, slots=True)
class Carried:
    """Arcs on the reference circle of the new tooth [mm].

    ``bias`` signed, plus in the sense of counting, the same at every tooth, seen at the joint with old teeth only;
    ``pitch`` and ``play`` either way; ``run_out`` the swing's amplitude round the ring; ``by_plate`` what the same
    run-out leaves when a plate divides; ``sigma`` as given.
    """

    bias: float
    pitch: float
    run_out: float
    by_plate: float
    play: float
    sigma: float

    @property
    def place(self) -> float:
        """Worst place of a new tooth against where it should be: all of them together."""
        return abs(self.bias) + self.pitch + self.run_out + self.play

    def neighbour(self, z: int) -> float:
        """Worst error of the pitch between two new neighbours, each from its own old space; the bias drops out."""
        return 2 * self.pitch + 2 * self.run_out * sin(pi / z) + 2 * self.play

    @property
    def seam(self) -> float:
        """Worst error of the pitch between a new tooth and its old neighbour at the joint."""
        return self.place + self.pitch


def carried(space: Space, at: Seat, old: Old, side: int = 0) -> Carried:
    """What the seat carries over; ``side`` 0 for a detent that both flanks centre, +1 or -1 for a pawl's flank.

    Wear turns an involute about the axis by w / r_b, so that the middle of the space moves by half the difference, on
    the reference circle w / (2 cos alpha); the pawl's flank moves by the whole.
    """
    ring = space.ring
    r = ring.d / 2
    if side == 0:
        bias = worn_shift(old.w_plus - old.w_minus, ring.alpha_t)
    else:
        bias = side * pawl_shift(old.w_plus if side > 0 else old.w_minus, ring.alpha_t)
    across = r * cos(at.slope) / at.arm
    return Carried(
        bias=bias,
        pitch=old.f,
        run_out=old.e * run_out_gain(space, at, old.psi, side),
        by_plate=old.e,
        play=old.play / 2 * across,
        sigma=old.sigma,
    )


def run_out_gain(space: Space, at: Seat, psi: float, side: int = 0) -> float:
    """Amplitude of the new teeth's swing for a ring 1 mm off the table's axis, detent ``psi`` [rad] from the cutter.

    The detent follows the ring's sideways motion at its own place, the cutter stands still: what is left is the
    difference of two swings, for a centring detent nearly 2 sin(psi / 2). A pawl feels the radial motion too.
    """
    r = space.ring.d / 2
    across = cos(at.slope) * r / at.arm
    along = side * space.ring.s * sin(at.slope) * r / at.arm
    return abs(complex(across, -along) * cmath.exp(-1j * psi) - 1)


def walked(sigma: float, bias: float, n: int) -> tuple[float, float]:
    """Locating each new tooth from the last new one: random and steady part after n steps, in the unit given.

    >>> walked(10, 2, 25)
    (50.0, 50)
    """
    return sigma * sqrt(n), bias * n
