"""What `cutter_life` is asked with and answered in."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Given, Millimetres, Record
from ringwright.words import N_

phrases.learn(
    "seen_out_of_order",
    N_("What was seen does not go forward in the order of cutting."),
    N_("Teeth of the round, each after the one before in the order in which they are cut."),
    N_("Look at the tooth numbers. With the hard teeth last, their lap comes after all the others."),
)
phrases.learn(
    "seen_impossible",
    N_("What was seen cannot be with what was said before of the life."),
    N_("Lives that the first belief leaves some chance for."),
    N_("Look at seconds_per_tooth, the speed and the minutes given."),
)
phrases.learn(
    "tooth_twice",
    N_("Two stretches name the same tooth, or one runs backwards."),
    N_("Each tooth in one stretch only, last not before first."),
    N_("Look at first and last."),
)
phrases.learn(
    "too_many_teeth",
    N_("More than 1000 teeth are named."),
    N_("At most 1000 teeth in all."),
    N_("Leave out what is not cut."),
)
phrases.learn(
    "not_of_this_round",
    N_("That tooth is in no stretch."),
    N_("A tooth of one of the stretches."),
    N_("Look at the number, or name its stretch."),
)

Zone = Literal["sound", "hard", "weld_start_stop", "heat_affected_edge"]


class Stretch(Record):
    """Teeth one after the other that are alike, by their numbers on the ring."""

    first: int = Field(ge=1, le=1000)
    last: int = Field(ge=1, le=1000)
    zone: Zone = "sound"
    hardness_hb: float | None = Field(None, ge=80, le=615)
    file_skates: bool = Field(False, description="a hardness file of 50 HRC or more skates here")
    speed_m_min: float | None = Field(None, gt=0, le=1000)


class EdgeAsked(Record):
    """The cutter whose edge is in question."""

    material: Literal["hss", "hss_cobalt", "carbide"]
    edges_per_cutter: int = Field(1, ge=1, le=40, description="edges of one cutter: regrinds and its own, or corners")
    runout_mm: Millimetres | None = Field(None, ge=0, le=1, description="total indicator reading of the edges")


class History(Record):
    """What the kit knows of such an edge in sound metal at this speed."""

    minutes: float | None = Field(None, gt=0, le=10_000, description="median minutes in the cut")
    same_steel: bool = False
    lives_min: tuple[float, ...] = Field((), max_length=100, description="lives seen to their end by wear")


class ZoneHistory(Record):
    """Teeth of a zone that such edges entered before this round, and how often one chipped."""

    zone: Zone
    entered: int = Field(ge=0, le=100_000)
    chipped: int = Field(ge=0, le=100_000)


class SeenAsked(Record):
    """How the edge was found after a tooth."""

    tooth: int = Field(ge=1, le=1000)
    what: Literal["worn", "chipped", "gone", "changed", "fine"]


class CutterLifeAsked(Asked):
    """The teeth to cut by zone, the cutter and its speed, and what has been seen."""

    stretches: tuple[Stretch, ...] = Field(min_length=1, max_length=400)
    cutter: EdgeAsked
    speed_m_min: float = Field(gt=0, le=1000, description="cutting speed in sound metal")
    seconds_per_tooth: float = Field(gt=0, le=36_000, description="seconds in the cut per tooth, not the handling")
    laps: Literal["hard_last", "as_counted"] = "hard_last"
    history: History | None = None
    chipping: tuple[ZoneHistory, ...] = Field((), max_length=40)
    seen: tuple[SeenAsked, ...] = Field((), max_length=1000)
    confidence: float = Field(0.9, ge=0.5, le=0.99)

    @model_validator(mode="after")
    def _each_tooth_once(self) -> Self:
        if sum(max(s.last - s.first + 1, 0) for s in self.stretches) > 1000:
            raise ValueError("too_many_teeth")
        named = [t for s in self.stretches for t in range(s.first, s.last + 1)]
        if len(named) != len(set(named)) or any(s.last < s.first for s in self.stretches):
            raise ValueError("tooth_twice")
        return self


class Wears(Given):
    """Median life in the cut, sound metal, this speed; ``scatter`` of ln of one life."""

    median_min: float
    low_min: float
    high_min: float
    scatter: float


class Chips(Given):
    """Chance of a chipped edge per tooth of a zone, and what it rests on from this round."""

    zone: str
    teeth_left: int
    chance_per_tooth: float
    low: float
    high: float
    entered: int
    chipped: int


class Chances(Given):
    """Chance that one edge does it: with both ways to end, and with only one of them."""

    both: float
    wear_alone: float
    chipping_alone: float


class TeethPerEdge(Given):
    """Teeth that a fresh edge does in the coming order with chance 50 and 90 per cent; ``ends_round``: it does all."""

    p50: int
    p90: int
    ends_round: bool


class Lap(Given):
    """One time round, in counting order, begun with a fresh edge."""

    lap: int
    teeth: tuple[int, ...]
    zones: dict[str, int]
    one_fresh_edge: Chances


class ChangeAt(Given):
    """Change the edge after this tooth though it may still cut."""

    after_tooth: int
    why: Literal["wear", "lap"]
    says: str


class EdgeChance(Given):
    """Chance that so many edges finish the round."""

    edges: int
    chance: float


class EdgesNeeded(Given):
    """Edges for the teeth left, changed as planned, the one in the spindle counted."""

    p50: int
    p90: int
    at_confidence: int
    confidence: float
    chances: tuple[EdgeChance, ...]
    surprises: float


class CutterLifeAnswer(Answered):
    """What the edge is good for on this round; null where nothing is left to cut."""

    teeth: int
    teeth_left: int
    next_tooth: int | None
    laps: tuple[Lap, ...]
    wear: Wears
    chipping: tuple[Chips, ...]
    finish: Chances | None
    finish_without_hard: Chances | None
    teeth_per_edge: TeethPerEdge | None
    change: tuple[ChangeAt, ...]
    edges: EdgesNeeded | None
    cutters: int | None
    grind_first: tuple[int, ...]
    advice: tuple[str, ...]
