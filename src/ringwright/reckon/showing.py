"""The cut to look at: the surface that the cutter leaves, sections before and after, and leads by height."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from ringwright.cutting.cutter import Cutter, EndMill
from ringwright.cutting.front import Front, front
from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.sections import Section, sections
from ringwright.cutting.solids import Bead
from ringwright.reckon.base import Answered, Given, Note, Operation
from ringwright.reckon.leading import LEAD_IN, stood
from ringwright.reckon.leading_models import LeadInRequest
from ringwright.words import N_, _

Three = tuple[float, float, float]
_DIGITS = 5


class CutShapeRequest(LeadInRequest):
    """A lead-in as for `lead_in`, to be looked at."""

    every_space: bool = Field(True, description="true: every space has had the cut; false: this one only")
    rows: int = Field(97, ge=9, le=257, description="heights across and along in the sheet of the front")


class FrontShown(Given):
    """The surface that the cutter leaves, as heights over a plane across the infeed.

    A point p of the frame lies at x = (p - at) . across, y = (p - at) . along, z = (p - at) . infeed and is reached at
    the infeed z + height; rows stand at ``rows_mm`` across, each from ``low_mm`` to ``high_mm`` along, its heights at
    the shares ``places`` of that length; null where it is never reached.
    """

    at: Three
    across: Three
    along: Three
    infeed: Three
    rows_mm: tuple[float, ...]
    low_mm: tuple[float, ...]
    high_mm: tuple[float, ...]
    places: tuple[float, ...]
    height_mm: tuple[tuple[float | None, ...], ...]


class ToothShown(Given):
    """The tooth before the cut: half its angle over the radius, root to tip, radii close together at the root.

    Radius k of n stands at the share (k / (n - 1)) squared of the height.
    """

    radius_mm: tuple[float, ...]
    half_angle_deg: tuple[float, ...]
    pitch_deg: float
    twist_deg_per_mm: float
    face_width_mm: float


class SectionShown(Given):
    """Metal of the tooth at +t in a plane, column by column, before and after.

    reference: x the arc from the middle, y the depth a; flank: x the radius less the reference radius, y the depth a on
    the flank that faces the space; end: x as there, y the arc from the middle, on the entry face.
    """

    plane: str
    x_mm: tuple[float, ...]
    low_mm: tuple[float, ...]
    high_mm: tuple[float, ...]
    left_low_mm: tuple[float, ...]
    left_high_mm: tuple[float, ...]


class LeadAt(Given):
    """Depth to which the flanks at one height are cut, this space only."""

    radius_mm: float
    height_mm: float
    plus_mm: float
    minus_mm: float


class CutShape(Answered):
    """What can be drawn of one cut."""

    reachable: bool
    infeed_mm: float
    most_mm: float
    tool_axis: Three
    tip_at_touch_off: Three
    cutter_profile_mm: tuple[tuple[float, float], ...]
    front: FrontShown
    tooth: ToothShown
    sections: tuple[SectionShown, ...]
    leads: tuple[LeadAt, ...]


def cut_shape(asked: CutShapeRequest) -> CutShape:
    """The front, the sections and the leads of a lead-in."""
    at, aim, _solved, _chosen = stood(asked, shift=False)
    shown = aim.cut or aim.below or aim.above
    infeed = shown.infeed if shown is not None else 0.0
    return CutShape(
        reachable=aim.cut is not None,
        infeed_mm=infeed,
        most_mm=max(1.5 * infeed, infeed + at.body.ring.m_n),
        tool_axis=_three(at.pose.u),
        tip_at_touch_off=_three(at.tip_at_touch_off),
        cutter_profile_mm=_profile(at),
        front=_front(front(at, asked.rows, asked.rows)),
        tooth=_tooth(at),
        sections=tuple(map(_section, sections(at, infeed, finished=asked.every_space))),
        leads=_leads(at, infeed),
        notes=tuple(_notes(asked, aim.cut is not None)),
        sources=("iso-21771", "own-arithmetic"),
    )


def _three(v: NDArray[np.float64]) -> Three:
    r, t, a = (float(x) + 0.0 for x in v)
    return r, t, a


def _row(values: NDArray[np.float64]) -> tuple[float, ...]:
    return tuple(np.round(values, _DIGITS).tolist())


def _front(of: Front) -> FrontShown:
    return FrontShown(
        at=_three(of.at),
        across=_three(of.across),
        along=_three(of.along),
        infeed=_three(of.infeed),
        rows_mm=_row(of.rows),
        low_mm=_row(of.low),
        high_mm=_row(of.high),
        places=tuple(of.places.tolist()),
        height_mm=tuple(
            tuple(h if f else None for h, f in zip(heights, finite))
            for heights, finite in zip(np.round(of.height, _DIGITS).tolist(), np.isfinite(of.height).tolist())
        ),
    )


def _tooth(at: LeadIn) -> ToothShown:
    body = at.body
    radius = body.r_f + (body.r_a - body.r_f) * np.linspace(0, 1, 17) ** 2
    return ToothShown(
        radius_mm=_row(radius),
        half_angle_deg=tuple(np.round(np.degrees(body.half_angle(radius)), 7).tolist()),
        pitch_deg=float(np.degrees(body.pitch)),
        twist_deg_per_mm=float(np.degrees(body.twist)),
        face_width_mm=body.b,
    )


def _section(of: Section) -> SectionShown:
    return SectionShown(
        plane=of.name,
        x_mm=_row(of.x),
        low_mm=_row(of.low),
        high_mm=_row(of.high),
        left_low_mm=_row(of.left_low),
        left_high_mm=_row(of.left_high),
    )


def _leads(at: LeadIn, infeed: float) -> tuple[LeadAt, ...]:
    """At the tip, the reference circle, the start of the involute and halfway between."""
    body = at.body
    heights = sorted({body.r_form, (body.r_form + body.r) / 2, body.r, (body.r + body.r_a) / 2, body.r_a}, reverse=True)
    shown = []
    for radius in map(float, heights):
        cut = at.leads(infeed, radius)
        shown.append(LeadAt(radius_mm=radius, height_mm=radius - body.r, plus_mm=cut.plus, minus_mm=cut.minus))
    return tuple(shown)


def _profile(at: LeadIn) -> tuple[tuple[float, float], ...]:
    """Half the cutter's outline, (radius, height above its zero), from the middle of its end up its side."""
    if not isinstance(at.mill, EndMill):
        return _outline(at.mill)
    R, c = at.mill.R, at.mill.c
    turn = np.linspace(0, np.pi / 2, 17 if c > 0 else 1)
    corner = [(R - c + c * float(np.sin(x)), c - c * float(np.cos(x))) for x in turn]
    return ((0.0, 0.0), *corner, (R, 3 * R + c))


def _outline(mill: Cutter) -> tuple[tuple[float, float], ...]:
    """Outline of a cutter that has two ends, straight between its corners and rounded at them."""
    ends = [h for p in mill.solid.pieces for h in ((p.h - p.c, p.h + p.c) if isinstance(p, Bead) else (p.h0, p.h1))]
    heights = np.unique(np.concatenate([ends, np.linspace(min(ends), max(ends), 65)]))
    with np.errstate(invalid="ignore"):  # beside a rounding there is no radius of it
        radii = mill.solid.radius(heights)
    side = [(float(r), float(h)) for r, h in zip(radii, heights, strict=True) if np.isfinite(r)]
    return ((0.0, side[0][1]), *side, (0.0, side[-1][1]))


def _notes(asked: CutShapeRequest, reachable: bool) -> list[Note]:
    notes = [Note(code="sound_teeth", text=_("Drawn on sound teeth with sharp ends."))]
    if not reachable:
        text = _("The target is not reached; drawn is the cut that comes nearest below it, or else touch-off.")
        notes.append(Note(code="target_not_reached", text=text))
    if "every_space" not in asked.model_fields_set:
        notes.append(Note(code="default", text=_("Drawn as if every space has had the cut.")))
    return notes


CUT_SHAPE = Operation(
    name="cut_shape",
    purpose=N_("The cut as a shape: the surface that the cutter leaves, sections before and after, leads by height."),
    asked=CutShapeRequest,
    answered=CutShape,
    do=cut_shape,
    came_from=LEAD_IN.came_from,
)
