"""Change-gear trains for differential indexing: simple ones first, compound where no simple one serves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from math import ceil, floor, gcd

from ringwright.dividing.devices import Device, Train
from ringwright.dividing.reach import hang
from ringwright.dividing.settings import Move

Setting = tuple[Move, Train]
Four = tuple[int, int, int, int]


@lru_cache(maxsize=64)
def simple_ratios(gears: tuple[int, ...]) -> dict[Fraction, tuple[tuple[int, int], ...]]:
    """Ratio spindle/worm -> pairs (spindle, worm) from the drawer, smallest gears first.

    >>> simple_ratios((24, 48))
    {Fraction(1, 2): ((24, 48),), Fraction(2, 1): ((48, 24),)}
    """
    count = Counter(gears)
    found: dict[Fraction, list[tuple[int, int]]] = {}
    for a in sorted(count):
        for b in sorted(count):
            if a != b or count[a] > 1:
                found.setdefault(Fraction(a, b), []).append((a, b))
    return {r: tuple(sorted(pairs, key=sum)) for r, pairs in found.items()}


@lru_cache(maxsize=16)
def compound_ratios(gears: tuple[int, ...]) -> dict[tuple[int, int], tuple[Four, ...]]:
    """Ratio as two whole numbers -> (driver, driver, driven, driven) from the drawer, smallest gears first.

    >>> compound_ratios((32, 56, 28, 40))[2, 5]
    ((28, 32, 40, 56),)
    """
    there = range(len(gears))
    found: dict[tuple[int, int], set[Four]] = {}
    for i, j in combinations(there, 2):
        a, b = sorted((gears[i], gears[j]))
        for k, m in combinations([n for n in there if n not in (i, j)], 2):
            c, d = sorted((gears[k], gears[m]))
            g = gcd(a * b, c * d)
            found.setdefault((a * b // g, c * d // g), set()).add((a, b, c, d))
    return {key: tuple(sorted(fours, key=lambda f: (sum(f), f))) for key, fours in found.items()}


def simple_settings(device: Device, N: int, *, any_reach: bool = False) -> Iterator[Setting]:
    """Every exact differential setting with a simple train: per ratio and sense the smallest gears, largest circle.

    ``any_reach`` gives those too whose gears do not reach each other on the quadrant.
    """
    top, bottom = device.K.as_integer_ratio()
    circles = device.circles
    for ratio, pairs in simple_ratios(device.gears).items():
        a, b = ratio.as_integer_ratio()
        for sense in (1, -1):
            over, under = top * b - sense * a * bottom, bottom * b * N
            move = _setting(device, circles, over, under, N)
            if move is None:
                continue
            quadrant = None if any_reach else device.quadrant
            hung = (hang(Train(s, w, sense), device.gears, quadrant) for s, w in pairs)
            train = _best(train for train in hung if train is not None)
            if train is not None:
                yield move, train


def _setting(device: Device, circles: tuple[int, ...], over: int, under: int, N: int) -> Move | None:
    """The move of over/under turns on the largest circle that holds it; None when there is none."""
    g = gcd(over, under)
    over, under = over // g, under // g
    if over <= 0 or not circles or under > circles[0]:
        return None
    for C in circles:
        if C % under == 0:
            H = over * (C // under)
            if device.start(C, H, N) is not None:
                return Move(H // C, H % C, C)
    return None


def _best(trains: Iterator[Train]) -> Train | None:
    """The first train whose idlers lie in the drawer, else the first."""
    first = None
    for train in trains:
        if train.between is not None:
            return train
        first = first or train
    return first


def compound_settings(device: Device, N: int) -> Iterator[Setting]:
    """Exact differential settings with a compound train, the slowest plate first, the same speed with the crank first.

    Every circle and every train of the drawer is looked at; nothing is left out.
    """
    ratios = compound_ratios(device.gears)
    for R, H, C in _wanted(device, N, ratios):
        train = _best(_compound_trains(device, R, ratios[abs(R).as_integer_ratio()]))
        if train is not None:
            yield Move(H // C, H % C, C), train


def _wanted(device: Device, N: int, ratios: dict[tuple[int, int], tuple[Four, ...]]) -> list[tuple[Fraction, int, int]]:
    """Plate turns that some circle asks for and some train makes: R, spaces, circle; the largest circle of each."""
    fastest = max((Fraction(*key) for key in ratios), default=Fraction(0))
    top, bottom = device.K.as_integer_ratio()
    found: dict[tuple[int, int], tuple[int, int]] = {}
    for C in device.circles:
        low, high = ceil((device.K - fastest) * C / N), floor((device.K + fastest) * C / N)
        for H in range(max(1, low), high + 1):
            over, under = top * C - N * H * bottom, bottom * C
            g = gcd(over, under)
            made = (abs(over) // g, under // g) in ratios and over * bottom != top * under
            if made and device.start(C, H, N) is not None:
                found.setdefault((over // g, under // g), (H, C))
    rows = [(Fraction(*R), H, C) for R, (H, C) in found.items()]
    return sorted(rows, key=lambda row: (abs(row[0]), row[0] < 0))


def _compound_trains(device: Device, R: Fraction, fours: tuple[Four, ...]) -> Iterator[Train]:
    sense = 1 if R > 0 else -1
    for a, b, c, d in fours:
        for spindle, on_worm in {(a, b): None, (b, a): None}:
            for on_spindle, worm in {(c, d): None, (d, c): None}:
                train = hang(Train(spindle, worm, sense, on_spindle, on_worm), device.gears, device.quadrant)
                if train is not None:
                    yield train
