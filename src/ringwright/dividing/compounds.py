"""Two moves for each tooth on two circles of one plate side: exact ones, and the near ones that are worth a look."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations
from math import gcd, lcm

from ringwright.dividing.devices import Device
from ringwright.dividing.settings import Move, crank_turns

#: Furthest that one near move goes, in spaces.
FURTHEST_MOVE = 30


def pairs(device: Device) -> Iterator[tuple[int, int]]:
    """Two circles of one side, the smaller first; never of two sides."""
    for side in device.sides:
        yield from combinations(sorted(set(side)), 2)


def exact_moves(device: Device, N: int) -> list[Move]:
    """Every exact pair, both ways round, least turning first; pairs of which one circle serves alone are no use."""
    x = crank_turns(device.K, N)
    found: dict[tuple[int, int], Move] = {}
    for one, two in pairs(device):
        if lcm(one, two) % x.denominator or one % x.denominator == 0 or two % x.denominator == 0:
            continue
        for C1, C2 in ((one, two), (two, one)):
            move = least(x, C1, C2)
            if move is not None and _usable(device, move, N):
                found[C1, C2] = move
    return sorted(found.values(), key=_turning)


def _usable(device: Device, move: Move, N: int) -> bool:
    assert move.second is not None  # compound moves have two circles
    assert move.circle is not None
    return device.start(move.circle, move.holes, N) is not None and device.start(*move.second, N) is not None


def _turning(move: Move) -> tuple[bool, int, int, int]:
    assert move.second is not None  # compound moves have two circles
    assert move.circle is not None
    return move.second[1] < 0, move.turns, abs(move.second[1]) + move.holes, -move.circle


def least(x: Fraction, C1: int, C2: int) -> Move | None:
    """Solve a/C1 + b/C2 = x in whole a, b with a above 0, plate with the crank where possible, least turning; or None.

    >>> least(Fraction(40, 99), 33, 27)
    Move(turns=0, holes=6, circle=33, second=(27, 6))
    """
    g = gcd(C1, C2)
    one, two, M = C1 // g, C2 // g, int(x * lcm(C1, C2))
    a0 = M * pow(two, -1, one) % one if one > 1 else 0
    found = []
    for k in range(-2, int(x) * g + 3 * g + 2):
        a = a0 + k * one
        b = (M - a * two) // one
        if a > 0 and a % C1 and b % C2 and abs(b) < 2 * C2:
            found.append((b < 0, abs(Fraction(a, C1)) + abs(Fraction(b, C2)), a, b))
    if not found:
        return None
    _, _, a, b = min(found)
    return Move(a // C1, a % C1, C1, (C2, b))


def near_moves(device: Device, N: int) -> Iterator[tuple[int, Move]]:
    """Near settings over p spaces at a time, p rising; each stands nearer over the whole circle than all before it.

    Parameters
    ----------
    device : Device
        Its sides and ratio.
    N : int
        Divisions [-]

    Yields
    ------
    p, Move
        p and N have no common factor, so N moves meet every tooth; they close within half a space.

    Notes
    -----
    All multiples of 1/lcm(C1, C2) of a turn can be reached, so the nearest to p K/N is looked at for every pair and
    every p up to `FURTHEST_MOVE`. The worst error over the circle is N - 1 times that of the move: what counts is the
    error as it adds up, never that of one step.
    """
    top, bottom = device.K.as_integer_ratio()
    under = bottom * N
    sizes = sorted({(lcm(one, two), one, two) for one, two in pairs(device)})
    nearest = Fraction(1, 2 * N * N)  # of the spindle's turn: N such errors are half a space
    for p in range(1, min(FURTHEST_MOVE, N - 1) + 1):
        if gcd(p, N) > 1:
            continue
        best: tuple[Fraction, Move] | None = None
        small, large = (nearest * device.K).as_integer_ratio()
        for L, one, two in sizes:
            over = p * top * L
            M = (2 * over + under) // (2 * under)
            off = abs(M * under - over)
            if off * large >= small * L * under or not M:
                continue
            move = _either(device, Fraction(M, L), one, two, N)
            if move is not None:
                small, large = off, L * under
                best = Fraction(small, large), move
        if best is not None:
            nearest = best[0] / device.K
            yield p, best[1]


def _either(device: Device, x: Fraction, one: int, two: int, N: int) -> Move | None:
    moves = [m for m in (least(x, one, two), least(x, two, one)) if m is not None and _usable(device, m, N)]
    return min(moves, key=_turning) if moves else None
