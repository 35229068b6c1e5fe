"""What the forces of a cut are asked with and answered in."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwright.cutting import deflection
from ringwright.reckon import phrases
from ringwright.reckon.base import Degrees, Given, Millimetres, Record
from ringwright.reckon.leading_cutters import Cutter
from ringwright.reckon.leading_models import AskedPose, Target
from ringwright.reckon.ring import Ring
from ringwright.words import N_

phrases.learn(
    "unknown_steel",
    N_("There are no constants for that steel."),
    N_("One of: {names}."),
    N_("Leave steel out: the hardness will do, with a wider band."),
)
phrases.learn(
    "target_not_reached",
    N_("The cut never gets there in this pose, so it has no force."),
    N_("A target that the pose reaches."),
    N_("Ask lead_in what the pose reaches, then ask again."),
)
phrases.learn(
    "cutters_differ",
    N_("The cutter of the cut has another diameter than the cutter above it."),
    N_("The same diameter_mm in both."),
    N_("Give the cutter as measured, in both places."),
)
phrases.learn(
    "nothing_cut",
    N_("On this way the cutter passes no metal."),
    N_("An infeed above nought that meets the ring."),
    N_("Look at the pose and the target."),
)


class HeldAsked(Record):
    """How the cutter is held."""

    stick_out_mm: Millimetres = Field(gt=1, le=1000, description="from the holder's face to the tip")
    flute_length_mm: Millimetres | None = Field(None, ge=0, le=1000)
    shank_diameter_mm: Millimetres | None = Field(None, ge=0.1, le=500)
    holder_factor: float = Field(deflection.HOLDER, ge=1, le=6, description="collet, taper and quill give way too")


class MotorAsked(Record):
    """What the machine's plate says."""

    power_kw: float = Field(ge=0.05, le=100)
    efficiency: float = Field(0.8, ge=0.3, le=1)


class CutAsked(Record):
    """The cut itself, as in `lead_in`."""

    ring: Ring
    cutter: Cutter
    pose: AskedPose
    target: Target
    space_before_cut: bool = Field(True, description="the space at -t has had the same cut")
    steel: str | None = Field(None, max_length=20)
    wear: Literal["sharp", "usual", "worn"] = "usual"
    rake_deg: Degrees = Field(6.0, ge=-20, le=30)
    helix_deg: Degrees = Field(30.0, ge=-60, le=60)
    runout_mm: Millimetres = Field(0.0, ge=0, le=1)
    held: HeldAsked | None = None
    motor: MotorAsked | None = None
    last_move: Literal["clockwise", "counterclockwise"] | None = Field(
        None, description="how the ring was last turned before locking, looking at the entry face"
    )


class Band(Given):
    """A value with its low and high end."""

    likely: float
    low: float
    high: float


class MotorAnswer(Given):
    """Against what the motor leaves at the spindle at this speed."""

    torque_nm: float
    torque_share: float
    power_share: float
    enough: bool


class Turning(Given):
    """Moment on the ring about its axis over a turn of the cutter, positive clockwise seen on the entry face."""

    least_nm: float
    mean_nm: float
    greatest_nm: float
    push_n: float
    worm: Literal["seats", "unseats", "both"] | None
    says: str


class Flanks(Given):
    """On the teeth at +t and at -t."""

    plus: float
    minus: float


class Bending(Given):
    """How far the cutter gives way at the peak, what its root bears and what error that leaves."""

    tip_um: float
    with_holder_um: float
    moved_mm: tuple[float, float, float]
    lead_error_mm: Flanks
    land_error_mm: float
    root_stress_mpa: float
    root_limit_mpa: float | None
    stick_out_diameters: float
    stick_out_guide: float


class Forces(Given):
    """Forces on the ring in the frame (r, t, a) where the peak is greatest; torque, power, section where those are."""

    steel: str | None
    k_c11_mpa: float
    m_c: float
    factor: float
    infeed_mm: float
    thickest_chip_mm: float
    section_mm2: float
    arc_deg: float
    peak_n: Band
    peak_vector_n: tuple[float, float, float]
    mean_vector_n: tuple[float, float, float]
    torque_nm: Band
    torque_peak_nm: float
    power_kw: Band
    handbook_power_kw: float
    motor: MotorAnswer | None
    turning: Turning
    bending: Bending | None
