"""Re-clocking: turning the ring on its seat so that sound teeth stand where the pinion enters.

Sign: a turn is counted in teeth in counting direction (tooth 1 to tooth 2, clockwise seen on the entry face). After a
turn of k, tooth s - k stands where tooth s stood.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from ringwright.reckon import phrases
from ringwright.reckon.base import (
    Answered,
    Asked,
    Came,
    Given,
    Millimetres,
    Note,
    Operation,
    Ratio,
    Record,
    WorkingLine,
    exact,
)
from ringwright.survey import pattern as patterns
from ringwright.survey import reclocking
from ringwright.survey.weights import condition_weights, damage_round
from ringwright.words import N_, _

Condition = Literal["worn", "chewed", "chipped", "cracked", "missing", "weld"]
_MOST_POSITIONS = 12
_WINDOW = 3

phrases.learn(
    "seat_whole",
    N_("How the seat lets the ring turn is not said whole."),
    N_("step_teeth for “step”, bolt_holes for “bolts”, turns_teeth for “list”, nothing more for “any” and “no”."),
    N_("Give the one figure that belongs to it, and no other."),
)
phrases.learn(
    "no_stops",
    N_("Where the machine comes to rest is not said."),
    N_("At least one tooth in stops_at."),
    N_("Mark the teeth that stand at the pinion when the machine has stopped by itself."),
)


class Mark(Record):
    """What is wrong with one tooth, at one end and flank; ``weight`` overrules what its condition counts."""

    tooth: int = Field(ge=1, le=1000)
    condition: Condition
    flank: Literal["both", "plus", "minus"] = "both"
    end: Literal["entry", "far", "whole"] = "whole"
    amount_mm: Millimetres | None = Field(None, ge=0, le=1000)
    thickness_mm: Millimetres | None = Field(None, ge=0, le=1000)
    thickness_tip_mm: Millimetres | None = Field(None, ge=0, le=1000)
    thickness_root_mm: Millimetres | None = Field(None, ge=0, le=1000)
    weight: float | None = Field(None, ge=0, le=100)
    remark: str = Field("", max_length=200)

    @property
    def weighs(self) -> float:
        """Its weight: its own, or its condition's."""
        return condition_weights()[self.condition] if self.weight is None else self.weight


class Seat(Record):
    """Which turns of the ring its seat allows."""

    turns: Literal["any", "step", "bolts", "list", "no"]
    step_teeth: int | None = Field(None, ge=1, le=1000)
    bolt_holes: int | None = Field(None, ge=1, le=1000, description="evenly spaced")
    turns_teeth: tuple[Ratio, ...] | None = Field(None, max_length=400)
    shrunk: bool = False
    dowels: bool | None = None
    timing_marks: bool | None = None
    turns_over: bool | None = Field(None, description="the seat takes the ring the other way up")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        given = {
            "step": self.step_teeth is not None,
            "bolts": self.bolt_holes is not None,
            "list": self.turns_teeth is not None,
        }
        if {name for name, there in given.items() if there} != ({self.turns} & given.keys()):
            raise ValueError("seat_whole")
        if any(abs(t) > 1000 for t in self.turns_teeth or ()):
            raise ValueError("seat_whole")
        return self

    def allowed(self, N: int) -> tuple[Fraction, ...]:
        """Turns in teeth, as it stands left out."""
        if self.turns == "any":
            return reclocking.step_turns(N, 1)
        if self.step_teeth is not None:
            return reclocking.step_turns(N, self.step_teeth)
        if self.bolt_holes is not None:
            return reclocking.bolt_turns(N, self.bolt_holes)
        return self.turns_teeth or ()


class ReclockAsked(Asked):
    """The damage round the ring, where the machine stops, and what the seat allows."""

    teeth: int = Field(ge=5, le=1000)
    marks: tuple[Mark, ...] = Field(max_length=4000)
    stops_at: tuple[int, ...] = Field(min_length=1, max_length=40, description="teeth at the pinion when at rest")
    seat: Seat
    pinion_teeth_in_mesh: int = Field(_WINDOW, ge=1, le=50, description="teeth the pinion can meet at a stop")
    pinion_teeth: int | None = Field(None, ge=5, le=1000)


class StopThen(Given):
    """What stands at one stop: place in teeth (exact), nearest tooth, damage of the teeth the pinion can meet."""

    place: str
    tooth: int
    damage: float


class PositionThen(Given):
    """One position of the ring."""

    turn_teeth: str = Field(description="in counting direction; exact")
    turn_deg: float
    stops: tuple[StopThen, ...]
    damage: float
    worst_damage: float
    room_teeth: float = Field(description="from the nearest stop to the nearest damaged tooth")
    better: bool


class PatchSeen(Given):
    """A run of damaged teeth in counting direction."""

    first: int
    last: int
    damage: float


class Pattern(Given):
    """Patches and the strongest wave; ``chance``: how often the same damage dealt out at random makes one as strong."""

    patches: tuple[PatchSeen, ...]
    waves_per_turn: float
    strength: float
    chance: float
    says: str


class ReclockAnswer(Answered):
    """The ring as it stands and every allowed position, best first."""

    now: PositionThen
    positions: tuple[PositionThen, ...]
    positions_looked_at: int
    says: str
    pattern: Pattern | None
    cautions: tuple[Note, ...]


def damage_of(teeth: int, marks: Sequence[Mark]) -> NDArray[np.float64]:
    """Damage of every tooth from its marks."""
    return damage_round(teeth, [(m.tooth, m.weighs) for m in marks])


def reclock(asked: ReclockAsked) -> ReclockAnswer:
    """Positions of the ring that bring sound teeth to where the machine stops."""
    damage = damage_of(asked.teeth, asked.marks)
    window = min(asked.pinion_teeth_in_mesh, asked.teeth)
    now = reclocking.position(damage, asked.stops_at, Fraction(0), window)
    found = reclocking.best_positions(damage, asked.stops_at, asked.seat.allowed(asked.teeth), window)
    shown = tuple(_shown(p, asked.teeth, now) for p in found[:_MOST_POSITIONS])
    return ReclockAnswer(
        now=_shown(now, asked.teeth, now),
        positions=shown,
        positions_looked_at=len(found),
        says=_says(shown),
        pattern=pattern_of(damage, asked.marks, asked.pinion_teeth),
        cautions=reclock_cautions(asked.seat),
        notes=_notes(asked),
        sources=("common-practice", "four-stroke-stopping-places"),
        working=_working(asked, now, found[0] if found else None) if asked.working else None,
    )


def _working(
    asked: ReclockAsked, now: reclocking.Position, best: reclocking.Position | None
) -> tuple[WorkingLine, ...]:
    lines = []
    for p in (now, best):
        for s, stop in zip(asked.stops_at, p.stops if p else (), strict=False):
            line = WorkingLine(
                symbol="D",
                name=_("damage near the stop of tooth {s} after a turn of {k}", s=s, k=exact(p.turn if p else 0)),
                formula="D = sum of weights of the teeth within window / 2 of s - k (mod N)",
                put_in=f"s - k = {exact(stop.place)}, window {asked.pinion_teeth_in_mesh}, N = {asked.teeth}",
                value=stop.damage,
                unit="",
                source="common-practice",
            )
            lines.append(line)
    return tuple(lines)


def _shown(p: reclocking.Position, N: int, now: reclocking.Position) -> PositionThen:
    stops = tuple(StopThen(place=exact(s.place), tooth=(round(s.place) - 1) % N + 1, damage=s.damage) for s in p.stops)
    return PositionThen(
        turn_teeth=exact(p.turn),
        turn_deg=float(p.turn * 360 / N),
        stops=stops,
        damage=p.damage,
        worst_damage=p.worst,
        room_teeth=p.room,
        better=(p.damage, p.worst) < (now.damage, now.worst),
    )


def _says(shown: tuple[PositionThen, ...]) -> str:
    if not shown:
        return _("The seat allows no other position.")
    best = shown[0]
    if not best.better:
        return _("No allowed position is better than the present one.")
    back = best.turn_teeth.startswith("-")
    words = _("Turn the ring {k} teeth against counting direction.") if back else _("Turn the ring {k} teeth on.")
    return words.format(k=best.turn_teeth.lstrip("-"))


def pattern_of(damage: NDArray[np.float64], marks: Sequence[Mark], pinion_teeth: int | None) -> Pattern | None:
    """The pattern of damage and what it points to; None when nothing is damaged."""
    N = len(damage)
    orders = [float(n) for n in range(1, min(8, N // 2) + 1)]
    if pinion_teeth is not None and 2 <= pinion_teeth <= N and N / pinion_teeth not in orders:
        orders.append(N / pinion_teeth)
    wave = patterns.strongest_wave(damage, orders)
    if wave is None:
        return None
    runs = tuple(PatchSeen(first=p.first, last=p.last, damage=p.damage) for p in patterns.patches(damage))
    by_pinion = pinion_teeth is not None and abs(wave.order - N / pinion_teeth) < 1e-9
    return Pattern(
        patches=runs,
        waves_per_turn=wave.order,
        strength=wave.strength,
        chance=wave.chance,
        says=_cause(wave, by_pinion, marks, runs),
    )


def _cause(wave: patterns.Wave, by_pinion: bool, marks: Sequence[Mark], runs: Sequence[PatchSeen]) -> str:
    ends = {m.end for m in marks}
    most = sum(run.damage >= 0.1 * sum(r.damage for r in runs) for run in runs)
    if wave.chance > 0.05:
        said = _("The damage lies as chance might have put it: no pattern round the ring is shown.")
    elif by_pinion:
        said = _("The damage comes back at every turn of the pinion: look for a bad pinion tooth.")
    elif wave.order == 1:
        said = _("One patch: a single stop, a blow, or a seat out of true. Find out which before it is repaired.")
    elif most != int(wave.order):
        said = _("{n} patches hold most of the damage. See which of them lie where the machine stops.", n=most)
    else:
        said = _(
            "{n} patches evenly round: the machine comes to rest in {n} places and the pinion enters there.",
            n=int(wave.order),
        )
    if len(marks) >= 3 and ends == {"entry"}:
        said += " " + _("All of it is at the entry end.")
    elif len(marks) >= 3 and ends == {"far"}:
        said += " " + _("All of it is at the far end: look at the alignment and the bearings first.")
    return said


def reclock_cautions(seat: Seat) -> tuple[Note, ...]:
    """What a turn of the ring takes with it."""
    found = []
    if seat.timing_marks is not False:
        text = _("Timing marks, pick-up teeth and balance weights turn with the ring: mark where they belong first.")
        found.append(Note(code="timing_and_balance", text=text))
    if seat.dowels is not False:
        text = _("Look for dowels, keys and an uneven bolt circle before the ring is turned.")
        found.append(Note(code="dowels", text=text))
    if seat.shrunk:
        text = _(
            "A shrunk ring is heated evenly and no hotter than its maker allows (about 200 °C is usual; makers differ):"
            " no visible colour, no torch on one spot, no quenching, gloves and a clear way to the seat."
        )
        found.append(Note(code="shrunk_seat", text=text))
    text = _("The new places wear next, and a worn pinion spoils them: look at the pinion before the ring goes back.")
    found.append(Note(code="pinion_too", text=text))
    return tuple(found)


def _notes(asked: ReclockAsked) -> tuple[Note, ...]:
    text = _("A turn counts teeth in counting direction: after a turn of k, tooth s - k stands where tooth s stood.")
    found = [Note(code="sign_of_turn", text=text)]
    if any(m.weight is None for m in asked.marks):
        text = _("Conditions are weighed by common practice: {list}.", list=_listed(condition_weights()))
        found.append(Note(code="weights_by_condition", text=text))
    if "pinion_teeth_in_mesh" not in asked.model_fields_set:
        text = _("How many teeth the pinion can meet at a stop was not given: taken as {n}.", n=_WINDOW)
        found.append(Note(code="default_used", text=text))
    if asked.pinion_teeth_in_mesh > asked.teeth:
        text = _("The pinion cannot meet more teeth than the ring has: all of them are counted.")
        found.append(Note(code="window_is_the_ring", text=text))
    return tuple(found)


def _listed(weights: dict[str, float]) -> str:
    return ", ".join(f"{name} {weight:g}" for name, weight in weights.items())


RECLOCK = Operation(
    name="reclock",
    purpose=N_("Positions of the ring that bring sound teeth to where the machine stops."),
    asked=ReclockAsked,
    answered=ReclockAnswer,
    do=reclock,
    came_from={
        "stops_at": Came("stops_at[{0}]"),
        "tooth": Came("marks[{0}].tooth"),
        "damage": Came("marks"),
        "window": Came("pinion_teeth_in_mesh"),
        "N": Came("teeth"),
        "step": Came("seat.step_teeth"),
        "holes": Came("seat.bolt_holes"),
    },
)
