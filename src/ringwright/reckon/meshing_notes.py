"""What has to be said beside the figures of a mesh: defaults, cautions, where a source does not reach."""

from __future__ import annotations

from collections.abc import Iterator

from ringwright import tables
from ringwright.gears.interference import least_difference_rule
from ringwright.reckon.base import Note
from ringwright.reckon.meshing_models import InternalGiven, MeshAnswered, MeshAsked
from ringwright.words import _


def mesh_notes(asked: MeshAsked, answer: MeshAnswered, b: float | None) -> list[Note]:
    """All notes of a pair at its centres; b [mm] is the common face width."""
    return [Note(code=code, text=text) for code, text in _all(asked, answer, b)]


def _all(asked: MeshAsked, answer: MeshAnswered, b: float | None) -> Iterator[tuple[str, str]]:
    yield from _taken(asked, b)
    yield from _contact(answer)
    yield from _roots(answer)
    yield from _backlash(answer)
    if answer.internal is not None:
        yield from _internal(asked, answer.internal)


def _taken(asked: MeshAsked, b: float | None) -> Iterator[tuple[str, str]]:
    if asked.centre_distance_mm is None and asked.backlash is None:
        yield "default_used", _("Centres not given: those of the tight mesh, without backlash, taken.")
    if "use" not in asked.model_fields_set:
        yield "default_used", _("Use not given: recommended backlash for general gears in housings taken.")
    if asked.ring.helix_angle_deg and b is None:
        yield "no_face_width", _("No face width given: the overlap of the helix is left out.")
    elif b is not None and None in (asked.ring.face_width_mm, asked.mate.face_width_mm):
        yield "default_used", _("One face width given only: it is taken as the face in mesh, {b} mm.", b=f"{b:g}")
    if not {"ring_tip_chamfer_mm", "mate_tip_chamfer_mm"} <= asked.model_fields_set:
        yield "default_used", _("Tip chamfers not given for both: sharp tips taken where none is given.")
    if asked.ring_thickness_lost_mm or asked.mate_thickness_lost_mm:
        yield "worn_evenly", _("Lost thickness is taken off evenly up the flank; worn flanks have steps.")


def _contact(answer: MeshAnswered) -> Iterator[tuple[str, str]]:
    ratios = answer.contact_ratio
    total = ratios.transverse if ratios.total is None else ratios.total
    if total < 1:
        text = _("Contact ratio {ratio}: contact breaks before the next pair has it. This mesh hammers.",
                 ratio=f"{total:.3f}")  # fmt: skip
        yield "contact_broken", text
    elif total < 1.2:
        yield "contact_short", _("Contact ratio {ratio}: below the 1.2 that the trade likes to keep.",
                                 ratio=f"{total:.3f}")  # fmt: skip
    if abs(answer.base_pitch_error_um) > 0.5:
        text = _("Base pitches differ by {error} µm from tooth to tooth: as much as a pitch error on every tooth.",
                 error=f"{answer.base_pitch_error_um:+.1f}")  # fmt: skip
        yield "base_pitch_differs", text


def _roots(answer: MeshAnswered) -> Iterator[tuple[str, str]]:
    for code, side in (("ring", answer.ring), ("mate", answer.mate)):
        name = _("ring") if code == "ring" else _("mate")
        if side.tip_meets_fillet:
            text = _(
                "On the {gear} the tip of the other one runs on the fillet: {missing} mm of flank lack there, along "
                "the line of action.", gear=name, missing=f"{side.flank_missing_mm:.3f}",
            )  # fmt: skip
            yield "tip_meets_fillet", text
        elif side.flank_missing_mm > 0:
            text = _("On the {gear} undercut costs {missing} mm of contact, along the line of action.",
                     gear=name, missing=f"{side.flank_missing_mm:.3f}")  # fmt: skip
            yield "contact_lost_by_undercut", text
        if side.tip_clearance_mm <= 0:
            text = _("The tip of the {gear} digs {depth} mm into the root of the other one.",
                     gear=name, depth=f"{-side.tip_clearance_mm:.3f}")  # fmt: skip
            yield "tip_in_root", text
        if side.undercut:
            text = _("A rack cutter undercuts the {gear}; from a profile shift of {x} on it does not.",
                     gear=name, x=f"{side.least_profile_shift or 0:.3f}")  # fmt: skip
            yield "undercut", text


def _backlash(answer: MeshAnswered) -> Iterator[tuple[str, str]]:
    j = answer.backlash.normal_mm
    if answer.backlash.circumferential_mm < -1e-9:
        yield "jams", _("No backlash: the flanks overlap by {much} mm along the normal. These centres jam.",
                        much=f"{-j:.3f}")  # fmt: skip
    if answer.tight_centre_distance_mm is None:
        yield "no_tight_mesh", _("The teeth are so thin that no centres make the mesh tight: no radial backlash.")
    for one in answer.recommended:
        if not one.covers:
            text = _("The recommended backlash ({source}) is shown although this pair lies outside what it speaks of.",
                     source=tables.sources()[one.source].title)  # fmt: skip
            yield "outside_validity", text
    least = answer.recommended[0].normal_low_mm
    if -1e-9 <= j < least:
        yield "below_recommended", _("Normal backlash {j} mm is below the {least} mm recommended at least.",
                                     j=f"{max(j, 0):.3f}", least=f"{least:.3f}")  # fmt: skip
    yield (
        "measure_backlash",
        _(
            "A feeler on the unloaded flank shows normal backlash, an indicator on the tooth circumferential backlash. "
            "Measure at four or more places round the ring and take the smallest."
        ),
    )


def _internal(asked: MeshAsked, found: InternalGiven) -> Iterator[tuple[str, str]]:
    yield (
        "internal_fillet_assumed",
        _("Where the internal ring’s flank ends depends on the pinion cutter that made it; one of usual size taken."),
    )
    if found.involute_mm < 0:
        yield "involute_interference", _("The ring’s tips reach beyond the pinion’s base circle: they dig in there.")
    if found.tips_mm is None:
        yield "tips_not_told", _("The ring’s tip lies inside its base circle: whether tips strike is not told.")
    elif found.tips_mm < 0:
        yield "tips_strike", _("Away from the line of centres tips strike tips, by {much} mm.",
                               much=f"{-found.tips_mm:.3f}")  # fmt: skip
    if found.radial_mm is None:
        yield "radial_not_told", _("Whether the pinion can be pushed in radially is not told for this pair.")
    elif found.radial_mm < 0:
        yield "goes_in_along_axis", _("The pinion cannot be pushed in radially: it goes in along the axis.")
    inside = min(asked.ring.teeth, asked.mate.teeth)
    if abs(asked.ring.teeth - asked.mate.teeth) < least_difference_rule(inside):
        text = _("Fewer teeth apart than the old rule asks for, {least} (20° full depth, no shift).",
                 least=f"{least_difference_rule(inside):g}")  # fmt: skip
        yield "teeth_near_each_other", text
