"""What is to be said beside the figures of a ring: limits, cautions, and measures that it does not have."""

from __future__ import annotations

from math import isfinite

from ringwright.errors import Refusal
from ringwright.gears import shaper, touch
from ringwright.gears.ring import RingGeometry, is_undercut, rack_tip
from ringwright.gears.shaper import ShaperCutter
from ringwright.reckon.base import Note
from ringwright.reckon.gear_models import GearAsked
from ringwright.words import N_, _

WHY_NOT = {
    "span_internal": N_("No span: a micrometer cannot span the teeth of an internal ring."),
    "span_off_flank": N_(
        "No span: the anvils would touch on {contact} mm, and the flank runs from {low} to {high} mm."
    ),
    "span_face_too_narrow": N_(
        "No span: the anvils would stand {need} mm apart along the face, and it is only {face} mm wide. Use balls."
    ),
    "pin_none": N_("No pins: no pin touches the flanks of this ring between fillet and tip."),
    "pin_none_at_hand": N_("No pins: none of yours touches the flanks, stands clear of the root and out of the teeth."),
    "pin_off_flank": N_("No pins: a pin of {pin} mm does not touch the flank, which runs from {low} to {high} mm."),
    "pin_below_tip": N_("No pins: a pin of {pin} mm reaches {reach} mm only and the tip circle, {tip} mm, hides it."),
    "pin_on_root": N_("No pins: a pin of {pin} mm would sit on the root circle, {root} mm."),
    "pin_on_fillet": N_("No pins: a pin of {pin} mm would sit on the root fillets."),
    "constant_chord_off_flank": N_(
        "No constant chord: it would lie on {contact} mm, and the flank runs from {low} to {high} mm."
    ),
}


def why_not(none: touch.NoMeasure) -> Note:
    """The note for a measure that does not exist on this ring."""
    return Note(code=none.code, text=_(WHY_NOT[none.code], **{k: f"{v:.6g}" for k, v in none.facts.items()}))


def tip_notes(asked: GearAsked, s_a: float) -> list[Note]:
    """Whether the tip has a land at all, and that sharp tips were taken."""
    notes = []
    if asked.tip_chamfer_mm is None:
        notes.append(Note(code="default_used", text=_("Tip chamfer not given: sharp tips taken.")))
    if not isfinite(s_a):
        text = _("No tip thickness: the tip circle lies inside the base circle, where there is no involute.")
        notes.append(Note(code="tip_inside_base", text=text))
    elif s_a <= 0:
        text = _("No tip thickness: the two flanks meet below the tip circle. The real tip must be turned down.")
        notes.append(Note(code="tooth_pointed", text=text))
    return notes


def rack_notes(ring: RingGeometry) -> list[Note]:
    """What the generating rack does at the root of an external ring."""
    notes = []
    try:
        rounded = rack_tip(ring).rho
    except Refusal:
        text = _("No rack with these flanks reaches to the root circle; the root circle was taken as the flank's end.")
        return [Note(code="rack_pointed", text=text)]
    if rounded < ring.rho_f * ring.m_n - 1e-9:
        text = _("The root radius finds no room: {rho} mm, the largest that does, was taken.", rho=f"{rounded:.3f}")
        notes.append(Note(code="root_radius_reduced", text=text))
    if is_undercut(ring):
        text = _("A rack cutter undercuts this tooth; the flank ends where the fillet crosses it.")
        notes.append(Note(code="undercut", text=text))
    return notes


def shaper_notes(ring: RingGeometry, cutter: ShaperCutter | None, given: bool) -> list[Note]:
    """What the pinion-shaped cutter does at root and tip of an internal ring; None when none can do it."""
    if cutter is None:
        text = _("No usual shaper cutter makes this internal ring; the root circle was taken as the flank's end.")
        return [Note(code="internal_fillet_unknown", text=text)]
    notes, at = [], shaper.setting(ring, cutter)
    if not given:
        text = _(
            "Where the flank ends at the root depends on the cutter that made it. Shaper cutter not given: {teeth} "
            "teeth without shift taken, with the ring's root radius at its tip.",
            teeth=cutter.z_0,
        )
        notes.append(Note(code="internal_fillet_unknown", text=text))
    elif cutter.rho_a0 is None:
        text = _("Tip radius of the shaper cutter not given: {rho} module taken.", rho=f"{ring.rho_f:g}")
        notes.append(Note(code="default_used", text=text))
    wanted = ring.m_n * (ring.rho_f if cutter.rho_a0 is None else cutter.rho_a0)
    if at.rho < wanted - 1e-9:
        text = _("The root radius finds no room: {rho} mm, the largest that does, was taken.", rho=f"{at.rho:.3f}")
        notes.append(Note(code="root_radius_reduced", text=text))
    if shaper.reach_diameter(ring, at) > ring.d_a:
        text = _("A shaper cutter with so few teeth does not make true flanks up to the tip: they begin at {reach} mm.",
                 reach=f"{shaper.reach_diameter(ring, at):.2f}")  # fmt: skip
        notes.append(Note(code="shaper_misses_tip", text=text))
    if shaper.trims_tip(ring, at):
        text = _("A shaper cutter with so many teeth takes metal off the tips of the ring as it swings out.")
        notes.append(Note(code="shaper_trims_tip", text=text))
    return notes


def measure_notes(
    ring: RingGeometry, asked: GearAsked, span: touch.Span | touch.NoMeasure, pins: touch.Pins | touch.NoMeasure
) -> list[Note]:
    """How span and pins were chosen, and how to use them."""
    notes = [why_not(found) for found in (span, pins) if isinstance(found, touch.NoMeasure)]
    if isinstance(span, touch.Span):
        notes += _span_notes(asked, span)
    if isinstance(pins, touch.Pins):
        if asked.pin_diameter_mm is None:
            where = "d + 2 x m" if ring.s > 0 else "d - 2 x m"
            text = _("Pin of {pin} mm chosen: its contact is nearest {where}.", pin=f"{pins.D_M:.6g}", where=where)
            notes.append(Note(code="pin_chosen", text=text))
        if balls_only(ring):
            text = _("Use balls, both in one plane square to the axis: straight pins do not lie so here.")
            notes.append(Note(code="balls_not_pins", text=text))
    return notes


def _span_notes(asked: GearAsked, span: touch.Span) -> list[Note]:
    notes = []
    if asked.span_teeth is None:
        text = _("Span over {k} teeth chosen: its contact is nearest d + 2 x m.", k=span.k)
        notes.append(Note(code="span_chosen", text=text))
    if span.b_k:
        text = _("The span of a helical ring needs a face wider than {need} mm.", need=f"{span.b_k:.1f}")
        notes.append(Note(code="span_needs_face", text=text))
        face = asked.ring.face_width_mm
        if face is not None and face < touch.comfortable_face(span.b_k):
            text = _(
                "The face is hardly wide enough for this span: hold the anvils with care; {need} mm would be easy.",
                need=f"{touch.comfortable_face(span.b_k):.0f}",
            )
            notes.append(Note(code="span_face_scant", text=text))
    return notes


def balls_only(ring: RingGeometry) -> bool:
    """Whether straight pins cannot lie in the spaces as the reading asks: helical and internal, or odd."""
    return bool(ring.beta) and (ring.kind == "internal" or ring.z % 2 == 1)
