"""How long an edge lasts on a round: the lesser of wear and chipping, and what has been seen so far.

An edge wears out in the tooth in which the minutes that it has cut, each counted by how hard its zone wears, reach
its own life; lives scatter lognormally round a median that is itself only believed. It chips by a chance per tooth
entered, by zone. The chance to finish is never that of wear alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import erfc, log, sqrt

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.chipping import ZONES, Chance
from ringwright.cutting.wear import MedianLife
from ringwright.errors import Refusal

Array = NDArray[np.float64]
#: What may be seen of an edge: worn out, chipped, gone without knowing how, changed while fine, still fine.
WHAT = ("worn", "chipped", "gone", "changed", "fine")
_NODES = 801
#: Draws times teeth: the answer's own scatter stays below a few in a thousand.
_WORK, _FEWEST, _MOST = 2_000_000, 4_000, 12_000
#: Fixed, so that the same request has the same answer.
_START = 20_231


@dataclass(frozen=True)
class Round:
    """Teeth in the order in which they are cut: ``zone`` indices into ZONES and ``minutes`` of wear each, shape (n,).

    ``laps`` are the positions at which a new lap begins with a fresh edge, the first being 0.
    """

    zone: NDArray[np.int64]
    minutes: Array
    laps: tuple[int, ...] = (0,)

    def __len__(self) -> int:
        return len(self.zone)


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen after the tooth at ``position`` (from 0, in cutting order)."""

    position: int
    what: str


@dataclass(frozen=True)
class Belief:
    """What is believed after all that was seen.

    ``x`` logarithms of the median life [ln min], shape (m,), and ``p`` chances per tooth by zone, shape (m, zones):
    equally likely pairs. ``sigma`` scatter of a single life; ``next`` the position of the next tooth; ``used``
    minutes that the edge now in the spindle has cut; ``effective`` how many draws carry the answer.
    """

    x: Array
    p: Array
    sigma: float
    next: int
    used: float
    effective: float
    entered: Mapping[str, int]
    chipped: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class _Run:
    """One edge: teeth from ``first`` to ``last`` inclusive, and how it was found after the last."""

    first: int
    last: int
    what: str


def _runs(seen: Sequence[Seen], teeth: Round) -> list[_Run]:
    found: list[_Run] = []
    first = 0
    for i, event in enumerate(seen):
        if event.what not in WHAT:
            raise Refusal("unknown_event", "what", at=(i,))
        if not 0 <= event.position < len(teeth) or (i and event.position <= seen[i - 1].position):
            raise Refusal("seen_out_of_order", "seen", event.position, at=(i,))
        laps = [lap for lap in teeth.laps if first < lap <= event.position]
        for lap in laps:  # a new lap begins with a fresh edge; the one before was taken out fine
            found.append(_Run(first, lap - 1, "fine"))
            first = lap
        found.append(_Run(first, event.position, event.what))
        if event.what != "fine":
            first = event.position + 1
    # of an edge found fine twice, only the last tells anything
    return [r for r, later in zip(found, [*found[1:], None]) if later is None or later.first != r.first]


def _worn_by(minutes: float | Array, x: Array, sigma: float) -> Array:
    """Chance that an edge of median exp(x) is worn out after so many minutes; shape of x."""
    with np.errstate(divide="ignore"):
        return _normal((np.log(minutes) - x) / sigma)


def _normal(z: Array) -> Array:
    """Distribution function of the standard normal, from a table fine enough for seven digits."""
    return np.asarray(np.interp(np.asarray(z, dtype=float), _Z, _PHI))


_Z = np.linspace(-12, 12, 24_001)
_PHI = np.array([0.5 * erfc(-float(z) / sqrt(2)) for z in _Z])


def believe(
    teeth: Round, median: MedianLife, chances: Mapping[str, Chance], sigma: float, seen: Sequence[Seen] = ()
) -> Belief:
    """Bayes' rule over the edges of this round.

    Worn and fine edges weigh the median life on a grid, chipped and unchipped teeth count for their zone; an edge
    gone without knowing how weighs both together, draw by draw.

    Parameters
    ----------
    teeth : Round
        All teeth of the round in cutting order
    median, sigma
        Belief in the median life before this round, and scatter of single lives
    chances : mapping
        Belief by zone before this round
    seen : sequence of Seen
        In rising position

    Raises
    ------
    Refusal
        ``seen_out_of_order``: a position outside the round or not after the one before; ``unknown_event``.
    """
    runs = _runs(seen, teeth)
    rng = np.random.default_rng(_START)
    count = min(max(_WORK // max(len(teeth), 1), _FEWEST), _MOST)
    x = _draw_median(runs, teeth, median, sigma, rng, count)
    entered, chipped = _counted(runs, teeth)
    p = np.stack([chances[z].told(entered[z], chipped[z]).draw(rng, count) for z in ZONES], axis=1)
    weight = _weight_of_gone(runs, teeth, x, p, sigma)
    effective = float(weight.sum() ** 2 / (weight**2).sum())
    pick = np.searchsorted(np.cumsum(weight) / weight.sum(), (np.arange(count) + 0.5) / count)
    pick = np.minimum(pick, count - 1)
    done = seen[-1].position + 1 if seen else 0
    used = float(teeth.minutes[runs[-1].first : done].sum()) if runs and runs[-1].what == "fine" else 0.0
    if done in teeth.laps:
        used = 0.0
    return Belief(x[pick], p[pick], sigma, done, used, effective, entered, chipped)


def _draw_median(
    runs: Sequence[_Run], teeth: Round, median: MedianLife, sigma: float, rng: np.random.Generator, count: int
) -> Array:
    """Draws of ln T50 after the edges that were worn, fine, changed or chipped, one in each equal share."""
    x = median.m + median.t * np.linspace(-6, 6, _NODES)
    weight = np.exp(-(((x - median.m) / median.t) ** 2) / 2)
    for run in runs:
        until = float(teeth.minutes[run.first : run.last].sum())
        through = until + float(teeth.minutes[run.last])
        if run.what == "worn":
            weight = weight * (_worn_by(through, x, sigma) - _worn_by(until, x, sigma))
        elif run.what == "chipped":
            weight = weight * (1 - _worn_by(until, x, sigma))
        elif run.what in ("fine", "changed"):
            weight = weight * (1 - _worn_by(through, x, sigma))
    if not weight.sum() > 0:
        raise Refusal("seen_impossible", "seen")
    step = np.concatenate([[0.0], np.cumsum((weight[1:] + weight[:-1]) / 2)])
    share = (rng.permutation(count) + rng.random(count)) / count
    return np.interp(share * step[-1], step, x)


def _counted(runs: Sequence[_Run], teeth: Round) -> tuple[dict[str, int], dict[str, int]]:
    """Teeth entered unchipped or chipped, by zone, of edges whose end is known not to be ``gone``."""
    entered, chipped = dict.fromkeys(ZONES, 0), dict.fromkeys(ZONES, 0)
    for run in runs:
        if run.what == "gone":
            continue
        for zone in teeth.zone[run.first : run.last + 1]:
            entered[ZONES[zone]] += 1
        if run.what == "chipped":
            chipped[ZONES[teeth.zone[run.last]]] += 1
    return entered, chipped


def _weight_of_gone(runs: Sequence[_Run], teeth: Round, x: Array, p: Array, sigma: float) -> Array:
    """Likelihood of the edges gone without knowing how, by draw: worn in that tooth, or chipped there."""
    weight = np.ones(len(x))
    for run in runs:
        if run.what != "gone":
            continue
        before = teeth.zone[run.first : run.last]
        unchipped = np.prod([(1 - p[:, z]) ** int((before == z).sum()) for z in range(len(ZONES))], axis=0)
        until = float(teeth.minutes[run.first : run.last].sum())
        fine = 1 - _worn_by(until, x, sigma)
        through = 1 - _worn_by(until + float(teeth.minutes[run.last]), x, sigma)
        chip = p[:, teeth.zone[run.last]]
        weight = weight * unchipped * ((fine - through) * (1 - chip) + fine * chip)
    if not weight.sum() > 0:
        raise Refusal("seen_impossible", "seen")
    return weight


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
    start = 1 - _worn_by(used, belief.x, belief.sigma) if used else np.ones_like(belief.x)
    wear, chipping, both = (np.empty(len(steps)) for _ in range(3))
    for i, k in enumerate(steps):
        fine = (1 - _worn_by(minutes[k], belief.x, belief.sigma)) / np.maximum(start, 1e-300)
        whole = np.exp(-hazard @ entered[:, k])
        wear[i], chipping[i], both[i] = fine.mean(), whole.mean(), (fine * whole).mean()
    return Survival(wear, chipping, both)


def safe_minutes(belief: Belief, chance: float) -> float:
    """Minutes of wear that a fresh edge outlives with this chance, chipping left aside [min]."""
    low, high = 1e-6, 1e6
    for _ in range(60):
        middle = sqrt(low * high)
        if float((1 - _worn_by(middle, belief.x, belief.sigma)).mean()) >= chance:
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
    rng = np.random.default_rng(_START + 1)
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
    low = _worn_by(used, x, belief.sigma) if used else np.zeros(len(go))
    share = low + (1 - low) * rng.random(len(go))
    return np.exp(x + belief.sigma * np.interp(share, _PHI, _Z))


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
        return np.minimum(found, self.n).astype(np.int64)


def minutes_of(seconds: float, wears: float) -> float:
    """Minutes of wear of one tooth: seconds in the cut times how fast its zone wears against sound metal."""
    return seconds / 60 * wears


def believed_minutes(belief: Belief) -> tuple[float, float, float]:
    """Median life as believed: middle, and where one in ten lies below and above [min]."""
    low, middle, high = np.exp(np.quantile(belief.x, [0.1, 0.5, 0.9]))
    return float(middle), float(low), float(high)


def prior_of(minutes: float, doubt: float) -> MedianLife:
    """Belief round a median [min] with a standard deviation of its logarithm."""
    return MedianLife(log(minutes), doubt)
