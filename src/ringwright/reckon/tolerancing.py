"""How true a ring has to be: flank tolerances of ISO 1328-1 in either edition, and the grade that readings reach."""

from __future__ import annotations

from math import degrees, sqrt
from typing import Annotated, Literal

from pydantic import Field

from ringwright.gears import flank_classes, tolerances
from ringwright.gears.flank_classes import Sizes
from ringwright.reckon.base import Answered, Asked, Came, Given, Note, Operation, Record, WorkingLine
from ringwright.reckon.measuring import core_ring, ring_came, ring_notes
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _

_SOURCE = {"1995": "iso-1328-1-1995", "2013": "iso-1328-1-2013"}
Micrometres = Annotated[float, Field(ge=0, le=100_000)]


class Readings(Record):
    """What was read on the ring, in micrometres, each as its tolerance is defined; slopes without their sign."""

    single_pitch_um: Micrometres | None = None
    total_pitch_um: Micrometres | None = None
    sector_pitch_um: Micrometres | None = None
    profile_total_um: Micrometres | None = None
    profile_form_um: Micrometres | None = None
    profile_slope_um: Micrometres | None = None
    helix_total_um: Micrometres | None = None
    helix_form_um: Micrometres | None = None
    helix_slope_um: Micrometres | None = None
    runout_um: Micrometres | None = None


class ToleranceAsked(Asked):
    """Which ring, at which grade of which edition; readings, where there are any, are graded too."""

    ring: Ring
    grade: int = Field(ge=0, le=12)
    edition: Literal["1995", "2013"] = "2013"
    sector_pitches: int | None = Field(None, ge=2, le=500, description="pitches of the sector; left out: z/8")
    measured: Readings | None = None


class ToleranceLine(Given):
    """One tolerance: rounded as printed, and before rounding; ``plus_minus`` says that it goes both ways."""

    name: str
    symbol: str
    plus_minus: bool
    unrounded_um: float


class Reached(Given):
    """The finest grade whose tolerance a reading keeps; null when it passes the coarsest."""

    name: str
    reading_um: float
    grade: int | None
    within: bool = Field(description="keeps the grade asked for")


class ToleranceAnswered(Answered):
    """Tolerances in micrometres, rounded by the standard's rule; those of the helix are null without a face width."""

    edition: str
    grade: int
    reference_diameter_mm: float
    sector_pitches: int
    within_validity: bool
    single_pitch_um: float
    total_pitch_um: float
    sector_pitch_um: float
    profile_total_um: float
    profile_form_um: float
    profile_slope_um: float
    helix_total_um: float | None
    helix_form_um: float | None
    helix_slope_um: float | None
    runout_um: float
    lines: tuple[ToleranceLine, ...]
    reached: tuple[Reached, ...]
    grade_reached: int | None


_PLUS_MINUS = ("single_pitch", "sector_pitch", "profile_slope", "helix_slope")


def tolerance(asked: ToleranceAsked) -> ToleranceAnswered:
    """All flank tolerances of a ring at one grade, and the grades that readings reach."""
    ring = core_ring(asked.ring)
    k = asked.sector_pitches or flank_classes.default_sector(ring.z)
    sizes = Sizes(ring.d, ring.m_n, ring.z, k, asked.ring.face_width_mm, ring.beta)
    found = flank_classes.at_grade(asked.edition, asked.grade, sizes)
    rounded = {f"{name}_um": tolerances.rounded(f) for name, f in found.items()}
    gone = flank_classes.outside(asked.edition, sizes)
    reached = _reached(asked, sizes)
    grades = [r.grade for r in reached]
    return ToleranceAnswered(
        edition=asked.edition,
        grade=asked.grade,
        reference_diameter_mm=ring.d,
        sector_pitches=k,
        within_validity=not gone,
        **{**dict.fromkeys(("helix_total_um", "helix_form_um", "helix_slope_um")), **rounded},
        lines=tuple(_line(asked.edition, name, f) for name, f in found.items()),
        reached=reached,
        grade_reached=None if not grades or None in grades else max(g for g in grades if g is not None),
        notes=tuple(_notes(asked, k, gone)),
        sources=(_SOURCE[asked.edition], "iso-1328-1-2013-scope")[: 1 + (asked.edition == "2013")],
        working=_working(asked, sizes, found) if asked.working else None,
    )


def _line(edition: flank_classes.Edition, name: str, f: float) -> ToleranceLine:
    symbol = flank_classes.SYMBOLS[name][edition == "2013"]
    return ToleranceLine(name=name, symbol=symbol, plus_minus=name in _PLUS_MINUS, unrounded_um=f)


def _reached(asked: ToleranceAsked, sizes: Sizes) -> tuple[Reached, ...]:
    if asked.measured is None:
        return ()
    found = []
    for field, reading in asked.measured.model_dump(exclude_none=True).items():
        name = field.removesuffix("_um")
        if name.startswith("helix") and sizes.b is None:
            continue
        grade = flank_classes.reached(asked.edition, name, reading, sizes)
        within = grade is not None and grade <= asked.grade
        found.append(Reached(name=name, reading_um=reading, grade=grade, within=within))
    return tuple(found)


_BEYOND = {
    "z": N_("{value} teeth lie outside the {low} to {high} of this edition; the figures are extended."),
    "m_n": N_("Module {value} mm lies outside the {low} to {high} mm of this edition; the figures are extended."),
    "d": N_("Diameter {value} mm lies outside the {low} to {high} mm of this edition; the figures are extended."),
    "b": N_("Face {value} mm lies outside the {low} to {high} mm of this edition; the figures are extended."),
    "beta": N_("Helix {value}° lies outside the {low} to {high}° of this edition; the figures are extended."),
}


def _notes(asked: ToleranceAsked, k: int, gone: tuple[flank_classes.Outside, ...]) -> list[Note]:
    notes = ring_notes(asked.ring)
    if "edition" not in asked.model_fields_set:
        notes.append(Note(code="default_used", text=_("Edition not given: {value} taken.", value=asked.edition)))
    text = _("A grade means nothing without its edition: grade {grade} of 1995 and of 2013 differ.", grade=asked.grade)
    notes.append(Note(code="edition_matters", text=text))
    if asked.sector_pitches is None:
        text = _("Pitches of the sector not given: {value}, an eighth of the ring, taken.", value=k)
        notes.append(Note(code="default_used", text=text))
    for one in gone:
        turn = degrees if one.symbol == "beta" else float
        shown = {name: f"{turn(getattr(one, name)):.6g}" for name in ("value", "low", "high")}
        notes.append(Note(code="outside_validity", text=_(_BEYOND[one.symbol], **shown)))
    notes += _knowledge(asked)
    return notes


def _knowledge(asked: ToleranceAsked) -> list[Note]:
    notes = []
    if asked.ring.face_width_mm is None:
        text = _("No face width given: the tolerances of the helix, and readings of it, are left out.")
        notes.append(Note(code="no_face_width", text=text))
    if asked.edition == "1995":
        text = _("Formulas and size steps recalled, not read. Look at a printed copy before certifying to a grade.")
    else:
        text = _(
            "Formulas recalled, not read; run-out and sector pitch only inform in this edition. Look at a printed copy "
            "before certifying to a class."
        )
        if asked.grade == 1:
            why = _("Whether the edition has a class 1 is told in two ways: 1 to 11, and 2 to 11.")
            notes.append(Note(code="class_one_doubtful", text=why))
    return [*notes, Note(code="from_memory", text=text)]


def _working(asked: ToleranceAsked, sizes: Sizes, found: dict[str, float]) -> tuple[WorkingLine, ...]:
    """The pitch and profile sums with their numbers put in."""
    source, q = _SOURCE[asked.edition], asked.grade
    d, m = sizes.d, sizes.m_n
    if asked.edition == "1995":
        d, m = tolerances.step_mean("d", d) or d, tolerances.step_mean("m_n", m) or m
        sums = [
            ("f_pt", _("single pitch"), "[0.3 (m + 0.4 √d) + 4] √2^(Q-5)",
             f"[0.3 ({m:.4g} + 0.4 √{d:.6g}) + 4] √2^({q}-5)", found["single_pitch"]),
            ("F_p", _("total pitch"), "[0.3 m + 1.25 √d + 7] √2^(Q-5)",
             f"[0.3 · {m:.4g} + 1.25 √{d:.6g} + 7] √2^({q}-5)", found["total_pitch"]),
            ("F_r", _("run-out"), "[0.24 m + √d + 5.6] √2^(Q-5)",
             f"[0.24 · {m:.4g} + √{d:.6g} + 5.6] √2^({q}-5)", found["runout"]),
        ]  # fmt: skip
    else:
        sums = [
            ("f_pT", _("single pitch"), "[0.001 d + 0.4 m + 5] √2^(A-5)",
             f"[0.001 · {d:.6g} + 0.4 · {m:.4g} + 5] √2^({q}-5)", found["single_pitch"]),
            ("F_pT", _("total pitch"), "[0.002 d + 0.55 √d + 0.7 m + 12] √2^(A-5)",
             f"[0.002 · {d:.6g} + 0.55 · {sqrt(d):.6g} + 0.7 · {m:.4g} + 12] √2^({q}-5)", found["total_pitch"]),
            ("F_rT", _("run-out"), "0.9 F_pT", f"0.9 · {found['total_pitch']:.6g}", found["runout"]),
        ]  # fmt: skip
    lines = [
        WorkingLine(symbol=sy, name=n, formula=f, put_in=p, value=v, unit="µm", source=source)
        for sy, n, f, p, v in sums
    ]
    rule = _("from 10 µm up whole, from 5 to 10 halves, below 5 tenths")
    for symbol, name, _f, _p, value in sums:
        lines.append(
            WorkingLine(symbol=symbol, name=_("{name}, rounded", name=name), formula=rule, put_in=f"{value:.4f}",
                        value=tolerances.rounded(value), unit="µm", source=source)
        )  # fmt: skip
    return tuple(lines)


TOLERANCE = Operation(
    name="tolerance",
    purpose=N_("Flank tolerances of a ring at a grade, either edition, and the grade that readings reach."),
    asked=ToleranceAsked,
    answered=ToleranceAnswered,
    do=tolerance,
    came_from={**ring_came(), "grade": Came("grade"), "k": Came("sector_pitches")},
)
