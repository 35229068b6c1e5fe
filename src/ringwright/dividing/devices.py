"""What stands on the shelf: a dividing head or rotary table with its plates, gears and dial, all exact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from ringwright.errors import Refusal

#: Seconds of arc in one turn.
ARCSEC = 1_296_000


@dataclass(frozen=True, slots=True)
class Quadrant:
    """The slotted arm that carries the studs; it swings about the worm (plate) shaft.

    Attributes
    ----------
    m : float
        Module of the change gears [mm]
    shafts : float
        Distance of the gear shafts of spindle and worm [mm]
    near, far : float
        Least and greatest distance of a stud from the worm shaft [mm]
    """

    m: float
    shafts: float
    near: float
    far: float


@dataclass(frozen=True, slots=True)
class Device:
    """A dividing device.

    Attributes
    ----------
    name : str
        What the shop calls it.
    K : Fraction
        Crank turns per spindle turn, above 0 [-]
    sides : tuple of tuple of int
        Hole counts, one inner tuple per plate side; two circles can be used together only on one side [-]
    gears : tuple of int
        Change gears as they lie in the drawer: a gear listed once can be used once [-]
    direct : tuple of int
        Hole counts of plates on the spindle nose [-]
    dial : Fraction or None
        Finest reading of the dial on the worm shaft, in turns of the spindle [turn]
    counts : Fraction or None
        Counts of a readout or encoder for one turn of the spindle [-]
    damaged : pairs
        Circle and the holes of it that are not to be used, counted from the hole marked 0 [-]
    quadrant : Quadrant or None
        What the studs can reach; None when nobody has measured it.
    """

    name: str
    K: Fraction
    sides: tuple[tuple[int, ...], ...] = ()
    gears: tuple[int, ...] = ()
    direct: tuple[int, ...] = ()
    dial: Fraction | None = None
    counts: Fraction | None = None
    damaged: tuple[tuple[int, tuple[int, ...]], ...] = ()
    quadrant: Quadrant | None = None

    @property
    def circles(self) -> tuple[int, ...]:
        """Every hole count there is, once, largest first."""
        return tuple(sorted({c for side in self.sides for c in side}, reverse=True))

    def start(self, C: int, holes: int, N: int) -> int | None:
        """The hole to begin in so that N moves of ``holes`` spaces meet no damaged one; None when there is none.

        >>> Device("h", Fraction(40), ((20,),), damaged=((20, (3,)),)).start(20, 8, 100)
        0
        >>> Device("h", Fraction(40), ((20,),), damaged=((20, (4,)),)).start(20, 8, 100)
        1
        """
        if not self.damaged:
            return 0
        bad = {hole for circle, those in self.damaged if circle == C for hole in those}
        if not bad:
            return 0
        apart = gcd(holes, C)
        met = range(0, C, apart) if C // apart <= N else [j * holes % C for j in range(N)]
        return next((s for s in range(C) if not any((s + hole) % C in bad for hole in met)), None)


@dataclass(frozen=True, slots=True)
class Train:
    """Change gears from the spindle to the index plate.

    ``on_stud_to_spindle`` meshes with the gear on the spindle and ``on_stud_to_worm`` with the gear on the worm
    (plate) shaft; both None for a simple train. ``sense`` is +1 when the plate turns with the crank, -1 against it.
    ``between`` are idlers of the drawer, spindle's side first; None when none were looked for or too few lie there.
    """

    spindle: int
    worm: int
    sense: int
    on_stud_to_spindle: int | None = None
    on_stud_to_worm: int | None = None
    between: tuple[int, ...] | None = None

    @property
    def compound(self) -> bool:
        """Whether two gears share the stud."""
        return self.on_stud_to_spindle is not None

    @property
    def ratio(self) -> Fraction:
        """Turns of the plate per turn of the spindle, without sign [-]."""
        r = Fraction(self.spindle, self.worm)
        if self.on_stud_to_spindle is not None and self.on_stud_to_worm is not None:
            r *= Fraction(self.on_stud_to_worm, self.on_stud_to_spindle)
        return r

    @property
    def R(self) -> Fraction:
        """Turns of the plate per turn of the spindle, positive with the crank [-]."""
        return self.sense * self.ratio

    @property
    def idlers(self) -> int:
        """Idlers on the usual head: simple one with, two against; compound none with, one against [-].

        An even number of outside meshes turns the plate with the crank (common practice; heads differ by a bevel pair).
        """
        meshes_without = 2 if self.compound else 1
        return (meshes_without + (0 if self.sense > 0 else 1)) % 2 + (2 if self.sense < 0 and not self.compound else 0)

    @property
    def used(self) -> tuple[int, ...]:
        """The gears that the ratio needs; idlers, of any size, come on top."""
        studs = (self.on_stud_to_spindle, self.on_stud_to_worm)
        return (self.spindle, *(g for g in studs if g is not None), self.worm)


def sense_of(idlers: int, compound: bool) -> int:
    """Sense of the plate from the idlers between spindle and worm: +1 with the crank, -1 against it.

    Raises
    ------
    Refusal
        ``idlers_not_whole``.

    Examples
    --------
    >>> sense_of(1, False), sense_of(2, False), sense_of(0, True), sense_of(1, True)
    (1, -1, 1, -1)
    """
    if idlers != int(idlers) or idlers < 0:
        raise Refusal("idlers_not_whole", "idlers", float(idlers))
    meshes = int(idlers) + (2 if compound else 1)
    return 1 if meshes % 2 == 0 else -1


def arms(holes: int) -> tuple[int, int] | None:
    """What the sector arms enclose: spaces moved, and holes with the pin's own hole counted; None when nothing is.

    >>> arms(10)
    (10, 11)
    """
    return (abs(holes), abs(holes) + 1) if holes else None


def multiset(gears: Sequence[int]) -> dict[int, int]:
    """How many of each gear there are."""
    return {g: list(gears).count(g) for g in sorted(set(gears))}
