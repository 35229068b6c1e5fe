"""Quick sums: one sum at once, with no job. The form is the address, so that a sum can be kept and sent on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from ringwright.paper import drawing
from ringwright.paper.job_drawing import form_of
from ringwright.reckon.base import Problems
from ringwright.web import from_teeth, making, sum_cutting, sum_rings, sum_spaces
from ringwright.web.desk import store_of
from ringwright.web.divide_typed import SET_UPS, WORKS, circle_asked, typed_shelf
from ringwright.web.divided import Picture, Place, pictures, places
from ringwright.web.dividing_lines import METHODS, MOST_DEVICES, LeftOut, left_out, move_said
from ringwright.web.finding import gear_lines
from ringwright.web.forms import given, length, number_or_text, whole_or_text
from ringwright.web.mapping import choices
from ringwright.web.pages import Choice, Line, frame, number, render, unit_of
from ringwright.web.quick import ask, query
from ringwright.words import _

router = APIRouter(include_in_schema=False)
router.include_router(making.router)
router.include_router(from_teeth.router)
router.include_router(sum_rings.router)
router.include_router(sum_cutting.router)
router.include_router(sum_spaces.router)


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way of dividing, with its figures."""

    words: str
    device: str
    method: str
    gears: str
    lines: tuple[Line, ...]
    why: str
    ranks: str
    steps: str
    prove: str
    risk: str
    identity: str
    pictures: tuple[Picture, ...]
    places: tuple[Place, ...]
    here: str
    make: str


@dataclass(frozen=True, slots=True)
class DividePage:
    """Divide a circle with the shelf."""

    devices: tuple[str, ...]
    ways: tuple[WayLine, ...]
    left_out: tuple[LeftOut, ...]
    works: tuple[Choice, ...]
    set_ups: tuple[Choice, ...]
    notes: tuple[Any, ...]
    asked: bool


@dataclass(frozen=True, slots=True)
class GearPage:
    """Measures of one ring."""

    glass: Markup
    lines: tuple[Line, ...]
    notes: tuple[Any, ...]
    asked: bool


@dataclass(frozen=True, slots=True)
class SumsPage:
    """The list of quick sums."""

    has_kit: bool


@router.get("/sums")
def first(request: Request) -> Response:
    """Which sum?"""
    kit, _version = store_of(request).kit()
    return render("sums.html", SumsPage(bool(kit.devices)), frame(request, _("Quick sums"), section="sums"))


@router.get("/sums/divide")
def divide(request: Request) -> Response:
    """Every way the shelf has to divide a circle."""
    typed, unit = query(request), unit_of(request)
    kit, _version = store_of(request).kit()
    devices = [d.as_offered() for d in kit.devices if typed["device"] in ("", d.name)]
    try:
        devices = typed_shelf(typed, unit) or devices
    except Problems as problems:
        devices, request.state.problems = [], problems.problems
    answer, one = None, None
    asked: dict[str, Any] = {}
    if typed.text("divisions") and devices:
        asked = {**circle_asked(typed, unit), "devices": devices[:MOST_DEVICES]}
        one = whole_or_text(typed["way"])
        answer = ask(request, "divide", {**asked, "working": True, "table": isinstance(one, int)})
    shown_ways = answer.ways[:12] if answer is not None else ()
    ways = tuple(
        _way(w, request.url.include_query_params(way=i).query, i == one, typed.text("divisions"))
        for i, w in enumerate(shown_ways)
        if i == one or not isinstance(one, int)
    )
    shown = DividePage(
        devices=tuple(d.name for d in kit.devices),
        ways=ways,
        left_out=left_out(answer, asked),
        works=choices(WORKS),
        set_ups=choices(SET_UPS),
        notes=answer.notes if answer is not None else (),
        asked=answer is not None,
    )
    return render("sum_divide.html", shown, frame(request, _("Divide"), section="sums"))


def _way(w: Any, query_: str, alone: bool, divisions: str) -> WayLine:
    lines = [
        Line(_("Worst of all places"), number(w.worst_error_arcsec, 1), "″"),
        Line(_("Worst from tooth to tooth"), number(w.worst_neighbour_arcsec, 1), "″"),
    ]
    if w.worst_error_um is not None:
        lines.append(Line(_("At that radius"), number(w.worst_error_um, 1), "µm"))
    lines.append(Line(_("After all moves, off the start by"), number(w.closing_error_arcsec, 1), "″"))
    if w.arms is not None:
        lines.append(Line(_("Sector arms"), str(w.arms.holes), _("holes, {n} spaces", n=w.arms.spaces)))
    gears = ""
    if w.gears is not None:
        g = w.gears
        stud = f", {g.stud_meshing_spindle} / {g.stud_meshing_worm}" if g.stud_meshing_spindle is not None else ""
        turns = (
            _("the plate turns with the crank") if g.plate_turns == "with" else _("the plate turns against the crank")
        )
        gears = _(
            "Gears: {spindle} on the spindle{stud}, {worm} on the worm; {turns}.",
            spindle=g.spindle,
            stud=stud,
            worm=g.worm,
            turns=turns,
        )
    make = f"/sums/plate?divisions={divisions}&ratio={quote(w.ratio)}&holes={w.move.circle}&hole_diameter_mm="
    return WayLine(
        words=move_said(w),
        device=w.device,
        method=_(METHODS.get(w.method, w.method)),
        gears=gears,
        lines=tuple(lines),
        why=w.why,
        ranks=w.ranks,
        steps=w.steps_note,
        prove=w.prove,
        risk=w.risk,
        identity=w.identity or "",
        pictures=pictures(w),
        places=places(w.table) if alone else (),
        here=f"/sums/divide?{query_}",
        make=make if w.method == "plate_to_make" else "",
    )


@router.get("/sums/gear")
def gear(request: Request) -> Response:
    """The measures of one ring, each figure with its sum."""
    typed, unit = query(request), unit_of(request)
    answer, ring = None, None
    if typed.text("teeth"):
        pitch = (
            typed["pitch_in"]
            if typed["pitch_in"] in ("module_mm", "diametral_pitch", "circular_pitch_mm")
            else "module_mm"
        )
        size = number_or_text(typed["pitch"]) if pitch == "diametral_pitch" else length(typed["pitch"], "mm")
        ring = given(
            [
                ("kind", "internal" if typed["kind"] == "internal" else "external"),
                ("teeth", whole_or_text(typed["teeth"])),
                (pitch, size),
                ("pressure_angle_deg", number_or_text(typed["pressure_angle"])),
                ("helix_angle_deg", number_or_text(typed["helix"])),
                ("hand", typed["hand"] if typed["hand"] in ("right", "left") else None),
                ("profile_shift", number_or_text(typed["shift"])),
            ]
        )
        asked = given(
            [
                ("ring", ring),
                ("span_teeth", whole_or_text(typed["span_teeth"])),
                ("pin_diameter_mm", length(typed["pin"], unit)),
            ]
        )
        answer = ask(request, "gear", {**asked, "working": True})
    glass = Markup()
    if answer is not None and ring is not None:
        plain = drawing.Ring(
            form_of(ring, int(ring["teeth"]), str(ring["kind"])), {}, label=_("Five of its teeth, enlarged")
        )
        glass = Markup(drawing.glass_svg(plain, 3 if ring["teeth"] >= 5 else 1, 2))
    lines = gear_lines(answer, unit) if answer is not None else ()
    shown = GearPage(glass, lines, answer.notes if answer is not None else (), answer is not None)
    return render("sum_gear.html", shown, frame(request, _("Measures of a ring"), section="sums"))
