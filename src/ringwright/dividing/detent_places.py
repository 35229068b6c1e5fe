"""Which old spaces a detent may sit in: how many teeth from the cutter, so that no bad or new one is ever used.

Space n lies between tooth n and tooth n + 1; the last one joins tooth 1. Side plus is the one towards n + 1.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import pi, sin

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Setting:
    """The detent ``k`` teeth from the cutter in the sense of counting; ``cut`` the spaces that can be cut so."""

    k: int
    cut: tuple[int, ...]

    def swing(self, z: int) -> float:
        """2 |sin(psi/2)|: how much of the ring's run-out the new teeth get."""
        return abs(2 * sin(pi * self.k / z))


def usable(z: int, damaged: Collection[int], cut: Collection[int], *, side: int = 0, cut_spoils: bool = True) -> Flags:
    """Spaces 1 to z a detent may sit in, as (z,) flags: no damaged tooth touched, none that this round cuts.

    ``side`` 0: both flanks are touched; +1 only tooth n + 1, -1 only tooth n.

    >>> usable(6, [3], [5]).tolist()
    [True, False, False, True, False, True]
    """
    bad = np.zeros(z, dtype=bool)
    bad[[t - 1 for t in damaged]] = True
    touched = np.zeros(z, dtype=bool)
    if side <= 0:
        touched |= bad
    if side >= 0:
        touched |= np.roll(bad, -1)
    if cut_spoils:
        touched[[n - 1 for n in cut]] = True
    return ~touched


def sits_in(z: int, space: int, k: int) -> int:
    """The space the detent sits in while ``space`` is cut.

    >>> sits_in(127, 125, 5)
    3
    """
    return (space - 1 + k) % z + 1


def clashes(z: int, good: Flags, cut: Sequence[int], k: int) -> tuple[int, ...]:
    """Spaces that cannot be cut with the detent k teeth away."""
    return tuple(n for n in cut if not good[sits_in(z, n, k) - 1])


def settings(z: int, good: Flags, cut: Sequence[int], least: int) -> tuple[tuple[Setting, ...], tuple[int, ...]]:
    """The fewest settings of the detent that serve all spaces to be cut, and the spaces that none serves.

    Greedy: the distance that serves most of what is left; of equals the one with the least run-out carried over. The
    detent stands at least ``least`` teeth from the cutter, so that both find room.
    """
    left, found = list(cut), []
    distances = [k for k in range(1, z) if min(k, z - k) >= least]
    while left and distances and good.any():
        places = np.array([n - 1 for n in left])
        served = {k: good[(places + k) % z] for k in distances}
        k = max(distances, key=lambda k: (int(served[k].sum()), -min(k, z - k), k <= z - k))
        if not served[k].any():
            break
        found.append(Setting(k if k <= z - k else k - z, tuple(n for n, ok in zip(left, served[k], strict=True) if ok)))
        left = [n for n, ok in zip(left, served[k], strict=True) if not ok]
    return tuple(found), tuple(left)


def runs(z: int, cut: Collection[int]) -> tuple[tuple[int, int], ...]:
    """Stretches of spaces next to each other, first and last in the sense of counting; the whole ring has no ends.

    >>> runs(10, [9, 10, 1, 4]), runs(4, [1, 2, 3, 4])
    (((4, 4), (9, 1)), ())
    """
    there = set(cut)
    if len(there) == z:
        return ()
    firsts = sorted(n for n in there if (n - 2) % z + 1 not in there)
    found = []
    for first in firsts:
        last = first
        while last % z + 1 in there:
            last = last % z + 1
        found.append((first, last))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Joint:
    """Pitch errors where a run of new spaces meets old ones: at its first and after its last space [um].

    ``share`` is what the new run has to be moved by, in the sense of counting, so that both are equal. ``spread`` is
    the error of every pitch when the run is not copied but set evenly between its two old neighbours.
    """

    first: int
    last: int
    at_first: float
    at_last: float
    spread: float

    @property
    def share(self) -> float:
        """See the class."""
        return (self.at_last - self.at_first) / 2


def joint(z: int, run: tuple[int, int], new: dict[int, float], old: dict[int, float]) -> Joint | None:
    """The joints of one run from the places of its new spaces and of the old ones [um]; None when one is not known."""
    before, after = (run[0] - 2) % z + 1, run[1] % z + 1
    if not (run[0] in new and run[1] in new and before in old and after in old):
        return None
    pitches = (run[1] - run[0]) % z + 2
    return Joint(*run, new[run[0]] - old[before], old[after] - new[run[1]], (old[after] - old[before]) / pitches)
