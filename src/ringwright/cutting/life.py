"""How long an edge lasts on a round: the lesser of wear and chipping, so many teeth, so many edges.

The chance to finish is never that of wear alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.chipping import ZONES
from ringwright.cutting.seen_edges import PHI, START, Belief, Round, Z, worn_by

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Survival:
    """Chance that one edge does the first 0, 1, .. n teeth: by wear, by chipping, and both; shape (n+1,)."""

    wear: Array
    chipping: Array
    both: Array

    def teeth(self, chance: float) -> int:
        """Teeth that the edge does with at least this chance."""
        return int(np.flatnonzero(self.both >= chance)[-1])


def survival(belief: Belief, teeth: Round, first: int, last: int, used: float = 0.0, *, ends: bool = False) -> Survival:
    """One edge from position ``first`` to before ``last``, having cut ``used`` minutes when it begins.

    ``ends``: only none and all of these teeth are reckoned, shape (2,).
    """
    minutes = np.concatenate([[0.0], np.cumsum(teeth.minutes[first:last])]) + used
    zones = teeth.zone[first:last]
    entered = np.stack([np.concatenate([[0], np.cumsum(zones == z)]) for z in range(len(ZONES))])
    steps = [0, len(zones)] if ends else range(len(minutes))
    hazard = -np.log1p(-np.minimum(belief.p, 1 - 1e-12))
    start = 1 - worn_by(used, belief.x, belief.sigma) if used else np.ones_like(belief.x)
    wear, chipping, both = (np.empty(len(steps)) for _ in range(3))
    for i, k in enumerate(steps):
        fine = (1 - worn_by(minutes[k], belief.x, belief.sigma)) / np.maximum(start, 1e-300)
        whole = np.exp(-hazard @ entered[:, k])
        wear[i], chipping[i], both[i] = fine.mean(), whole.mean(), (fine * whole).mean()
    return Survival(wear, chipping, both)


def safe_minutes(belief: Belief, chance: float) -> float:
    """Minutes of wear that a fresh edge outlives with this chance, chipping left aside [min]."""
    low, high = 1e-6, 1e6
    for _ in range(60):
        middle = sqrt(low * high)
        if float((1 - worn_by(middle, belief.x, belief.sigma)).mean()) >= chance:
            low = middle
        else:
            high = middle
    return low


@dataclass(frozen=True, slots=True)
class Edges:
    """Edges that the rest of the round takes, by draw: all, and those that failed before their planned change."""

    count: NDArray[np.int64]
    failed: NDArray[np.int64]

    def enough(self, chance: float) -> int:
        """Least number of edges with at least this chance to finish."""
        return int(np.quantile(self.count, chance, method="inverted_cdf"))

    def chance(self, edges: int) -> float:
        """Chance that so many edges finish the round."""
        return float((self.count <= edges).mean())


def edges_needed(belief: Belief, teeth: Round, limit: float | None) -> Edges:
    """Edges for the teeth still to cut, the one in the spindle counted; all draws of the belief played through.

    Parameters
    ----------
    belief, teeth
        What is believed, and the round
    limit : float or None
        Minutes of wear after which an edge is changed though it still cuts; None: run to the end [min]

    Notes
    -----
    The tooth in which an edge goes is finished with the next one, which is not counted as another tooth.
    """
    n = len(teeth) - belief.next
    if n <= 0:
        nothing = np.zeros(len(belief.x), dtype=np.int64)
        return Edges(nothing, nothing)
    rng = np.random.default_rng(START + 1)
    minutes = np.cumsum(teeth.minutes[belief.next :])
    chip = _Chips(belief, teeth.zone[belief.next :])
    laps = np.array([lap - belief.next for lap in teeth.laps if lap > belief.next] + [n])
    at = np.zeros(len(belief.x), dtype=np.int64)
    count, failed = np.zeros_like(at), np.zeros_like(at)
    first = True
    while (at < n).any():
        go = np.flatnonzero(at < n)
        used = belief.used if first else 0.0
        before = np.where(at[go] > 0, minutes[at[go] - 1], 0.0) - used
        life = _drawn_lives(belief, go, rng, used)
        fails = np.minimum(_reach(minutes, before + life), chip.next(go, at[go], rng))
        planned = laps[np.searchsorted(laps, at[go], side="right")] - 1
        if limit is not None:
            planned = np.minimum(planned, np.maximum(_reach(minutes, before + limit) - 1, at[go]))
        count[go] += 1
        failed[go] += fails <= planned
        at[go] = np.minimum(fails, planned) + 1
        first = False
    return Edges(count, failed)


def _reach(minutes: Array, goal: Array) -> NDArray[np.int64]:
    """Position of the tooth in which the minutes reach the goal; the count of teeth when none does."""
    return np.searchsorted(minutes, goal, side="left").astype(np.int64)


def _drawn_lives(belief: Belief, go: NDArray[np.int64], rng: np.random.Generator, used: float) -> Array:
    """A life for each draw [min], longer than what the edge has cut already."""
    x = belief.x[go]
    low = worn_by(used, x, belief.sigma) if used else np.zeros(len(go))
    share = low + (1 - low) * rng.random(len(go))
    return np.exp(x + belief.sigma * np.interp(share, PHI, Z))


class _Chips:
    """Where the next chip falls, for every draw its own chances; one search over all rows laid end to end."""

    def __init__(self, belief: Belief, zones: NDArray[np.int64]) -> None:
        hazard = -np.log1p(-np.minimum(belief.p, 1 - 1e-12))
        self.n = len(zones)
        self.sum = np.cumsum(hazard[:, zones], axis=1)
        self.apart = float(self.sum[:, -1].max()) + 60.0
        self.row = np.arange(len(belief.x)) * self.apart
        self.flat = (self.sum + self.row[:, None]).ravel()

    def next(self, go: NDArray[np.int64], at: NDArray[np.int64], rng: np.random.Generator) -> NDArray[np.int64]:
        before = np.where(at > 0, self.sum[go, np.maximum(at - 1, 0)], 0.0)
        goal = before + np.minimum(rng.standard_exponential(len(go)), 59.0)
        found = np.searchsorted(self.flat, goal + self.row[go], side="left") - go * self.n
        return np.asarray(np.minimum(found, self.n), dtype=np.int64)


def minutes_of(seconds: float, wears: float) -> float:
    """Minutes of wear of one tooth: seconds in the cut times how fast its zone wears against sound metal."""
    return seconds / 60 * wears
