"""The plain way to look for a division: try every circle, every hole count and every pair of gears in turn."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, permutations
from math import gcd

Setting = tuple[Fraction, int]


def nearest_plain(K: int, N: int, circles: list[int]) -> tuple[Fraction, Fraction]:
    """The least worst error [spindle turn] and its move [crank turn]."""
    found = []
    for C in circles:
        for H in range(1, 2 * K * C // N + 2):
            move = Fraction(H, C)
            found.append(((N - 1) * abs(move / K - Fraction(1, N)), move))
    return min(found)


def exact_plain(K: int, N: int, circles: list[int]) -> set[int]:
    """Circles that divide exactly."""
    return {C for C in circles for H in range(1, 2 * K * C // N + 2) if Fraction(H, C) * N == K}


def slowest_train(K: int, N: int, circles: list[int], gears: list[int]) -> Fraction | None:
    """The slowest plate, in turns per spindle turn, with which some circle and two gears divide exactly."""
    found = []
    for i, spindle in enumerate(gears):
        for j, worm in enumerate(gears):
            if i == j:
                continue
            ratio = Fraction(spindle, worm)
            for C in circles:
                for H in range(1, 2 * K * C // N + 2):
                    if N * Fraction(H, C) in (K - ratio, K + ratio):
                        found.append(ratio)
    return min(found, default=None)


def slowest_compound_train(K: int, N: int, circles: list[int], gears: list[int]) -> Fraction | None:
    """The same with four gears in every order; each gear of the drawer at most once."""
    ratios = {Fraction(a * b, c * d) for a, b, c, d in permutations(gears, 4)}
    found = []
    for ratio in ratios:
        for x in (Fraction(K - ratio) / N, Fraction(K + ratio) / N):
            if x > 0 and any((x * C).denominator == 1 for C in circles):
                found.append(ratio)
    return min(found, default=None)


def nearest_two_circles(K: int, N: int, sides: list[list[int]], furthest: int) -> Fraction | None:
    """The least worst error [spindle turn] of two moves on one side, over up to ``furthest`` spaces at a time."""
    found = []
    for side in sides:
        for C1, C2 in combinations(side, 2):
            made = sorted({(a * C2 + b * C1) % (C1 * C2) for a in range(1, C1) for b in range(1, C2)})
            for p in range(1, furthest + 1):
                if gcd(p, N) == 1:
                    at = Fraction(p * K, N) % 1 * C1 * C2
                    off = min(abs(at - m + whole) for m in made for whole in (0, C1 * C2, -C1 * C2))
                    found.append((N - 1) * off / (C1 * C2) / K)
    return min(found, default=None)
