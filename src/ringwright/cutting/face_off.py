"""Facing the chewed ends of a ring down: what is left of the face, of its overlap with the mate, of the damage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from ringwright.errors import Refusal, require

#: Depths no further apart than this are the same [mm].
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Faced:
    """A ring of face width ``b`` [mm] faced by ``entry`` at its entry face and ``far`` at its far one [mm]."""

    b: float
    entry: float = 0.0
    far: float = 0.0

    def __post_init__(self) -> None:
        require("b", self.b, 0.01, 5000)
        require("entry", self.entry, 0, 5000)
        require("far", self.far, 0, 5000)
        if self.entry + self.far >= self.b:
            raise Refusal("nothing_left", "b", self.b, self.entry + self.far)

    @property
    def width_left(self) -> float:
        """Face width after facing [mm]."""
        return self.b - self.entry - self.far

    def overlap(self, start: float, width: float) -> float:
        """Length of mesh with a mate that begins at depth ``start`` (from the old entry face, below 0 outside) [mm].

        >>> Faced(60.0, entry=4.0).overlap(2.0, 40.0)
        38.0
        """
        require("b_mate", width, 0.01, 5000)
        return max(0.0, min(start + width, self.b - self.far) - max(start, self.entry))


def damage_left(depths: Mapping[int, float], removed: float) -> dict[int, float]:
    """Depth of damage that facing leaves, by tooth; teeth that come out sound are left out [mm].

    >>> damage_left({3: 2.0, 7: 5.5}, 4.0)
    {7: 1.5}
    """
    return {tooth: depth - removed for tooth, depth in sorted(depths.items()) if depth > removed + _SAME}


def steps_to_clear(depths: Mapping[int, float]) -> list[tuple[float, int]]:
    """What has to come off for 1, 2, ... teeth to come out sound: (facing [mm], teeth sound then), rising.

    >>> steps_to_clear({3: 2.0, 7: 5.5, 8: 2.0})
    [(2.0, 2), (5.5, 3)]
    """
    return [(d, sum(other <= d + _SAME for other in depths.values())) for d in sorted(set(depths.values())) if d > 0]


def cuts(total: float, most: float) -> Sequence[float]:
    """Facing in equal cuts none of which takes more than ``most`` [mm]: where each ends, from the old face.

    >>> cuts(4.0, 1.5)
    [1.3333, 2.6667, 4.0]
    """
    require("a_p", most, 0.01, 100)
    if total <= 0:
        return []
    n = ceil(total / most - 1e-9)
    return [total * k / n for k in range(1, n + 1)]
