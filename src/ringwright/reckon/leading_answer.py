"""What `lead_in` answers."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwright.reckon.base import Answered, Given
from ringwright.reckon.leading_models import Unknown


class Pair(Given):
    """On the teeth at +t and at -t."""

    plus: float
    minus: float


class Opens(Given):
    """Whether the flanks at +t and at -t are cut right from the entry face on, at the pitch line."""

    plus: bool
    minus: bool


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


class Bevels(Given):
    """Depth in a of the cut at the tip and at the root end of the involute."""

    tip_mm: Pair
    root_mm: Pair


class Pass(Given):
    """One pass: infeed from touch-off at its end, metal it takes, and the infeed as it is turned."""

    infeed_mm: float
    removed_mm3: float
    turned: str | None


class BetterTouch(Given):
    """Another surface to touch; ``offset_mm`` from that touch to touch-off, or to the cutter's place."""

    on: Literal["end_face", "tip", "root"]
    sets: Literal["infeed", "place"]
    gauge_mm: float
    offset_mm: float
    infeed_mm: float | None
    turned: str | None
    says: str


class PartGap(Given):
    """Nearest approach of a part behind the edges, 0 or below where it strikes; ``strikes_at_mm`` from touch-off."""

    part: str
    gap_mm: float
    point: tuple[float, float, float]
    strikes_at_mm: float | None


class WornTooth(Given):
    """A tooth as it is: infeed from the sound touch-off at which the cutter meets it, below 0 before that."""

    tooth: int
    corner_mm: float
    starts_at_mm: float | None
    cuts_air: bool
    says: str = ""


class FlankTurning(Given):
    """How one flank is cut, and where burrs come."""

    cuts: Literal["climb", "conventional", "across"]
    burr: tuple[Literal["entry_face", "flank", "tip", "root"], ...]


class Turning(Given):
    """Which way everything turns; ``plus`` is the tooth clockwise of the space, seen on the entry face."""

    hand_of_cutter: Literal["right", "left"]
    plus: FlankTurning | None
    minus: FlankTurning | None
    push: Literal["clockwise", "anticlockwise", "none"]
    push_share: float
    pushed_by_chips: Literal["clockwise", "anticlockwise", "both"] | None = None
    seats_worm: bool | None
    says: tuple[str, ...]


class HeadSetting(Given):
    """Setting one angle of the head by indicator, and tramming back."""

    angle: Literal["nod", "tilt"]
    angle_deg: float
    travel_mm: float
    indicator_mm: float
    per_tenth_degree_mm: float
    first: bool = Field(False, description="to be set while the other angle stands at nought")
    says: str


class Solved(Given):
    """The second unknown."""

    unknown: Unknown
    value: float | str | None
    unit: str
    infeed_mm: float | None
    says: str


class Copied(Given):
    """What was read on the sound tooth, and by how much the cut differs."""

    lead_off_mm: float | None
    land_off_mm: float | None


class LeadInAnswer(Answered):
    """What `lead_in` answers; lengths in mm in the frame (r, t, a)."""

    reachable: bool
    infeed_mm: float | None
    pose: GivenPose
    tip_at_touch_off: tuple[float, float, float]
    touch_off: GivenTouchOff
    lead_length_mm: Pair | None
    opens_to_face: Opens | None = Field(None, description="false: cut only inside, or not at all; see the notes")
    end_land_mm: Pair | None
    end_land_finished_mm: float | None
    full_face_mm: float | None
    saturation: Saturation | None
    sensitivity: tuple[Sensitivity, ...] | None
    best: Best | None = None
    would_reach: tuple[str, ...] = ()
    constant: Literal["land", "lead"] | None = Field(None, description="what the infeed does not change")
    turned: str | None = None
    bevel: Bevels | None = None
    sharp_edge_mm: Pair | None = None
    root_nick_mm: float | None = None
    neighbour_cut_mm: float | None = None
    neighbour_removed_mm3: float | None = None
    removed_mm3: float | None = None
    passes: tuple[Pass, ...] = ()
    better_touch_off: tuple[BetterTouch, ...] = ()
    behind: tuple[PartGap, ...] = ()
    worn_teeth: tuple[WornTooth, ...] = ()
    turning: Turning | None = None
    head_setting: tuple[HeadSetting, ...] = ()
    tram_back: str = ""
    hand_finish: tuple[str, ...] = ()
    solved: Solved | None = None
    copied: Copied | None = None
