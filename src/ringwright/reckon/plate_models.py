"""What ``plate_layout`` is asked and what it answers."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon.base import Answered, Asked, Degrees, Given, Millimetres, Ratio

#: Taken when nothing is said: web between holes, readout's step, hole out of place [mm] (common practice, no source).
WEB_MM, READOUT_MM, DRILLED_MM = 1.5, 0.01, 0.05


class PlateAsked(Asked):
    """What the plate is for, and how it is drilled."""

    divisions: int | None = Field(None, ge=2, le=1000)
    ratio: Ratio | None = Field(None, gt=0, le=4000)
    holes: int | None = Field(None, ge=2, le=1000)
    hole_diameter_mm: Millimetres = Field(gt=0, ge=0.05, le=500)
    web_mm: Millimetres = Field(WEB_MM, ge=0, le=500)
    circle_radius_mm: Millimetres | None = Field(None, gt=0, ge=0.5, le=5000)
    shape: Literal["holes", "notches"] = "holes"
    centre_x_mm: Millimetres = Field(0.0, ge=-20_000, le=20_000)
    centre_y_mm: Millimetres = Field(0.0, ge=-20_000, le=20_000)
    first_hole_deg: Degrees = Field(0.0, ge=-360, le=360)
    counts: Literal["clockwise", "anticlockwise"] = "clockwise"
    readout_step_mm: Millimetres = Field(READOUT_MM, gt=0, ge=1e-4, le=1)
    hole_error_mm: Millimetres = Field(DRILLED_MM, ge=0, le=10)
    off_centre_mm: Millimetres = Field(0.0, ge=0, le=10)
    ring_radius_mm: Millimetres | None = Field(None, gt=0, le=50_000, description="where the error counts")
    mark_every: int = Field(5, ge=1, le=1000)
    files: tuple[Literal["csv", "svg", "dxf"], ...] = Field((), max_length=3)

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.divisions is None and self.holes is None:
            raise ValueError("nothing_to_divide")
        return self


class HolePlace(Given):
    """One hole: exact place, the place as the readout is set, how far that is off (outward, along the numbering)."""

    hole: int
    angle_deg: float
    x_mm: float
    y_mm: float
    set_x_mm: float
    set_y_mm: float
    off_out_um: float
    off_along_um: float
    mark: str


class PlateMove(Given):
    """One division on the new plate; the hole the pin is in is not counted in ``holes``, but is in ``between_arms``."""

    turns: int
    holes: int
    circle: int
    between_arms: int | None


class Chord(Given):
    """Over so many spaces: centre to centre, and over two pins that fill their holes."""

    spaces: int
    chord_mm: float
    over_pins_mm: float


class AtTheWork(Given):
    """What an error at the plate is at the spindle and on the ring; ``_um`` null without the ring's radius.

    One hole out; two neighbours in use out in opposite senses; the plate off its centre (either way); the readout's
    rounding over all divisions, from the least to the greatest place and from tooth to tooth.
    """

    one_hole_arcsec: float
    one_hole_um: float | None
    two_holes_arcsec: float
    two_holes_um: float | None
    off_centre_arcsec: float
    off_centre_um: float | None
    rounding_total_arcsec: float
    rounding_total_um: float | None
    rounding_neighbour_arcsec: float
    rounding_neighbour_um: float | None


class PlateFiles(Given):
    """The plate as files, each null when it was not asked for."""

    csv: str | None = None
    svg: str | None = None
    dxf: str | None = None


class PlateAnswer(Answered):
    """The plate."""

    hole_count: int
    counts_that_serve: tuple[int, ...]
    ratio: str
    circle_radius_mm: float
    smallest_radius_mm: float
    chord_mm: float
    web_left_mm: float
    worst_rounding_um: float
    move: PlateMove | None
    holes: tuple[HolePlace, ...]
    checks: tuple[Chord, ...]
    errors: AtTheWork
    files: PlateFiles
    says: str
