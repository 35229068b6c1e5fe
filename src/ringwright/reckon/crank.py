"""The crank, the plate and the dial at the edge: devices and ways as the contract writes them."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from ringwright.dividing.devices import ARCSEC, Device, Quadrant, Train
from ringwright.dividing.settings import Move
from ringwright.dividing.taking import Room
from ringwright.errors import Refusal
from ringwright.quantities import degrees_minutes_seconds
from ringwright.reckon import phrases
from ringwright.reckon.base import Degrees, Given, Millimetres, Ratio, Record
from ringwright.words import N_, _, ngettext_

phrases.learn(
    "no_move",
    N_("This setting moves nothing."),
    N_("A move of the crank, and a train that lets the spindle turn."),
    N_("Look at turns, holes and gears."),
)
phrases.learn(
    "backwards",
    N_("This setting turns the spindle against the crank."),
    N_("Turns, spaces and gears that carry the spindle on."),
    N_("Look at the signs and at which way the plate turns."),
)
phrases.learn(
    "one_stud_gear",
    N_("A compound train has two gears on the stud; one is missing."),
    N_("Both stud_meshing_spindle and stud_meshing_worm, or neither."),
    N_("Give the other one, or take this one out."),
)
phrases.learn(
    "idlers_not_whole",
    N_("{value} idlers cannot be."),
    N_("A whole number."),
    N_("Count the idlers between spindle and worm."),
)
phrases.learn(
    "reach_backwards",
    N_("The slot ends nearer than it begins."),
    N_("stud_nearest_mm, then a greater stud_furthest_mm, both from the worm shaft."),
    N_("Measure both ends of the slot from the worm shaft."),
)
phrases.learn(
    "vernier_not_finer",
    N_("A vernier reads finer than the dial it stands at."),
    N_("vernier_arcsec smaller than smallest_arcsec."),
    N_("Look at both; leave the vernier out when there is none."),
)

Method = Literal[
    "direct", "plain", "compound", "differential", "dial", "counts", "step_over", "from_teeth", "plate_to_make"
]
Holes = Annotated[int, Field(ge=2, le=1000)]
Gear = Annotated[int, Field(ge=8, le=400)]
Number = int | float


def plain_number(value: Fraction) -> Number:
    """A whole number where it is one, else a decimal."""
    return int(value) if value.denominator == 1 else float(value)


def decimal(value: Number) -> Fraction:
    """A typed decimal as it was typed, not as the binary number next to it."""
    return Fraction(str(value))


class DialAsked(Record):
    """The dial on the worm shaft."""

    smallest_arcsec: float = Field(gt=0, le=36_000)
    vernier_arcsec: float | None = Field(None, gt=0, le=36_000)
    shows: Literal["dms", "decimal"] = "dms"

    @model_validator(mode="after")
    def _finer(self) -> Self:
        if self.vernier_arcsec is not None and self.vernier_arcsec >= self.smallest_arcsec:
            raise ValueError("vernier_not_finer")
        return self

    @property
    def step(self) -> Fraction:
        """Finest reading [spindle turn]."""
        return decimal(self.smallest_arcsec if self.vernier_arcsec is None else self.vernier_arcsec) / ARCSEC


class ReadoutAsked(Record):
    """A readout or encoder: how many counts one turn makes, and on which shaft it sits."""

    counts_per_turn: Ratio = Field(gt=0, le=10_000_000)
    on: Literal["spindle", "crank"] = "spindle"


class QuadrantAsked(Record):
    """What the change gears can reach; stud distances from the worm (plate) shaft to the ends of the slot."""

    gear_module_mm: Millimetres = Field(gt=0, le=20)
    shafts_apart_mm: Millimetres = Field(gt=0, le=2000)
    stud_nearest_mm: Millimetres = Field(ge=0, le=2000)
    stud_furthest_mm: Millimetres = Field(gt=0, le=2000)

    @model_validator(mode="after")
    def _forward(self) -> Self:
        if self.stud_furthest_mm < self.stud_nearest_mm:
            raise ValueError("reach_backwards")
        return self

    def core(self) -> Quadrant:
        """The quadrant as the core takes it."""
        return Quadrant(self.gear_module_mm, self.shafts_apart_mm, self.stud_nearest_mm, self.stud_furthest_mm)


class Damaged(Record):
    """Holes of a circle not to be used, counted in the crank's direction from a hole that was marked 0."""

    circle: Holes
    holes: tuple[Annotated[int, Field(ge=0, le=999)], ...] = Field(min_length=1, max_length=200)


class DeviceAsked(Record):
    """DEVICE of the contract."""

    name: str = Field("", max_length=80)
    ratio: Ratio = Field(gt=0, le=4000)
    circles: tuple[Annotated[tuple[Holes, ...], Field(max_length=24)], ...] = Field((), max_length=8)
    change_gears: tuple[Gear, ...] = Field((), max_length=24)
    direct_circles: tuple[Holes, ...] = Field((), max_length=12)
    dial: DialAsked | None = None
    backlash_arcsec: float | None = Field(None, ge=0, le=36_000)
    readout: ReadoutAsked | None = None
    quadrant: QuadrantAsked | None = None
    blanked: tuple[Holes, ...] = Field((), max_length=100, description="circles not to be used")
    damaged: tuple[Damaged, ...] = Field((), max_length=40)
    centre_height_mm: Millimetres | None = Field(None, gt=0, le=5000, description="with what packs it up")
    load_flat_kg: float | None = Field(None, gt=0, le=100_000)
    load_upright_kg: float | None = Field(None, gt=0, le=100_000)
    lies_flat: bool | None = None
    stands_upright: bool | None = None

    def core(self) -> Device:
        """The device as the core takes it, blanked circles left out."""
        bad = set(self.blanked)
        return Device(
            self.name,
            self.ratio,
            tuple(tuple(c for c in side if c not in bad) for side in self.circles),
            tuple(sorted(self.change_gears)),
            tuple(c for c in self.direct_circles if c not in bad),
            self.dial.step if self.dial else None,
            self.counts,
            tuple((d.circle, d.holes) for d in self.damaged),
            self.quadrant.core() if self.quadrant else None,
        )

    @property
    def counts(self) -> Fraction | None:
        """Counts of the readout for one turn of the spindle."""
        if self.readout is None:
            return None
        return self.readout.counts_per_turn * (self.ratio if self.readout.on == "crank" else 1)

    def room(self) -> Room:
        """What it takes, as the core asks."""
        return Room(self.centre_height_mm, self.load_flat_kg, self.load_upright_kg, self.lies_flat, self.stands_upright)


class DialReading(Given):
    """A reading of the dial, within one turn of the crank."""

    deg: int = Field(ge=0, le=360)
    min: int = Field(0, ge=0, le=59)
    sec: Number = Field(0, ge=0, lt=60)

    @property
    def turns(self) -> Fraction:
        """The reading [spindle turn]."""
        return (self.deg + Fraction(self.min, 60) + decimal(self.sec) / 3600) / 360

    def __str__(self) -> str:
        return f"{self.deg}° {self.min:02d}′ {self.sec:0{2 if isinstance(self.sec, int) else 4}}″"

    def __format__(self, spec: str) -> str:
        return format(str(self), spec)


def dial_reading(place: Fraction) -> DialReading:
    """A part of a spindle turn as degrees, minutes, seconds."""
    shown = Fraction(round(place * 1_296_000_000), 1_296_000_000)  # thousandths of a second, before they are split
    deg, minutes, sec = degrees_minutes_seconds(shown * 360)
    return DialReading(deg=deg, min=minutes, sec=plain_number(sec))


class SecondMove(Given):
    """Plate and crank together, spaces on a second circle; negative is against the crank."""

    circle: Holes
    holes: int = Field(ge=-10_000, le=10_000)


class MoveMade(Given):
    """One move: whole turns, spaces on a circle, or the dial."""

    turns: int = Field(0, ge=-10_000, le=10_000)
    circle: Holes | None = None
    holes: int = Field(0, ge=-10_000, le=10_000)
    second: SecondMove | None = None
    dial: DialReading | None = None

    def core(self) -> Move:
        """The move as the core takes it."""
        second = (self.second.circle, self.second.holes) if self.second else None
        return Move(self.turns, self.holes, self.circle, second)


class GearsHung(Given):
    """Change gears from the spindle to the plate."""

    spindle: Gear
    stud_meshing_spindle: Gear | None = None
    stud_meshing_worm: Gear | None = None
    worm: Gear
    idlers: int | None = Field(None, ge=0, le=3)
    plate_turns: Literal["with", "against"]

    def core(self) -> Train:
        """The train as the core takes it."""
        sense = 1 if self.plate_turns == "with" else -1
        if (self.stud_meshing_spindle is None) != (self.stud_meshing_worm is None):
            raise Refusal("one_stud_gear", "gears")
        return Train(self.spindle, self.worm, sense, self.stud_meshing_spindle, self.stud_meshing_worm)


class WayBack(Record):
    """A way as `divide` gave it, sent back; only what places the teeth is looked at."""

    method: Method
    device: str = ""
    exact: bool | None = None
    move: MoveMade
    gears: GearsHung | None = None
    ratio: Ratio | None = Field(None, gt=0, le=4000)
    spaces_per_move: int = Field(1, ge=1, le=1000)
    dial_step_arcsec: float | None = Field(None, gt=0, le=36_000)
    ratio_error: Ratio | None = None
    error_per_tooth_arcsec: float | None = None
    worst_error_arcsec: float | None = None
    worst_neighbour_arcsec: float | None = None
    closing_error_arcsec: float | None = None
    worst_error_um: float | None = None
    error_per_tooth_um: float | None = None
    worst_neighbour_um: float | None = None
    closing_error_um: float | None = None
    one_space_um: float | None = None
    within_tolerance: bool | None = None
    arms: dict[str, int] | None = None
    steps_note: str = ""
    effort: dict[str, int] | None = None
    why: str = ""
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
    counts_per_turn: Ratio | None = Field(None, gt=0)
    counts_per_move: int | None = None
    dial_smallest_arcsec: float | None = Field(None, gt=0, le=36_000)
    dial_shows: Literal["dms", "decimal"] = "dms"
    table: list[Any] | None = None


class SpindleSeen(Record):
    """What can be seen at the head."""

    hole: int | None = Field(None, ge=0, le=1000)
    spindle_deg: Degrees | None = Field(None, ge=-360, le=720)
    spindle_uncertainty_deg: Degrees | None = Field(None, gt=0, le=30)
    dial: DialReading | None = None
    dial_decimal_deg: Degrees | None = Field(None, ge=0, le=360)
    counts: int | None = Field(None, ge=-10_000_000_000, le=10_000_000_000)

    @property
    def part(self) -> Fraction | None:
        """The dial as read [spindle turn]."""
        if self.dial is not None:
            return self.dial.turns
        return None if self.dial_decimal_deg is None else decimal(self.dial_decimal_deg) / 360


def turns_words(turns: int) -> str:
    """Whole turns in words."""
    if turns == 0:
        return _("No full turn")
    return ngettext_("{n} full turn", "{n} full turns", turns)


def spaces_words(holes: int, circle: int) -> str:
    """Spaces on a circle in words."""
    if holes == 0:
        return _("the same hole of the {circle} circle", circle=circle)
    return ngettext_("{n} space on the {circle} circle", "{n} spaces on the {circle} circle", holes, circle=circle)
