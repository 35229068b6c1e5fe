"""Quick sum of a detent in the ring's own teeth: where it bears, what it carries over, which teeth it may use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from ringwright.gears.outline import tooth_outline
from ringwright.paper.detent_drawing import detent_svg
from ringwright.reckon.detenting import core_ring
from ringwright.reckon.ring import Ring
from ringwright.web.divided import Picture
from ringwright.web.forms import Typed, given, length, number_or_text, whole_or_text
from ringwright.web.pages import Choice, Line, frame, number, render, sums, unit_of
from ringwright.web.pages import length as shown_length
from ringwright.web.quick import ask, numbers, query
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/sums")

_SHAPES = {"ball": N_("ball"), "pin": N_("pin along the tooth"), "wedge": N_("wedge"), "pawl": N_("one-sided pawl")}
_CARRIED = {
    "worn_flanks": N_("By worn flanks"),
    "pitch_errors": N_("By pitch errors of the old teeth"),
    "run_out": N_("By run-out, each way"),
    "slide_play": N_("By play of the slide, each way"),
    "seating": N_("Scatter of seating"),
}
_TOUCHES = {
    "both_flanks": N_("both flanks"),
    "plus_flank": N_("the plus flank"),
    "minus_flank": N_("the minus flank"),
    "nose_corners": N_("corners of its nose"),
    "tips": N_("the tips"),
    "fillet": N_("the fillets"),
    "root": N_("the root"),
}


@dataclass(frozen=True, slots=True)
class DetentPage:
    """A detent in the ring's own teeth."""

    shapes: tuple[Choice, ...]
    says: str
    seat_says: str
    best_says: str
    picture: Picture | None
    seat: tuple[Line, ...]
    carried: tuple[Line, ...]
    places: tuple[Line, ...]
    joints: tuple[Line, ...]
    rows: tuple[Any, ...]
    notes: tuple[Any, ...]
    asked: bool


def _ring(typed: Typed) -> dict[str, Any]:
    pitch = typed["pitch_in"] if typed["pitch_in"] in ("diametral_pitch", "circular_pitch_mm") else "module_mm"
    size = number_or_text(typed["pitch"]) if pitch == "diametral_pitch" else length(typed["pitch"], "mm")
    return given(
        [
            ("kind", "internal" if typed["kind"] == "internal" else "external"),
            ("teeth", whole_or_text(typed["teeth"])),
            (pitch, size),
            ("pressure_angle_deg", number_or_text(typed["pressure_angle"])),
            ("profile_shift", number_or_text(typed["shift_coef"])),
        ]
    )


def _detent_sum(typed: Typed, unit: str) -> dict[str, Any]:
    shape = typed["shape"] if typed["shape"] in _SHAPES else "ball"
    sizes = {
        "ball": [("diameter_mm", length(typed["diameter_mm"], unit))],
        "pin": [("diameter_mm", length(typed["diameter_mm"], unit))],
        "wedge": [
            ("included_angle_deg", number_or_text(typed["included_angle_deg"])),
            ("nose_mm", length(typed["nose_mm"], unit)),
        ],
        "pawl": [
            ("face_angle_deg", number_or_text(typed["face_angle_deg"])),
            ("depth_mm", length(typed["depth_mm"], unit)),
            ("bears_on", typed["bears_on"]),
        ],
    }[shape]
    worn = given([("plus_mm", length(typed["plus_mm"], unit)), ("minus_mm", length(typed["minus_mm"], unit))])
    return given(
        [
            ("ring", _ring(typed)),
            ("detent", {"shape": shape, **given(sizes)}),
            ("worn", worn or None),
            ("pitch_error_um", number_or_text(typed["pitch_error_um"])),
            ("eccentricity_mm", length(typed["eccentricity_mm"], unit)),
            ("slide_play_mm", length(typed["slide_play_mm"], unit)),
            ("teeth_away", whole_or_text(typed["teeth_away"])),
            ("cut", numbers(typed["cut"]) or None),
            ("damaged", numbers(typed["damaged"]) or None),
        ]
    )


@router.get("/detent")
def detent(request: Request) -> Response:
    """Index from the ring's own teeth: where a detent sits, what it carries over, which teeth it may use."""
    typed, unit = query(request), unit_of(request)
    answer, sum_ = None, {}
    if typed.text("teeth"):
        sum_ = _detent_sum(typed, unit)
        answer = ask(request, "detent", {**sum_, "working": True})
    shown = _detent_page(answer, sum_, unit)
    return render("sum_detent.html", shown, frame(request, _("From its own teeth"), section="sums"))


def _detent_page(answer: Any, sum_: dict[str, Any], unit: str) -> DetentPage:
    shapes = tuple(Choice(value, _(word)) for value, word in _SHAPES.items())
    if answer is None:
        return DetentPage(shapes, "", "", "", None, (), (), (), (), (), (), False)
    ring = core_ring(Ring.model_validate(sum_["ring"]))
    svg = detent_svg(tooth_outline(ring, 24).tolist(), answer.detent, answer.seat, ring.kind, ring.z)
    return DetentPage(
        shapes=shapes,
        says=answer.says,
        seat_says=answer.seat.says,
        best_says=answer.best.says if answer.best is not None else "",
        picture=Picture(Markup(svg), _("Small circles: where it touches.")),
        seat=_seat_lines(answer, unit),
        carried=_carried_lines(answer),
        places=_place_lines(answer),
        joints=_joint_lines(answer),
        rows=answer.rows,
        notes=answer.notes,
        asked=True,
    )


def _seat_lines(answer: Any, unit: str) -> tuple[Line, ...]:
    seat, taken = answer.seat, answer.detent
    lines = [Line(_("It bears on"), _(_TOUCHES[seat.touches]), "", seat.says)]
    for label, value in ((N_("Ball or pin"), taken.diameter_mm), (N_("Flat of its nose"), taken.nose_mm)):
        if value is not None:
            lines.append(Line(_(label), shown_length(value, unit), unit))
    for label, value in ((N_("Included angle"), taken.included_angle_deg), (N_("Face to slide"), taken.face_angle_deg)):
        if value is not None:
            lines.append(Line(_(label), number(value, 2), "°"))
    lines += [
        Line(_("Nose below the tips"), shown_length(seat.depth_mm, unit), unit),
        Line(_("Nose off the root"), shown_length(seat.root_clearance_mm, unit), unit),
        Line(
            _("Touches on a diameter of"), shown_length(seat.contact_diameter_mm, unit), unit, "", sums(answer, "r_c")
        ),
    ]
    if seat.drops_mm > 0.0005:
        lines.append(Line(_("Deeper than in an unworn space"), shown_length(seat.drops_mm, unit, 3), unit))
    if seat.loose_um:
        lines.append(Line(_("The ring turns to and fro by"), number(seat.loose_um, 0), "µm"))
    return tuple(lines)


def _carried_lines(answer: Any) -> tuple[Line, ...]:
    symbols = {"worn_flanks": ("t",), "run_out": ("E",)}
    lines = [
        Line(
            _(_CARRIED[c.what]),
            number(c.um, 1),
            "µm",
            c.says,
            sums(answer, *symbols[c.what]) if c.what in symbols else (),
        )
        for c in answer.carried
        if c.um
    ]
    totals = answer.totals
    lines += [
        Line(_("Worst place of a new tooth"), number(totals.place_um, 1), "µm"),
        Line(_("Worst pitch between new teeth"), number(totals.neighbour_um, 1), "µm"),
        Line(_("Worst pitch where new meets old"), number(totals.joint_um, 1), "µm"),
    ]
    if totals.on_plate_um:
        why = _("the same run-out, the ring divided by plate and worm")
        lines.append(Line(_("A plate would swing by"), number(totals.on_plate_um, 1), "µm", why))
    return tuple(lines)


def _place_lines(answer: Any) -> tuple[Line, ...]:
    lines = [
        Line(
            _("Teeth from the cutter"),
            _minus(f"{s.teeth_away:+d}"),
            "",
            _(
                "for spaces {spaces}; {deg}° from the cutter",
                spaces=_runs(s.cut),
                deg=_minus(number(s.detent_at_deg, 2)),
            ),
        )
        for s in answer.settings
    ]
    if answer.cannot:
        lines.append(Line(_("No sound space serves"), _runs(answer.cannot), "", _("index these by plate and worm")))
    if answer.not_to_use:
        lines.append(Line(_("Spaces never to sit in"), str(len(answer.not_to_use)), "", _runs(answer.not_to_use)))
    return tuple(lines)


def _joint_lines(answer: Any) -> tuple[Line, ...]:
    return tuple(
        Line(
            _("Spaces {first} to {last}, at the joints", first=j.first, last=j.last),
            f"{number(j.at_first_um, 1)} / {number(j.at_last_um, 1)}",
            "µm",
            _(
                "move the run by {um} µm and both are equal; set evenly between the old ones, each pitch is {each} µm "
                "out",
                um=_minus(number(j.move_run_um, 1)),
                each=_minus(number(j.spread_um, 1)),
            ),
        )
        for j in answer.joints
    )


def _runs(teeth: Any) -> str:
    """Numbers as people write them: 3, 7–9."""
    out: list[list[int]] = []
    for n in teeth:
        if out and n == out[-1][-1] + 1:
            out[-1].append(n)
        else:
            out.append([n])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in out)


def _minus(text: str) -> str:
    """With a true minus."""
    return text.replace("-", "−")
