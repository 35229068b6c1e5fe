"""Quick sums of rings: two in mesh, and how true one has to be."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fastapi import APIRouter, Request, Response

from ringwright.web.forms import given, number_or_text, whole_or_text
from ringwright.web.forms import length as typed_length
from ringwright.web.pages import Line, length, number, sums, unit_of
from ringwright.web.quick import ask, query
from ringwright.web.sum_page import Field, Group, Part, choices, ring_fields, ring_of, sum_page
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/sums")

_PLAYS = {
    "": N_("tight mesh"),
    "centres": N_("these centres"),
    "circumferential": N_("backlash, on the circle"),
    "normal": N_("backlash, by feeler"),
    "radial": N_("backlash, centres apart"),
}


@router.get("/mesh")
def mesh(request: Request) -> Response:
    """Two gears in mesh."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("teeth") and typed.text("mate_teeth"):
        ring = ring_of(typed, unit)
        own = {n: v for n, v in ring.items() if n not in ("kind", "teeth", "profile_shift")}
        hand = {"right": "left", "left": "right"}.get(str(own.get("hand")))
        if hand and ring["kind"] == "external":
            own["hand"] = hand
        mate = {**own, "kind": "external", **given(_mate(typed))}
        how, mm = typed["play"], typed_length(typed["play_mm"], unit)
        play: dict[str, Any] = {}
        if how == "centres":
            play = {"centre_distance_mm": mm}
        elif how in _PLAYS and how:
            play = {"backlash": {"kind": how, "mm": mm}}
        lost = given(
            [
                ("ring_thickness_lost_mm", typed_length(typed["ring_lost"], unit)),
                ("mate_thickness_lost_mm", typed_length(typed["mate_lost"], unit)),
            ]
        )
        answer = ask(request, "mesh", {"ring": ring, "mate": mate, **play, **lost, "working": True})
    groups = (
        ring_fields(helix=True),
        Group(
            _("Its mate, of the same pitch"),
            (
                Field("mate_teeth", _("Teeth of the mate"), mode="numeric", required=True),
                Field("mate_shift", _("Its profile shift")),
                Field("play", _("Set to"), choices=choices(_PLAYS)),
                Field("play_mm", _("of"), "length"),
                Field("ring_lost", _("Ring’s teeth worn thinner by"), "length"),
                Field("mate_lost", _("Mate’s teeth worn thinner by"), "length"),
            ),
        ),
    )
    headline = ""
    if answer is not None:
        headline = _("The pair runs") if answer.runs else _("The pair does not run so")
    parts = _mesh_parts(answer, unit) if answer is not None else ()
    lead = _("Parallel shafts, flanks true but for the wear told.")
    return sum_page(request, _("Two in mesh"), lead, groups, answer, headline=headline, parts=parts)


def _mate(typed: Any) -> list[tuple[str, Any]]:
    return [("teeth", whole_or_text(typed["mate_teeth"])), ("profile_shift", number_or_text(typed["mate_shift"]))]


def _mesh_parts(a: Any, unit: str) -> Iterable[Part]:
    digits = 3 if unit == "mm" else 4

    def mm(value: float | None) -> str:
        return length(value, unit, digits)

    tight = (
        _("tight at {mm} {unit}", mm=mm(a.tight_centre_distance_mm), unit=unit) if a.tight_centre_distance_mm else ""
    )
    least = next((r for r in a.recommended if r.by == "least"), None)
    wanted = _("at least {mm} {unit} recommended", mm=mm(least.normal_low_mm), unit=unit) if least else ""
    ratio = a.contact_ratio
    hunting = _("no common factor: every tooth meets every other") if a.hunting else _("the same teeth meet again")
    lines = [
        Line(_("Centre distance"), mm(a.centre_distance_mm), unit, tight, sums(a, "a")),
        Line(_("Working angle"), number(a.working_angle_deg, 3), "°", "", sums(a, "α_wt")),
        Line(
            _("Contact ratio"), number(ratio.transverse, 3), "", _("at least 1.2 is wanted"), sums(a, "ε_α", "T_1T_2")
        ),
        Line(_("Backlash, on the circle"), mm(a.backlash.circumferential_mm), unit, "", sums(a, "j_wt")),
        Line(_("Backlash, by feeler"), mm(a.backlash.normal_mm), unit, wanted, sums(a, "j_bn")),
    ]
    if a.backlash.radial_mm is not None:
        lines.append(Line(_("Backlash, centres apart"), mm(a.backlash.radial_mm), unit, "", sums(a, "j_r")))
    lines.append(Line(_("Ratio"), a.ratio.replace("/", " : "), "", hunting))
    yield Part(_("The pair"), tuple(lines))
    yield Part(_("The ring"), tuple(_side(a.ring, mm, unit)))
    yield Part(_("The mate"), tuple(_side(a.mate, mm, unit)))


def _side(s: Any, mm: Any, unit: str) -> Iterable[Line]:
    yield Line(_("Working circle"), mm(s.working_diameter_mm), unit)
    if s.contact_from_mm is not None and s.contact_to_mm is not None:
        yield Line(_("Contact begins at a diameter of"), mm(s.contact_from_mm), unit)
        yield Line(_("and ends at"), mm(s.contact_to_mm), unit)
    why = _("its mate’s tip asks for {mm} {unit} of flank that is not there", mm=mm(s.flank_missing_mm), unit=unit)
    yield Line(_("Flank from a diameter of"), mm(s.form_diameter_mm), unit, why if s.flank_missing_mm > 0 else "")
    why = _("and its mate’s tip runs on the fillet") if s.tip_meets_fillet else ""
    yield Line(_("Tip clears the other’s root by"), mm(s.tip_clearance_mm), unit, why)


# -- how true ---------------------------------------------------------------------------------------------------------

_TOLERANCES = {
    "single_pitch": N_("Single pitch"),
    "total_pitch": N_("Total pitch"),
    "sector_pitch": N_("Sector pitch"),
    "profile_total": N_("Profile, total"),
    "profile_form": N_("Profile, form"),
    "profile_slope": N_("Profile, slope"),
    "helix_total": N_("Helix, total"),
    "helix_form": N_("Helix, form"),
    "helix_slope": N_("Helix, slope"),
    "runout": N_("Run-out"),
}
_READ = ("single_pitch", "total_pitch", "profile_total", "helix_total", "runout")


@router.get("/tolerance")
def tolerance(request: Request) -> Response:
    """How true a ring has to be."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("teeth"):
        measured = given([(f"{name}_um", number_or_text(typed[f"{name}_um"])) for name in _READ])
        asked = given(
            [
                ("ring", ring_of(typed, unit)),
                ("grade", whole_or_text(typed["grade"] or "9")),
                ("edition", typed["edition"] if typed["edition"] in ("1995", "2013") else "2013"),
                ("measured", measured or None),
            ]
        )
        answer = ask(request, "tolerance", {**asked, "working": True})
    groups = (
        ring_fields(helix=True),
        Group(
            _("How true"),
            (
                Field("grade", _("Class (grade)"), mode="numeric", stands="9"),
                Field("edition", _("ISO 1328-1 of"), choices=choices({"2013": "2013", "1995": "1995"}), stands="2013"),
            ),
        ),
        Group(_("Measured, if anything was"), tuple(Field(f"{name}_um", _(_TOLERANCES[name]), "µm") for name in _READ)),
    )
    headline = ""
    if answer is not None:
        headline = _("Class {n} of {edition}", n=answer.grade, edition=answer.edition)
        if answer.reached:
            reached = answer.grade_reached
            said = _("measured: class {n}", n=reached) if reached is not None else _("measured: coarser than any")
            headline += f"; {said}"
    lead = _("All formulas are recalled, none read from the standard.")
    parts = _tolerance_parts(answer) if answer is not None else ()
    return sum_page(request, _("How true"), lead, groups, answer, headline=headline, parts=parts)


def _tolerance_parts(a: Any) -> Iterable[Part]:
    lines = dict(_tolerance_lines(a))
    for title, names in (
        (N_("Pitch and run-out"), ("single_pitch", "total_pitch", "sector_pitch", "runout")),
        (N_("Profile"), ("profile_total", "profile_form", "profile_slope")),
        (N_("Helix"), ("helix_total", "helix_form", "helix_slope")),
    ):
        yield Part(_(title), tuple(lines[name] for name in names if name in lines))


def _tolerance_lines(a: Any) -> Iterable[tuple[str, Line]]:
    reached = {one.name.removesuffix("_um"): one for one in a.reached}
    symbols = {"single_pitch": "f_pT", "total_pitch": "F_pT", "runout": "F_rT"}
    for one in a.lines:
        name = one.name.removesuffix("_um")
        value, read = getattr(a, f"{name}_um"), reached.get(name)
        if value is None:
            continue
        why = ""
        if read is not None:
            class_ = _("class {n}", n=read.grade) if read.grade is not None else _("coarser than any class")
            kept = _("keeps it") if read.within else _("does not keep it")
            why = _("read {um} µm: {kept}; {class_}", um=number(read.reading_um, 1), kept=kept, class_=class_)
        label = _(_TOLERANCES.get(name, name))
        if name == "sector_pitch":
            label = _("Sector of {n} pitches", n=a.sector_pitches)
        shown = ("±" if one.plus_minus else "") + number(value, 1)
        yield name, Line(label, shown, "µm", why, sums(a, symbols[name]) if name in symbols else ())
