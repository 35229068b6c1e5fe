"""The lead-in: how far to feed, where the cutter touches first, and what the cut leaves of the teeth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import degrees, radians
from typing import Annotated, Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, model_validator

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.lead_in import EVER, Aim, Cut, LeadIn, touched
from ringwright.cutting.pose import (
    Pose,
    frame_in_machine,
    machine_direction,
    pose,
    slide_direction,
    tool_axis_of,
)
from ringwright.cutting.surface import RIM_MODULES, ToothedRing
from ringwright.cutting.touch_off import Contact
from ringwright.cutting.what_if import Change, Effect, effects, would_reach
from ringwright.errors import Refusal
from ringwright.reckon import phrases
from ringwright.reckon.base import (
    Answered,
    Asked,
    Came,
    Degrees,
    Given,
    Millimetres,
    Note,
    Operation,
    Record,
    WorkingLine,
)
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _

for _code, _what, _allowed, _do in (
    (
        "zero_vector",
        N_("“{field}” has no length and so no direction."),
        N_("Three numbers, not all nought."),
        N_("Give the direction; its length does not matter."),
    ),
    (
        "depth_along_feed",
        N_("The locked axis runs along the feed and so sets no depth."),
        N_("depth in another direction than feed."),
        N_("Name the axis that is set and locked, or leave depth out."),
    ),
    (
        "work_at_not_square",
        N_("work_at lies along the way the entry face looks."),
        N_("work_at square to entry_face_looks."),
        N_("Say on which side of the ring's axis the cutter works."),
    ),
    (
        "tool_axis_once",
        N_("The tool axis has to be given in exactly one way."),
        N_("tool_axis, or entry_face_looks and work_at with nod_deg and tilt_deg."),
        N_("Leave one, take the other out."),
    ),
    (
        "feed_once",
        N_("The feed has to be given in exactly one way."),
        N_("feed or feed_by."),
        N_("Leave one, take the other out."),
    ),
    (
        "depth_once",
        N_("The locked axis is given twice."),
        N_("depth or depth_by, or neither."),
        N_("Leave one, take the other out."),
    ),
    (
        "machine_words_needed",
        N_("A slide of the machine is named, but not how the ring lies on the machine."),
        N_("feed_by and depth_by together with entry_face_looks and work_at."),
        N_("Say where the entry face looks and on which side the cutter works."),
    ),
    (
        "face_width_for_lead",
        N_("The face width is missing."),
        N_("face_width_mm in the ring."),
        N_("Measure the face width and put it in."),
    ),
    (
        "one_target",
        N_("The target has to be given in exactly one way."),
        N_("Exactly one of lead_length_mm, end_land_finished_mm, infeed_mm."),
        N_("Leave one, take the others out."),
    ),
    (
        "corner_radius_too_great",
        N_("The corner radius is greater than half the cutter."),
        N_("At most half of diameter_mm."),
        N_("Look at both values."),
    ),
    (
        "never_touches",
        N_("On this path the cutter passes the ring by and never touches it."),
        N_("A path that meets the teeth."),
        N_("Look at tip and at the directions: r outward, a into the face, feed towards the metal."),
    ),
    (
        "always_in_metal",
        N_("However far the cutter is drawn back along the infeed, it stays in the ring."),
        N_("An infeed that comes from outside the ring."),
        N_("Turn the direction round, or look at the tool axis: it points from the tip to the spindle."),
    ),
    (
        "no_space_at_root",
        N_("The spaces have no width left at the root."),
        N_("A tooth narrower than the pitch at the root circle."),
        N_("Look at module, profile shift and root diameter."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

Coordinate = Annotated[Millimetres, Field(ge=-100_000, le=100_000)]
Vector = Annotated[tuple[Coordinate, Coordinate, Coordinate], Field(description="r, t, a")]
Side = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
Slide = Literal["+table", "-table", "+saddle", "-saddle", "+knee", "-knee", "+quill", "-quill"]


class Cutter(Record):
    """A milling cutter: flat, with or without a corner radius, or a ball."""

    kind: Literal["flat", "ball"]
    diameter_mm: Millimetres = Field(ge=0.1, le=500)
    corner_radius_mm: Millimetres = Field(0.0, ge=0)

    @model_validator(mode="after")
    def _corner(self) -> Self:
        if self.corner_radius_mm > self.diameter_mm / 2:
            raise ValueError("corner_radius_too_great")
        return self


class AskedPose(Record):
    """POSE of the contract: vectors in the frame (r, t, a), or machine words; ``tip`` is always in the frame."""

    tip: Vector
    tool_axis: Vector | None = None
    feed: Vector | None = None
    depth: Vector | None = None
    entry_face_looks: Side | None = None
    work_at: Side | None = None
    nod_deg: Degrees | None = Field(None, ge=-180, le=180)
    tilt_deg: Degrees | None = Field(None, ge=-180, le=180)
    feed_by: Slide | None = None
    depth_by: Slide | None = None

    @model_validator(mode="after")
    def _once(self) -> Self:
        lies = self.entry_face_looks is not None and self.work_at is not None
        machine = lies or self.entry_face_looks is not None or self.work_at is not None
        leans = self.nod_deg is not None or self.tilt_deg is not None
        if (self.tool_axis is None) == (not lies) or (self.tool_axis is not None and (machine or leans)):
            raise ValueError("tool_axis_once")
        if (self.feed is None) == (self.feed_by is None):
            raise ValueError("feed_once")
        if self.depth is not None and self.depth_by is not None:
            raise ValueError("depth_once")
        if (self.feed_by or self.depth_by) and not lies:
            raise ValueError("machine_words_needed")
        return self


class Target(Record):
    """Exactly one: depth in a of the smaller lead, land left on the finished ring, or a plain infeed."""

    lead_length_mm: Millimetres | None = Field(None, gt=0, le=5000)
    end_land_finished_mm: Millimetres | None = Field(None, ge=0, le=500)
    infeed_mm: Millimetres | None = Field(None, ge=0, le=5000)

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(t is not None for t in (self.lead_length_mm, self.end_land_finished_mm, self.infeed_mm)) != 1:
            raise ValueError("one_target")
        return self


class LeadInRequest(Asked):
    """What `lead_in` is asked."""

    ring: Ring
    cutter: Cutter
    pose: AskedPose
    target: Target


class Pair(Given):
    """On the teeth at +t and at -t."""

    plus: float
    minus: float


class Alternative(Given):
    """A contact that comes at the same time or little later."""

    point: tuple[float, float, float]
    surface: str
    later_mm: float


class GivenTouchOff(Given):
    """First contact with the sound, uncut ring."""

    point: tuple[float, float, float]
    surface: str
    shift_per_mm_of_corner_lost: float | None
    grazing: bool
    alternatives: tuple[Alternative, ...]


class GivenPose(Given):
    """The pose in the frame (r, t, a), directions of unit length."""

    tool_axis: tuple[float, float, float]
    feed: tuple[float, float, float]
    tip: tuple[float, float, float]
    depth: tuple[float, float, float] | None


class Saturation(Given):
    """Where the smaller lead stops growing."""

    infeed_mm: float
    lead_length_mm: Pair
    end_land_finished_mm: float


class Best(Given):
    """The cuts on either side of a target that is passed over."""

    below: Saturation | None
    above: Saturation | None


class Sensitivity(Given):
    """Change of the smaller lead and of the finished land when one thing is out by ``unit``."""

    to: str
    unit: str
    lead_mm: float | None
    land_mm: float | None
    says: str


class LeadInAnswer(Answered):
    """What `lead_in` answers; lengths in mm in the frame (r, t, a)."""

    reachable: bool
    infeed_mm: float | None
    pose: GivenPose
    tip_at_touch_off: tuple[float, float, float]
    touch_off: GivenTouchOff
    lead_length_mm: Pair | None
    end_land_mm: Pair | None
    end_land_finished_mm: float | None
    full_face_mm: float | None
    saturation: Saturation | None
    sensitivity: tuple[Sensitivity, ...] | None
    best: Best | None = None
    would_reach: tuple[str, ...] = ()


def core_pose(asked: AskedPose) -> Pose:
    """The pose of a request in the frame, directions of unit length."""
    if asked.tool_axis is not None:
        assert asked.feed is not None  # _once holds
        return pose(asked.tool_axis, asked.feed, asked.tip, asked.depth)
    assert asked.entry_face_looks is not None
    assert asked.work_at is not None
    frame = frame_in_machine(asked.entry_face_looks, asked.work_at)
    axis = tool_axis_of(radians(asked.nod_deg or 0.0), radians(asked.tilt_deg or 0.0))
    feed: ArrayLike
    if asked.feed is not None:
        feed = asked.feed
    else:
        assert asked.feed_by is not None  # _once holds
        feed = frame @ slide_direction(asked.feed_by, axis)
    depth = frame @ slide_direction(asked.depth_by, axis) if asked.depth_by is not None else asked.depth
    return pose(frame @ axis, feed, asked.tip, depth, nod_about=frame @ machine_direction("+x"))


def set_up(asked: LeadInRequest) -> LeadIn:
    """Ring, cutter and pose of a request in core units, touched off; drawings start here too."""
    if asked.ring.face_width_mm is None:
        raise Refusal("face_width_for_lead", "b")
    R = asked.cutter.diameter_mm / 2
    mill = EndMill(R, R if asked.cutter.kind == "ball" else asked.cutter.corner_radius_mm)
    return touched(ToothedRing(core_ring(asked.ring), asked.ring.face_width_mm), mill, core_pose(asked.pose))


@dataclass(frozen=True, slots=True)
class _Sums:
    """What ring, cutter, pose and target come to; the answer only puts it into words."""

    at: LeadIn
    aim: Aim
    saturation: Cut | None
    full_face: float | None
    effects: tuple[Effect, ...] | None
    would_reach: tuple[Change, ...]


@lru_cache(maxsize=64)
def _reckoned(ring: Ring, cutter: Cutter, posed: AskedPose, target: Target) -> _Sums:
    """All sums of a request; kept, since the pages, the sheet and the papers of a round ask the same again."""
    at = set_up(LeadInRequest(ring=ring, cutter=cutter, pose=posed, target=target))
    seeker = _seeker(target)
    aim = seeker(at, True)
    cut = aim.cut
    return _Sums(
        at=at,
        aim=aim,
        saturation=at.saturation(),
        full_face=at.full_face(cut.infeed) if cut else None,
        effects=tuple(effects(at, cut)) if cut else None,
        would_reach=() if cut else tuple(would_reach(at, _could(target), lambda here: seeker(here, False))),
    )


def lead_in(asked: LeadInRequest) -> LeadInAnswer:
    """Touch-off, infeed for the target, and what that cut leaves."""
    sums = _reckoned(asked.ring, asked.cutter, asked.pose, asked.target)
    at, aim, cut = sums.at, sums.aim, sums.aim.cut
    return LeadInAnswer(
        reachable=cut is not None,
        infeed_mm=cut.infeed if cut else None,
        pose=GivenPose(
            tool_axis=_three(at.pose.u),
            feed=_three(at.pose.f),
            tip=_three(at.pose.tip),
            depth=None if at.pose.d is None else _three(at.pose.d),
        ),
        tip_at_touch_off=_three(at.tip_at_touch_off),
        touch_off=_touch_off(at),
        lead_length_mm=Pair(plus=cut.leads.plus, minus=cut.leads.minus) if cut else None,
        end_land_mm=Pair(plus=cut.land_plus, minus=cut.land_minus) if cut else None,
        end_land_finished_mm=cut.land_finished if cut else None,
        full_face_mm=sums.full_face,
        saturation=_short(sums.saturation),
        sensitivity=tuple(map(_sensitivity, sums.effects)) if sums.effects is not None else None,
        best=None if cut else Best(below=_short(aim.below), above=_short(aim.above)),
        would_reach=tuple(map(_change, sums.would_reach)),
        notes=tuple(_notes(asked, at, cut)),
        sources=("iso-21771", "own-arithmetic"),
        working=tuple(_working(sums)) if asked.working else None,
    )


def _seeker(target: Target) -> Callable[[LeadIn, bool], Aim]:
    """How a set-up is asked for the target."""
    lead, land, infeed = target.lead_length_mm, target.end_land_finished_mm, target.infeed_mm
    if lead is not None:
        return lambda here, best: here.aim_lead(lead, best=best)
    if land is not None:
        return lambda here, best: here.aim_land(land, best=best)
    assert infeed is not None  # _one holds
    return lambda here, best: Aim(here.cut(infeed), None, None)


def _could(target: Target) -> Callable[[LeadIn], bool]:
    """Whether a set-up could have the target at some infeed, asked without its touch-off."""
    if target.lead_length_mm is not None:
        lead = target.lead_length_mm
        return lambda here: here.leads(EVER).least >= lead
    land = target.end_land_finished_mm or 0.0
    return lambda here: here.land(EVER) <= land


def _three(v: NDArray[np.float64]) -> tuple[float, float, float]:
    r, t, a = (float(x) + 0.0 for x in v)
    return r, t, a


def _touch_off(at: LeadIn) -> GivenTouchOff:
    touch = at.touch

    def later(contact: Contact) -> Alternative:
        return Alternative(
            point=_three(contact.point), surface=contact.surface, later_mm=max(contact.s - touch.first.s, 0.0)
        )

    return GivenTouchOff(
        point=_three(touch.first.point),
        surface=touch.first.surface,
        shift_per_mm_of_corner_lost=touch.shift,
        grazing=touch.grazing,
        alternatives=tuple(map(later, touch.others)),
    )


def _short(cut: Cut | None) -> Saturation | None:
    if cut is None:
        return None
    return Saturation(
        infeed_mm=cut.infeed,
        lead_length_mm=Pair(plus=cut.leads.plus, minus=cut.leads.minus),
        end_land_finished_mm=cut.land_finished,
    )


_SAYS = {
    "tip_radial": N_("tip further out from the ring's axis, touched off afresh"),
    "tip_axial": N_("tip further into the face, touched off afresh"),
    "centre": N_("cutter off the middle of the space, towards +t, touched off afresh"),
    "nod": N_("head nodded further than meant, touched off afresh"),
    "touch_off": N_("zero taken too late, as on a worn edge: the cut goes deeper than meant"),
    "cutter_diameter": N_("cutter smaller, as after regrinding, touched off afresh"),
    "tooth_thickness": N_("teeth thinner on the reference circle, as when worn, touched off afresh"),
}


def _sensitivity(effect: Effect) -> Sensitivity:
    unit = f"{degrees(effect.amount):g} deg" if effect.name == "nod" else f"{effect.amount:g} mm"
    return Sensitivity(to=effect.name, unit=unit, lead_mm=effect.lead, land_mm=effect.land, says=_(_SAYS[effect.name]))


def _change(change: Change) -> str:
    if change.name == "cutter_diameter":
        return _("A cutter of {d} mm, infeed {s} mm.", d=f"{change.value:g}", s=f"{change.infeed:.2f}")
    if change.name == "tip_axial":
        return _("The tip at a {a} mm, infeed {s} mm.", a=f"{change.value:g}", s=f"{change.infeed:.2f}")
    more = f"{degrees(change.value):+g}"
    return _("The head nodded {more} degrees further, infeed {s} mm.", more=more, s=f"{change.infeed:.2f}")


def _notes(asked: LeadInRequest, at: LeadIn, cut: Cut | None) -> list[Note]:
    notes = [
        Note(
            code="holder_not_judged",
            text=_("The cutter is taken as endless towards the spindle: flute length and holder are not judged."),
        ),
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
        notes.append(Note(code="no_fillet", text=_("The root of an internal ring is taken without its fillet.")))
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
    if cut is not None and cut.leads.least > 0 and not at.opens_to_the_face(cut.infeed):
        notes.append(
            Note(
                code="not_from_the_face",
                text=_("The cut does not begin at the entry face: the lead is counted from the face to its far end."),
            )
        )
    if cut is not None and cut.land_finished <= 0:
        notes.append(Note(code="no_land_left", text=_("No land is left at the entry face on the reference circle.")))
    return notes


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
    return said


def _working(sums: _Sums) -> list[WorkingLine]:
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


LEAD_IN = Operation(
    name="lead_in",
    purpose=N_("How far to feed for a lead-in, where the cutter touches first, and what is left of the teeth."),
    asked=LeadInRequest,
    answered=LeadInAnswer,
    do=lead_in,
    came_from={
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "alpha_n": Came("ring.pressure_angle_deg", "deg"),
        "beta": Came("ring.helix_angle_deg", "deg"),
        "x": Came("ring.profile_shift"),
        "h_a": Came("ring.addendum_coef"),
        "h_f": Came("ring.dedendum_coef"),
        "rho_f": Came("ring.root_radius_coef"),
        "s_n": Came("ring.thickness_allowance_mm", "mm"),
        "allowance": Came("ring.thickness_allowance_mm", "mm"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
        "d_f": Came("ring.root_diameter_mm", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        "D": Came("cutter.diameter_mm", "mm"),
        "r_c": Came("cutter.corner_radius_mm", "mm"),
        "u": Came("pose.tool_axis"),
        "f": Came("pose.feed"),
        "d": Came("pose.depth"),
        "tip": Came("pose.tip"),
        "work_at": Came("pose.work_at"),
    },
)
