"""Request and answer of ``mesh``."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon.base import Answered, Asked, Degrees, Given, Millimetres, Record
from ringwright.reckon.ring import Ring

Kind = Literal["circumferential", "normal", "radial"]


class Backlash(Record):
    """A backlash, and which one: at the working circle, along the normal, or of the centres."""

    kind: Kind
    mm: Millimetres = Field(ge=0, le=100)


class Bevel(Record):
    """A bevel on the mate's tooth ends: its length along the tooth, its angle to the tooth."""

    length_mm: Millimetres = Field(ge=0, le=1000)
    angle_deg: Degrees = Field(45.0, ge=5, le=85)
    flanks: Literal["one", "both"] = "both"


class Entry(Record):
    """How the mate comes into mesh; flanks as on the tooth map, "plus" is the clockwise one on the entry face."""

    how: Literal["thrown_at_rest", "thrown_turning", "slid", "always"]
    loaded_flank: Literal["plus", "minus", "both"] | None = Field(None, description="of the ring's teeth")
    throw_mm: Millimetres | None = Field(None, gt=0, le=5000)
    gap_mm: Millimetres | None = Field(None, ge=0, le=5000, description="from the mate at rest to the entry face")
    mate_bevel: Bevel | None = None
    ring_end_land_mm: Millimetres | None = Field(None, ge=0, le=400)
    mate_end_land_mm: Millimetres | None = Field(None, ge=0, le=400)
    lead_length_mm: Millimetres | None = Field(None, ge=0, le=1000, description="left out: what the land needs")
    bevel_angle_deg: Degrees = Field(45.0, ge=5, le=85, description="of the ring's lead-in, to the tooth")
    end_land_wanted_mm: Millimetres | None = Field(None, ge=0, le=400)


class MeshAsked(Asked):
    """Ring and mate, one of them internal at most; centres, or a backlash, or neither: then the tight mesh."""

    ring: Ring
    mate: Ring
    centre_distance_mm: Millimetres | None = Field(None, gt=0, le=100_000)
    backlash: Backlash | None = None
    ring_thickness_lost_mm: Millimetres = Field(0.0, ge=0, le=200)
    mate_thickness_lost_mm: Millimetres = Field(0.0, ge=0, le=200)
    ring_tip_chamfer_mm: Millimetres = Field(0.0, ge=0, le=100, description="off each flank radially, as in gear")
    mate_tip_chamfer_mm: Millimetres = Field(0.0, ge=0, le=100)
    normal_backlash_limit_mm: Millimetres | None = Field(None, gt=0, le=100)
    use: Literal["general", "girth", "starter"] = "general"
    entry: Entry | None = None

    @model_validator(mode="after")
    def _centres_once(self) -> Self:
        if self.centre_distance_mm is not None and self.backlash is not None:
            raise ValueError("centres_twice")
        return self


class Side(Given):
    """One gear of the pair."""

    working_diameter_mm: float
    contact_from_mm: float | None = Field(description="diameter where contact is nearest the root; null: no contact")
    contact_to_mm: float | None
    form_diameter_mm: float = Field(description="where the flank ends near the root")
    flank_missing_mm: float = Field(description="along the line of action; 0 where the mate's tip finds flank")
    tip_meets_fillet: bool = Field(description="the mate's tip runs on the fillet; false where undercut lets it by")
    tip_clearance_mm: float = Field(description="own tip to the mate's root")
    sliding_near_root: float | None
    sliding_near_tip: float | None
    undercut: bool | None = Field(description="by a rack; null for an internal ring")
    least_profile_shift: float | None = Field(description="free of undercut by a rack")
    backlash_turn_deg: float = Field(description="free turn while the other one is held")


class Ratios(Given):
    """Contact ratios; those with the helix are null where a helical pair has no face width."""

    transverse: float
    transverse_by_tips: float
    overlap: float | None
    total: float | None


class BacklashGiven(Given):
    """The same backlash in its three measures; radial is null where no tight mesh exists."""

    circumferential_mm: float
    normal_mm: float
    radial_mm: float | None


class InternalGiven(Given):
    """The three tests of an internal pair; at least 0 is clear, null says nothing."""

    involute_mm: float
    tips_mm: float | None
    radial_mm: float | None
    goes_in_radially: bool | None


class Recommended(Given):
    """Recommended normal backlash by one source; ``covers`` false: the pair lies outside what the source speaks of."""

    by: Literal["least", "range", "girth", "starter"]
    normal_low_mm: float
    normal_high_mm: float | None
    covers: bool
    source: str


class Room(Given):
    """What may still go before the normal backlash passes the limit."""

    limit_normal_mm: float
    thickness_mm: float = Field(description="both gears together, normal arc at the reference circle")
    recut_depth_mm: float = Field(description="the ring cut deeper by the same cutter")


class OtherMate(Given):
    """The mate that would give the least recommended backlash with this ring at these centres."""

    for_normal_backlash_mm: float
    profile_shift: float
    tip_diameter_mm: float


class BevelFlank(Given):
    """A flank to bevel; ``in_lead_in`` is the side of ``lead_in`` that cuts it."""

    flank: Literal["plus", "minus"]
    in_lead_in: Literal["plus", "minus"]


class Chance(Given):
    """Chance that the ends butt, before and after."""

    before: float
    after: float


class LeadInAsked(Given):
    """What the mate asks of the ring's entry ends."""

    flanks: tuple[BevelFlank, ...]
    lead_length_mm: float
    most_lead_mm: float | None
    end_land_now_mm: float
    end_land_finished_mm: float
    mate_end_land_mm: float
    engaged_face_mm: float | None
    bearing_face_mm: float | None
    chance_of_butting: Chance | None


class MeshAnswered(Answered):
    """The pair in mesh."""

    kind: Literal["external", "internal"]
    ratio: str = Field(description="teeth of the ring over teeth of the mate, lowest terms")
    hunting: bool = Field(description="the counts have no common factor")
    centre_distance_mm: float
    reference_centre_distance_mm: float
    tight_centre_distance_mm: float | None
    working_angle_deg: float
    base_pitch_error_um: float = Field(description="ring less mate, transverse")
    contact_ratio: Ratios
    backlash: BacklashGiven
    ring: Side
    mate: Side
    internal: InternalGiven | None
    recommended: tuple[Recommended, ...]
    room: Room | None
    mate_for_least_backlash: OtherMate | None
    lead_in: LeadInAsked | None
    runs: bool = Field(description="contact never broken, no tip digs in, nothing jams")
