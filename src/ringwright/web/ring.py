"""From a job's document to its drawn ring: the same three views on every page."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from ringwright.job.document import JobDocument
from ringwright.paper import drawing
from ringwright.paper.job_drawing import ring_of


@dataclass(frozen=True, slots=True)
class Views:
    """The ring for a page; ``at`` is the tooth under the scriber, ``glass`` the stretch round it."""

    whole: Markup
    strip: Markup
    glass: Markup
    at: int | None
    teeth: int


def views(
    job: JobDocument,
    at: int | None = None,
    done: frozenset[int] = frozenset(),
    each_side: int = 3,
    *,
    between: bool = False,
) -> Views | None:
    """The three views; None while nobody has counted the teeth. ``between``: ``at`` is the space behind that tooth."""
    found = job.find_out
    teeth = int(found.ring["teeth"]) if found.ring else found.teeth
    if teeth is None:
        return None
    at = at if at is not None and 1 <= at <= teeth else None
    ring = ring_of(job, teeth, done, at, between=between)
    return Views(
        whole=Markup(_whole(_key(ring))),
        strip=Markup(_strip(_key(ring))),
        glass=Markup(_glass(_key(ring), at or 1, each_side)),
        at=at,
        teeth=teeth,
    )


class _Key:
    """A ring that can be looked up: equal when everything drawn is equal."""

    __slots__ = ("_parts", "ring")

    def __init__(self, ring: drawing.Ring) -> None:
        self.ring = ring
        drawn = (ring.form, tuple(ring.teeth.items()), ring.stretches, ring.stops, ring.label)
        self._parts = (*drawn, ring.scriber, ring.scriber_between, ring.done_between)

    def __hash__(self) -> int:
        return hash(self._parts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self._parts == other._parts


def _key(ring: drawing.Ring) -> _Key:
    return _Key(ring)


@lru_cache(maxsize=32)
def _whole(key: _Key) -> str:
    return drawing.ring_svg(key.ring)


@lru_cache(maxsize=32)
def _strip(key: _Key) -> str:
    return drawing.strip_svg(key.ring)


@lru_cache(maxsize=64)
def _glass(key: _Key, at: int, each_side: int) -> str:
    return drawing.glass_svg(key.ring, at, each_side)
