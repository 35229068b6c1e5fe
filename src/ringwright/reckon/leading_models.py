"""What `lead_in` is asked and what it answers."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon import phrases
from ringwright.reckon.base import (
    Asked,
    Degrees,
    Millimetres,
    Record,
)
from ringwright.reckon.leading_cutters import Cutter
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
        N_("Exactly one of lead_length_mm, end_land_finished_mm, bevel_tip_mm, bevel_root_mm, infeed_mm, copy."),
        N_("Leave one, take the others out."),
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
    (
        "swing_without_head",
        N_("A swing about the quill is given, but no right-angle head."),
        N_("swing_deg together with right_angle_head_looks."),
        N_("Say where the free end of the cutter points."),
    ),
    (
        "behind_needs_start",
        N_("It is not said how high the cutter's edges go, so where the shank begins."),
        N_("flute_length_mm or width_mm in the cutter."),
        N_("Measure it and put it in."),
    ),
    (
        "copy_empty",
        N_("Nothing was read of the lead-in to copy."),
        N_("lead_length_mm, end_land_finished_mm, or both, as read on the sound tooth."),
        N_("Read the sound tooth at the pitch line."),
    ),
    (
        "also_needed",
        N_("A second unknown needs a second wish."),
        N_("“also” beside “target”, or a copy with both readings; for tip_offset_t it may be left out."),
        N_("Say in “also” what the second unknown is to bring about."),
    ),
    (
        "also_idle",
        N_("“also” says a second wish, but there is only one unknown."),
        N_("“also” with solve_for nod_deg, tilt_deg, tip_offset_t or locked_position_mm."),
        N_("Leave it out, or name the second unknown in solve_for."),
    ),
    (
        "cutters_needed",
        N_("There is no kit to choose the cutter from."),
        N_("At least one cutter in “cutters”, with solve_for “cutter”."),
        N_("Put the cutters of the kit in."),
    ),
    (
        "nothing_locked",
        N_("In this pose no place is locked square to the infeed in the plane through the ring's axis."),
        N_("A pose with feed only: with a locked axis the pass along the feed is complete."),
        N_("Leave depth out, or solve for something else."),
    ),
    (
        "machine_words_for_head",
        N_("Nod and tilt of the head can be solved for only when the pose is said in machine words."),
        N_("entry_face_looks and work_at in the pose, no tool_axis."),
        N_("Say how the ring lies on the machine."),
    ),
    (
        "axis_readout",
        N_("The scale of the axis is not said whole."),
        N_("mm_per_turn and divisions, or readout true."),
        N_("Look at the handwheel: millimetres a turn, divisions a turn."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)
Coordinate = Annotated[Millimetres, Field(ge=-100_000, le=100_000)]
Vector = Annotated[tuple[Coordinate, Coordinate, Coordinate], Field(description="r, t, a")]
Side = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
Slide = Literal["+table", "-table", "+saddle", "-saddle", "+knee", "-knee", "+quill", "-quill"]


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
    right_angle_head_looks: Literal["+x", "-x", "+y", "-y"] | None = Field(
        None, description="where the free end of cutter or arbor points while the head is square"
    )
    swing_deg: Degrees | None = Field(None, ge=-180, le=180, description="of the right-angle head about the quill")
    feed_by: Slide | None = None
    depth_by: Slide | None = None

    @model_validator(mode="after")
    def _once(self) -> Self:
        lies = self.entry_face_looks is not None and self.work_at is not None
        machine = lies or self.entry_face_looks is not None or self.work_at is not None
        head = (self.nod_deg, self.tilt_deg, self.right_angle_head_looks, self.swing_deg)
        leans = any(one is not None for one in head)
        if self.swing_deg is not None and self.right_angle_head_looks is None:
            raise ValueError("swing_without_head")
        if (self.tool_axis is None) == (not lies) or (self.tool_axis is not None and (machine or leans)):
            raise ValueError("tool_axis_once")
        if (self.feed is None) == (self.feed_by is None):
            raise ValueError("feed_once")
        if self.depth is not None and self.depth_by is not None:
            raise ValueError("depth_once")
        if (self.feed_by or self.depth_by) and not lies:
            raise ValueError("machine_words_needed")
        return self


class Copy(Record):
    """Readings of a sound tooth's lead-in, at the pitch line."""

    lead_length_mm: Millimetres | None = Field(None, gt=0, le=5000)
    end_land_finished_mm: Millimetres | None = Field(None, ge=0, le=500)

    @model_validator(mode="after")
    def _some(self) -> Self:
        if self.lead_length_mm is None and self.end_land_finished_mm is None:
            raise ValueError("copy_empty")
        return self


class Target(Record):
    """Exactly one: depth in a of the smaller lead, land left on the finished ring, bevel, infeed, or a copy."""

    lead_length_mm: Millimetres | None = Field(None, gt=0, le=5000)
    end_land_finished_mm: Millimetres | None = Field(None, ge=0, le=500)
    bevel_tip_mm: Millimetres | None = Field(None, gt=0, le=5000, description="lead at the tip, smaller of both")
    bevel_root_mm: Millimetres | None = Field(None, gt=0, le=5000, description="lead at the root end of the involute")
    infeed_mm: Millimetres | None = Field(None, ge=0, le=5000)
    given: Copy | None = Field(None, alias="copy", description="readings of a sound tooth")

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(getattr(self, name) is not None for name in type(self).model_fields) != 1:
            raise ValueError("one_target")
        return self

    @property
    def lead(self) -> float | None:
        """The lead wished at the pitch line, or read on the tooth to copy [mm]."""
        return self.given.lead_length_mm if self.given else self.lead_length_mm

    @property
    def land(self) -> float | None:
        """The land wished, or read on the tooth to copy where no lead was read [mm]."""
        if self.given is None:
            return self.end_land_finished_mm
        return self.given.end_land_finished_mm if self.given.lead_length_mm is None else None


class AskedAxis(Record):
    """How the axis that feeds in is read: handwheel and divisions, or a readout."""

    name: str = Field("", max_length=40)
    mm_per_turn: Millimetres | None = Field(None, gt=0, le=100)
    divisions: int | None = Field(None, ge=1, le=10_000)
    sense: str = Field("", max_length=80, description="what is seen to move, for a pose without machine words")
    readout: bool = False
    readout_step_mm: Millimetres | None = Field(None, gt=0, le=1)

    @model_validator(mode="after")
    def _read(self) -> Self:
        if not self.readout and (self.mm_per_turn is None or self.divisions is None):
            raise ValueError("axis_readout")
        return self


class LostCorner(Record):
    """A tooth that is not sound: end edges less a 45 degree corner, by its leg; worn, welded up, set back."""

    tooth: int = Field(ge=1, le=1000)
    corner_mm: Millimetres = Field(0.0, ge=0, le=100)
    flanks_lost_mm: Millimetres = Field(0.0, ge=-20, le=20, description="square to both flanks; below 0 welded up")
    tip_lost_mm: Millimetres = Field(0.0, ge=-20, le=100, description="radially; below 0 built up")
    end_back_mm: Millimetres = Field(0.0, ge=-50, le=500, description="its own end; below 0 it stands proud")


class Behind(Record):
    """A part behind the edges, one on the other from the edges up: shank, holder, nose; ``upper`` for a cone."""

    name: str = Field(min_length=1, max_length=40)
    length_mm: Millimetres = Field(gt=0, le=1000)
    diameter_mm: Millimetres = Field(ge=0.1, le=1000)
    upper_diameter_mm: Millimetres | None = Field(None, ge=0.1, le=1000)


Unknown = Literal["infeed", "tip_offset_t", "nod_deg", "tilt_deg", "locked_position_mm", "cutter"]


class LeadInRequest(Asked):
    """What `lead_in` is asked."""

    ring: Ring
    cutter: Cutter
    pose: AskedPose
    target: Target
    solve_for: Unknown = "infeed"
    also: Target | None = Field(None, description="second wish, for the second unknown")
    cutters: tuple[Cutter, ...] = Field((), max_length=60)
    axis: AskedAxis | None = None
    passes: int = Field(1, ge=1, le=50)
    gauge_mm: Millimetres = Field(0.0, ge=0, le=100)
    behind: tuple[Behind, ...] = Field((), max_length=8)
    lost: tuple[LostCorner, ...] = Field((), max_length=1000)
    hand_of_cutter: Literal["right", "left"] = "right"
    worm_seats: Literal["clockwise", "anticlockwise"] | None = Field(
        None, description="push on the ring, seen on the entry face, that seats the worm"
    )
    indicator_travel_mm: Millimetres = Field(10.0, ge=0.1, le=500)

    @model_validator(mode="after")
    def _unknowns(self) -> Self:
        both = self.target.given is not None and None not in self.target.given.model_dump().values()
        if self.solve_for == "cutter" and not self.cutters:
            raise ValueError("cutters_needed")
        if self.solve_for in ("infeed", "cutter") and self.also is not None:
            raise ValueError("also_idle")
        if self.solve_for in ("nod_deg", "tilt_deg", "locked_position_mm") and self.also is None and not both:
            raise ValueError("also_needed")
        if self.solve_for in ("nod_deg", "tilt_deg") and self.pose.tool_axis is not None:
            raise ValueError("machine_words_for_head")
        if self.behind and self.cutter.top is None:
            raise ValueError("behind_needs_start")
        if self.solve_for == "locked_position_mm" and (self.pose.depth is not None or self.pose.depth_by is not None):
            raise ValueError("nothing_locked")
        return self
