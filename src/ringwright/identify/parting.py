"""What a further reading would do to a tie: which rivals it parts from the first, and which nothing here does."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ringwright.identify.next_reading import Next, options, predictive
from ringwright.identify.ranking import Belief, Ranked
from ringwright.identify.readings import Reading

PARTS = 2.45  # standard deviations between two predicted values: odds of 20 to 1 to be expected of it
HELPS = 1.0


@dataclass(frozen=True)
class Parting:
    """The rivals of a tied first candidate by their places.

    ``parted`` by the proposed reading; ``beyond`` every reading that can still be taken here; ``left`` the rest.
    """

    parted: tuple[int, ...]
    left: tuple[int, ...]
    beyond: tuple[int, ...]


def parting(ranked: Ranked, coming: Next | None, can_read: frozenset[str] | None = None) -> Parting:
    """Sort the rivals of the first candidate by what the proposed reading, or any other, would do.

    Examples
    --------
    >>> from ringwright.identify import identify, next_reading
    >>> tips = identify(1, 40, (Reading("tip_diameter", 106.05, 0.5),))
    >>> told = parting(tips, next_reading(tips))
    >>> sorted(told.parted + told.left + told.beyond) == list(tips.candidates[0].tied_with)
    True
    """
    rivals = ranked.candidates[0].tied_with if ranked.candidates else ()
    if not rivals:
        return Parting((), (), ())
    leading = [ranked.beliefs[ranked.held.index(k)] for k in (0, *rivals)]
    best = _most(ranked, leading, options(ranked, leading[0], can_read))
    now = _most(ranked, leading, [] if coming is None else [coming.reading])
    parted = tuple(k for k, d in zip(rivals, now, strict=True) if d >= PARTS)
    beyond = tuple(k for k, d in zip(rivals, best, strict=True) if k not in parted and d < HELPS)
    return Parting(parted, tuple(k for k in rivals if k not in (*parted, *beyond)), beyond)


def _most(ranked: Ranked, leading: list[Belief], readings: Iterable[Reading]) -> list[float]:
    """How far each rival's predicted value lies from the first's, at most, in standard deviations."""
    most = np.zeros(len(leading) - 1)
    for reading in readings:
        mean, sd = predictive(ranked, leading, reading)
        most = np.maximum(most, np.abs(mean[1:] - mean[0]) / np.sqrt((sd[1:] ** 2 + sd[0] ** 2) / 2))
    return [float(d) for d in most]
