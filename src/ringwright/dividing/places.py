"""Where every tooth stands: absolute places from tooth 1, and the tooth from what can be seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from ringwright.dividing.accuracy import on_counts, on_dial
from ringwright.dividing.settings import Move


@dataclass(frozen=True, slots=True)
class Place:
    """A tooth's absolute place.

    ``total`` are turns of the crank against the plate since tooth 1, as set (of the nose plate where that is used);
    ``spindle`` is the spindle's place in [0, 1) turn.
    """

    tooth: int
    total: Fraction
    spindle: Fraction

    @property
    def turns(self) -> int:
        """Whole turns."""
        return floor(self.total)

    @property
    def part(self) -> Fraction:
        """Part of a turn beyond the whole ones."""
        return self.total - self.turns

    def hole(self, circle: int) -> int:
        """Hole the pin is in, 0 at tooth 1, counted in the crank's direction."""
        return int(self.part * circle)


def by_moves(N: int, move: Move, step: Fraction, p: int = 1) -> tuple[Place, ...]:
    """Places of all teeth when equal moves over p spaces are made, in the order of the teeth.

    >>> [str(place.total) for place in by_moves(5, Move(1, 1, 5), Fraction(2, 5), 2)]
    ['0', '18/5', '6/5', '24/5', '12/5']
    """
    q = pow(p, -1, N)
    at = [j * q % N for j in range(N)]
    return tuple(Place(j + 1, m * move.x, m * step % 1) for j, m in enumerate(at))


def by_dial(N: int, K: Fraction, dial: Fraction) -> tuple[Place, ...]:
    """Places of all teeth by dial readings, each rounded by itself."""
    places = (on_dial(Fraction(j, N), K, dial) for j in range(N))
    return tuple(Place(j + 1, place * K, place % 1) for j, place in enumerate(places))


def by_counts(N: int, K: Fraction, counts: Fraction) -> tuple[Place, ...]:
    """Places of all teeth by the counts of a readout, each rounded by itself."""
    places = (on_counts(Fraction(j, N), counts) for j in range(N))
    return tuple(Place(j + 1, place * K, place % 1) for j, place in enumerate(places))


def sure_within(N: int, comes_back: int, p: int = 1) -> float | None:
    """How well the spindle has to be read for hole and degrees together to be one tooth [deg]; None: the hole does it.

    Half the way between the two nearest teeth at which the pin stands in the same hole, every ``comes_back`` moves of
    p spaces.

    >>> sure_within(115, 23), sure_within(100, 100)
    (36.0, None)
    """
    at = sorted(m * p % N for m in range(0, N, comes_back))
    if len(at) < 2:
        return None
    return 180 * min((b - a) % N for a, b in zip(at, [*at[1:], at[0]], strict=True)) / N


@dataclass(frozen=True, slots=True)
class Seen:
    """What can be seen at the head.

    ``spindle`` [spindle turn], the dial's ``part`` [crank turn] and a readout's ``counted`` [spindle turn], and what
    the readings are good for [spindle turn].
    """

    hole: int | None = None
    spindle: Fraction | None = None
    u_spindle: Fraction = Fraction(0)
    part: Fraction | None = None
    u_part: Fraction = Fraction(0)
    counted: Fraction | None = None
    u_counted: Fraction = Fraction(0)

    def checks(self) -> list[tuple[Fraction, Fraction, str]]:
        """The readings but the hole: value, what it is good for, and its kind; the spindle's degrees last."""
        read = ((self.part, self.u_part, "dial"), (self.counted, self.u_counted, "counts"))
        found = [(value, u, kind) for value, u, kind in read if value is not None]
        return found if self.spindle is None else [*found, (self.spindle, self.u_spindle, "degrees")]


@dataclass(frozen=True, slots=True)
class Found:
    """The tooth, or None with the reason: "none", "several", "halfway" or "disagree"."""

    tooth: int | None
    off: Fraction
    candidates: tuple[int, ...]
    reason: str | None


def _around(have: Fraction, there: Fraction) -> Fraction:
    return (have - there + Fraction(1, 2)) % 1 - Fraction(1, 2)


def locate(places: Sequence[Place], circle: int | None, K: Fraction, seen: Seen) -> Found:
    """Which tooth this is; refused when several fit, when the reading is nearer to halfway, or when readings disagree.

    Parameters
    ----------
    places : places of all teeth
        From `by_moves` or `by_dial`.
    circle : int or None
        Holes of the circle in use [-]
    K : ratio
        Crank turns per spindle turn; only a dial reading needs it [-]
    seen : Seen
        At least one of hole, spindle, dial and counts.

    Returns
    -------
    Found
        ``off`` is seen minus expected at the nearest fitting tooth [spindle turn], by the spindle's degrees where they
        were read, else by the dial; at most twelve candidates, nearest first.
    """
    fitting = [p for p in places if seen.hole is None or (circle is not None and p.hole(circle) == seen.hole)]
    if not fitting:
        return Found(None, Fraction(0), (), "none")
    checks = seen.checks()
    off = {p.tooth: Fraction(0) for p in fitting}
    halfway = False
    for value, u, kind in checks:
        off = {p.tooth: _around(value, p.part) / K if kind == "dial" else _around(value, p.spindle) for p in fitting}
        near = sorted(fitting, key=lambda p: abs(off[p.tooth]))
        first = abs(off[near[0].tooth])
        second = abs(off[near[1].tooth]) if len(near) > 1 else Fraction(1)
        halfway = 3 * first > second
        kept = [p for p in near if abs(off[p.tooth]) <= 3 * u]
        if not kept and (seen.hole is not None or kind != "degrees" or len(checks) > 1):
            return Found(None, off[near[0].tooth], tuple(p.tooth for p in near[:2]), "disagree")
        fitting = kept or near[:1]
        if halfway and len(fitting) == 1 and len(near) > 1:
            fitting = near[:2]
    names = tuple(p.tooth for p in fitting[:12])
    if len(fitting) == 1:
        return Found(names[0], off[names[0]], names, None)
    return Found(None, off[names[0]], names, "halfway" if halfway and len(fitting) == 2 else "several")
