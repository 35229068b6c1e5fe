"""The ways to save a ring, side by side: which are open, what they need, risk, take and leave.

Only codes and figures here; the words are the edge's. Nothing is certified: a way that is open is one against which
nothing is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from ringwright.estimating.spread import Spread
from ringwright.repair.butting import chance_of_butting
from ringwright.repair.heat import Preheat
from ringwright.repair.teeth import DamagedTooth, left_of_tooth, worst
from ringwright.repair.times import WAYS, WayName, hours
from ringwright.strength.left import Range

#: Part of the face that may be lost at an end of a tooth that runs on, spur and helical (mill-gear-tooth-breakage).
MAY_BE_LOST = {False: 0.30, True: 0.50}

WELD_CAUTIONS = (
    "metals_before_heat",
    "fire_watch",
    "earth_clamp",
    "preheat_even",
    "crack_test_again",
    "codes_first",
)


@dataclass(frozen=True, slots=True)
class Situation:
    """All that is known of a ring to be saved, in core units.

    Lands and lead in mm; ``p`` is the circular pitch in the end face; ``enters`` is False for a pinion always in mesh;
    ``turns_better``: True when an allowed turn leaves less damage at the stops, False when none does, None when seat
    or stops are not known; ``stops_teeth``: the teeth then near the stops; ``turns_over``: the seat lets the
    ring go back on the other way up; ``one_flank``: wear on one flank only; ``preheat`` None when the steel is unknown.
    """

    N: int
    m_n: float
    p: float
    b: float | None
    helical: bool
    teeth: tuple[DamagedTooth, ...]
    looked: bool
    holds: bool
    land_now: float
    land_after: float
    land_pinion: float
    lead: float
    enters: bool = True
    turns: bool | None = None
    turns_better: bool | None = None
    stops_teeth: tuple[int, ...] = ()
    turns_over: bool | None = None
    one_flank: bool = False
    weldable: bool | None = None
    cast_iron: bool = False
    preheat: Preheat | None = None
    new_price: float | None = None
    own_times: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def to_work(self) -> int:
        """Teeth with something to do on them; old welds alone are not counted."""
        return sum(t.to_work for t in self.teeth)


@dataclass(frozen=True, slots=True)
class Way:
    """One way, judged; ``closed_by`` and ``needs`` and the rest are codes."""

    way: WayName
    closed_by: tuple[str, ...]
    needs: tuple[str, ...]
    hours: Spread
    strength: Range | None
    strength_at_stops: Range | None
    look_first: bool
    butting: tuple[float, float] | None
    teeth_touched: int
    risks: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def open(self) -> bool:
        """Nothing known stands against it."""
        return not self.closed_by


def judge(s: Situation) -> tuple[Way, ...]:
    """Every way, in the order of the trade: the cheap ones first to be thought of."""
    return tuple(_judge(way, s) for way in WAYS)


def _judge(way: WayName, s: Situation) -> Way:
    look_first = _look_first(s) and way != "new_ring"
    closed = _CLOSED[way](s) + (("duty",) if s.holds and way != "new_ring" else ())
    return Way(
        way=way,
        closed_by=closed,
        needs=_needs(way, s, look_first),
        hours=hours(way, s.N, s.to_work, s.own_times),
        strength=_strength(way, s, look_first),
        strength_at_stops=_at_stops(s) if way == "reclock" and not look_first and s.stops_teeth else None,
        look_first=look_first,
        butting=_butting(s),
        teeth_touched=0 if way == "new_ring" else s.N,
        risks=_RISKS[way],
        cautions=("lock_off", *_CAUTIONS.get(way, ())),
    )


def _look_first(s: Situation) -> bool:
    return not s.looked or any(t.cracked for t in s.teeth)


def _runs_on(s: Situation) -> tuple[str, ...]:
    """What stands against leaving the teeth as they are but dressed."""
    found = []
    if any(t.cracked for t in s.teeth):
        found.append("cracked")
    if any(t.missing for t in s.teeth):
        found.append("missing")
    if s.b is not None and any(t.lost > MAY_BE_LOST[s.helical] * s.b for t in s.teeth):
        found.append("face_lost")
    return tuple(found)


def _turning(s: Situation) -> tuple[str, ...]:
    against = _runs_on(s)
    if s.turns is False:
        return (*against, "seat_fixed")
    if s.turns_better is None:
        return (*against, "seat_or_stops_unknown")
    return against if s.turns_better else (*against, "no_better_place")


def _turning_over(s: Situation) -> tuple[str, ...]:
    against = _runs_on(s)
    if s.turns_over is None:
        return (*against, "turning_over_unknown")
    if not s.turns_over:
        return (*against, "seat_one_way")
    gained = s.one_flank or sum(t.lost_entry for t in s.teeth) > sum(t.lost_far for t in s.teeth)
    return against if gained else (*against, "nothing_gained")


def _welding(s: Situation) -> tuple[str, ...]:
    found = []
    if not s.to_work:
        found.append("nothing_to_weld")
    if s.weldable is False:
        found.append("not_weldable")
    if s.cast_iron:
        found.append("cast_iron")
    elif s.preheat is None:
        found.append("carbon_unknown")
    elif not s.preheat.weld:
        found.append("preheat_crosses")
    return tuple(found)


_CLOSED: dict[WayName, Callable[[Situation], tuple[str, ...]]] = {
    "dress_and_lead_in": _runs_on,
    "reclock": _turning,
    "turn_over": _turning_over,
    "weld_and_recut": _welding,
    "new_ring": lambda _s: (),
}
_CAUTIONS: dict[WayName, tuple[str, ...]] = {
    "turn_over": ("count_reverses", "entry_side_changes"),
    "weld_and_recut": WELD_CAUTIONS,
}
_RISKS: dict[WayName, tuple[str, ...]] = {
    "dress_and_lead_in": ("cause_stays", "thin_entry_corner"),
    "reclock": ("new_zones_wear", "pinion_worn"),
    "turn_over": ("old_lead_in_far_side", "idle_flank_unseen", "pinion_worn"),
    "weld_and_recut": ("cracks", "hard_and_soft_spots", "distortion", "no_strength_known"),
    "new_ring": ("waiting", "wrong_ring", "worn_pinion_on_new"),
}


def _needs(way: WayName, s: Situation, look_first: bool) -> tuple[str, ...]:
    found = ["look_for_cracks"] if look_first else []
    if way == "new_ring":
        return ("price",) if s.new_price is None else ()
    if s.b is None:
        found.append("face_width")
    if any(not t.measured for t in s.teeth):
        found.append("amounts")
    found.append("division_and_set_up")
    if way in ("reclock", "turn_over"):
        found.append("seat_marked")
    if way == "weld_and_recut":
        found += ["welder", "preheat_record", "second_crack_test"]
    return tuple(found)


def _strength(way: WayName, s: Situation, look_first: bool) -> Range | None:
    if way == "new_ring":
        return Range(1.0, 1.0)
    if way == "weld_and_recut" or look_first:
        return None
    teeth = [replace(t, lost_entry=t.lost_far, lost_far=t.lost_entry) if way == "turn_over" else t for t in s.teeth]
    every = [left_of_tooth(t, s.m_n, s.b, s.lead) for t in teeth]
    if len(s.teeth) < s.N:
        every.append(left_of_tooth(DamagedTooth(0), s.m_n, s.b, s.lead))
    return worst(every)


def _at_stops(s: Situation) -> Range:
    marked = {t.tooth: t for t in s.teeth}
    return worst([left_of_tooth(marked.get(n, DamagedTooth(n)), s.m_n, s.b, s.lead) for n in s.stops_teeth])


def _butting(s: Situation) -> tuple[float, float] | None:
    if not s.enters:
        return None
    return (
        chance_of_butting(s.land_now, s.land_pinion, s.p),
        chance_of_butting(s.land_after, s.land_pinion, s.p),
    )
