"""Trains of change gears that a drawer can make: simple first, compound where no simple one serves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor, gcd

from ringwright.dividing.devices import Device, Train
from ringwright.dividing.settings import Move, plate_turns

#: Needed plate ratios looked at for compound trains, slowest plate first; bounds the time on long shelves.
MOST_RATIOS = 200


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


@lru_cache(maxsize=64)
def _whole_ratios(gears: tuple[int, ...]) -> dict[tuple[int, int], tuple[tuple[int, int], ...]]:
    """The same with the ratio as two whole numbers, which are looked up faster than a fraction."""
    return {r.as_integer_ratio(): pairs for r, pairs in simple_ratios(gears).items()}


def simple_settings(device: Device, N: int) -> Iterator[tuple[Move, Train]]:
    """Every exact differential setting with a simple train: per ratio and sense the smallest gears, largest circle."""
    for ratio, pairs in simple_ratios(device.gears).items():
        for sense in (1, -1):
            x = (device.K - sense * ratio) / N
            if x <= 0:
                continue
            circle = next((c for c in device.circles if c % x.denominator == 0), None)
            if circle is not None:
                H = int(x * circle)
                yield Move(H // circle, H % circle, circle), Train(*pairs[0], sense)


def needed_ratios(device: Device, N: int) -> Iterator[tuple[Fraction, Move]]:
    """Plate ratios R that some circle asks for, slowest plate first, none faster than the fastest simple train."""
    fastest = max(simple_ratios(device.gears), default=Fraction(0))
    found: dict[Fraction, Move] = {}
    for C in device.circles:
        low, high = ceil((device.K - fastest) * C / N), floor((device.K + fastest) * C / N)
        middle = round(device.K * C / N)
        span = range(max(1, low, middle - MOST_RATIOS), min(high, middle + MOST_RATIOS) + 1)
        for H in span:
            R = plate_turns(device.K, N, Fraction(H, C))
            if R:
                found.setdefault(R, Move(H // C, H % C, C))
    slowest = sorted(found.items(), key=lambda item: (abs(item[0]), item[0] < 0))
    return iter(slowest[:MOST_RATIOS])


def compound_train(gears: tuple[int, ...], R: Fraction) -> Train | None:
    """A compound train for R from the drawer, the smallest gears that serve; None when there is none.

    >>> compound_train((32, 56, 28, 40), Fraction(2, 5)).ratio
    Fraction(2, 5)
    """
    count, best = Counter(gears), None
    ratios, (top, bottom) = _whole_ratios(gears), abs(R).as_integer_ratio()
    for (p, q), pairs in ratios.items():
        g = gcd(top * q, bottom * p)
        rest = ratios.get((top * q // g, bottom * p // g))
        if rest is None:
            continue
        for spindle, stud_s in pairs:
            for stud_w, worm in rest:
                used = (spindle, stud_s, stud_w, worm)
                if not Counter(used) - count and (best is None or sum(used) < sum(best)):
                    best = used
    if best is None:
        return None
    return Train(best[0], best[3], 1 if R > 0 else -1, best[1], best[2])
