"""One more unknown beside the infeed: the place, nod or tilt at which a second wish is met as well."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ringwright.cutting.cutter import Cutter
from ringwright.cutting.lead_in import Aim, Cut, LeadIn, touched
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touch_off import Grids
from ringwright.errors import Refusal

#: Trials over the span before closing in; steps of closing in.
_TRIALS, _STEPS, _EDGE_STEPS = 13, 40, 8
#: The second wish is met when it is off by no more than this [mm].
MET = 2e-5


@dataclass(frozen=True, slots=True)
class Solved:
    """The unknown's value, the set-up there and its cut."""

    value: float
    at: LeadIn
    cut: Cut


def solve(
    body: ToothedRing,
    mill: Cutter,
    poses: Callable[[float], Pose],
    aim: Callable[[LeadIn], Aim],
    off: Callable[[LeadIn, Cut], float],
    span: tuple[float, float],
    present: float,
) -> Solved | None:
    """The value nearest to ``present`` at which ``off`` is nought, the infeed being solved by ``aim`` each time.

    None when there is none in ``span``, or where ``off`` only jumps over nought.
    """
    grids = Grids(body)

    def tried(value: float) -> tuple[float, Solved] | None:
        try:
            at = touched(body, mill, poses(value), shift=False, grids=grids)
            cut = aim(at).cut
        except Refusal:
            return None
        return None if cut is None else (off(at, cut), Solved(value, at, cut))

    places = np.unique(np.append(np.linspace(*span, _TRIALS), present))
    known = _to_the_edges(tried, [(float(p), tried(float(p))) for p in places])
    gaps = [
        (min(abs(p - present), abs(q - present)), p, q)
        for (p, one), (q, two) in pairwise(known)
        if one is not None and two is not None and (one[0] <= 0) != (two[0] <= 0)
    ]
    for _, low, high in sorted(gaps):
        found = _closed_in(tried, low, high)
        if found is not None:
            return found
    return None


_Trial = tuple[float, Solved] | None


def _to_the_edges(tried: Callable[[float], _Trial], known: list[tuple[float, _Trial]]) -> list[tuple[float, _Trial]]:
    """The trials with those added that lie close to where the first wish stops being reached."""
    more = []
    for (p, one), (q, two) in pairwise(known):
        if (one is None) != (two is None):
            good, bad, last = (p, q, one) if two is None else (q, p, two)
            for _ in range(_EDGE_STEPS):
                middle = (good + bad) / 2
                here = tried(middle)
                good, bad, last = (middle, bad, here) if here is not None else (good, middle, last)
            more.append((good, last))
    return sorted(known + more, key=lambda x: x[0])


def _closed_in(tried: Callable[[float], tuple[float, Solved] | None], low: float, high: float) -> Solved | None:
    """Halving with a straight line tried in between; the change of sign stays between the two."""
    one, two = tried(low), tried(high)
    for _ in range(_STEPS):
        if one is None or two is None:
            return None
        for value in (low + (high - low) * one[0] / (one[0] - two[0]) if one[0] != two[0] else low, (low + high) / 2):
            here = tried(value)
            if here is None:
                return None
            if abs(here[0]) <= MET / 20:
                return here[1]
            if (here[0] <= 0) == (one[0] <= 0):
                low, one = value, here
            else:
                high, two = value, here
        if abs(high - low) < 1e-10:
            break
    assert one is not None  # returned above
    return one[1] if abs(one[0]) <= MET else None
