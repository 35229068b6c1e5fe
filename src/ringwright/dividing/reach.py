"""Which idlers of the drawer fill a train, and whether its gears reach each other on the quadrant.

The arm swings about the worm shaft and has one straight slot that points away from it; studs slide in the slot. So a
stud's distance from the worm shaft is set by the gears between them, and the arm swings until the first gear meets the
one on the spindle: a triangle of three known sides. Shape of the arm: common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise, permutations
from math import hypot, sqrt

from ringwright.dividing.devices import Quadrant, Train


def hang(train: Train, drawer: tuple[int, ...], quadrant: Quadrant | None) -> Train | None:
    """The train with its idlers, the smallest that serve; None when no idlers make it reach.

    Without a quadrant every train is taken to reach. Where the drawer holds too few idlers the train comes back
    without any (``between`` None); with a quadrant it then reaches if gears of some size from 12 to 120 would.

    Examples
    --------
    Without a quadrant the smallest gears left over serve:

    >>> hang(Train(48, 24, 1), (24, 48, 32, 40), None).between
    (32,)

    References
    ----------
    .. [1] Common practice, no source; distances by the plane geometry of meshing circles.
    """
    for between in _owned(train, drawer):
        if quadrant is None or reaches(train, between, quadrant):
            return replace(train, between=between)
    if quadrant is None or any(reaches(train, (z,) * train.idlers, quadrant) for z in range(12, 121)):
        return replace(train, between=None) if not _enough(train, drawer) else None
    return None


def _enough(train: Train, drawer: tuple[int, ...]) -> bool:
    return len(drawer) - len(train.used) >= train.idlers


def _owned(train: Train, drawer: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    left = Counter(drawer) - Counter(train.used)
    rows = set(permutations(sorted(left.elements()), train.idlers)) if train.idlers < 2 else _pairs(left)
    yield from sorted(rows, key=lambda row: (sum(row), row))


def _pairs(left: Counter[int]) -> set[tuple[int, ...]]:
    return {(a, b) for a in left for b in left if a != b or left[a] > 1}


def reaches(train: Train, between: tuple[int, ...], q: Quadrant) -> bool:
    """Whether the gears mesh one after the other with the studs in the slot, and meet nothing else.

    Parameters
    ----------
    train : Train
        Gears on spindle, stud and worm.
    between : whole numbers
        Teeth of the idlers, the spindle's side first: simple trains 1 or 2, compound ones 0 or 1 [-]
    q : Quadrant
        Module, distance of the shafts, reach of the slot [mm]

    Examples
    --------
    Module 2, shafts 150 apart: 48 and 24 with one idler of 100 stand 148 and 124 from the shafts.

    >>> reaches(Train(48, 24, 1), (100,), Quadrant(2, 150, 60, 140))
    True
    >>> reaches(Train(48, 24, 1), (32,), Quadrant(2, 150, 40, 140))
    False
    """
    studs = _studs(train, between, q)
    if any(not q.near <= r <= q.far for r in studs):
        return False
    first = train.on_stud_to_spindle if train.compound else between[0]
    assert first is not None  # a compound train has it by its definition
    side, r = _mesh(train.spindle, first, q), studs[0]
    if not abs(r - side) <= q.shafts <= r + side:
        return False
    return _clear(train, between, studs, side, q)


def _mesh(a: int, b: int, q: Quadrant) -> float:
    return q.m * (a + b) / 2


def _tip(z: int, q: Quadrant) -> float:
    return q.m * (z + 2) / 2


def _studs(train: Train, between: tuple[int, ...], q: Quadrant) -> list[float]:
    """Distances of the studs from the worm shaft, the one at the spindle first [mm]."""
    row = [train.worm, *reversed(between)]
    if train.on_stud_to_worm is not None:
        row.append(train.on_stud_to_worm)
    found, r = [], 0.0
    for one, next_ in pairwise(row):
        r += _mesh(one, next_, q)
        found.append(r)
    return found[::-1]


def _clear(train: Train, between: tuple[int, ...], studs: list[float], side: float, q: Quadrant) -> bool:
    if train.compound:
        # two planes: only what stands on the one stud can run into a shaft or stud beside it
        on_spindle, on_worm = train.on_stud_to_spindle or 0, train.on_stud_to_worm or 0
        beside = studs[0] - studs[1] if between else studs[0]
        widest = max(_tip(train.spindle, q), _tip(train.worm, q))
        return _tip(on_spindle, q) < min(beside, studs[0]) and _tip(on_worm, q) < side and widest < q.shafts
    if q.shafts < _tip(train.spindle, q) + _tip(train.worm, q):
        return False
    if len(between) < 2:
        return True
    r1, r2 = studs
    x = (q.shafts**2 + r1**2 - side**2) / (2 * r1)
    y = sqrt(max(0.0, q.shafts**2 - x**2))
    return hypot(x - r2, y) >= _tip(train.spindle, q) + _tip(between[1], q)
