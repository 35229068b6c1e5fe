"""What is believed of the edges of a round after what was seen of them, by Bayes' rule.

An edge wears out in the tooth in which the minutes that it has cut, each counted by how hard its zone wears, reach
its own life; lives scatter lognormally round a median that is itself only believed. It chips by a chance per tooth
entered, by zone.
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
START = 20_231


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


def worn_by(minutes: float | Array, x: Array, sigma: float) -> Array:
    """Chance that an edge of median exp(x) is worn out after so many minutes; shape of x."""
    with np.errstate(divide="ignore"):
        return _normal((np.log(minutes) - x) / sigma)


def _normal(z: Array) -> Array:
    """Distribution function of the standard normal, from a table fine enough for seven digits."""
    return np.asarray(np.interp(np.asarray(z, dtype=float), Z, PHI))


#: Distribution function of the standard normal at rising places.
Z = np.linspace(-12, 12, 24_001)
PHI = np.array([0.5 * erfc(-float(z) / sqrt(2)) for z in Z])


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
    rng = np.random.default_rng(START)
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
            weight = weight * (worn_by(through, x, sigma) - worn_by(until, x, sigma))
        elif run.what == "chipped":
            weight = weight * (1 - worn_by(until, x, sigma))
        elif run.what in ("fine", "changed"):
            weight = weight * (1 - worn_by(through, x, sigma))
    if not weight.sum() > 0:
        raise Refusal("seen_impossible", "seen")
    step = np.concatenate([[0.0], np.cumsum((weight[1:] + weight[:-1]) / 2)])
    share = (rng.permutation(count) + rng.random(count)) / count
    return np.asarray(np.interp(share * step[-1], step, x))


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
        fine = 1 - worn_by(until, x, sigma)
        through = 1 - worn_by(until + float(teeth.minutes[run.last]), x, sigma)
        chip = p[:, teeth.zone[run.last]]
        weight = weight * unchipped * ((fine - through) * (1 - chip) + fine * chip)
    if not weight.sum() > 0:
        raise Refusal("seen_impossible", "seen")
    return weight


def believed_minutes(belief: Belief) -> tuple[float, float, float]:
    """Median life as believed: middle, and where one in ten lies below and above [min]."""
    low, middle, high = np.exp(np.quantile(belief.x, [0.1, 0.5, 0.9]))
    return float(middle), float(low), float(high)


def prior_of(minutes: float, doubt: float) -> MedianLife:
    """Belief round a median [min] with a standard deviation of its logarithm."""
    return MedianLife(log(minutes), doubt)
