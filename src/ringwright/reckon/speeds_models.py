"""What `cutting_data` is asked with and answered in."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.cutting import hardness
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Given, Millimetres, Record
from ringwright.reckon.leading_cutters import EndKind
from ringwright.reckon.pushing_models import CutAsked, Forces
from ringwright.words import N_

phrases.learn(
    "hss_too_hard",
    N_("{value} is too hard for high speed steel."),
    N_("{low} to {high} (about 43 HRC) for high speed steel; above that carbide, or soften first."),
    N_("Choose a carbide cutter, or leave the hard teeth to a grinder."),
)

phrases.learn(
    "value_or_file",
    N_("The hardness is given in neither way, or in both."),
    N_("value with its scale; or scale “file” with bites_hrc, skates_hrc or both."),
    N_("Give one, take the other out."),
)
phrases.learn(
    "no_file_told",
    N_("No file is named."),
    N_("bites_hrc or skates_hrc with scale “file”."),
    N_("Name the softest file that bit and the hardest that skated."),
)
phrases.learn(
    "file_order",
    N_("A file of {value} HRC bit although one of {low} skated."),
    N_("The file that bites is the harder one."),
    N_("Look which was which, or press with the same force."),
)


class CutterAsked(Record):
    """The cutter as measured; its end is called as in `lead_in`."""

    kind: EndKind = "flat"
    corner_radius_mm: Millimetres = Field(0.0, ge=0, description="of a rounded corner")
    diameter_mm: Millimetres = Field(ge=1, le=100)
    flutes: int = Field(ge=1, le=40)
    material: Literal["hss", "hss_cobalt", "carbide"]

    @model_validator(mode="after")
    def _corner(self) -> Self:
        if self.corner_radius_mm > self.diameter_mm / 2:
            raise ValueError("corner_radius_too_great")
        return self

    @property
    def rounded(self) -> bool:
        """Whether its end is not flat up to the corner."""
        return self.kind != "flat" or self.corner_radius_mm > 0


class HardnessAsked(Record):
    """Hardness of the hardest zone that the cut meets: a value in the scale it was read, or what a set of files did."""

    value: float | None = Field(None, gt=0, le=1000)
    scale: Literal["HB", "HRC", "HV", "HLD", "file"]
    skates_hrc: float | None = Field(None, ge=40, le=67, description="hardest file that skated")
    bites_hrc: float | None = Field(None, ge=40, le=67, description="softest file that bit")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        files = self.skates_hrc is not None or self.bites_hrc is not None
        if (self.scale == "file") != files or (self.scale == "file") == (self.value is not None):
            raise ValueError("value_or_file")
        return self

    def span(self) -> tuple[float, float, float]:
        """Brinell hardness: likely, low and high [-]."""
        if self.value is None:
            return hardness.file_span(self.skates_hrc, self.bites_hrc)
        return hardness.brinell_span(self.value, self.scale)


class CuttingDataAsked(Asked):
    """Which cutter in how hard a tooth, and what the machine can be set to."""

    cutter: CutterAsked
    hardness: HardnessAsked
    condition: Literal["sound", "weld", "hard", "scale"] = "sound"
    engagement: Literal["heavy", "light"] = "heavy"
    machine_share: float | None = Field(None, gt=0, le=1.5, description="share of the table's speed this machine takes")
    speeds_rpm: tuple[float, ...] = Field((), max_length=60)
    feeds_mm_min: tuple[float, ...] = Field((), max_length=60)
    feed_travel_mm: Millimetres | None = Field(None, gt=0, le=10_000, description="way of one cut, run-in included")
    chip_section_mm2: float | None = Field(None, gt=0, le=10_000, description="metal in the way, seen along the feed")
    teeth: int | None = Field(None, ge=1, le=1000)
    cut: CutAsked | None = Field(None, description="the cut itself, for its forces")


class Brinell(Given):
    """Brinell hardness as converted, with its spread."""

    likely: float
    low: float
    high: float
    about_hrc: float | None


class Stepped(Given):
    """What would be right, and what the machine can be set to (null: not told)."""

    ideal: float
    set: float | None


class Handling(Given):
    """One manual element per tooth."""

    what: str
    low_s: float
    likely_s: float
    high_s: float


class CuttingDataAnswer(Answered):
    """A starting point that the machinist turns down."""

    hardness_hb: Brinell
    speed_m_min: float
    speed_as_set_m_min: float
    spindle_rpm: Stepped
    feed_per_tooth_mm: float
    feed_per_tooth_as_set_mm: float
    feed_mm_min: Stepped
    cut_s: float | None
    handling: tuple[Handling, ...]
    handling_s: float
    tooth_s: float | None
    cutting_share: float | None
    round_minutes: float | None
    power_kw: float | None
    forces: Forces | None
    advice: tuple[str, ...]
