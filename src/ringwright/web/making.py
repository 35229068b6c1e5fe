"""Quick sum of a plate to make: where every hole goes, what a hole out does, the files to drill by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from ringwright.reckon.plate_files import STYLE
from ringwright.web.forms import Typed, given, length, number_or_text, whole_or_text
from ringwright.web.pages import Line, frame, number, render, sums, unit_of
from ringwright.web.pages import length as shown_length
from ringwright.web.quick import ask, query
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/sums")

#: What the template carries for itself as a file; on the page the style sheet has it.
_OWN_STYLE = f"<style>{STYLE}</style>"
_TYPES = {"csv": "text/csv", "svg": "image/svg+xml", "dxf": "image/vnd.dxf"}


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One hole as it is set."""

    hole: int
    angle: str
    x: str
    y: str
    off: str
    mark: str


@dataclass(frozen=True, slots=True)
class PlatePage:
    """A plate to make."""

    says: str
    template: Markup
    lines: tuple[Line, ...]
    checks: tuple[Line, ...]
    holes: tuple[HoleRow, ...]
    files: tuple[tuple[str, str], ...]
    notes: tuple[Any, ...]
    asked: bool


def _plate_sum(typed: Typed, unit: str) -> dict[str, Any]:
    return given(
        [
            ("divisions", whole_or_text(typed["divisions"])),
            ("ratio", whole_or_text(typed["ratio"])),
            ("holes", whole_or_text(typed["holes"])),
            ("hole_diameter_mm", length(typed["hole_diameter_mm"], unit)),
            ("web_mm", length(typed["web_mm"], unit)),
            ("circle_radius_mm", length(typed["circle_radius_mm"], unit)),
            ("centre_x_mm", length(typed["centre_x_mm"], unit)),
            ("centre_y_mm", length(typed["centre_y_mm"], unit)),
            ("first_hole_deg", number_or_text(typed["first_hole_deg"])),
            ("counts", typed["counts"]),
            ("shape", typed["shape"]),
            ("readout_step_mm", length(typed["readout_step_mm"], unit)),
            ("hole_error_mm", length(typed["hole_error_mm"], unit)),
            ("ring_radius_mm", length(typed["ring_radius_mm"], unit)),
            ("mark_every", whole_or_text(typed["mark_every"])),
        ]
    )


@router.get("/plate")
def plate(request: Request) -> Response:
    """A plate to make: where every hole goes."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("divisions") or typed.text("holes"):
        answer = ask(request, "plate_layout", {**_plate_sum(typed, unit), "files": ["svg"], "working": True})
    shown = _plate_page(request, answer, unit)
    return render("sum_plate.html", shown, frame(request, _("A plate to make"), section="sums"))


def _plate_page(request: Request, answer: Any, unit: str) -> PlatePage:
    if answer is None:
        return PlatePage("", Markup(), (), (), (), (), (), False)
    digits = 4 if unit == "in" else 3
    holes = tuple(
        HoleRow(
            h.hole,
            number(h.angle_deg, 4),
            shown_length(h.set_x_mm, unit, digits),
            shown_length(h.set_y_mm, unit, digits),
            number((h.off_out_um**2 + h.off_along_um**2) ** 0.5, 1),
            h.mark,
        )
        for h in answer.holes
    )
    checks = tuple(
        Line(
            _("Over {n} spaces", n=c.spaces) if c.spaces > 1 else _("Hole to hole"),
            shown_length(c.chord_mm, unit, digits),
            unit,
            _("over pins that fill the holes {mm} {unit}", mm=shown_length(c.over_pins_mm, unit, digits), unit=unit),
        )
        for c in answer.checks
    )
    return PlatePage(
        says=answer.says,
        template=Markup(answer.files.svg.replace(_OWN_STYLE, "")),
        lines=_plate_lines(answer, unit),
        checks=checks,
        holes=holes,
        files=tuple((kind, f"/sums/plate/file.{kind}?{request.url.query}") for kind in _TYPES),
        notes=answer.notes,
        asked=True,
    )


def _plate_lines(answer: Any, unit: str) -> tuple[Line, ...]:
    e = answer.errors
    lines = [
        Line(_("Radius of the circle"), shown_length(answer.circle_radius_mm, unit, 3 if unit == "mm" else 4), unit),
        Line(
            _("Smallest that leaves the metal"),
            shown_length(answer.smallest_radius_mm, unit, 3 if unit == "mm" else 4),
            unit,
            "",
            sums(answer, "R_min"),
        ),
        Line(_("Metal between holes"), shown_length(answer.web_left_mm, unit), unit, "", sums(answer, "c")),
    ]
    if answer.move is not None and answer.move.between_arms is not None:
        why = _("the hole the pin is in is counted here, not in the {n} spaces", n=answer.move.holes)
        lines.append(Line(_("Holes between the arms"), str(answer.move.between_arms), "", why))
    for label, arcsec, um, symbol in (
        (N_("One hole out of place, at the spindle"), e.one_hole_arcsec, e.one_hole_um, "δ"),
        (N_("Two holes out, each the other way"), e.two_holes_arcsec, e.two_holes_um, ""),
        (N_("Rounding to the readout, all divisions"), e.rounding_total_arcsec, e.rounding_total_um, ""),
    ):
        why = _("{um} µm on the ring", um=number(um, 1)) if um is not None else ""
        lines.append(Line(_(label), number(arcsec, 2), "″", why, sums(answer, symbol) if symbol else ()))
    return tuple(lines)


@router.get("/plate/file.{kind}")
def plate_file(request: Request, kind: str) -> Response:
    """The same plate as a file."""
    typed, unit = query(request), unit_of(request)
    if kind not in _TYPES:
        return Response(status_code=404)
    answer = ask(request, "plate_layout", {**_plate_sum(typed, unit), "files": [kind]})
    if answer is None:
        return plate(request)
    name = f"plate-{answer.hole_count}.{kind}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return Response(getattr(answer.files, kind), media_type=_TYPES[kind], headers=headers)
