"""The chart for the wall: the best way for every count from one to another, with progress while it is reckoned."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from ringwright.dividing.ways import search
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.reckon.indexing import DIVIDE, one_way
from ringwright.reckon.indexing_models import DivideAsked, Way
from ringwright.reckon.indexing_ring import cannot_take

Progress = Callable[[int, int], None]


def chart(asked: DivideAsked, last: int, progress: Progress | None = None) -> Iterator[tuple[int, Way | None]]:
    """The best way for every count from ``asked.divisions`` to ``last``; None where nothing divides it.

    Parameters
    ----------
    asked : DivideAsked
        As for one count; teeth, table, working and measured are not looked at.
    last : int
        The last count, up to 1000 [-]
    progress : function or None
        Called with how many counts are done and how many there are.

    Yields
    ------
    count, Way or None
        As soon as each is reckoned.

    """
    first = asked.divisions
    out = dict(cannot_take(asked))
    shelf = asked.core_shelf()
    for N in range(first, last + 1):
        found = search(shelf, N, asked.methods, asked.radius_mm, asked.allowed_um)
        best = next((way for way in found if way.device not in out), None)
        yield N, None if best is None else one_way(best, asked, shelf[best.device], N)
        if progress is not None:
            progress(N - first + 1, last - first + 1)


def chart_of(
    request: Mapping[str, Any], last: int, progress: Progress | None = None
) -> Iterator[tuple[int, Way | None]]:
    """The chart for a request of ``divide`` as JSON has it; ``divisions`` is the first count.

    Raises
    ------
    Problems
        As `divide` does, and when ``last`` lies before the first count or beyond 1000.
    """
    DIVIDE.ask(request)
    asked = DivideAsked.model_validate_json(json.dumps(request))
    if not asked.divisions <= last <= 1000:
        facts = {"value": last, "low": asked.divisions, "high": 1000}
        raise Problems([phrases.problem("out_of_range", "", facts)])
    return chart(asked, last, progress)
