"""From a job's document to its drawn ring: the same three views on every page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import radians
from typing import Any

from markupsafe import Markup

from ringwright.job.document import Hardness, JobDocument, Map
from ringwright.paper import drawing
from ringwright.words import _

#: What is drawn as the densest hatch, by scale; drawing only, no conversion between scales is meant.
_HARDEST = {"HB": 480.0, "HRC": 50.0, "HV": 520.0, "HLD": 650.0}
_SOFTEST = {"HB": 120.0, "HRC": 0.0, "HV": 120.0, "HLD": 350.0}


@dataclass(frozen=True, slots=True)
class Views:
    """The ring for a page; ``at`` is the tooth under the scriber, ``glass`` the stretch round it."""

    whole: Markup
    strip: Markup
    glass: Markup
    at: int | None
    teeth: int


def form_of(ring: dict[str, Any] | None, teeth: int, kind: str) -> drawing.Form:
    """The tooth form to draw: the settled ring's, else a plain 20 degree tooth of that count."""
    if ring is None:
        return drawing.Form(teeth, internal=kind == "internal")
    return drawing.Form(
        z=int(ring["teeth"]),
        alpha=radians(float(ring.get("pressure_angle_deg", 20.0))),
        x=float(ring.get("profile_shift", 0.0)),
        h_a=float(ring.get("addendum_coef", 1.0)),
        h_f=float(ring.get("dedendum_coef", 1.25)),
        internal=ring["kind"] == "internal",
    )


def _density(readings: Iterable[Hardness]) -> float | None:
    shares = [(r.value - _SOFTEST[r.scale]) / (_HARDEST[r.scale] - _SOFTEST[r.scale]) for r in readings]
    return max(shares) if shares else None


def look_of(of: Map, teeth: int, done: frozenset[int] = frozenset()) -> dict[int, drawing.Tooth]:
    """How each tooth looks that is not plain and sound."""
    damage: dict[int, list[drawing.Damage]] = defaultdict(list)
    hardness: dict[int, list[Hardness]] = defaultdict(list)
    for mark in of.marks:
        damage[mark.tooth].append(drawing.Damage(mark.condition, mark.flank, mark.end))
    for reading in of.hardness:
        hardness[reading.tooth].append(reading)
    told = {n for n in {*damage, *hardness, *done} if n <= teeth}
    return {n: drawing.Tooth(tuple(damage[n]), _density(hardness[n]), n in done) for n in sorted(told)}


def views(
    job: JobDocument, at: int | None = None, done: frozenset[int] = frozenset(), each_side: int = 3
) -> Views | None:
    """The three views; None while nobody has counted the teeth."""
    found = job.find_out
    teeth = int(found.ring["teeth"]) if found.ring else found.teeth
    if teeth is None:
        return None
    at = at if at is not None and 1 <= at <= teeth else None
    stretches = tuple(
        drawing.Stretch(s.first, s.last, s.kind) for s in job.map.stretches if s.first <= teeth and s.last <= teeth
    )
    ring = drawing.Ring(
        form=form_of(found.ring, teeth, found.kind),
        teeth=look_of(job.map, teeth, done),
        stretches=stretches,
        stops=tuple(n for n in job.map.stops_at if n <= teeth),
        scriber=at,
        label=_("The ring with its {teeth} teeth, tooth 1 on top, counted clockwise", teeth=teeth),
    )
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
        self._parts = (ring.form, tuple(ring.teeth.items()), ring.stretches, ring.stops, ring.scriber, ring.label)

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
