"""What a division costs in position: over the whole circle, between neighbours, at the closing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor, pi

from ringwright.dividing.devices import ARCSEC


@dataclass(frozen=True, slots=True)
class Errors:
    """Errors of a division, exact, in turns of the spindle; E_k counts in the direction of counting and E_1 = 0.

    ``ratio`` is (got - wanted) / wanted of one move [-], ``per_move`` that of one move, ``worst`` max E - min E,
    ``neighbour`` the largest absolute error of any of the N pitches, ``closing`` what N moves overrun.
    """

    ratio: Fraction
    per_move: Fraction
    worst: Fraction
    neighbour: Fraction
    closing: Fraction


NONE = Errors(*[Fraction(0)] * 5)


def of_equal_moves(N: int, step: Fraction, p: int = 1) -> Errors:
    """Errors of N equal moves of ``step`` spindle turns, each over p spaces (p and N without common factor).

    Tooth k is reached at move m = (k - 1) q mod N with p q = 1 mod N and stands m e out of place; the pitches are
    therefore q e and (q - N) e out.

    Examples
    --------
    127 on 40:1 with 17 on 54, in seconds of arc:

    >>> found = of_equal_moves(127, Fraction(17, 54) / 40)
    >>> [round(float(v) * 1296000, 3) for v in (found.per_move, found.worst, found.neighbour, found.closing)]
    [-4.724, 595.276, 595.276, -600.0]
    """
    wanted = Fraction(p, N)
    e = step - wanted
    q = pow(p, -1, N)
    return Errors(e / wanted, e, (N - 1) * abs(e), max(q, N - q) * abs(e), N * e)


def of_positions(N: int, positions: Sequence[Fraction]) -> Errors:
    """Errors of N absolute positions, in spindle turns from tooth 1; nothing adds up and the circle closes."""
    E = [have - Fraction(j, N) for j, have in enumerate(positions)]
    pitches = [abs(E[(j + 1) % N] - E[j]) for j in range(N)]
    return Errors(Fraction(0), Fraction(0), max(E) - min(E), max(pitches), Fraction(0))


def on_dial(place: Fraction, K: Fraction, dial: Fraction) -> Fraction:
    """The place a dial can be set to nearest to ``place``, all in spindle turns; halves go up.

    The dial is on the worm shaft and starts again at each of its turns; where a turn is no whole number of marks the
    next zero is a mark as well.
    """
    turn = 1 / K
    whole = floor(place / turn)
    rest = place - whole * turn
    near = floor(rest / dial + Fraction(1, 2)) * dial
    if near >= turn or turn - rest < abs(near - rest):
        near = turn
    return whole * turn + near


def on_counts(place: Fraction, counts: Fraction) -> Fraction:
    """The place a readout of ``counts`` counts per spindle turn shows nearest to ``place`` [spindle turn]; halves up.

    >>> on_counts(Fraction(1, 127), Fraction(192000)) * 192000
    Fraction(1512, 1)
    """
    return floor(place * counts + Fraction(1, 2)) / counts


def arcsec(turns: Fraction | float) -> float:
    """Seconds of arc of a part of a turn."""
    return float(turns * ARCSEC)


def arc_um(turns: Fraction | float, r: float) -> float:
    """Length of arc at radius r [mm], in micrometres.

    >>> arc_um(Fraction(10, 1296000), 200)
    9.6963
    """
    return float(turns) * 2 * pi * r * 1000


def half_hole(K: Fraction | int, C: int) -> Fraction:
    """Half a space of a circle of C holes at the spindle [turn]."""
    return Fraction(1, 2) / (K * C)
