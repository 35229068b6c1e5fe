"""From a job's document to what is drawn of its ring; pages and papers share it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from math import radians
from typing import Any

from ringwright.job.document import Hardness, JobDocument, Map
from ringwright.paper import drawing
from ringwright.words import _

#: What is drawn as the densest hatch, by scale; drawing only, no conversion between scales is meant.
_HARDEST = {"HB": 480.0, "HRC": 50.0, "HV": 520.0, "HLD": 650.0}
_SOFTEST = {"HB": 120.0, "HRC": 0.0, "HV": 120.0, "HLD": 350.0}


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


def ring_of(
    job: JobDocument,
    teeth: int,
    done: frozenset[int] = frozenset(),
    scriber: int | None = None,
    *,
    between: bool = False,
) -> drawing.Ring:
    """The ring as the map has it, with the spaces that are cut; ``between``: the scriber too stands at a space."""
    stretches = tuple(
        drawing.Stretch(s.first, s.last, s.kind) for s in job.map.stretches if s.first <= teeth and s.last <= teeth
    )
    return drawing.Ring(
        form=form_of(job.find_out.ring, teeth, job.find_out.kind),
        teeth=look_of(job.map, teeth, done),
        stretches=stretches,
        stops=tuple(n for n in job.map.stops_at if n <= teeth),
        scriber=scriber,
        scriber_between=between,
        done_between=True,  # row n of a round is the space behind tooth n
        label=_("The ring with its {teeth} teeth, tooth 1 on top, counted clockwise", teeth=teeth),
    )
