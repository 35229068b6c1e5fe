"""What is looked at after a cut: which sample teeth, against which figure of the plan, and what is still open.

How many samples, and how near a reading counts for one, is common practice, no source; both are said on the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ringwright.job.document import Check, JobDocument, RoundPlan
from ringwright.paper.hand_over_words import RoundCut
from ringwright.reckon import answers
from ringwright.reckon.base import Problems
from ringwright.reckon.rounds import zones_of_spaces
from ringwright.web.hand_back import PLACES, WHATS

#: Sample teeth spread round the ring for what the cut gives.
SPREAD = 8
#: A reading this many teeth away, in the same zone, counts for a sample.
NEAR = 2
#: At most this many samples in the stretches of one zone.
MOST_IN_ZONE = 6

# -- sample teeth -----------------------------------------------------------------------------------------------------


def spread(teeth: Sequence[int], count: int) -> tuple[int, ...]:
    """So many of the teeth, evenly spread in counting order; all when there are no more.

    >>> spread(range(1, 128), 4), spread([5, 6], 4)
    ((1, 33, 65, 96), (5, 6))
    """
    ordered = sorted(teeth)
    if len(ordered) <= count:
        return tuple(ordered)
    return tuple(ordered[(2 * i * len(ordered) + count) // (2 * count)] for i in range(count))


def zone_middles(teeth: Sequence[int], zones: Mapping[int, str]) -> tuple[int, ...]:
    """The middle tooth of each run of teeth in a zone that is not sound, at most `MOST_IN_ZONE` a zone.

    >>> zone_middles(range(1, 8), {1: "sound", 2: "hard", 3: "hard", 4: "hard", 5: "sound", 6: "weld", 7: "sound"})
    (3, 6)
    """
    runs: dict[str, list[list[int]]] = {}
    before: tuple[int, str] | None = None
    for tooth in sorted(teeth):
        zone = zones.get(tooth, "sound")
        if zone != "sound":
            of_zone = runs.setdefault(zone, [])
            if before == (tooth - 1, zone):
                of_zone[-1].append(tooth)
            else:
                of_zone.append([tooth])
        before = (tooth, zone)
    found = {t for of_zone in runs.values() for t in spread([r[len(r) // 2] for r in of_zone], MOST_IN_ZONE)}
    return tuple(sorted(found))


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is still to be looked at: the sample teeth that no verdict covers yet; () of all when it has no tooth."""

    what: str
    open: tuple[int, ...]
    of: int


def wanted(job: JobDocument, cut: Sequence[RoundCut]) -> tuple[Wanted, ...]:
    """What common practice still wants looked at, in the order of the work."""
    N = int((job.find_out.ring or {}).get("teeth") or job.find_out.teeth or 0)
    if not N:
        return ()
    zones, teeth = _zones(job, cut, N)
    lead_in = [p for p in job.set_out.rounds if p.lead_in is not None]
    places = spread(range(1, N + 1), PLACES)
    middles = zone_middles(teeth, zones)
    samples = tuple(sorted({*spread(teeth, SPREAD), *middles}))
    stops = tuple(t for t in job.map.stops_at if t <= N)
    at: dict[str, tuple[int, ...]] = {
        "lead": samples if lead_in else (),
        "end_land": samples if lead_in else (),
        "hardness": middles,
        "engagement": tuple(sorted({*places, *stops})),
        "backlash": places,
    }
    whole = {"burrs", "cracks", "run_out", "seated", "marked"} | (
        {"reclocked"} if job.decide.taken in ("reclock", "turn_over") else set()
    )
    found = []
    for what in WHATS:
        checks = [c for c in job.prove.checks if c.what == what]
        if at.get(what):
            left = tuple(t for t in at[what] if not _covered(t, checks, zones, N))
            if left:
                found.append(Wanted(what, left, len(at[what])))
        elif what in whole and (not checks or all(c.passed is None for c in checks)):
            found.append(Wanted(what, (), 1))
    return tuple(found)


def _zones(job: JobDocument, cut: Sequence[RoundCut], N: int) -> tuple[Mapping[int, str], tuple[int, ...]]:
    """Zone of each space, and the teeth of the rounds: as frozen where a round was started, else as mapped."""
    zones: dict[int, str] = dict(zones_of_spaces(job.map, N))
    teeth: set[int] = set()
    for one in cut:
        zones.update((row.tooth, row.zone) for row in one.sheet.rows)
        teeth.update(one.sheet.order)
    if not teeth:
        for plan in job.set_out.rounds:
            teeth.update(plan.teeth or range(1, N + 1))
    return zones, tuple(sorted(t for t in teeth if t <= N)) or tuple(range(1, N + 1))


def _covered(tooth: int, checks: Iterable[Check], zones: Mapping[int, str], N: int) -> bool:
    for check in checks:
        if check.tooth is None or check.passed is None or check.tooth > N:
            continue
        away = abs(check.tooth - tooth) % N
        if min(away, N - away) <= NEAR and zones.get(check.tooth) == zones.get(tooth):
            return True
    return False


# -- against which figure ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Aim:
    """What the plan wants of the cut at a tooth [mm]; ``flanks`` are both leads when they differ."""

    plan: RoundPlan
    lead: float | None
    lead_tolerance: float
    land: float | None
    land_tolerance: float
    flanks: tuple[float, float] | None
    working: tuple[Any, ...]

    def of(self, what: str) -> tuple[float | None, float | None]:
        """Wanted and tolerance of one kind of check; (None, None) when the plan does not say."""
        if what == "lead" and self.lead is not None:
            return self.lead, self.lead_tolerance
        if what == "end_land" and self.land is not None:
            return self.land, self.land_tolerance
        return None, None


def aims(job: JobDocument) -> tuple[Aim, ...]:
    """What each round with a lead-in was to give, reckoned from its plan; a plan without an answer gives none."""
    found = []
    for plan in job.set_out.rounds:
        if plan.lead_in is None:
            continue
        asked = {**plan.lead_in, "working": True}
        if "ring" not in asked and job.find_out.ring is not None:
            asked["ring"] = job.find_out.ring
        try:
            cut = answers.answer("lead_in", asked)
        except Problems:
            continue
        pair = cut.lead_length_mm
        leads = (pair.plus, pair.minus) if pair is not None else None
        found.append(
            Aim(
                plan=plan,
                lead=round(min(leads), 3) if leads else None,
                lead_tolerance=plan.tolerances.lead_mm,
                land=None if cut.end_land_finished_mm is None else round(cut.end_land_finished_mm, 3),
                land_tolerance=plan.tolerances.end_land_mm,
                flanks=leads if leads and abs(leads[0] - leads[1]) > 0.005 else None,
                working=tuple(cut.working or ()),
            )
        )
    return tuple(found)


def aim_at(found: Sequence[Aim], tooth: int | None) -> Aim | None:
    """The last round's aim that takes in this tooth."""
    return next((a for a in reversed(found) if tooth is None or a.plan.teeth is None or tooth in a.plan.teeth), None)


def verdict_of(value: float | None, wanted: float | None, tolerance: float | None) -> bool | None:
    """Passed when the value lies within the tolerance of what was wanted, both ends included; None without all three.

    >>> verdict_of(1.2, 1.0, 0.3), verdict_of(1.31, 1.0, 0.3), verdict_of(1.2, None, 0.3)
    (True, False, None)
    """
    if value is None or wanted is None or tolerance is None:
        return None
    return abs(value - wanted) <= tolerance + 1e-9
