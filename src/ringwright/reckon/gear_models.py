"""Request and answer of ``gear``."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from ringwright.reckon.base import Answered, Asked, Given, Millimetres, Record
from ringwright.reckon.ring import Ring


class Shaper(Record):
    """The pinion-shaped cutter that made an internal ring; a tip radius left out is the ring's root radius."""

    teeth: int = Field(ge=5, le=500)
    tip_radius_coef: float | None = Field(None, ge=0, le=0.6)
    profile_shift: float = Field(0.0, ge=-1, le=1)


PinSize = Annotated[Millimetres, Field(gt=0, le=500)]


class GearAsked(Asked):
    """Which ring, and optionally with which span, pins, caliper setting, tip chamfer and shaper cutter."""

    ring: Ring
    span_teeth: Annotated[int, Field(ge=2, le=500)] | None = None
    pin_diameter_mm: PinSize | None = None
    own_pins_mm: Annotated[tuple[PinSize, ...], Field(min_length=1, max_length=200)] | None = None
    chordal_diameter_mm: Annotated[Millimetres, Field(gt=0, le=100_000)] | None = None
    tip_chamfer_mm: Annotated[Millimetres, Field(ge=0, le=100)] | None = None
    shaper: Shaper | None = None
    outline_tolerance_mm: Annotated[Millimetres, Field(ge=1e-4, le=10)] | None = None


class SpanGiven(Given):
    """Base tangent length; the face that a helical ring needs under the anvils, null for straight teeth."""

    teeth: int
    length_mm: float
    contact_diameter_mm: float
    needs_face_mm: float | None = None


class PinsGiven(Given):
    """Dimension over pins (external) or between pins (internal); the other one is null."""

    diameter_mm: float
    over_mm: float | None
    between_mm: float | None
    contact_diameter_mm: float
    use: Literal["pins", "balls"] = "pins"


class UsualPinsGiven(PinsGiven):
    """Pins of a usual size that this ring can be measured with."""

    name: str
    source: str


class ChordalGiven(Given):
    """Tooth caliper: width at the reference circle and depth from the tip."""

    thickness_mm: float
    height_mm: float


class ChordGiven(ChordalGiven):
    """Tooth caliper at another place: where its jaws touch."""

    contact_diameter_mm: float


class ShapeErrorGiven(Given):
    """Metal left on (positive) or taken away (negative) square to the true flank, nought at the reference circle."""

    tip_um: float
    root_um: float
    most_um: float
    most_at_mm: float


class FormCutterGiven(Given):
    """Involute form cutter: number and tooth counts; a null end means up to a rack."""

    number: str
    range: tuple[int, int | None]
    shape_error: ShapeErrorGiven | None = None


class RootGiven(Given):
    """The root as its cutter makes it: where the flank begins, the cutter's corner radius, undercut or not."""

    made_by: Literal["rack", "shaper"]
    shaper_teeth: int | None
    form_diameter_mm: float
    corner_radius_mm: float
    undercut: bool


class OutlineGiven(Given):
    """One tooth in the transverse section, clockwise about the axis at (0, 0), its middle on +y."""

    tolerance_mm: float
    points_mm: tuple[tuple[float, float], ...]


class GearAnswered(Answered):
    """The ring's geometry and what its measures should read."""

    reference_diameter_mm: float
    base_diameter_mm: float
    tip_diameter_mm: float
    root_diameter_mm: float
    whole_depth_mm: float
    circular_pitch_mm: float
    base_pitch_mm: float
    tooth_thickness_mm: float
    tip_thickness_mm: float | None
    transverse_circular_pitch_mm: float
    transverse_base_pitch_mm: float
    transverse_tooth_thickness_mm: float
    transverse_tip_thickness_mm: float | None
    tip_form_diameter_mm: float
    transverse_tip_land_mm: float | None
    transverse_pressure_angle_deg: float
    base_helix_angle_deg: float
    lead_mm: float | None
    virtual_teeth: float
    root: RootGiven | None
    span: SpanGiven | None
    spans: tuple[SpanGiven, ...]
    pins: PinsGiven | None
    pin_range_mm: tuple[float, float] | None
    usual_pins: tuple[UsualPinsGiven, ...]
    chordal: ChordalGiven | None
    chordal_at: ChordGiven | None
    constant_chord: ChordGiven | None
    form_cutter: FormCutterGiven | None
    form_cutter_of_eight: FormCutterGiven | None
    outline: OutlineGiven | None
