"""The shop's kit: machines, dividing devices, cutters as measured, instruments with uncertainty, rates."""

from __future__ import annotations

import re
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from ringwright.errors import Unreadable
from ringwright.job.base import Kept

AxisName = Literal["table", "saddle", "knee", "quill"]


class Axis(Kept):
    """One axis of a machine, and how it is read.

    ``mm_per_turn`` and ``mm_per_division`` are of its handwheel; ``sense`` says what a clockwise turn does to the
    work or tool, in words ("table goes right", "knee goes up"). ``inch`` when its dial is cut in inches.
    """

    name: AxisName
    travel_mm: float = Field(gt=0, le=20_000)
    readout: bool = False
    readout_step_mm: float | None = Field(None, gt=0, le=1)
    mm_per_turn: float = Field(gt=0, le=100)
    mm_per_division: float = Field(gt=0, le=10)
    inch: bool = False
    clockwise: str = Field("", max_length=80)


class Machine(Kept):
    """A manual milling machine."""

    name: str = Field(min_length=1, max_length=80)
    kind: Literal["knee_mill", "bed_mill", "horizontal_mill"] = "knee_mill"
    axes: tuple[Axis, ...] = Field(min_length=2, max_length=6)
    throat_mm: float = Field(gt=0, le=5000, description="spindle axis to column, head upright")
    spindle_nose_to_table_mm: float = Field(gt=0, le=5000, description="greatest, knee right down")
    table_length_mm: float = Field(gt=0, le=10_000)
    table_width_mm: float = Field(gt=0, le=5000)
    table_load_kg: float = Field(gt=0, le=50_000)
    head_nods_deg: float = Field(0, ge=0, le=180, description="about X, each way")
    head_tilts_deg: float = Field(0, ge=0, le=180, description="about Y, each way")
    speeds_rpm: tuple[float, ...] = Field(min_length=1, max_length=60)
    feeds_mm_min: tuple[float, ...] = Field((), max_length=60, description="power feeds; empty: by hand only")
    power_kw: float = Field(gt=0, le=200)


def _ratio(value: object) -> int | str:
    """A whole number, or "p/q" as text without blanks; at most twelve digits each, none of them nought."""
    if isinstance(value, int) and not isinstance(value, bool) and 0 < value < 10**12:
        return value
    text = re.sub(r"\s", "", value) if isinstance(value, str) else ""
    if not re.fullmatch(r"(?=0*[1-9])[0-9]{1,12}(/(?=0*[1-9])[0-9]{1,12})?", text):
        raise Unreadable("not_a_ratio", str(value)[:60])
    return text


class Dial(Kept):
    """A graduated dial on the worm shaft."""

    smallest_arcsec: float = Field(gt=0, le=36_000)
    vernier_arcsec: float | None = Field(None, gt=0, le=36_000)


class Readout(Kept):
    """A readout or encoder: counts of one turn of the spindle or of the crank."""

    counts_per_turn: Annotated[int | str, BeforeValidator(_ratio)]
    on: Literal["spindle", "crank"] = "spindle"


class Quadrant(Kept):
    """What the change gears can reach; stud distances from the worm (plate) shaft to the ends of the slot."""

    gear_module_mm: float = Field(gt=0, le=20)
    shafts_apart_mm: float = Field(gt=0, le=2000)
    stud_nearest_mm: float = Field(ge=0, le=2000)
    stud_furthest_mm: float = Field(gt=0, le=2000)


class DamagedHoles(Kept):
    """Holes of a circle not to be used, counted from the hole marked 0."""

    circle: int = Field(ge=2, le=1000)
    holes: tuple[int, ...] = Field(min_length=1, max_length=200)


class Device(Kept):
    """A dividing head or rotary table; the first fields are DEVICE of the contract."""

    name: str = Field(min_length=1, max_length=80)
    ratio: Annotated[int | str, BeforeValidator(_ratio)] = Field(
        description="crank turns per spindle turn; whole or 'p/q'"
    )
    circles: tuple[tuple[int, ...], ...] = ()
    change_gears: tuple[int, ...] = ()
    direct_circles: tuple[int, ...] = ()
    dial: Dial | None = None
    backlash_arcsec: float | None = Field(None, ge=0, le=36_000)
    centre_height_mm: float | None = Field(
        None, gt=0, le=2000, description="spindle axis above the machine table when upright"
    )
    table_diameter_mm: float | None = Field(None, gt=0, le=5000)
    height_flat_mm: float | None = Field(None, gt=0, le=2000)
    load_flat_kg: float | None = Field(None, gt=0, le=50_000)
    load_upright_kg: float | None = Field(None, gt=0, le=50_000)
    mass_kg: float | None = Field(None, gt=0, le=5000)
    stands_upright: bool = False
    has_lock: bool = True
    lies_flat: bool | None = None
    dial_shows: Literal["dms", "decimal"] = "dms"
    readout: Readout | None = None
    quadrant: Quadrant | None = None
    blanked: tuple[int, ...] = Field((), max_length=100, description="circles not to be used")
    damaged: tuple[DamagedHoles, ...] = Field((), max_length=40)

    def as_asked(self) -> dict[str, object]:
        """The part that the operation ``divide`` takes to divide.

        What a device of an older kit does not have is left out, so that a plan made then still compares equal.
        """
        asked = self.model_dump(
            mode="json",
            exclude_none=True,
            include={"name", "ratio", "circles", "change_gears", "direct_circles", "dial", "backlash_arcsec"},
        )
        newer = self.model_dump(
            mode="json", exclude_defaults=True, include={"readout", "quadrant", "blanked", "damaged"}
        )
        if self.dial is not None and self.dial_shows == "decimal":
            asked["dial"]["shows"] = self.dial_shows
        return {**asked, **newer}

    def as_offered(self) -> dict[str, object]:
        """The same with what it can take, so that ``divide`` can hold it against the ring."""
        room = self.model_dump(
            mode="json",
            exclude_none=True,
            include={"centre_height_mm", "load_flat_kg", "load_upright_kg", "lies_flat"},
        )
        stands = self.stands_upright or self.centre_height_mm is not None
        return {**self.as_asked(), **room, "stands_upright": stands}


CutterKind = Literal["flat", "bull", "ball", "dovetail", "single_angle", "double_angle", "disc", "fly", "involute_form"]
#: kind -> the fields that its shape needs beside the diameter
SHAPE_NEEDS: dict[str, tuple[str, ...]] = {
    "dovetail": ("angle_deg", "width_mm"),
    "single_angle": ("angle_deg", "width_mm"),
    "double_angle": ("angle_deg", "angle_high_deg", "width_mm"),
    "disc": ("width_mm",),
    "fly": ("width_mm", "flute_length_mm"),
}


class Cutter(Kept):
    """A cutter as measured on the bench, not as engraved; which fields its shape needs: `SHAPE_NEEDS`.

    Angles stand from the side to the end face (dovetail), to the flat side (single) or to the plane of the rim
    (double: ``angle_high_deg`` on the spindle's side). ``module_mm``, ``pressure_angle_deg`` and ``design_teeth`` (the
    least tooth count it is for) are what is engraved on an involute form cutter.
    """

    name: str = Field(min_length=1, max_length=80)
    kind: CutterKind = "flat"
    diameter_mm: float = Field(gt=0, le=500)
    corner_radius_mm: float = Field(0, ge=0, le=250)
    flutes: int = Field(4, ge=1, le=40)
    material: Literal["hss", "hss_cobalt", "carbide"] = "carbide"
    flute_length_mm: float | None = Field(None, gt=0, le=500)
    stick_out_mm: float = Field(gt=0, le=1000)
    price: float | None = Field(None, ge=0)
    angle_deg: float | None = Field(None, ge=5, le=85)
    angle_high_deg: float | None = Field(None, ge=5, le=85)
    width_mm: float | None = Field(None, ge=0.1, le=200)
    flat_side: Literal["away", "spindle"] | None = None
    module_mm: float | None = Field(None, gt=0, le=100)
    pressure_angle_deg: float | None = Field(None, ge=10, le=35)
    design_teeth: int | None = Field(None, ge=8, le=1000)
    shank_diameter_mm: float | None = Field(None, gt=0, le=500)
    holder_diameter_mm: float | None = Field(None, gt=0, le=1000, description="where the cutter leaves it")
    runout_mm: float | None = Field(None, ge=0, le=1, description="total indicator reading of its edges")
    edges: int = Field(1, ge=1, le=40, description="edges of one cutter: regrinds and its own, or corners")
    minutes: float | None = Field(None, gt=0, le=10_000, description="median minutes in the cut of such an edge")

    @model_validator(mode="after")
    def _has_its_shape(self) -> Self:
        if any(getattr(self, name) is None for name in SHAPE_NEEDS.get(self.kind, ())):
            raise ValueError("cutter_shape")
        return self

    @property
    def end(self) -> Literal["flat", "bull", "ball"]:
        """The kind as the tables of cutting data know it."""
        if self.kind in ("bull", "ball"):
            return "ball" if self.kind == "ball" else "bull"
        return "flat"

    def as_asked(self) -> dict[str, object]:
        """CUTTER of the contract, as `lead_in` and `gash` take it."""
        rounded = self.kind != "bull" or self.corner_radius_mm > 0  # on the shelf a corner may be unmeasured
        kind = self.kind if rounded else "flat"
        corner = 0 if self.kind == "ball" else self.corner_radius_mm
        asked: dict[str, object] = {"kind": kind, "diameter_mm": self.diameter_mm, "corner_radius_mm": corner}
        shape = {*SHAPE_NEEDS.get(self.kind, ())}
        shape |= {"single_angle": {"flat_side"}, "involute_form": {"design_teeth"}}.get(self.kind, set())
        return asked | self.model_dump(mode="json", exclude_none=True, include=shape)


class Instrument(Kept):
    """A measuring instrument and what a reading with it is good for (one standard deviation)."""

    name: str = Field(min_length=1, max_length=80)
    reads: tuple[str, ...] = Field(min_length=1, max_length=20, description="names of readings of `identify`")
    unit: Literal["mm", "in", "deg"] = "mm"
    uncertainty: float = Field(gt=0, le=100, description="in its unit")
    longest_mm: float | None = Field(None, gt=0)


class Rates(Kept):
    """What an hour and a purchase cost here."""

    currency: str = Field("EUR", max_length=8)
    hour: float = Field(60, ge=0, le=10_000)
    contingency: float = Field(0.15, ge=0, le=1)
    margin: float = Field(0.2, ge=0, lt=1)


class Kit(Kept):
    """Everything on the shelf."""

    v: Literal[1] = 1
    machines: tuple[Machine, ...] = ()
    devices: tuple[Device, ...] = ()
    cutters: tuple[Cutter, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    rates: Rates = Rates()
