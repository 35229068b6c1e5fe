"""What `identify` is asked and what it answers: readings in the shop's units, ranked rings."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from ringwright import identify as core
from ringwright.quantities import read_angle, read_length
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Given, Record
from ringwright.words import N_

phrases.learn(
    "no_reading", N_("There is no reading."), N_("At least one reading."), N_("Measure something and put it in.")
)
phrases.learn(
    "reading_not_on_this_ring",
    N_("A ring of this kind does not give that reading."),
    N_("Span and over pins on an external ring, between pins on an internal one."),
    N_("Look at kind, or take another reading."),
)
phrases.learn(
    "span_teeth_impossible",
    N_("A span over {value} teeth cannot be on this ring."),
    N_("{low} to {high} teeth between the anvils."),
    N_("Count the teeth between the anvils again."),
)
phrases.learn(
    "mate_not_inside",
    N_("A mate of {value} teeth does not go inside this ring."),
    N_("{low} to {high} teeth."),
    N_("Look at kind, teeth and mate_teeth."),
)
phrases.learn(
    "prior_leaves_nothing",
    N_("These weights leave no ring in question."),
    N_("At least one weight above nought, and none_of_these below 1."),
    N_("Give some system and some angle a weight."),
)
phrases.learn(
    "unit_does_not_fit",
    N_("That unit does not fit this reading."),
    N_("mm or in for lengths, deg for the helix angle."),
    N_("Change the unit."),
)
phrases.learn(
    "reading_lacks",
    N_("This reading lacks what goes with it."),
    N_(
        "All but rack_tried: value. span: span_teeth; over_pins, between_pins: pin_diameter; "
        "chordal_thickness: height; centre_distance: mate_teeth; tip_arc, chord_over_teeth: over_teeth; "
        "span_difference: teeth_apart; segment_teeth: segments; rack_tried: rack. "
        "tip_girth and tip_arc may have tape_thickness."
    ),
    N_("Put it in."),
)
phrases.learn(
    "reading_has_too_much",
    N_("This reading carries something that belongs to another kind."),
    N_(
        "All but rack_tried: value. span: span_teeth; over_pins, between_pins: pin_diameter; "
        "chordal_thickness: height; centre_distance: mate_teeth; tip_arc, chord_over_teeth: over_teeth; "
        "span_difference: teeth_apart; segment_teeth: segments; rack_tried: rack. "
        "tip_girth and tip_arc may have tape_thickness."
    ),
    N_("Take it out."),
)

phrases.learn(
    "reading_said_twice",
    N_("The difference of the spans follows from spans that are given themselves: it is no further evidence."),
    N_("The two spans, or their difference."),
    N_("Take one of them out."),
)
phrases.learn(
    "not_on_the_mate",
    N_("This is not asked of the mate."),
    N_("Sizes measured on the mate itself."),
    N_("Put it with the ring's own readings."),
)

#: Every kind of reading: those that are measured, and two that are not.
Kind = Literal[core.What, "rack_tried", "segment_teeth"]
UNMEASURED = ("rack_tried", "segment_teeth")
_NEEDS = {
    "span": "span_teeth",
    "over_pins": "pin_diameter",
    "between_pins": "pin_diameter",
    "chordal_thickness": "height",
    "centre_distance": "mate_teeth",
    "tip_arc": "over_teeth",
    "chord_over_teeth": "over_teeth",
    "span_difference": "teeth_apart",
    "rack_tried": "rack",
    "segment_teeth": "segments",
}
_MAY = {"tip_girth": "tape_thickness", "tip_arc": "tape_thickness"}
_OWN = (
    "span_teeth",
    "pin_diameter",
    "height",
    "mate_teeth",
    "over_teeth",
    "teeth_apart",
    "tape_thickness",
    "segments",
    "rack",
)
SYSTEM = Literal["module", "diametral_pitch", "circular_pitch", "combination"]
_LARGEST = 100_000.0


def _number_or_text(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError("not_a_number")
    return value


#: A bare number in the reading's unit, or text with its own unit.
Size = Annotated[Any, BeforeValidator(_number_or_text, json_schema_input_type=float | str)]


def _core(value: float | str, what: str, unit: str | None) -> float:
    """A size in core units (mm, rad)."""
    if what == "helix_angle":
        return radians(float(read_angle(value)) if isinstance(value, str) else value)
    if isinstance(value, str):
        return float(read_length(value))
    return value * (25.4 if unit == "in" else 1.0)


class RackAsked(Record):
    """A rack or hob of known pitch, rolled in the ring by hand."""

    module_mm: float | None = Field(None, ge=0.1, le=100)
    diametral_pitch: float | None = Field(None, ge=0.25, le=254)
    circular_pitch_mm: float | None = Field(None, ge=0.3, le=320)
    pressure_angle_deg: float = Field(ge=10, le=35)
    rolled: Literal["smooth", "bumping"]

    @model_validator(mode="after")
    def _one_pitch(self) -> RackAsked:
        if sum(p is not None for p in (self.module_mm, self.diametral_pitch, self.circular_pitch_mm)) != 1:
            raise ValueError("one_pitch")
        return self

    def as_core(self, worn: bool) -> core.Tried:
        """In core units."""
        if self.module_mm is not None:
            m = self.module_mm
        else:
            m = 25.4 / self.diametral_pitch if self.diametral_pitch else (self.circular_pitch_mm or 0.0) / pi
        return core.Tried(m, radians(self.pressure_angle_deg), self.rolled == "smooth", worn)


class ReadingAsked(Record):
    """One reading, as it was read."""

    what: Kind
    unit: Literal["mm", "in", "deg"] | None = Field(None, description="of every bare number of this reading")
    value: Size | None = None
    uncertainty: Size | None = Field(None, description="one standard deviation")
    worn: bool = False
    span_teeth: int | None = Field(None, ge=2, le=500)
    pin_diameter: Size | None = None
    height: Size | None = Field(None, description="tongue of the gear caliper, below the tip as found")
    mate_teeth: int | None = Field(None, ge=5, le=1000)
    over_teeth: int | None = Field(None, ge=1, le=500, description="pitches from end to end")
    teeth_apart: int | None = Field(None, ge=1, le=500, description="teeth more between the anvils in the longer span")
    tape_thickness: Size | None = None
    segments: int | None = Field(None, ge=2, le=24, description="equal pieces of the whole ring")
    rack: RackAsked | None = None

    @field_validator("unit")
    @classmethod
    def _unit_fits(cls, unit: str | None, info: ValidationInfo) -> str | None:
        what = info.data.get("what")
        if unit is not None and what is not None and (what in UNMEASURED or (unit == "deg") != (what == "helix_angle")):
            raise ValueError("unit_does_not_fit")
        return unit

    @field_validator("value", "uncertainty", "pin_diameter", "height", "tape_thickness")
    @classmethod
    def _in_bounds(cls, value: Any, info: ValidationInfo) -> Any:
        what = info.data.get("what")
        if value is None or what is None:
            return value
        if what == "segment_teeth" and info.field_name == "value":
            if isinstance(value, str) or value != int(value) or not 1 <= value <= 500:
                raise ValueError("not_a_whole_number")
            return value
        helix = what == "helix_angle" and info.field_name in ("value", "uncertainty")
        size = _core(value, "helix_angle" if helix else "length", info.data.get("unit"))
        sure = info.field_name == "uncertainty"  # nobody in a shop reads to better than a tenth of a micrometre
        if helix and not (1e-5 <= size <= 0.8 if sure else -0.8 <= size <= 0.8):
            raise ValueError("size_impossible")
        if not helix and not (1e-4 <= size <= _LARGEST if sure else 0 < size <= _LARGEST):
            raise ValueError("size_impossible")
        return value

    @model_validator(mode="after")
    def _has_its_own(self) -> ReadingAsked:
        wanted = {_NEEDS.get(self.what), None if self.what == "rack_tried" else "value"} - {None}
        may = {*wanted, _MAY.get(self.what), None if self.what in UNMEASURED else "uncertainty"}
        given = {name for name in (*_OWN, "value", "uncertainty") if getattr(self, name) is not None}
        if wanted - given:
            raise ValueError("reading_lacks")
        if given - may:
            raise ValueError("reading_has_too_much")
        return self

    def as_core(self) -> core.Reading:
        """In core units."""
        default = core.default_uncertainty()[self.what]
        u = default if self.uncertainty is None else self.uncertainty
        unit = self.unit if self.uncertainty is not None else None

        def length(size: Any) -> float:
            return 0.0 if size is None else _core(size, "length", self.unit)

        return core.Reading(
            self.what,
            _core(self.value or 0.0, self.what, self.unit),
            _core(u, self.what, unit),
            self.worn,
            self.span_teeth or 0,
            length(self.pin_diameter),
            length(self.height),
            self.mate_teeth or 0,
            self.over_teeth or self.teeth_apart or 0,
            length(self.tape_thickness),
        )


phrases.learn(
    "size_impossible",
    N_("“{value}” is not a possible size here."),
    N_("Lengths above 0 up to 100 m; helix angles up to 45 degrees; uncertainties of at least 0.0001 mm, 0.0006°."),
    N_("Look at the value and its unit."),
)


class AngleWeight(Record):
    """A pressure angle and its weight before any reading."""

    deg: float = Field(ge=10, le=35)
    weight: float = Field(ge=0, le=1e6)


class OriginAsked(Record):
    """Where the machine comes from and what else is on it: a weight before the readings, no proof."""

    made_in: Literal["britain", "north_america", "continental_europe", "east_asia"] | None = None
    built_year: int | None = Field(None, ge=1800, le=2100)
    threads: Literal["inch", "metric"] | None = Field(None, description="bolts and other threads of the machine")
    bore: Literal["inch", "metric"] | None = Field(None, description="which round figure bore or key come to")
    strength: float | None = Field(None, ge=0, le=3, description="power of the table's factors; 0 ignores them")

    def as_core(self) -> core.Origin:
        """In core terms."""
        clues = {"made_in": self.made_in, "threads": self.threads, "bore": self.bore}
        strength = 1.0 if self.strength is None else self.strength
        return core.Origin({k: v for k, v in clues.items() if v is not None}, self.built_year, strength)


class MateAsked(Record):
    """The mating gear: same pitch and angle, its own shift and wear."""

    teeth: int = Field(ge=5, le=1000)
    kind: Literal["external", "internal"] | None = None
    readings: tuple[ReadingAsked, ...] = Field(max_length=16)

    @field_validator("readings")
    @classmethod
    def _measured(cls, readings: tuple[ReadingAsked, ...]) -> tuple[ReadingAsked, ...]:
        if not readings:
            raise ValueError("no_reading")
        if any(r.what in (*UNMEASURED, "centre_distance") for r in readings):
            raise ValueError("not_on_the_mate")
        return readings


class PriorAsked(Record):
    """Weights in place of the tables'; a system or angle that is not named in a given list weighs nothing."""

    systems: dict[SYSTEM, Annotated[float, Field(ge=0, le=1e6)]] | None = None
    pressure_angles: tuple[AngleWeight, ...] | None = Field(None, max_length=20)
    no_shift: float | None = Field(None, ge=0, le=1)
    none_of_these: float | None = Field(None, ge=0, le=0.99)

    def as_core(self, origin: core.Origin | None) -> core.Prior:
        """In core terms."""
        return core.Prior(
            systems={str(k): w for k, w in (self.systems or {}).items()},
            angles={round(a.deg, 6): a.weight for a in self.pressure_angles or ()},
            shift_zero=self.no_shift,
            none_of_these=self.none_of_these,
            origin=origin,
        )


class IdentifyAsked(Asked):
    """Readings of a ring, and how sure the tooth count is."""

    kind: Literal["external", "internal"]
    teeth: int = Field(ge=5, le=1000)
    teeth_sure: bool | None = None
    readings: tuple[ReadingAsked, ...] = Field(max_length=16)
    prior: PriorAsked | None = None
    origin: OriginAsked | None = None
    mate: MateAsked | None = None
    hand: Literal["right", "left"] | None = None
    can_read: tuple[core.What, ...] | None = Field(None, description="kinds of reading the shop can take")

    @field_validator("readings")
    @classmethod
    def _some(cls, readings: tuple[ReadingAsked, ...]) -> tuple[ReadingAsked, ...]:
        if not any(r.what not in UNMEASURED for r in readings):
            raise ValueError("no_reading")
        return readings


class RingFound(Given):
    """RING of the contract, ready to be sent on."""

    kind: str
    teeth: int
    module_mm: float | None = None
    diametral_pitch: float | None = None
    circular_pitch_mm: float | None = None
    pressure_angle_deg: float
    helix_angle_deg: float
    hand: str | None
    profile_shift: float
    addendum_coef: float
    dedendum_coef: float


class ResidualShown(Given):
    """One reading against the candidate as drawn, without wear."""

    reading: int
    predicted: float
    difference: float
    unit: Literal["mm", "deg"]
    sigmas: float


class MateFound(Given):
    """The mate as this candidate has it."""

    profile_shift: float
    residuals: tuple[ResidualShown, ...]
    suspect: int | None


class CandidateShown(Given):
    """One candidate; several names where the readings in hand cannot tell them apart."""

    label: str
    system: SYSTEM
    size: str
    ring: RingFound
    probability: float
    names: tuple[str, ...]
    tied_with: tuple[int, ...]
    residuals: tuple[ResidualShown, ...]
    why: str
    suspect: int | None
    plane: Literal["normal", "transverse"]
    mate: MateFound | None


class Suspect(Given):
    """A reading more likely bad than good, over all rings in question; ``on`` says in which list it stands."""

    on: Literal["ring", "mate"]
    reading: int
    chance: float
    says: str


class Telling(Given):
    """What a candidate predicts for the next reading; spread is one standard deviation."""

    candidate: int
    name: str
    predicted_mm: float
    spread_mm: float


class NextShown(Given):
    """The reading to take next."""

    what: core.What
    how: str
    span_teeth: int | None = None
    pin_diameter_mm: float | None = None
    height_mm: float | None = None
    over_teeth: int | None = None
    worth_bits: float
    tells_apart: tuple[Telling, ...]


class IdentifyAnswered(Answered):
    """Ranked rings; probabilities and other_probability add up to 1."""

    candidates: tuple[CandidateShown, ...]
    other_probability: float
    next_reading: NextShown | None
    suspect: Suspect | None
    settles: str | None
