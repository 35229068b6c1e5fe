"""The plain way to look for a division: try every circle, every hole count and every pair of gears in turn."""

from __future__ import annotations

from fractions import Fraction

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
