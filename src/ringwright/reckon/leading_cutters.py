"""The cutter of a request, of every kind, and its solid."""

from __future__ import annotations

from dataclasses import replace
from math import inf, radians
from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.cutting import cutter as cutters
from ringwright.cutting.form import involute_form
from ringwright.errors import Refusal
from ringwright.gears.cutters import form_cutter
from ringwright.gears.ring import RingGeometry
from ringwright.reckon import phrases
from ringwright.reckon.base import Came, Degrees, Millimetres, Record
from ringwright.words import N_

for _code, _what, _allowed, _do in (
    (
        "corner_radius_too_great",
        N_("The corner radius is greater than half the cutter."),
        N_("At most half of diameter_mm."),
        N_("Look at both values."),
    ),
    (
        "cutter_fields",
        N_("The fields of the cutter do not go with its kind."),
        N_(
            "flat, bull and ball: flute_length_mm at most; dovetail: angle_deg, width_mm; single_angle: angle_deg, "
            "width_mm; double_angle: angle_deg, angle_high_deg, width_mm; disc: width_mm; fly: width_mm, "
            "flute_length_mm; involute_form: none."
        ),
        N_("Give what belongs to the kind, and leave the others out."),
    ),
    (
        "bull_without_corner",
        N_("A cutter with a rounded corner has no corner radius."),
        N_("corner_radius_mm above 0 with kind “bull”."),
        N_("Measure the corner and give corner_radius_mm; a sharp corner is kind “flat”."),
    ),
    (
        "flutes_too_short",
        N_("The cutting height is shorter than the corner's rounding."),
        N_("More than {low}."),
        N_("Look at both values."),
    ),
    (
        "cutter_outline_crossed",
        N_("The sides of the cutter meet before its width is reached."),
        N_("A width that both sides leave room for on that diameter."),
        N_("Look at diameter, width and angles."),
    ),
    (
        "form_of_internal",
        N_("The spaces of an internal ring are not cut with a disc-shaped form cutter."),
        N_("An external ring."),
        N_("Take another kind of cutter."),
    ),
    (
        "no_form_cutter",
        N_("No form cutter is made for {value} teeth."),
        N_("12 teeth or more, or design_teeth as engraved."),
        N_("Give design_teeth: the least tooth count the cutter is for."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

#: Ends of an end mill; a rounded corner may be called "bull", or "flat" with its corner_radius_mm.
EndKind = Literal["flat", "bull", "ball"]
Kind = Literal["flat", "bull", "ball", "dovetail", "single_angle", "double_angle", "disc", "fly", "involute_form"]
#: kind -> fields that it needs; ``design_teeth`` may be left out.
_NEEDS: dict[str, frozenset[str]] = {
    "flat": frozenset(),
    "bull": frozenset(),
    "ball": frozenset(),
    "dovetail": frozenset({"angle_deg", "width_mm"}),
    "single_angle": frozenset({"angle_deg", "width_mm"}),
    "double_angle": frozenset({"angle_deg", "angle_high_deg", "width_mm"}),
    "disc": frozenset({"width_mm"}),
    "fly": frozenset({"width_mm", "flute_length_mm"}),
    "involute_form": frozenset(),
}
_MAY = {
    "flat": {"flute_length_mm"},
    "bull": {"flute_length_mm"},
    "ball": {"flute_length_mm"},
    "single_angle": {"flat_side"},
    "involute_form": {"design_teeth"},
}


class Cutter(Record):
    """A milling cutter as measured; which fields go with which kind stands in the reference."""

    kind: Kind
    diameter_mm: Millimetres = Field(ge=0.1, le=500)
    corner_radius_mm: Millimetres = Field(0.0, ge=0)
    flute_length_mm: Millimetres | None = Field(None, gt=0, le=500)
    angle_deg: Degrees | None = Field(None, ge=5, le=85, description="side to end face, flat side or plane of the rim")
    angle_high_deg: Degrees | None = Field(None, ge=5, le=85, description="double_angle: the side at the spindle")
    width_mm: Millimetres | None = Field(None, ge=0.1, le=200)
    flat_side: Literal["away", "spindle"] | None = None
    design_teeth: int | None = Field(None, ge=8, le=1000)
    name: str = Field("", max_length=80)

    @model_validator(mode="after")
    def _fits(self) -> Self:
        special = {"flute_length_mm", "angle_deg", "angle_high_deg", "width_mm", "flat_side", "design_teeth"}
        there = {name for name in special if getattr(self, name) is not None}
        if not _NEEDS[self.kind] <= there <= _NEEDS[self.kind] | _MAY.get(self.kind, set()):
            raise ValueError("cutter_fields")
        if self.kind == "bull" and self.corner_radius_mm == 0:
            raise ValueError("bull_without_corner")
        if self.corner_radius_mm > self.diameter_mm / 2:
            raise ValueError("corner_radius_too_great")
        return self

    @property
    def top(self) -> float | None:
        """Height above the cutter's zero up to which it cuts [mm], None where that was not said."""
        if self.kind in ("disc", "double_angle"):
            return (self.width_mm or 0.0) / 2
        return self.width_mm if self.kind in ("dovetail", "single_angle") else self.flute_length_mm


def core_cutter(asked: Cutter, ring: RingGeometry) -> cutters.Cutter:
    """The cutter's solid; a form cutter takes its pitch and pressure angle from the ring.

    Raises
    ------
    Refusal
        As the kinds themselves; ``no_form_cutter``: the ring has fewer teeth than any form cutter is for.
    """
    R, c = asked.diameter_mm / 2, asked.corner_radius_mm
    angle, high, w = radians(asked.angle_deg or 0.0), radians(asked.angle_high_deg or 0.0), asked.width_mm or 0.0
    match asked.kind:
        case "ball":
            return (
                cutters.EndMill(R, R) if asked.flute_length_mm is None else cutters.EndMill(R, R, asked.flute_length_mm)
            )
        case "dovetail":
            return cutters.Dovetail(R, angle, w, c)
        case "single_angle":
            return cutters.SingleAngle(R, angle, w, c, asked.flat_side != "spindle")
        case "double_angle":
            return cutters.DoubleAngle(R, angle, high, w, c)
        case "disc":
            return cutters.Disc(R, w, c)
        case "fly":
            return cutters.FlyCutter(R, w, asked.flute_length_mm or 0.0, c)
        case "involute_form":
            return involute_form(R, design_ring(asked, ring))
    return cutters.EndMill(R, c, asked.flute_length_mm or inf)


def design_ring(asked: Cutter, ring: RingGeometry) -> RingGeometry:
    """The ring that the form cutter has its outline from: unshifted, the least tooth count of its range."""
    z = asked.design_teeth
    if z is None:
        found = form_cutter(ring.z_v)
        if found is None:
            raise Refusal("no_form_cutter", "z", ring.z)
        z = found.low
    return replace(ring, z=z, beta=0.0, x=0.0, allowance=0.0, d_a_given=None, d_f_given=None)


#: Where the symbols of refusals about the cutter came from.
CUTTER_CAME = {
    "D": Came("cutter.diameter_mm", "mm"),
    "r_c": Came("cutter.corner_radius_mm", "mm"),
    "kappa": Came("cutter.angle_deg", "deg"),
    "b_c": Came("cutter.width_mm", "mm"),
    "L_c": Came("cutter.flute_length_mm", "mm"),
    "h": Came("cutter.width_mm", "mm"),
    "kind": Came("ring.kind"),
    "reach": Came("cutter"),
}
