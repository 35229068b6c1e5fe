"""Rounds cut in simulated worlds, tooth by tooth and without the life model: is what it says what comes true?

World "own": the model's own assumptions. World "other": lives by wear are Weibull of shape 2 instead of lognormal, one
edge in four is four times as easily chipped, and a worn edge chips more easily than a fresh one; medians and mean
chances are those of the first world. World "harsh": chips come four times as often as the trade's guess has it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import exp, log

import numpy as np

from ringwright.cutting import chipping, life, seen_edges, wear
from ringwright.cutting.seen_edges import Round, Seen

SIGMA = wear.sigma_of_cv(wear.CV)
PRIOR = chipping.prior("carbide")


@dataclass(frozen=True)
class World:
    """The truth of one job: median life, chances by zone."""

    median: float
    p: np.ndarray
    name: str


def _round(rng):
    """30 to 150 teeth: sound, with up to three stretches that are not."""
    n = int(rng.integers(30, 151))
    zone = np.zeros(n, dtype=np.int64)
    for _ in range(int(rng.integers(0, 4))):
        start, length = int(rng.integers(0, n)), int(rng.integers(3, 25))
        zone[start : start + length] = int(rng.integers(1, 4))
    minutes = exp(rng.uniform(log(0.05), log(0.8))) * np.array([1.0, 3.0, 2.0, 4.0])[zone]
    return Round(zone, minutes)


def _world(rng, name):
    p = np.array([PRIOR[z].draw(rng, 1)[0] for z in chipping.ZONES])
    p = np.minimum(4 * p, 0.9) if name == "harsh" else p
    return World(exp(log(25) + wear.DOUBT_NEW * rng.standard_normal()), p, name)


def _edge(rng, world, teeth, start):
    """Cut on with a fresh edge: (position of the tooth in which it went, how), or (n, "fine")."""
    if world.name == "other":
        # Weibull of shape 2: the median is scale * sqrt(ln 2)
        lasts = world.median / log(2) ** 0.5 * rng.weibull(2.0)
        frailty = (4.0 if rng.random() < 0.25 else 1.0) / 1.75
    else:
        lasts, frailty = world.median * exp(SIGMA * rng.standard_normal()), 1.0
    used = 0.0
    for k in range(start, len(teeth)):
        weakness = frailty * (0.5 + used / lasts if world.name == "other" else 1.0)
        chips = rng.random() < min(weakness * world.p[teeth.zone[k]], 1.0)
        used += teeth.minutes[k]
        if used >= lasts and not chips:
            return k, "worn"
        if chips:
            return k, "chipped"
    return len(teeth), "fine"


def one(rng, name):
    """One job: what was seen of the edges so far, what the model says of the next one, what it does."""
    teeth, world = _round(rng), _world(rng, name)
    seen, at = [], 0
    for _ in range(int(rng.integers(0, 4))):
        gone, how = _edge(rng, world, teeth, at)
        last = len(teeth) - 11
        if gone > last:  # it lasted: taken out fine, so that ten teeth are left to ask about
            if last >= at:
                seen.append(Seen(last, "changed"))
                at = last + 1
            break
        if rng.random() < 0.3:
            how = "gone"
        seen.append(Seen(gone, how))
        at = gone + 1
    belief = seen_edges.believe(teeth, seen_edges.prior_of(25, wear.DOUBT_NEW), PRIOR, SIGMA, seen)
    ahead = int(rng.integers(1, len(teeth) - at + 1))
    next_edge = life.survival(belief, teeth, at, at + ahead, ends=True)
    gone, _ = _edge(rng, world, teeth, at)
    edges = life.edges_needed(belief, teeth, None)
    enough, taken, here = edges.enough(0.9), 0, at
    while here < len(teeth):
        here, taken = _edge(rng, world, teeth, here)[0] + 1, taken + 1
    said = next_edge.both[-1]
    return said, gone >= at + ahead, edges.chance(enough), taken <= enough, len(seen), next_edge.wear[-1]


def run(count, world="own", number=20):
    """Arrays of ``count`` jobs: said and true of the next edge and of "so many edges are enough", edges seen, and what
    wear alone would have said."""
    rng = np.random.default_rng(number)
    most, seen_edges._MOST, seen_edges._FEWEST = seen_edges._MOST, 1200, 1000
    try:
        rows = [one(rng, world) for _ in range(count)]
    finally:
        seen_edges._MOST, seen_edges._FEWEST = most, 4_000
    return tuple(np.array(column, dtype=float) for column in zip(*rows, strict=True))


def bins(said, true, edges=(0, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.97, 1.000001)):
    """(mean said, share true, count, how many standard deviations apart) of each filled bin."""
    found = []
    for low, high in pairwise(edges):
        here = (said >= low) & (said < high)
        if here.sum() >= 15:
            p = said[here]
            spread = max((p * (1 - p)).sum(), 1e-9) ** 0.5
            found.append((p.mean(), true[here].mean(), int(here.sum()), (true[here].sum() - p.sum()) / spread))
    return found


def show(count, world, number=20):
    """Lines that `docs/explanation/cutter-life.md` reports."""
    said, true, chance, enough, seen, worn = run(count, world, number)
    yield f"{world} world, {count} jobs: said {said.mean():.3f}, true {true.mean():.3f}, wear alone {worn.mean():.3f}"
    for p, share, n, sds in bins(said, true):
        yield f"  said {p:.3f}  true {share:.3f}  n {n}  {sds:+.1f} sd"
    for k in range(4):
        here = seen == k
        if here.sum() > 50:
            yield f"  {k} edges seen: said {said[here].mean():.3f}, true {true[here].mean():.3f}, n {int(here.sum())}"
    yield f"  edges enough: said {chance.mean():.3f}, true {enough.mean():.3f}"


if __name__ == "__main__":
    import sys

    for name in ("own", "other", "harsh"):
        for line in show(int(sys.argv[1]) if len(sys.argv) > 1 else 2000, name):
            sys.stdout.write(line + "\n")
