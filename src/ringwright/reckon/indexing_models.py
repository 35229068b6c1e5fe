"""What ``divide`` is asked and what it answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ringwright.dividing.devices import Device
from ringwright.dividing.taking import SetUp
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Given, Millimetres, Record
from ringwright.reckon.crank import DeviceAsked, GearsHung, Method, MoveMade
from ringwright.reckon.crank_rows import Row
from ringwright.words import N_

phrases.learn(
    "one_device",
    N_("The device has to be given in exactly one way."),
    N_("Either device (one) or devices (a list of one to twelve)."),
    N_("Leave one, take the other out."),
)
phrases.learn(
    "one_measure",
    N_("Pitches and positions of the same ring are given at once."),
    N_("Either pitch_um or position_um; run_out_um and stretch may stand beside."),
    N_("Leave the one that was read more carefully."),
)
phrases.learn(
    "nothing_measured",
    N_("Nothing that was measured on the ring is given."),
    N_("At least one of pitch_um, position_um, run_out_um, stretch."),
    N_("Put the readings in, or take “measured” out."),
)
phrases.learn(
    "radius_for_measured",
    N_("Readings on the ring are lengths at its pitch circle, and the radius is not given."),
    N_("radius_mm beside measured."),
    N_("Give radius_mm."),
)

#: What is cut -> the worst error it forgives [um] (common practice, no source).
Work = Literal["lead_in", "flank", "gash", "marks"]
FORGIVES: dict[Work, float] = {"lead_in": 200.0, "flank": 50.0, "gash": 200.0, "marks": 500.0}

Tooth = Annotated[int, Field(ge=1, le=1000)]


class AtTooth(Record):
    """A reading at a tooth, micrometres."""

    tooth: Tooth
    um: float = Field(ge=-100_000, le=100_000)


class Stretch(Record):
    """Pitches from one tooth to another that have shrunk (negative: grown) by so much in all, as welding does."""

    from_tooth: Tooth
    to_tooth: Tooth
    shrunk_um: float = Field(ge=-100_000, le=100_000)


Readings = Annotated[tuple[AtTooth, ...], Field(min_length=1, max_length=1000)]


class MeasuredRing(Record):
    """The real ring: ``pitch_um`` from a tooth to the next, ``position_um`` against equal division, both at the pitch
    circle in the direction of counting; ``run_out_um`` radial, outward; ``sound`` the teeth that can be trusted.
    """

    pitch_um: Readings | None = None
    position_um: Readings | None = None
    run_out_um: Readings | None = None
    stretch: Stretch | None = None
    sound: tuple[Tooth, ...] | None = Field(None, min_length=1, max_length=1000)

    @model_validator(mode="after")
    def _one_measure(self) -> Self:
        if self.pitch_um is not None and self.position_um is not None:
            raise ValueError("one_measure")
        if all(v is None for v in (self.pitch_um, self.position_um, self.run_out_um, self.stretch)):
            raise ValueError("nothing_measured")
        return self


class DivideAsked(Asked):
    """What to divide, and with what."""

    divisions: int = Field(ge=2, le=1000)
    device: DeviceAsked | None = None
    devices: tuple[DeviceAsked, ...] | None = Field(None, min_length=1, max_length=12)
    radius_mm: Millimetres | None = Field(None, gt=0, le=50_000, description="where the error counts")
    tolerance_um: float | None = Field(None, ge=0, le=100_000, description="left out: by the work, else 50")
    methods: tuple[Method, ...] | None = Field(None, min_length=1, max_length=9)
    teeth: tuple[Tooth, ...] | None = Field(None, min_length=1, max_length=1000)
    table: bool = False
    work: Work | None = Field(None, description="what is cut: sets the tolerance where none is given")
    set_up: SetUp | None = Field(None, description="how the ring has to stand on the device")
    outside_diameter_mm: Millimetres | None = Field(None, gt=0, le=50_000)
    mass_kg: float | None = Field(None, gt=0, le=100_000, description="ring and what holds it")
    measured: MeasuredRing | None = None

    @model_validator(mode="after")
    def _one_device(self) -> Self:
        if (self.device is None) == (self.devices is None):
            raise ValueError("one_device")
        if self.measured is not None and self.radius_mm is None:
            raise ValueError("radius_for_measured")
        return self

    @property
    def shelf(self) -> tuple[DeviceAsked, ...]:
        """The devices, one or several."""
        return self.devices if self.devices is not None else (self.device,) if self.device else ()

    def core_shelf(self) -> list[Device]:
        """The devices as the core takes them; a flat ring needs an upright spindle, which cannot be geared."""
        shelf = [device.core() for device in self.shelf]
        return [replace(device, gears=()) for device in shelf] if self.set_up == "flat" else shelf

    @property
    def allowed_um(self) -> float:
        """The tolerance: as given, by the work, or the usual."""
        if self.tolerance_um is not None:
            return self.tolerance_um
        return FORGIVES[self.work or "flank"]


class Arms(Given):
    """The sector arms: spaces moved, and holes enclosed with the pin's own hole counted."""

    spaces: int
    holes: int


class Effort(Given):
    """Moves in all, and seconds of indexing with hanging gears or drilling; for comparison only."""

    moves: int
    seconds: int


class Way(Given):
    """One way to divide; errors are null only where they are those of the ring's own teeth."""

    method: Method
    device: str
    exact: bool
    move: MoveMade
    gears: GearsHung | None
    ratio_error: str | None
    error_per_tooth_arcsec: float | None
    worst_error_arcsec: float | None
    worst_neighbour_arcsec: float | None
    closing_error_arcsec: float | None
    worst_error_um: float | None
    arms: Arms | None
    steps_note: str
    effort: Effort
    why: str
    ratio: str
    spaces_per_move: int
    dial_step_arcsec: float | None
    one_space_um: float | None
    within_tolerance: bool
    error_per_tooth_um: float | None = None
    worst_neighbour_um: float | None = None
    closing_error_um: float | None = None
    prove: str = ""
    risk: str = ""
    ranks: str = ""
    identity: str | None = None
    plate_side: int | None = None
    start_hole: int | None = None
    second_start_hole: int | None = None
    hole_comes_back_after: int | None = None
    place_sure_within_deg: float | None = None
    idler_gears: tuple[int, ...] | None = None
    gears_reach: bool | None = None
    counts_per_turn: str | None = None
    counts_per_move: int | None = None
    dial_smallest_arcsec: float | None = None
    dial_shows: Literal["dms", "decimal"] = "dms"
    table: tuple[Row, ...] | None = None


class CannotTake(Given):
    """A device left out, with why: what it has and what the ring needs."""

    device: str
    code: str
    have: float | None
    need: float | None
    unit: str
    why: str


class JointOf(Given):
    """A pitch with a new tooth on one side and an old one on the other, and its error both ways."""

    tooth: int
    next: int
    plate_um: float
    teeth_um: float


class Following(Given):
    """What one way of following leaves; null where there is nothing of the kind."""

    off_tooth_um: float | None
    worst_pitch_um: float | None
    within_tolerance: bool


class RealRing(Given):
    """The ring as it is against equal division, and whether to follow the plate or its teeth."""

    follow: Literal["plate", "teeth"]
    why: str
    set_plate_by_um: float
    plate: Following
    teeth: Following
    seam_um: float | None
    joints: tuple[JointOf, ...]
    centre_off_um: float | None
    centre_high_tooth: int | None
    oval_um: float | None
    oval_high_tooth: int | None
    closing_um: float | None


class DivideAnswer(Answered):
    """The ways, best first; what cannot take the ring; the real ring where it was measured."""

    ways: tuple[Way, ...]
    cannot_take: tuple[CannotTake, ...] = ()
    real_ring: RealRing | None = None
