"""The words of a lead-in: sensitivities, what would reach, notes, and the sums with their numbers put in."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.beside import Beside
from ringwright.cutting.holder import Gap
from ringwright.cutting.lead_in import Aim, Cut, LeadIn
from ringwright.cutting.nod_setting import nod_setting
from ringwright.cutting.surface import RIM_MODULES
from ringwright.cutting.touching import Datum
from ringwright.cutting.turning import Turning
from ringwright.cutting.unknown import Solved
from ringwright.cutting.what_if import Change, Effect
from ringwright.reckon.base import Note, WorkingLine
from ringwright.reckon.leading_answer import Sensitivity
from ringwright.reckon.leading_cutters import Cutter
from ringwright.reckon.leading_models import LeadInRequest, LostCorner
from ringwright.reckon.leading_targets import head_radians
from ringwright.words import N_, _


@dataclass(frozen=True, slots=True)
class Sums:
    """What ring, cutter, pose and target come to; the answer only puts it into words."""

    at: LeadIn
    aim: Aim
    saturation: Cut | None
    full_face: float | None
    effects: tuple[Effect, ...] | None
    would_reach: tuple[Change, ...]
    solved: Solved | None = None
    cutter: Cutter | None = None
    constant: Literal["land", "lead"] | None = None
    diameter: float | None = None
    beside: Beside | None = None
    beyond: float = 0.0
    turning: Turning | None = None
    pushed: Literal["clockwise", "anticlockwise", "both"] | None = None
    passes: tuple[float, ...] = ()
    removed: tuple[float, ...] = ()
    datums: tuple[Datum, ...] = ()
    worn: tuple[tuple[LostCorner, float | None], ...] = ()
    gaps: tuple[Gap, ...] = ()


_SAYS = {
    "tip_radial": N_("tip further out from the ring's axis, touched off afresh"),
    "tip_axial": N_("tip further into the face, touched off afresh"),
    "centre": N_("cutter off the middle of the space, towards +t, touched off afresh"),
    "nod": N_("head nodded further than meant, touched off afresh"),
    "touch_off": N_("zero taken too late, as on a worn edge: the cut goes deeper than meant"),
    "cutter_diameter": N_("cutter smaller, as after regrinding, touched off afresh"),
    "tooth_thickness": N_("teeth thinner on the reference circle, as when worn, touched off afresh"),
}


def sensitivity(effect: Effect) -> Sensitivity:
    unit = f"{degrees(effect.amount):g} deg" if effect.name == "nod" else f"{effect.amount:g} mm"
    return Sensitivity(to=effect.name, unit=unit, lead_mm=effect.lead, land_mm=effect.land, says=_(_SAYS[effect.name]))


def change(change: Change) -> str:
    if change.name == "cutter_diameter":
        return _("A cutter of {d} mm, infeed {s} mm.", d=f"{change.value:g}", s=f"{change.infeed:.2f}")
    if change.name == "tip_axial":
        return _("The tip at a {a} mm, infeed {s} mm.", a=f"{change.value:g}", s=f"{change.infeed:.2f}")
    more = f"{degrees(change.value):+g}"
    return _("The head nodded {more} degrees further, infeed {s} mm.", more=more, s=f"{change.infeed:.2f}")


def _unjudged(asked: LeadInRequest) -> Note:
    if asked.cutter.top is None:
        text = _("The cutter is taken as endless towards the spindle: flute length and holder are not judged.")
    else:
        text = _("Nothing was said of shank and holder: whether they clear the ring is not judged.")
    return Note(code="holder_not_judged", text=text)


def _inner_root(at: LeadIn) -> Note:
    if at.body.has_fillet:
        text = _("The root of the internal ring is taken as a usual pinion-shaped cutter leaves it.")
        return Note(code="internal_fillet_assumed", text=text)
    return Note(code="no_fillet", text=_("The root of this internal ring is taken without its fillet."))


def notes(asked: LeadInRequest, at: LeadIn, cut: Cut | None) -> list[Note]:
    notes = [] if asked.behind else [_unjudged(asked)]
    notes += [
        Note(code="sound_ring", text=_("Touch-off is reckoned on the sound, uncut ring with sharp ends.")),
        Note(
            code="rim_taken",
            text=_(
                "Below the roots {n} modules of rim are taken as metal; hub and bolts are not known.", n=RIM_MODULES
            ),
        ),
        Note(
            code="nothing_bends", text=_("Cutter, spindle and ring are taken as stiff and the cutter as running true.")
        ),
    ]
    if asked.ring.kind == "internal":
        notes.append(_inner_root(at))
        text = _("The cutter is taken to start in the bore: whether it strikes the far side of the ring is not judged.")
        notes.append(Note(code="far_side_not_judged", text=text))
    notes += [Note(code="default_used", text=text) for text in _defaults(asked)]
    if at.pose.d is not None:
        notes.append(
            Note(
                code="pass_complete",
                text=_("With a locked axis the pass along the feed runs through the whole worked side of the ring."),
            )
        )
    if at.touch.grazing:
        notes.append(
            Note(
                code="grazing",
                text=_(
                    "The first contact is a graze: the cutter's outline just passes the edge there, and a hair to the "
                    "side or a worn corner moves it. Touch off on a sound tooth and check the first lead."
                ),
            )
        )
    if cut is not None and cut.infeed == 0 and asked.target.end_land_finished_mm is not None:
        notes.append(Note(code="already_there", text=_("The land is no larger than this before anything is cut.")))
    if cut is not None:
        notes += _not_open(at, cut)
    if cut is not None and cut.land_finished <= 0:
        notes.append(Note(code="no_land_left", text=_("No land is left at the entry face on the reference circle.")))
    return notes


def _not_open(at: LeadIn, cut: Cut) -> list[Note]:
    """Of each flank that is not cut right from the entry face on."""
    said, opens = [], at.opens_to_the_face(cut.infeed)
    for side, lead, opened in zip((_("clockwise"), _("anticlockwise")), cut.leads, opens, strict=True):
        if opened:
            continue
        if lead > 0:
            text = _(
                "Tooth {side} of the space: the cut does not begin at the entry face, it lies inside; the lead is "
                "counted from the face to its far end.",
                side=side,
            )
            said.append(Note(code="not_from_the_face", text=text))
        else:
            text = _("Tooth {side} of the space: this flank is not cut at the pitch line.", side=side)
            said.append(Note(code="flank_not_cut", text=text))
    return said


def _defaults(asked: LeadInRequest) -> list[str]:
    said = []
    for name, value in asked.ring:
        field = type(asked.ring).model_fields[name]
        if name not in asked.ring.model_fields_set and field.default not in (None, ...) and value is not None:
            said.append(_("{field} was not given: taken as {value}.", field=f"ring.{name}", value=f"{value:g}"))
    if asked.cutter.kind == "flat" and "corner_radius_mm" not in asked.cutter.model_fields_set:
        said.append(_("{field} was not given: taken as {value}.", field="cutter.corner_radius_mm", value="0"))
    if asked.pose.tool_axis is None:
        for name in ("nod_deg", "tilt_deg"):
            if getattr(asked.pose, name) is None:
                said.append(_("{field} was not given: taken as {value}.", field=f"pose.{name}", value="0"))
    if asked.cutter.kind == "involute_form" and asked.cutter.design_teeth is None:
        said.append(_("design_teeth was not given: the cutter that the standard set has for this ring was taken."))
    if head_radians(asked.pose) and "indicator_travel_mm" not in asked.model_fields_set:
        said.append(_("{field} was not given: taken as {value}.", field="indicator_travel_mm", value="10"))
    if "hand_of_cutter" not in asked.model_fields_set:
        said.append(_("{field} was not given: taken as {value}.", field="hand_of_cutter", value="right"))
    return said


def working(asked: LeadInRequest, sums: Sums) -> list[WorkingLine]:
    at, cut = sums.at, sums.aim.cut
    body, point, tip = at.body, at.touch.first.point, at.tip_at_touch_off
    psi = float(body.half_angle(np.array(body.r)))
    lines = [
        WorkingLine(
            symbol="s_t / d",
            name=_("half the tooth on the reference circle"),
            formula="s_t / d",
            put_in=f"{2 * body.r * psi:.4f} / {2 * body.r:.4f}",
            value=psi,
            unit="rad",
            source="own-arithmetic",
        ),
        WorkingLine(
            symbol="h",
            name=_("first contact above the end face of the cutter, at touch-off"),
            formula="(p - tip) . u",
            put_in=f"({_show(point)} - {_show(tip)}) . {_show(at.pose.u)}",
            value=float((point - tip) @ at.pose.u),
            unit="mm",
            source="own-arithmetic",
        ),
        WorkingLine(
            symbol="e",
            name=_("first contact from the axis of the cutter, at touch-off"),
            formula="|(p - tip) x u|",
            put_in=f"|({_show(point)} - {_show(tip)}) x {_show(at.pose.u)}|",
            value=float(np.linalg.norm(np.cross(point - tip, at.pose.u))),
            unit="mm",
            source="own-arithmetic",
        ),
    ]
    if cut is not None:
        lines += _cut_working(at, cut)
        lines.append(
            WorkingLine(
                symbol="land",
                name=_("land on the finished ring"),
                formula="s_t - (s_t - land_plus) - (s_t - land_minus)",
                put_in=f"{cut.land_plus:.4f} + {cut.land_minus:.4f} - {2 * body.r * psi:.4f}",
                value=cut.land_finished,
                unit="mm",
                source="own-arithmetic",
            )
        )
    if sums.full_face is not None:
        lines.append(
            WorkingLine(
                symbol="full face",
                name=_("face left untouched at every height"),
                formula="longest run of a that no height of either flank is cut on",
                put_in=f"{body.b:.4f} - {body.b - sums.full_face:.4f}",
                value=sums.full_face,
                unit="mm",
                source="own-arithmetic",
            )
        )
    if sums.saturation is not None:
        most = sums.saturation
        lines.append(
            WorkingLine(
                symbol="lead_most",
                name=_("the lead at which more infeed adds nothing"),
                formula="greatest a on the line at d/2 that the pass reaches at any infeed",
                put_in=f"s(a = {min(most.leads.plus, most.leads.minus):.4f}) = {most.infeed:.4f}",
                value=min(most.leads.plus, most.leads.minus),
                unit="mm",
                source="own-arithmetic",
            )
        )
    return lines + _beside_working(asked, sums)


def _beside_working(asked: LeadInRequest, sums: Sums) -> list[WorkingLine]:
    """Touch-offs on sound surfaces, metal by passes, worn teeth, push and the head's indicator."""
    lines: list[WorkingLine] = []

    def line(symbol: str, name: str, formula: str, put_in: str, value: float, unit: str) -> None:
        lines.append(
            WorkingLine(
                symbol=symbol,
                name=name,
                formula=formula,
                put_in=put_in,
                value=value,
                unit=unit,
                source="own-arithmetic",
            )
        )

    cut = sums.aim.cut
    for d in sums.datums:
        if cut is not None and d.infeed is not None:
            put_in = f"{d.offset:.4f} + {cut.infeed:.4f}"
            line(f"infeed_{d.on}", _("infeed from that touch"), "offset + infeed", put_in, d.infeed, "mm")
    steps = np.diff(np.array(sums.removed), prepend=0.0)
    if len(steps):
        put_in = " + ".join(f"{v:.3f}" for v in steps)
        line("V", _("metal taken, pass by pass"), "V_1 + V_2 + ...", put_in, sums.removed[-1], "mm3")
    for worn, start in sums.worn:
        if start is not None:
            put_in = f"s({worn.corner_mm:g}, {worn.flanks_lost_mm:g}, {worn.tip_lost_mm:g}, {worn.end_back_mm:g})"
            formula = "s(corner, flanks, tip, end)"
            line("s_worn", _("first contact with a tooth as it is"), formula, put_in, start, "mm")
    if sums.turning is not None:
        sides = [s.push for s in (sums.turning.plus, sums.turning.minus) if s is not None]
        if sides:
            put_in = f"({' + '.join(f'{p:.4f}' for p in sides)}) / {len(sides)}"
            line(
                "push",
                _("push on the ring, clockwise above 0"),
                "mean motion of the edges . t",
                put_in,
                sums.turning.push,
                "",
            )
    if asked.solve_for in ("infeed", "cutter"):
        for name, angle in head_radians(asked.pose).items():
            if abs(angle) <= 1.05:
                put_in = f"{asked.indicator_travel_mm:g} x tan({degrees(abs(angle)):g})"
                value = nod_setting(angle, asked.indicator_travel_mm).indicator
                line(f"i_{name}", _("indicator over the travel"), "L tan(angle)", put_in, value, "mm")
    return lines


def _cut_working(at: LeadIn, cut: Cut) -> list[WorkingLine]:
    """Infeed, leads and the land of this space; s(p) is the infeed at which the cutter first reaches the point p."""
    s_t = 2 * at.body.r * float(at.body.half_angle(np.array(at.body.r)))
    lines = []
    for sign, lead, land in (("plus", cut.leads.plus, cut.land_plus), ("minus", cut.leads.minus, cut.land_minus)):
        lines.append(
            WorkingLine(
                symbol=f"lead_{sign}",
                name=_("lead on the flank at {sign} t", sign="+" if sign == "plus" else "-"),
                formula="greatest a with s(d/2, flank, a) <= infeed",
                put_in=f"s(a = {lead:.4f}) = {cut.infeed:.4f} on the line at d/2 = {at.body.r:.4f}",
                value=lead,
                unit="mm",
                source="own-arithmetic",
            )
        )
        lines.append(
            WorkingLine(
                symbol=f"land_{sign}",
                name=_("flat left on the tooth at {sign} t after this space", sign="+" if sign == "plus" else "-"),
                formula="s_t minus what the cutter takes off the arc at a = 0",
                put_in=f"{s_t:.4f} - {s_t - land:.4f}",
                value=land,
                unit="mm",
                source="own-arithmetic",
            )
        )
    return lines


def _show(v: NDArray[np.float64]) -> str:
    return "(" + ", ".join(f"{x + 0.0:.4f}" for x in v) + ")"
