"""A setting of crank, plate and train, and what it really divides; everything exact.

With K crank turns per spindle turn and R plate turns per spindle turn (positive with the crank), a move of x crank
turns counted on the plate carries the spindle x / (K - R) of a turn: the worm turns by what the crank does against
the plate and by what the plate does itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor

from ringwright.errors import Refusal


@dataclass(frozen=True, slots=True)
class Move:
    """One move: whole turns, then spaces on a circle; for compound indexing then spaces of plate and crank together.

    ``holes`` and ``second`` holes are spaces; negative is against the crank.
    """

    turns: int
    holes: int
    circle: int | None
    second: tuple[int, int] | None = None

    @property
    def x(self) -> Fraction:
        """The crank's turns against the plate [turn]."""
        return self.turns + (Fraction(self.holes, self.circle) if self.circle else Fraction(0))

    @property
    def worm(self) -> Fraction:
        """Turns of the worm by crank and plate moves together, no train [turn]."""
        return self.x + (Fraction(self.second[1], self.second[0]) if self.second else Fraction(0))


def crank_turns(K: Fraction | int, N: int) -> Fraction:
    """Crank turns for one of N divisions, K / N [turn].

    >>> crank_turns(90, 115)
    Fraction(18, 23)
    """
    return Fraction(K) / N


def on_circle(x: Fraction, C: int) -> Move:
    """The move nearest to x crank turns on a circle of C holes; halves go up.

    >>> on_circle(Fraction(20, 3), 18)
    Move(turns=6, holes=12, circle=18, second=None)
    """
    H = floor(x * C + Fraction(1, 2))
    return Move(H // C, H % C, C)


def fits(x: Fraction, C: int) -> bool:
    """Whether x crank turns can be set exactly on C holes: the denominator of x divides C."""
    return C % x.denominator == 0


def plate_turns(K: Fraction | int, N: int, x: Fraction) -> Fraction:
    """R, turns the plate must make per spindle turn so that moves of x crank turns divide N: K - N x [-].

    Positive with the crank. With A = K / x, what the move divides without gears, it is the same as K (A - N) / A.

    Examples
    --------
    The move 13 on 39 at 40:1 for 127, which divides 120 without gears:

    >>> plate_turns(40, 127, Fraction(13, 39))
    Fraction(-7, 3)

    References
    ----------
    .. [1] Course notes on differential division (form K (A - N) / A read).
    """
    return K - N * x


def divides(K: Fraction | int, worm: Fraction, R: Fraction | int = 0) -> Fraction:
    """How many times the move goes into one turn of the spindle, (K - R) / x [-].

    Parameters
    ----------
    K : ratio
        Crank turns per spindle turn [-]
    worm : ratio
        Crank turns against the plate, with those of plate and crank together added in compound indexing [turn]
    R : ratio
        Plate turns per spindle turn, positive with the crank, 0 with the stop pin in [-]

    Raises
    ------
    Refusal
        ``no_move`` when nothing moves or the train holds the spindle still; ``backwards`` when the spindle would
        turn against the crank.

    Examples
    --------
    >>> divides(40, Fraction(22, 33)), divides(40, Fraction(13, 39), Fraction(-7, 3))
    (Fraction(60, 1), Fraction(127, 1))
    """
    if worm == 0 or K == R:
        raise Refusal("no_move", "x", float(worm))
    D = (K - R) / worm
    if D < 0:
        raise Refusal("backwards", "x", float(worm))
    return D


def for_angle(K: Fraction | int, angle_arcmin: Fraction | int) -> Fraction:
    """Crank turns for an angle of the spindle: minutes K / 21600 [turn].

    >>> for_angle(40, 2920)
    Fraction(146, 27)
    """
    return Fraction(angle_arcmin) * K / 21600


def assert_closes(K: Fraction, N: int, worm: Fraction, R: Fraction, p: int = 1) -> None:
    """The closing identity of a setting that is called exact: N moves turn the spindle exactly p times.

    Raises
    ------
    AssertionError
        The setting divides something else; a fault of this program, never of the user.
    """
    if N * worm != p * (K - R):
        raise AssertionError(f"{N} moves of {worm} do not close at {K}:1 with R = {R}")
