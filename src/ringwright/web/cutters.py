"""Cutters on the shelf: every kind with the fields its shape needs, as measured."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ringwright.gears.cutters import form_cutters
from ringwright.job.kit import Cutter
from ringwright.reckon import phrases
from ringwright.reckon.round_words import CUTTER_KINDS
from ringwright.web.forms import Typed, given, length_mm, number_or_text, whole
from ringwright.web.pages import Choice, length, number
from ringwright.words import N_, _, ngettext_

phrases.learn(
    "cutter_shape",
    N_("The shape of this cutter is not measured whole."),
    N_(
        "Dovetail and single angle: angle and width. Double angle: both angles and width. "
        "Side and face: width. Fly: width of the bit and how far it stands out."
    ),
    N_("Measure what is missing and put it in."),
)

#: field of a shape -> the kinds that show it
SHOWN: dict[str, tuple[str, ...]] = {
    "corner_radius_mm": tuple(kind for kind in CUTTER_KINDS if kind not in ("ball", "involute_form")),
    "angle_deg": ("dovetail", "single_angle", "double_angle"),
    "angle_high_deg": ("double_angle",),
    "width_mm": ("dovetail", "single_angle", "double_angle", "disc", "fly"),
    "flat_side": ("single_angle",),
    "design_teeth": ("involute_form",),
    "module_mm": ("involute_form",),
    "pressure_angle_deg": ("involute_form",),
    "flute_length_mm": ("flat", "bull", "ball", "fly"),
    "shank_diameter_mm": ("flat", "bull", "ball"),
    "holder_diameter_mm": ("flat", "bull", "ball"),
}
_LENGTHS = (
    "corner_radius_mm",
    "width_mm",
    "module_mm",
    "flute_length_mm",
    "shank_diameter_mm",
    "holder_diameter_mm",
)
_DEGREES = ("angle_deg", "angle_high_deg", "pressure_angle_deg")


def kinds() -> tuple[Choice, ...]:
    """The kinds to choose from."""
    return tuple(Choice(kind, _(word)) for kind, word in CUTTER_KINDS.items())


def engraved() -> tuple[Choice, ...]:
    """Numbers of form cutters with the teeth they are for; the value is the least tooth count."""
    out = [Choice("", "–")]
    for one in form_cutters():
        to = _("a rack") if one.high is None else str(one.high)
        teeth = str(one.low) if one.low == one.high else _("{low} to {high}", low=one.low, high=to)
        out.append(Choice(str(one.low), _("No. {number}: {teeth} teeth", number=one.number, teeth=teeth)))
    return tuple(out)


def record_of(form: Typed, unit: str) -> dict[str, Any]:
    """A cutter as typed; fields that its kind does not show are left out."""
    kind = form["kind"] if form["kind"] in CUTTER_KINDS else "flat"
    shape: list[tuple[str, Any]] = []
    for name, of in SHOWN.items():
        if kind not in of:
            continue
        if name in _LENGTHS:
            shape.append((name, length_mm(form[name], "mm" if name == "module_mm" else unit, name)))
        elif name in _DEGREES:
            shape.append((name, number_or_text(form[name])))
        elif name == "design_teeth":
            shape.append((name, whole(form[name], name, 8, 1000) if form.text(name) else None))
        else:
            shape.append((name, form[name]))
    if kind == "ball" and form.text("diameter_mm"):
        across = length_mm(form["diameter_mm"], unit, "diameter_mm")
        shape.append(("corner_radius_mm", across / 2 if across is not None else None))
    return given(
        [
            ("name", form.text("name")),
            ("kind", kind),
            ("material", form["material"]),
            *((n, length_mm(form[n], unit, n)) for n in ("diameter_mm", "stick_out_mm", "runout_mm")),
            ("flutes", whole(form["flutes"], "flutes", 1, 40) if form.text("flutes") else None),
            ("edges", whole(form["edges"], "edges", 1, 40) if form.text("edges") else None),
            *((n, number_or_text(form[n])) for n in ("price", "minutes")),
            *shape,
        ]
    )


def words_of(c: Cutter, unit: str) -> str:
    """One cutter in a line."""
    return "; ".join(_words(c, unit))


def _words(c: Cutter, unit: str) -> Iterable[str]:
    yield _(CUTTER_KINDS[c.kind])
    yield _("{mm} {unit} as measured", mm=length(c.diameter_mm, unit), unit=unit)
    if c.kind == "double_angle":
        yield _("{a}° and {b}°", a=number(c.angle_deg, 1), b=number(c.angle_high_deg, 1))
    elif c.angle_deg is not None:
        yield _("{a}°", a=number(c.angle_deg, 1))
    if c.width_mm is not None:
        yield _("{mm} {unit} wide", mm=length(c.width_mm, unit), unit=unit)
    if c.corner_radius_mm and c.kind != "ball":
        yield _("corner {mm} {unit}", mm=length(c.corner_radius_mm, unit), unit=unit)
    if c.kind == "involute_form":
        yield from _form(c)
    yield ngettext_("{n} flute", "{n} flutes", c.flutes)
    yield _("sticks out {mm} {unit}", mm=length(c.stick_out_mm, unit, 1), unit=unit)
    if c.runout_mm is not None:
        yield _("runs out {mm} {unit}", mm=length(c.runout_mm, unit, 3 if unit == "mm" else 4), unit=unit)


def _form(c: Cutter) -> Iterable[str]:
    if c.module_mm is not None:
        yield _("module {m}", m=number(c.module_mm, 3))
    if c.pressure_angle_deg is not None:
        yield _("{a}°", a=number(c.pressure_angle_deg, 1))
    one = next((one for one in form_cutters() if one.low == c.design_teeth), None)
    if one is not None:
        yield _("No. {number}, from {low} teeth", number=one.number, low=one.low)
    elif c.design_teeth is not None:
        yield _("from {low} teeth", low=c.design_teeth)
