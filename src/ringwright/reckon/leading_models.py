"""What `lead_in` is asked and what it answers."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon import phrases
from ringwright.reckon.base import (
    Answered,
    Asked,
    Degrees,
    Given,
    Millimetres,
    Record,
)
from ringwright.reckon.ring import Ring
from ringwright.words import N_

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
