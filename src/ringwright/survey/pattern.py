"""The pattern of damage round the ring: patches, waves, and how easily chance would make such a pattern."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import require

#: Shuffles of the permutation test, and the fixed number that starts its generator: the same map, the same answer.
SHUFFLES = 999
_START = 20_011


@dataclass(frozen=True, slots=True)
class Patch:
    """A run of damaged teeth, first to last in counting direction; ``last`` may be less than ``first`` over tooth N."""

    first: int
    last: int
    damage: float


@dataclass(frozen=True, slots=True)
class Wave:
    """The strongest wave of damage: ``order`` waves per turn, its strength (0 to 1), and its chance by shuffling."""

    order: float
    strength: float
    chance: float


def patches(damage: ArrayLike, gap: int = 2) -> tuple[Patch, ...]:
    """Runs of damaged teeth; sound teeth up to ``gap`` in a row do not part a run.

    Parameters
    ----------
    damage : array, shape (N,)
        Weight of each tooth, tooth 1 first, 0 for a sound tooth [-]
    gap : int
        Sound teeth in a row that still belong to one run, 0 to N [-]

    Returns
    -------
    tuple of Patch
        In counting direction from tooth 1; a run over the last tooth starts where it starts

    Examples
    --------
    >>> patches([1, 0, 0, 0, 0, 2, 0, 3, 0, 0, 0, 1])
    (Patch(first=6, last=8, damage=5.0), Patch(first=12, last=1, damage=2.0))
    """
    weights = np.asarray(damage, dtype=np.float64)
    N = len(weights)
    require("damage", weights, 0, 1e6)
    require("gap", gap, 0, N)
    hit = [int(t) for t in np.flatnonzero(weights)]
    if not hit:
        return ()
    starts = [n for n, t in enumerate(hit) if (t - hit[n - 1]) % N > gap + 1 or len(hit) == 1]
    if not starts:
        return (Patch(1, N, float(weights.sum())),)
    runs = []
    for n, start in enumerate(starts):
        end = starts[(n + 1) % len(starts)]
        members = hit[start:end] if end > start else hit[start:] + hit[:end]
        runs.append(Patch(members[0] + 1, members[-1] + 1, float(weights[members].sum())))
    return tuple(sorted(runs, key=lambda p: p.first))


def _strengths(weights: NDArray[np.float64], orders: NDArray[np.float64]) -> NDArray[np.float64]:
    """Amplitude of each order over the whole damage: 1 when all damage sits on the crests."""
    angle = 2 * np.pi * np.arange(weights.shape[-1]) / weights.shape[-1]
    wave = np.exp(1j * np.outer(angle, orders))
    return np.asarray(np.abs(weights @ wave) / weights.sum(axis=-1, keepdims=True))


def strongest_wave(damage: ArrayLike, orders: Sequence[float]) -> Wave | None:
    """The strongest of some waves of damage per turn, with the chance that shuffled damage makes one as strong.

    The test deals the same weights out to the teeth at random and each time takes the strongest of all the orders,
    so that looking at several orders is paid for. Of two orders alike, a lower one explains as much with less.

    Parameters
    ----------
    damage : array, shape (N,)
        Weight of each tooth, 0 or more [-]
    orders : floats
        Waves per turn to look at, above 0, to N/2 [-]

    Returns
    -------
    Wave or None
        None when no tooth is damaged. ``chance`` is (1 + as strong) / (1 + shuffles), so never 0.

    Raises
    ------
    OutOfRange
        A negative weight, or an order that N teeth cannot show.
    """
    weights = np.asarray(damage, dtype=np.float64)
    require("damage", weights, 0, 1e6)
    order = np.asarray(orders, dtype=np.float64)
    require("orders", order, 1e-9, len(weights) / 2)
    if weights.sum() == 0:
        return None
    here = _strengths(weights, order)
    best = int(np.argmax(here >= here.max() - 1e-9))
    generator = np.random.default_rng(_START)
    shuffled = generator.permuted(np.tile(weights, (SHUFFLES, 1)), axis=1)
    as_strong = int(np.count_nonzero(_strengths(shuffled, order).max(axis=1) >= here[best] - 1e-12))
    return Wave(float(order[best]), float(here[best]), (1 + as_strong) / (1 + SHUFFLES))
