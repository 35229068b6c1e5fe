"""What ``detent`` is asked and what it answers."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon.base import Answered, Asked, Degrees, Given, Millimetres, Record
from ringwright.reckon.ring import Ring

Tooth = Annotated[int, Field(ge=1, le=1000)]
#: Taken when nothing is said: teeth between detent and cutter, depth of a pawl in whole depths.
LEAST_AWAY, PAWL_DEPTH = 3, 0.75


class DetentAsked(Record):
    """The detent; a size that is left out is the best one."""

    shape: Literal["ball", "pin", "wedge", "pawl"]
    diameter_mm: Millimetres | None = Field(None, gt=0, ge=0.05, le=1000)
    included_angle_deg: Degrees | None = Field(None, ge=2, le=160)
    nose_mm: Millimetres | None = Field(None, ge=0, le=1000)
    body_mm: Millimetres | None = Field(None, gt=0, le=2000)
    face_angle_deg: Degrees | None = Field(None, ge=0, le=80)
    depth_mm: Millimetres | None = Field(None, gt=0, le=500)
    bears_on: Literal["plus", "minus"] = "plus"

    @model_validator(mode="after")
    def _its_own_sizes(self) -> Self:
        own = {"ball": ("diameter_mm",), "pin": ("diameter_mm",), "wedge": ("included_angle_deg", "nose_mm", "body_mm"),
               "pawl": ("face_angle_deg", "nose_mm", "depth_mm", "bears_on")}[self.shape]  # fmt: skip
        if self.model_fields_set - {"shape", *own}:
            raise ValueError("not_this_shape")
        return self


class WornAsked(Record):
    """Wear of the space's two flanks, normal to the flank."""

    plus_mm: Millimetres = Field(0.0, ge=0, le=50)
    minus_mm: Millimetres = Field(0.0, ge=0, le=50)


class PlaceMeasured(Record):
    """Where an old space really stands against an even division, plus in the sense of counting."""

    space: Tooth
    um: float = Field(ge=-100_000, le=100_000)


class DetentRequest(Asked):
    """The ring, the detent, what is wrong with the old teeth, and what is to be cut."""

    ring: Ring
    detent: DetentAsked
    worn: WornAsked = WornAsked()
    pitch_error_um: float = Field(0.0, ge=0, le=100_000, description="how far one flank may stand out, either way")
    eccentricity_mm: Millimetres = Field(0.0, ge=0, le=50)
    slide_play_mm: Millimetres = Field(0.0, ge=0, le=10)
    repeat_um: float = Field(0.0, ge=0, le=10_000, description="standard deviation of seating again")
    teeth_away: int | None = Field(None, ge=-999, le=999)
    cut: tuple[Tooth, ...] = Field((), max_length=1000)
    damaged: tuple[Tooth, ...] = Field((), max_length=1000)
    cut_spoils: bool = True
    least_away: int = Field(LEAST_AWAY, ge=1, le=500)
    measured: tuple[PlaceMeasured, ...] = Field((), max_length=1000)


class DetentTaken(Given):
    """The detent as reckoned, whether given or the best."""

    shape: str
    diameter_mm: float | None
    included_angle_deg: float | None
    nose_mm: float | None
    face_angle_deg: float | None
    depth_mm: float | None
    bears_on: str | None


class SeatFound(Given):
    """Where it sits; lengths along the slide are radial.

    ``touches``: "both_flanks", "plus_flank", "minus_flank", "tips", "fillet", "root", "nose_corners".
    ``slope_deg`` of the contact against the slide; ``loose_um`` how far the ring can be turned each way while the
    detent stands; ``drops_mm`` how much deeper it goes than in an unworn space; ``turned_um`` by which the ring stands
    off the middle of the space (a pawl).
    """

    touches: str
    holds: bool
    contact_diameter_mm: float
    contact_below_tip_mm: float
    contact_beside_mm: float
    to_flank_end_at_tip_mm: float
    to_flank_end_at_root_mm: float
    depth_mm: float
    nose_diameter_mm: float
    root_clearance_mm: float
    slope_deg: float
    loose_um: float | None
    drops_mm: float
    turned_um: float
    says: str


class BestSize(Given):
    """The size that touches halfway up the flanks and stays off the root."""

    diameter_mm: float | None
    included_angle_deg: float | None
    nose_mm: float | None
    face_angle_deg: float | None
    contact_diameter_mm: float
    root_clearance_mm: float
    says: str


class CarriedOver(Given):
    """One part of what the new tooth gets; ``um`` on the reference circle.

    ``how``: "steady" (signed, the same at every tooth, seen at the joint), "swing" (once round the ring, amplitude),
    "either_way" (plus or minus), "scatter" (one standard deviation).
    """

    what: str
    how: str
    um: float
    arcsec: float
    says: str


class Totals(Given):
    """Worst cases on the reference circle, and the scatter on top of each as one standard deviation of a place."""

    place_um: float
    neighbour_um: float
    joint_um: float
    on_plate_um: float
    scatter_um: float


class SettingFound(Given):
    """The detent so many teeth from the cutter, in the sense of counting, and what can be cut so."""

    teeth_away: int
    detent_at_deg: float
    cut: tuple[int, ...]
    run_out_um: float


class JointFound(Given):
    """Pitch errors where a run of new spaces meets the old ones, and what to move the run by to share them out.

    ``spread_um``: the error of every pitch when the run is set evenly between its old neighbours instead.
    """

    first: int
    last: int
    at_first_um: float
    at_last_um: float
    move_run_um: float
    spread_um: float


class RowFound(Given):
    """One space to be cut: the space the detent sits in, and where the new tooth will stand as far as is measured."""

    space: int
    detent_in: int
    teeth_away: int
    new_um: float | None


class DetentAnswer(Answered):
    """The detent, its seat, what it carries over, where it may sit."""

    detent: DetentTaken
    seat: SeatFound
    best: BestSize | None
    carried: tuple[CarriedOver, ...]
    totals: Totals
    teeth_away: int
    detent_at_deg: float
    settings: tuple[SettingFound, ...]
    cannot: tuple[int, ...]
    not_to_use: tuple[int, ...]
    rows: tuple[RowFound, ...]
    joints: tuple[JointFound, ...]
    says: str
