"""Quick sums of a space to cut to depth, and of ends to face off."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fastapi import APIRouter, Request, Response

from ringwright.reckon.round_words import CUTTER_KINDS
from ringwright.web import cutters
from ringwright.web.forms import Typed, given, number_or_text, whole_or_text
from ringwright.web.forms import length as typed_length
from ringwright.web.pages import Line, length, number, sums, unit_of
from ringwright.web.quick import ask, numbers, query
from ringwright.web.sum_page import Field, Group, Part, choices, ring_fields, ring_of, sum_page
from ringwright.words import N_, _, ngettext_

router = APIRouter(include_in_schema=False, prefix="/sums")

_DEPTHS = {"full_depth": N_("full depth"), "depth_mm": N_("a depth of"), "width_mm": N_("a space as wide as")}
_KINDS = {kind: word for kind, word in CUTTER_KINDS.items() if kind != "bull"}
_SIDES = {"away": N_("away from the spindle"), "spindle": N_("to the spindle")}
_AIMS = {"clears_damage": N_("until all is sound"), "remove_mm": N_("so much"), "width_left_mm": N_("to a face of")}
_ENDS = {"entry": N_("entry end"), "far": N_("far end")}


def _of(name: str) -> str:
    return " ".join(f"of-{kind}" for kind in cutters.SHOWN[name])


def _cutter_group() -> Group:
    fly = " ".join(f"of-{kind}" for kind in ("fly",))
    return Group(
        _("The cutter, as measured"),
        (
            Field("cutter", _("Kind"), choices=choices(_KINDS), stands="involute_form"),
            Field("diameter", _("Diameter"), "length", required=True),
            Field("corner", _("Corner radius"), "length", of=_of("corner_radius_mm")),
            Field("angle", _("Angle of its side"), "°", of=_of("angle_deg")),
            Field("angle_high", _("Angle, spindle’s side"), "°", of=_of("angle_high_deg")),
            Field("width", _("Width"), "length", of=_of("width_mm")),
            Field("flat_side", _("Flat side looks"), choices=choices(_SIDES), of=_of("flat_side")),
            Field("stands_out", _("Bit stands out"), "length", of=fly),
            Field("design_teeth", _("Engraved for"), choices=cutters.engraved(), of=_of("design_teeth")),
        ),
    )


def _cutter(typed: Typed, unit: str) -> dict[str, Any]:
    kind = typed["cutter"] if typed["cutter"] in _KINDS else "involute_form"
    told: dict[str, Any] = {
        "corner_radius_mm": typed_length(typed["corner"], unit),
        "angle_deg": number_or_text(typed["angle"]),
        "angle_high_deg": number_or_text(typed["angle_high"]),
        "width_mm": typed_length(typed["width"], unit),
        "flat_side": typed["flat_side"],
        "design_teeth": whole_or_text(typed["design_teeth"]),
    }
    shape = [(name, value) for name, value in told.items() if kind in cutters.SHOWN[name]]
    if kind == "fly":
        shape.append(("flute_length_mm", typed_length(typed["stands_out"], unit)))
    return given([("kind", kind), ("diameter_mm", typed_length(typed["diameter"], unit)), *shape])


@router.get("/gash")
def gash(request: Request) -> Response:
    """A tooth space cut or re-cut to depth."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("teeth"):
        aim = typed["aim"] if typed["aim"] in _DEPTHS else "full_depth"
        target = {aim: True if aim == "full_depth" else typed_length(typed["aim_value"], unit)}
        asked = given(
            [
                ("ring", ring_of(typed, unit)),
                ("cutter", _cutter(typed, unit)),
                ("target", target),
                ("passes", whole_or_text(typed["passes"])),
                ("centre_offset_mm", typed_length(typed["off"], unit)),
            ]
        )
        now = [("flanks_lost_mm", typed_length(typed["lost"], unit)), ("depth_mm", typed_length(typed["deep"], unit))]
        told = given(now)
        asked |= {"space_now": told} if told else {}
        answer = ask(request, "gash", {**asked, "working": True})
    groups = (
        ring_fields(),
        _cutter_group(),
        Group(
            _("How deep"),
            (
                Field("aim", _("Wanted"), choices=choices(_DEPTHS), stands="full_depth"),
                Field("aim_value", _("that"), "length"),
                Field("passes", _("Passes"), mode="numeric"),
                Field("off", _("Cutter off the middle by"), "length"),
                Field("lost", _("Old space wider, each flank"), "length"),
                Field("deep", _("Old space deep already"), "length"),
            ),
        ),
    )
    headline, parts = "", tuple[Part, ...]()
    if answer is not None:
        parts = tuple(_gash_parts(answer, unit))
        headline = "" if answer.reachable else _not_reached(answer, unit)
    lead = _(
        "Straight teeth only. Touch a sound tip with the cutter over the middle of a tooth; depth counts from there."
    )
    says = () if answer is None else answer.says[1:] if answer.reachable else answer.says  # the first: depth from a tip
    return sum_page(request, _("A space to depth"), lead, groups, answer, headline=headline, parts=parts, says=says)


def _not_reached(a: Any, unit: str) -> str:
    if a.widest_mm is None:
        return _("This cutter does not get there")
    return _("This cutter leaves at most {mm} {unit} of space", mm=length(a.widest_mm, unit, 3), unit=unit)


def _gash_parts(a: Any, unit: str) -> Iterable[Part]:
    if a.depth_mm is None:
        return
    digits = 3 if unit == "mm" else 4

    def mm(value: float) -> str:
        return length(value, unit, digits)

    wider = ""
    if a.wider_per_tenth_mm is not None:
        tenth = length(0.1, unit, 1 if unit == "mm" else 4)
        wider = _("{w} {unit} more for {t} {unit} deeper", w=mm(a.wider_per_tenth_mm), t=tenth, unit=unit)
    lines = [Line(_("Depth from a sound tip"), mm(a.depth_mm), unit, "", sums(a, "depth"))]
    if a.root_diameter_mm is not None:
        lines.append(Line(_("Root comes to a diameter of"), mm(a.root_diameter_mm), unit))
    if a.width_mm is not None:
        lines.append(
            Line(_("Space on the reference circle"), mm(a.width_mm), unit, wider, sums(a, "e_cut", "2 tan(alpha)"))
        )
    lines.append(Line(_("Wanted by the drawing"), mm(a.width_wanted_mm), unit, "", sums(a, "e_t")))
    if a.removed_mm3 is not None:
        lines.append(Line(_("Metal out of one space"), number(a.removed_mm3, 0), "mm³"))
    yield Part(_("The space"), tuple(lines))
    passes = a.passes if len(a.passes) > 1 else ()
    steps = [
        Line(
            _("Pass {n}, from the tip", n=n),
            mm(one.depth_mm),
            unit,
            _("{mm3} mm³ of metal", mm3=number(one.removed_mm3, 0)),
        )
        for n, one in enumerate(passes, start=1)
    ]
    yield Part(_("Pass by pass, about the same metal each"), tuple(steps))
    yield Part(_("How true the flanks come out"), tuple(_true(a, unit)))


def _true(a: Any, unit: str) -> Iterable[Line]:
    if a.worst_um is not None:
        yield Line(_("Worst, against the involute"), number(a.worst_um, 0), "µm")
    if a.thinnest_um:
        yield Line(_("A tooth comes out too thin by, each flank"), number(a.thinnest_um, 0), "µm")
    if a.root_left_mm:
        yield Line(_("Metal left above the root"), length(a.root_left_mm, unit, 3), unit)
    if a.root_below_mm:
        yield Line(_("Cut below the root"), length(a.root_below_mm, unit, 3), unit)
    if a.design_teeth is not None:
        number_ = _("No. {n}", n=a.cutter_number) if a.cutter_number else ""
        yield Line(_("Form of a ring of so many teeth"), str(a.design_teeth), "", number_)
    standing = [h for h in a.profile or () if h.plus_um is None or h.minus_um is None]
    if standing:
        why = _("from a diameter of {d}", d=length(standing[0].diameter_mm, unit))
        yield Line(_("Not cut at all"), str(len(standing)), _("of {n} heights", n=len(a.profile)), why)


# -- facing -----------------------------------------------------------------------------------------------------------


@router.get("/face")
def face(request: Request) -> Response:
    """Chewed ends faced down."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("teeth"):
        aim = typed["aim"] if typed["aim"] in _AIMS else "clears_damage"
        target = {aim: True if aim == "clears_damage" else typed_length(typed["aim_value"], unit)}
        mate = given(
            [
                ("face_width_mm", typed_length(typed["mate_face"], unit)),
                ("starts_at_mm", typed_length(typed["mate_from"], unit)),
            ]
        )
        asked = given(
            [
                ("ring", ring_of(typed, unit)),
                ("target", target),
                ("end", "far" if typed["end"] == "far" else "entry"),
                ("damage", _damage(typed, unit) or None),
                ("mate", mate if typed.text("mate_face") else None),
                ("lead_length_mm", typed_length(typed["lead"], unit)),
                ("cut_mm", typed_length(typed["cut"], unit)),
            ]
        )
        answer = ask(request, "face_off", {**asked, "working": True})
    rows = tuple(
        field
        for n in (1, 2, 3)
        for field in (
            Field(f"teeth_{n}", _("Teeth"), mode="text", hint="13-21" if n == 1 else ""),
            Field(f"deep_{n}", _("chewed in"), "length"),
        )
    )
    groups = (
        ring_fields(),
        Group(_("Chewed, from that end"), (Field("end", _("Which end"), choices=choices(_ENDS)), *rows)),
        Group(
            _("Face off"),
            (
                Field("aim", _("Face off"), choices=choices(_AIMS), stands="clears_damage"),
                Field("aim_value", _("that"), "length"),
                Field("cut", _("Most one cut takes"), "length"),
                Field("lead", _("Old lead-in"), "length"),
                Field("mate_face", _("Mate’s face"), "length"),
                Field("mate_from", _("begins in from the old entry face"), "length"),
            ),
        ),
    )
    parts = _face_parts(answer, unit) if answer is not None else ()
    says = answer.says[3:] if answer is not None else ()
    return sum_page(request, _("Ends faced off"), "", groups, answer, parts=parts, says=says)


def _damage(typed: Typed, unit: str) -> list[dict[str, Any]]:
    """Runs of teeth chewed alike, as typed."""
    return [
        {"tooth": tooth, "depth_mm": typed_length(typed[f"deep_{n}"], unit)}
        for n in (1, 2, 3)
        for tooth in numbers(typed[f"teeth_{n}"])
    ]


def _face_parts(a: Any, unit: str) -> Iterable[Part]:
    digits = 2 if unit == "mm" else 3

    def mm(value: float) -> str:
        return length(value, unit, digits)

    share = _("{n} in 100 of the old face", n=number(100 * a.share_left, 0))
    lines = [
        Line(_("Comes off"), mm(a.remove_mm), unit),
        Line(_("Face left"), mm(a.width_left_mm), unit, share, sums(a, "b'")),
    ]
    if a.overlap_then_mm is not None and a.overlap_now_mm is not None:
        why = _("{mm} {unit} now", mm=mm(a.overlap_now_mm), unit=unit)
        lines.append(Line(_("Length of mesh left"), mm(a.overlap_then_mm), unit, why, sums(a, "b_mesh")))
    if a.lead_left_mm is not None:
        lines.append(Line(_("Old lead-in left"), mm(a.lead_left_mm), unit))
    yield Part(_("What stays"), tuple(lines))
    damaged = len(a.teeth_sound) + len(a.teeth_still_damaged)
    if damaged:
        worst = max((one.depth_mm for one in a.teeth_still_damaged), default=0.0)
        still = _("the others still chewed up to {mm} {unit}", mm=mm(worst), unit=unit) if worst else ""
        steps = [
            Line(
                ngettext_("{n} tooth sound", "{n} teeth sound", s.teeth_sound),
                mm(s.remove_mm),
                _("{unit} off", unit=unit),
                _("{mm} {unit} of face left", mm=mm(s.width_left_mm), unit=unit),
            )
            for s in a.steps
        ]
        sound = Line(_("Come out sound"), f"{len(a.teeth_sound)} / {damaged}", "", still)
        yield Part(_("What it clears"), (sound, *steps))
    cuts = [Line(_("Cut {n}, from the old face", n=n), mm(c.removed_mm), unit) for n, c in enumerate(a.cuts, start=1)]
    yield Part(_("Cut by cut"), tuple(cuts))
