"""What the ways to save a ring are asked with, and what they answer: the models alone."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Given, Millimetres, Note, Record
from ringwright.reckon.bearing import LookedFor, Part
from ringwright.reckon.ring import Ring
from ringwright.reckon.turning import Mark, Pattern, Seat
from ringwright.repair.times import WayName, elements
from ringwright.words import N_

phrases.learn(
    "own_time_name",
    N_("That is not a part of any way's time."),
    N_("One of the parts that the answer's notes list, its p80_minutes not below its p50_minutes."),
    N_("Look at the names, and at the order of the two figures."),
)


class Hardness(Record):
    """One hardness reading, in the scale it was read."""

    tooth: int = Field(ge=1, le=1000)
    value: float = Field(gt=0, le=2000)
    scale: Literal["HB", "HRC", "HV", "HLD"]
    place: Literal["flank", "tip", "root", "rim", "end"] = "flank"
    method: str = Field("", max_length=60)


class Stretch(Record):
    """A run of teeth marked by hand; first and last inclusive, in counting direction."""

    first: int = Field(ge=1, le=1000)
    last: int = Field(ge=1, le=1000)
    kind: Literal["hard", "soft", "weld"]
    remark: str = Field("", max_length=200)


class Pinion(Record):
    """The mate: how it enters and what its tooth ends look like."""

    teeth: int | None = Field(None, ge=5, le=1000)
    end_land_mm: Millimetres | None = Field(None, ge=0, le=400)
    entry: Literal["thrown", "slid", "always"] | None = None
    teeth_in_mesh: int | None = Field(None, ge=1, le=50)


class Lead(Record):
    """The lead-in wanted."""

    lead_length_mm: Millimetres | None = Field(None, ge=0, le=1000)
    end_land_finished_mm: Millimetres | None = Field(None, ge=0, le=400)


class NewRing(Record):
    """What a new ring costs and how long it takes."""

    price: float | None = Field(None, ge=0, le=1e9)
    weeks: float | None = Field(None, ge=0, le=520)


class Rates(Record):
    """The shop's rates."""

    hour: float = Field(gt=0, le=1e6)
    contingency: float = Field(0.15, ge=0, le=5)
    margin: float = Field(0.2, ge=0, le=0.95)
    currency: str = Field("", max_length=10)


class Steel(Record):
    """Shares of the steel in mass per cent."""

    carbon_percent: float = Field(ge=0, le=1.5)
    manganese_percent: float | None = Field(None, ge=0, le=5)
    chromium_percent: float = Field(0.0, ge=0, le=5)
    molybdenum_percent: float = Field(0.0, ge=0, le=5)
    vanadium_percent: float = Field(0.0, ge=0, le=5)
    nickel_percent: float = Field(0.0, ge=0, le=5)
    copper_percent: float = Field(0.0, ge=0, le=5)


class OwnTime(Record):
    """The shop's own minutes for one part of the work."""

    element: str = Field(max_length=40)
    p50_minutes: float = Field(gt=0, le=100_000)
    p80_minutes: float = Field(gt=0, le=100_000)

    @model_validator(mode="after")
    def _known(self) -> Self:
        if self.element not in elements() or self.p80_minutes < self.p50_minutes:
            raise ValueError("own_time_name")
        return self


class WaysAsked(Asked):
    """The ring, its map, its mate, and what the shop wants."""

    ring: Ring
    marks: tuple[Mark, ...] = Field(max_length=4000)
    hardness: tuple[Hardness, ...] = Field((), max_length=2000)
    stretches: tuple[Stretch, ...] = Field((), max_length=200)
    stops_at: tuple[int, ...] = Field((), max_length=40)
    cracks_looked_for: LookedFor = "no"
    duty: Literal["ordinary", "holds_people_or_loads", "unknown"] = "unknown"
    seat: Seat | None = None
    pinion: Pinion = Pinion()
    end_land_mm: Millimetres | None = Field(None, ge=0, le=400, description="flat on the ring's tooth ends now")
    lead: Lead = Lead()
    new_ring: NewRing = NewRing()
    rates: Rates | None = None
    material: Literal["steel", "cast_steel", "cast_iron", "unknown"] = "unknown"
    weldable: Literal["yes", "no", "unknown"] = "unknown"
    steel: Steel | None = None
    tempered_at_c: float | None = Field(None, ge=100, le=700)
    times: tuple[OwnTime, ...] = Field((), max_length=20)


class Odds(Given):
    """Fiftieth and eightieth in a hundred."""

    p50: float
    p80: float


class Butting(Given):
    """Chance that the pinion's tooth ends meet the ring's, now and then."""

    before: float
    after: float


class PreheatAsked(Given):
    """What one source asks for."""

    source: str
    low_c: float
    high_c: float


class PreheatSaid(Given):
    """Heat before welding."""

    carbon_equivalent: float
    least_c: float
    most_c: float
    limit_c: float | None
    sources_differ: bool
    weld: bool
    asked_by: tuple[PreheatAsked, ...]
    says: str


class WayAnswer(Given):
    """One way."""

    way: WayName
    title: str
    open: bool
    closed_by: tuple[Note, ...]
    needs: tuple[Note, ...]
    hours: Odds
    price: Odds | None
    weeks: float | None
    strength: Part | None
    strength_at_stops: Part | None
    look_first: bool
    chance_of_butting: Butting | None
    teeth_touched: int
    turn_teeth: str | None
    preheat: PreheatSaid | None
    risks: tuple[Note, ...]
    cautions: tuple[Note, ...]
    why_ranked: str


class WaysAnswer(Answered):
    """All ways, best first; ``best`` is null where no verdict is given."""

    ways: tuple[WayAnswer, ...]
    best: WayName | None
    says: str
    who_decides: str | None
    look_first: bool
    damaged_teeth: int
    currency: str
    pattern: Pattern | None
    unknowns: tuple[Note, ...]
