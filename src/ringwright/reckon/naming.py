"""What gear is it? Readings of a worn ring in the shop's units, ranked rings out."""

from __future__ import annotations

from math import degrees, radians
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from ringwright import identify as core
from ringwright.quantities import read_angle, read_length
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Note, Operation, Record, WorkingLine
from ringwright.words import N_, _

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
        "span: span_teeth; over_pins, between_pins: pin_diameter; "
        "chordal_thickness: height; centre_distance: mate_teeth."
    ),
    N_("Put it in."),
)
phrases.learn(
    "reading_has_too_much",
    N_("This reading carries something that belongs to another kind."),
    N_(
        "span: span_teeth; over_pins, between_pins: pin_diameter; "
        "chordal_thickness: height; centre_distance: mate_teeth."
    ),
    N_("Take it out."),
)

_NEEDS = {
    "span": "span_teeth",
    "over_pins": "pin_diameter",
    "between_pins": "pin_diameter",
    "chordal_thickness": "height",
    "centre_distance": "mate_teeth",
}
_SYSTEM = Literal["module", "diametral_pitch", "circular_pitch", "combination"]
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


class ReadingAsked(Record):
    """One reading, as it was read."""

    what: core.What
    unit: Literal["mm", "in", "deg"] | None = Field(None, description="of every bare number of this reading")
    value: Size
    uncertainty: Size | None = Field(None, description="one standard deviation")
    worn: bool = False
    span_teeth: int | None = Field(None, ge=2, le=500)
    pin_diameter: Size | None = None
    height: Size | None = Field(None, description="tongue of the gear caliper, below the tip as found")
    mate_teeth: int | None = Field(None, ge=5, le=1000)

    @field_validator("unit")
    @classmethod
    def _unit_fits(cls, unit: str | None, info: ValidationInfo) -> str | None:
        what = info.data.get("what")
        if unit is not None and what is not None and (unit == "deg") != (what == "helix_angle"):
            raise ValueError("unit_does_not_fit")
        return unit

    @field_validator("value", "uncertainty", "pin_diameter", "height")
    @classmethod
    def _in_bounds(cls, value: Any, info: ValidationInfo) -> Any:
        what = info.data.get("what")
        if value is None or what is None:
            return value
        helix = what == "helix_angle" and info.field_name in ("value", "uncertainty")
        size = _core(value, "helix_angle" if helix else "length", info.data.get("unit"))
        if helix and not (-0.8 <= size <= 0.8 if info.field_name == "value" else 0 < size <= 0.8):
            raise ValueError("size_impossible")
        if not helix and not 0 < size <= _LARGEST:
            raise ValueError("size_impossible")
        return value

    @model_validator(mode="after")
    def _has_its_own(self) -> ReadingAsked:
        need = _NEEDS.get(self.what)
        for name in ("span_teeth", "pin_diameter", "height", "mate_teeth"):
            given = getattr(self, name) is not None
            if name == need and not given:
                raise ValueError("reading_lacks")
            if name != need and given:
                raise ValueError("reading_has_too_much")
        return self

    def as_core(self) -> core.Reading:
        """In core units."""
        default = core.default_uncertainty()[self.what]
        u = default if self.uncertainty is None else self.uncertainty
        unit = self.unit if self.uncertainty is not None else None
        return core.Reading(
            self.what,
            _core(self.value, self.what, self.unit),
            _core(u, self.what, unit),
            self.worn,
            self.span_teeth or 0,
            0.0 if self.pin_diameter is None else _core(self.pin_diameter, "length", self.unit),
            0.0 if self.height is None else _core(self.height, "length", self.unit),
            self.mate_teeth or 0,
        )


phrases.learn(
    "size_impossible",
    N_("“{value}” is not a possible size here."),
    N_("Lengths above 0 up to 100 m; helix angles up to 45 degrees; uncertainties above 0."),
    N_("Look at the value and its unit."),
)


class AngleWeight(Record):
    """A pressure angle and its weight before any reading."""

    deg: float = Field(ge=10, le=35)
    weight: float = Field(ge=0, le=1e6)


class PriorAsked(Record):
    """Weights in place of the tables'; a system or angle that is not named in a given list weighs nothing."""

    systems: dict[_SYSTEM, Annotated[float, Field(ge=0, le=1e6)]] | None = None
    pressure_angles: tuple[AngleWeight, ...] | None = Field(None, max_length=20)
    no_shift: float | None = Field(None, ge=0, le=1)
    none_of_these: float | None = Field(None, ge=0, le=0.99)

    def as_core(self) -> core.Prior:
        """In core terms."""
        return core.Prior(
            systems={str(k): w for k, w in (self.systems or {}).items()},
            angles={round(a.deg, 6): a.weight for a in self.pressure_angles or ()},
            shift_zero=self.no_shift,
            none_of_these=self.none_of_these,
        )


class IdentifyAsked(Asked):
    """Readings of a ring, and how sure the tooth count is."""

    kind: Literal["external", "internal"]
    teeth: int = Field(ge=5, le=1000)
    teeth_sure: bool | None = None
    readings: tuple[ReadingAsked, ...] = Field(max_length=16)
    prior: PriorAsked | None = None
    hand: Literal["right", "left"] | None = None
    can_read: tuple[core.What, ...] | None = Field(None, description="kinds of reading the shop can take")

    @field_validator("readings")
    @classmethod
    def _some(cls, readings: tuple[ReadingAsked, ...]) -> tuple[ReadingAsked, ...]:
        if not readings:
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


class CandidateShown(Given):
    """One candidate; several names where the readings in hand cannot tell them apart."""

    label: str
    system: _SYSTEM
    size: str
    ring: RingFound
    probability: float
    names: tuple[str, ...]
    tied_with: tuple[int, ...]
    residuals: tuple[ResidualShown, ...]
    why: str


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
    worth_bits: float
    tells_apart: tuple[Telling, ...]


class IdentifyAnswered(Answered):
    """Ranked rings; probabilities and other_probability add up to 1."""

    candidates: tuple[CandidateShown, ...]
    other_probability: float
    next_reading: NextShown | None


def identify(asked: IdentifyAsked) -> IdentifyAnswered:
    """Rank the rings and say what to read next."""
    s = 1 if asked.kind == "external" else -1
    readings = tuple(r.as_core() for r in asked.readings)
    prior = asked.prior.as_core() if asked.prior else core.Prior()
    ranked = core.identify(s, asked.teeth, readings, z_sure=asked.teeth_sure is not False, prior=prior)
    can_read = None if asked.can_read is None else frozenset(asked.can_read)
    coming = core.next_reading(ranked, can_read)
    return IdentifyAnswered(
        candidates=tuple(_shown(asked, readings, s, c) for c in ranked.candidates),
        other_probability=ranked.other_probability,
        next_reading=None if coming is None else _next(coming),
        notes=_notes(asked, readings, s, ranked),
        sources=("iso-21771", "iso-54", "tooth-proportions", "common-practice"),
        working=_working(readings, ranked) if asked.working else None,
    )


def _pitch_name(name: core.Named) -> str:
    system = core.SYSTEMS[name.system]
    if system == "module":
        return _("module {size}", size=name.size)
    if system == "diametral_pitch":
        return _("{size} DP", size=name.size)
    if system == "circular_pitch":
        if name.size.endswith("mm"):
            return _("{size} circular pitch", size=name.size)
        return _("{size} in circular pitch", size=name.size)
    return _("combination pitch {size}", size=name.size)


def _label(name: core.Named) -> str:
    form = {
        "full depth": _("full depth"),
        "stub": _("stub"),
        "stub 1/4 of the pitch": _("stub of a quarter of the pitch"),
        "3/10 of the pitch": _("three tenths of the pitch"),
    }[name.form]
    return _(
        "{pitch}, {angle:g}°, {form} {ha:.4g}/{hf:.4g}, {z} teeth",
        pitch=_pitch_name(name),
        angle=round(degrees(name.alpha), 4),
        form=form,
        ha=name.ha,
        hf=name.hf,
        z=name.z,
    )


def _shown(asked: IdentifyAsked, readings: tuple[core.Reading, ...], s: int, c: core.Candidate) -> CandidateShown:
    first = c.names[0]
    system = core.SYSTEMS[first.system]
    pitch = {
        "module": {"module_mm": first.pitch},
        "circular_pitch": {"circular_pitch_mm": first.pitch},
    }.get(system, {"diametral_pitch": first.pitch})
    ring = RingFound(
        kind=asked.kind,
        teeth=first.z,
        **pitch,
        pressure_angle_deg=round(degrees(first.alpha), 9),
        helix_angle_deg=round(degrees(first.beta), 9),
        hand=asked.hand if first.beta else None,
        profile_shift=c.x,
        addendum_coef=first.ha,
        dedendum_coef=first.hf,
    )
    residuals = []
    for n, (reading, r) in enumerate(zip(readings, c.residuals, strict=True)):
        predicted, difference = (degrees(v) if reading.is_angle else v for v in (r.predicted, r.difference))
        unit: Literal["mm", "deg"] = "deg" if reading.is_angle else "mm"
        residuals.append(
            ResidualShown(reading=n, predicted=predicted, difference=difference, unit=unit, sigmas=r.sigmas)
        )
    return CandidateShown(
        label=_label(first),
        system=system,
        size=first.size,
        ring=ring,
        probability=c.probability,
        names=tuple(_label(n) for n in c.names[:40]),
        tied_with=c.tied_with,
        residuals=tuple(residuals),
        why=_why(readings, s, c),
    )


def _what(what: str) -> str:
    return {
        "tip_diameter": _("tip diameter"),
        "root_diameter": _("root diameter"),
        "whole_depth": _("whole depth"),
        "span": _("span"),
        "over_pins": _("size over pins"),
        "between_pins": _("size between pins"),
        "chordal_thickness": _("chordal thickness"),
        "centre_distance": _("centre distance"),
        "pitch": _("circular pitch"),
        "helix_angle": _("helix angle"),
    }[what]


def _wear_sign(what: str, s: int) -> int:
    """Which way wear moves a reading: -1 smaller, +1 larger, 0 not at all."""
    if what in ("span", "over_pins", "chordal_thickness", "whole_depth"):
        return -1
    return {"tip_diameter": -s, "between_pins": 1}.get(what, 0)


def _why(readings: tuple[core.Reading, ...], s: int, c: core.Candidate) -> str:
    said, fits = [], 0
    for n, (reading, r) in enumerate(zip(readings, c.residuals, strict=True)):
        if abs(r.sigmas) <= 2:
            fits += 1
            continue
        off = degrees(r.difference) if reading.is_angle else r.difference
        fill = {"what": _what(reading.what), "off": f"{abs(off):.2f} {'°' if reading.is_angle else 'mm'}"}
        fill["way"] = _("under") if r.difference < 0 else _("over")
        by_wear = _wear_sign(reading.what, s) * r.difference > 0
        if n in c.bad:
            said.append(_("{what} {off} {way}, more likely a slip of the reading", **fill))
        elif reading.what == "tip_diameter" and reading.worn and by_wear:
            said.append(_("tips {off} worn (on the diameter), as wear would", **fill))
        elif reading.worn and by_wear:
            said.append(_("{what} {off} {way}, as wear would", **fill))
        elif by_wear:
            said.append(_("{what} {off} {way}: made so or worn, though not marked as worn", **fill))
        else:
            said.append(_("{what} {off} {way}, which wear does not explain", **fill))
    if c.x:
        said.insert(0, _("with a profile shift of {x:+.3f}", x=c.x))
    start = _("{fits} of {all} readings within two standard uncertainties", fits=fits, all=len(readings))
    return "; ".join([start, *said]) + "."


def _next(coming: core.Next) -> NextShown:
    reading = coming.reading
    k, D_M, h = reading.k, reading.D_M, reading.h
    how = {
        "span": _(
            "Measure the span over {k} teeth where the flanks are least worn: ends of the face, idle flank.", k=k
        ),
        "over_pins": _("Put pins of {d:g} mm in opposite spaces and measure over them.", d=D_M),
        "between_pins": _("Put pins of {d:g} mm in opposite spaces and measure between them.", d=D_M),
        "whole_depth": _("Measure the depth from a sound tip to the bottom of the space."),
        "tip_diameter": _(
            "Measure across the soundest tips; with an odd count take the largest reading and correct it."
        ),
        "root_diameter": _("Measure the diameter at the bottoms of the spaces, scraped clean."),
        "pitch": _("Measure over many teeth along the reference circle and divide by the spaces."),
        "chordal_thickness": _(
            "Set the tongue of the gear caliper to {h:g} mm below a sound tip and read the chord.", h=h
        ),
    }[reading.what]
    return NextShown(
        what=reading.what,
        how=how,
        span_teeth=k or None,
        pin_diameter_mm=D_M or None,
        height_mm=h or None,
        worth_bits=coming.bits,
        tells_apart=tuple(
            Telling(candidate=n, name=_label(b.name), predicted_mm=mean, spread_mm=sd)
            for n, b, mean, sd in coming.tells
        ),
    )


def _notes(asked: IdentifyAsked, readings: tuple[core.Reading, ...], s: int, ranked: core.Ranked) -> tuple[Note, ...]:
    notes = []
    for n, r in enumerate(asked.readings):
        unit = "°" if r.what == "helix_angle" else "mm"
        place = {"n": n + 1, "what": _what(r.what), "unit": unit}
        if r.uncertainty is None:
            u = core.default_uncertainty()[r.what]
            text = _("Reading {n}, {what}: uncertainty taken as {u:g} {unit} (common practice).", u=u, **place)
            notes.append(Note(code="default_uncertainty", text=text))
        bare = (r.value, r.uncertainty, r.pin_diameter, r.height)
        if r.unit is None and any(v is not None and not isinstance(v, str) for v in bare):
            text = _("Reading {n}, {what}: bare numbers taken as {unit}.", **place)
            notes.append(Note(code="default_unit", text=text))
    if asked.teeth_sure is None:
        notes.append(Note(code="default_teeth_sure", text=_("The tooth count is taken as sure.")))
    if asked.prior is None:
        text = _("Weights before the readings are those of the tables: common practice, no source.")
        notes.append(Note(code="default_prior", text=text))
    if not any(r.is_angle for r in readings):
        text = _("No helix angle was read: the teeth are taken as straight.")
        notes.append(Note(code="taken_as_straight", text=text))
    elif any(c.names[0].beta for c in ranked.candidates) and asked.hand is None:
        text = _("A helical ring needs its hand before it can be used further: look at the ring.")
        notes.append(Note(code="hand_needed", text=text))
    if not any(r.worn for r in readings):
        text = _("No reading is marked as worn: only the thinning and topping of making are allowed for.")
        notes.append(Note(code="taken_as_unworn", text=text))
    if asked.teeth % 2 and any(r.what == "tip_diameter" for r in readings):
        text = _("Odd count: no tip faces a tip. The tip diameter is the caliper reading divided by cos(90°/N).")
        notes.append(Note(code="odd_count", text=text))
    if ranked.candidates and any(
        r.what == "tip_diameter" and s * e.difference > 2 * r.u
        for r, e in zip(readings, ranked.candidates[0].residuals, strict=True)
    ):
        text = _("The tip lies outside the first candidate's standard tip: wear cannot do that. Look at the reading.")
        notes.append(Note(code="tip_above_standard", text=text))
    if ranked.other_probability > 0.5:
        text = _("No standard ring explains these readings. The ring can still be copied as found.")
        notes.append(Note(code="none_fits", text=text))
    return tuple(notes)


_FORMULAS = {
    "tip_diameter": N_("d ± 2 m (h_a* + x)"),
    "root_diameter": N_("d ∓ 2 m (h_f* ∓ x)"),
    "whole_depth": N_("m (h_a* + h_f*)"),
    "span": N_("m_n cos α_n [π (k − 0.5) + z inv α_t] + 2 x m_n sin α_n"),
    "over_pins": N_("d_b / cos α_K (· cos(90°/z) if odd) + D_M"),
    "between_pins": N_("d_b / cos α_K (· cos(90°/z) if odd) − D_M"),
    "chordal_thickness": N_("2 r sin ψ(r), r cos ψ at the tongue"),
    "centre_distance": N_("(z_mate ± z) m / 2 cos β ± x m"),
    "pitch": N_("π m_n / cos β"),
    "helix_angle": N_("β"),
}


def _working(readings: tuple[core.Reading, ...], ranked: core.Ranked) -> tuple[WorkingLine, ...]:
    if not ranked.candidates:
        return ()
    c = ranked.candidates[0]
    name = c.names[0]
    ring = (
        f"z = {name.z}, m_n = {name.m:.6g}, α_n = {degrees(name.alpha):g}°, β = {degrees(name.beta):.4g}°, x = {c.x:g}"
    )
    ring += f", h_a* = {name.ha:.4g}, h_f* = {name.hf:.4g}"
    own = {"k": "k", "D_M": "D_M", "h": "h", "z_mate": "z_mate"}
    lines = []
    for n, (reading, r) in enumerate(zip(readings, c.residuals, strict=True)):
        extra = "".join(f", {label} = {getattr(reading, at):g}" for at, label in own.items() if getattr(reading, at))
        lines.append(
            WorkingLine(
                symbol=f"R_{n + 1}",
                name=_what(reading.what),
                formula=_(_FORMULAS[reading.what]),
                put_in=ring + extra,
                value=degrees(r.predicted) if reading.is_angle else r.predicted,
                unit="deg" if reading.is_angle else "mm",
                source="iso-21771",
            )
        )
    return tuple(lines)


IDENTIFY = Operation(
    name="identify",
    purpose=N_("What gear is it? Readings of a worn ring to ranked rings, and the reading to take next"),
    asked=IdentifyAsked,
    answered=IdentifyAnswered,
    do=identify,
    came_from={
        "z": Came("teeth"),
        "what": Came("readings[{0}].what"),
        "k": Came("readings[{0}].span_teeth"),
        "z_mate": Came("readings[{0}].mate_teeth"),
        "prior": Came("prior"),
        "readings": Came("readings"),
    },
)
