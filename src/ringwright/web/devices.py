"""Kit: a dividing head or rotary table, from the form to its record, and back into the form to be put right."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from ringwright.job.kit import Device
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.web.forms import Typed, figure, given, length_mm, whole_or_text, wholes
from ringwright.web.pages import length, length_in, number
from ringwright.words import N_, _, ngettext_

phrases.learn(
    "holes_of_a_circle",
    N_("“{value}” does not say of which circle which holes."),
    N_("A circle, a colon, its holes counted from the one marked 0: 39: 4 5."),
    N_("One circle a line."),
)

#: Lengths and other figures of the form.
LENGTHS = ("centre_height_mm", "table_diameter_mm", "height_flat_mm")
FIGURES = ("load_flat_kg", "load_upright_kg", "mass_kg")
QUADRANT = ("gear_module_mm", "shafts_apart_mm", "stud_nearest_mm", "stud_furthest_mm")
_SURE = {"yes": True, "no": False}


def record_of(form: Typed, unit: str) -> dict[str, Any]:
    """The device as typed; what was left empty is not known."""
    dial = given((n, figure(form, n)) for n in ("smallest_arcsec", "vernier_arcsec"))
    counts = form.text("counts_per_turn")
    readout = {"counts_per_turn": whole_or_text(counts), "on": "crank" if form["readout_on"] == "crank" else "spindle"}
    quadrant = given((n, length_mm(form[n], _unit(n, unit), n)) for n in QUADRANT)
    return given(
        [
            ("name", form.text("name")),
            ("ratio", whole_or_text(form["ratio"])),
            ("circles", [wholes(line, "circles") for line in _split(form["circles"])]),
            ("change_gears", wholes(form["change_gears"], "change_gears")),
            ("direct_circles", wholes(form["direct_circles"], "direct_circles")),
            ("dial", dial or None),
            ("dial_shows", "decimal" if form["dial_shows"] == "decimal" else None),
            ("backlash_arcsec", figure(form, "backlash_arcsec")),
            *((n, length_mm(form[n], unit, n)) for n in LENGTHS),
            *((n, figure(form, n)) for n in FIGURES),
            ("stands_upright", form["stands_upright"] == "yes"),
            ("lies_flat", _SURE.get(form["lies_flat"])),
            ("has_lock", form["has_lock"] == "yes"),
            ("readout", readout if counts else None),
            ("quadrant", quadrant or None),
            ("blanked", wholes(form["blanked"], "blanked") or None),
            ("damaged", [_damaged(line) for line in _split(form["damaged"])] or None),
        ]
    )


def _split(text: str) -> list[str]:
    return [line for line in re.split(r"[\n;]", text) if line.strip()]


def _damaged(line: str) -> dict[str, Any]:
    circle, colon, holes = line.partition(":")
    found = wholes(holes, "damaged") if colon and circle.strip().isdecimal() and len(circle.strip()) < 5 else []
    if not found:
        raise Problems([phrases.problem("holes_of_a_circle", "damaged", {"value": line.strip()[:40]})])
    return {"circle": int(circle), "holes": found}


def standing(d: Device | None, unit: str) -> dict[str, str]:
    """What a device's form shows before anything is typed; for None an empty form of a device with a lock."""
    if d is None:
        return {"has_lock": "yes"}
    return {
        "name": d.name,
        "ratio": str(d.ratio),
        "circles": "\n".join(" ".join(map(str, side)) for side in d.circles),
        "change_gears": " ".join(map(str, d.change_gears)),
        "direct_circles": " ".join(map(str, d.direct_circles)),
        "smallest_arcsec": _plain(getattr(d.dial, "smallest_arcsec", None)),
        "vernier_arcsec": _plain(getattr(d.dial, "vernier_arcsec", None)),
        "dial_shows": d.dial_shows,
        "backlash_arcsec": _plain(d.backlash_arcsec),
        **{n: length_in(getattr(d, n), unit) for n in LENGTHS},
        **{n: _plain(getattr(d, n)) for n in FIGURES},
        "stands_upright": "yes" if d.stands_upright else "",
        "lies_flat": "" if d.lies_flat is None else "yes" if d.lies_flat else "no",
        "has_lock": "yes" if d.has_lock else "",
        "counts_per_turn": "" if d.readout is None else str(d.readout.counts_per_turn),
        "readout_on": "" if d.readout is None else d.readout.on,
        **{n: length_in(getattr(d.quadrant, n, None), _unit(n, unit)) for n in QUADRANT},
        "blanked": " ".join(map(str, d.blanked)),
        "damaged": "\n".join(f"{one.circle}: {' '.join(map(str, one.holes))}" for one in d.damaged),
    }


def _unit(name: str, unit: str) -> str:
    """A module is in millimetres wherever it is spoken of."""
    return "mm" if name == "gear_module_mm" else unit


def _plain(value: float | None) -> str:
    return "" if value is None else number(value)


def words_of(d: Device, unit: str) -> str:
    """A device in one line of the shelf."""
    return "; ".join((*_divides_by(d), *_takes(d, unit)))


def _divides_by(d: Device) -> Iterator[str]:
    yield _("ratio {ratio}", ratio=d.ratio)
    for i, side in enumerate(d.circles):
        yield _("plate side {n}: {holes}", n=i + 1, holes=" ".join(map(str, side)))
    if d.blanked:
        yield _("not to be used: {circles}", circles=" ".join(map(str, d.blanked)))
    for one in d.damaged:
        holes = " ".join(map(str, one.holes))
        yield ngettext_(
            "hole {holes} of {circle} bad",
            "holes {holes} of {circle} bad",
            len(one.holes),
            holes=holes,
            circle=one.circle,
        )
    if d.direct_circles:
        yield _("direct holes {holes}", holes=" ".join(map(str, d.direct_circles)))
    if d.change_gears:
        yield _("change gears {gears}", gears=" ".join(map(str, d.change_gears)))
    if d.dial is not None:
        yield _("dial read to {sec}″", sec=number(d.dial.vernier_arcsec or d.dial.smallest_arcsec, 1))
    if d.readout is not None:
        on = _("the crank") if d.readout.on == "crank" else _("the spindle")
        yield _("readout of {n} counts a turn on {on}", n=d.readout.counts_per_turn, on=on)


def _takes(d: Device, unit: str) -> Iterator[str]:
    def size(mm: float) -> str:
        return f"{length(mm, unit, 0 if unit == 'mm' else 2)} {unit}"

    if d.quadrant is not None:
        near, far = size(d.quadrant.stud_nearest_mm), size(d.quadrant.stud_furthest_mm)
        yield _("stud from {near} to {far} of the worm shaft", near=near, far=far)
    if d.centre_height_mm is not None:
        yield _("centre height {mm}", mm=size(d.centre_height_mm))
    loads = ((d.load_flat_kg, N_("carries {kg} kg flat")), (d.load_upright_kg, N_("carries {kg} kg upright")))
    for kg, word in loads:
        if kg is not None:
            yield _(word, kg=number(kg, 1))
    if d.lies_flat is False:
        yield _("holds nothing lying flat")
    if not d.has_lock:
        yield _("no lock")
