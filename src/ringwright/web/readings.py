"""Readings as the Find out page takes them: their words, the further figure that some need, what they are good for."""

from __future__ import annotations

from typing import Any

from ringwright.errors import Unreadable
from ringwright.identify.readings import NOT_ON
from ringwright.job.kit import Instrument, Kit
from ringwright.quantities import read_length
from ringwright.web.forms import Typed, given, length, number_or_text, whole
from ringwright.web.pages import number
from ringwright.words import N_, _

#: what is read -> its words
WHATS: dict[str, str] = {
    "whole_depth": N_("Tooth depth"),
    "span": N_("Span over teeth"),
    "span_difference": N_("Longer span less shorter"),
    "tip_diameter": N_("Over the tips, made good for an odd count"),
    "tip_caliper": N_("Over the tips, as the caliper says"),
    "tip_girth": N_("Tape round the tips"),
    "tip_arc": N_("Tape along the tips of some teeth"),
    "chord_over_teeth": N_("Straight from tip to tip over teeth"),
    "root_diameter": N_("Across the roots"),
    "over_pins": N_("Over pins"),
    "between_pins": N_("Between pins"),
    "chordal_thickness": N_("Tooth thickness, tooth caliper"),
    "pitch": N_("Tooth to tooth (circular pitch)"),
    "centre_distance": N_("Centre distance to the mate"),
    "helix_angle": N_("Helix angle"),
    "segment_teeth": N_("Teeth on one of equal pieces"),
}
#: what needs a further figure -> the request's field for it, whether it is a count, the words of the form's field
_FURTHER: dict[str, tuple[str, bool, str]] = {
    "span": ("span_teeth", True, N_("Teeth spanned")),
    "span_difference": ("teeth_apart", True, N_("Teeth apart")),
    "tip_arc": ("over_teeth", True, N_("Pitches along the tape")),
    "chord_over_teeth": ("over_teeth", True, N_("Pitches from tip to tip")),
    "over_pins": ("pin_diameter", False, N_("Pin diameter")),
    "between_pins": ("pin_diameter", False, N_("Pin diameter")),
    "chordal_thickness": ("height", False, N_("Height of the tongue")),
    "centre_distance": ("mate_teeth", True, N_("Teeth of the mate")),
    "segment_teeth": ("segments", True, N_("Pieces in the ring")),
}


def further() -> dict[str, str]:
    """What is read -> what the field for its further figure is called."""
    return {what: _(words) for what, (_field, _count, words) in _FURTHER.items()}


def kinds(kind: str) -> dict[str, str]:
    """What can be read on rings whose teeth look out or in, in words."""
    shut = NOT_ON[1 if kind == "external" else -1]
    return {what: _(words) for what, words in WHATS.items() if what not in shut}


def asked_of(form: Typed, unit: str, kit: Kit) -> dict[str, Any]:
    """One reading of `identify` from the form, good to what the kit's instrument for it is good to."""
    what = form["what"]
    if what == "segment_teeth":
        return {"what": what, "value": whole(form["value"], "value", 1, 1000), **_extra(form, what)}
    value = number_or_text(form["value"])
    angle = what == "helix_angle"
    asked = given(
        [
            ("what", what),
            ("value", value),
            ("unit", ("deg" if angle else unit) if isinstance(value, float) else None),
            ("worn", True if form["worn"] == "yes" else None),
        ]
    )
    asked |= _extra(form, what, unit)
    instrument = None if angle else instrument_for(kit, what, value, unit)
    if instrument is not None:
        asked["uncertainty"] = f"{instrument.uncertainty} {instrument.unit}"
    return asked


def _extra(form: Typed, what: str, unit: str = "mm") -> dict[str, Any]:
    if what not in _FURTHER:
        return {}
    field, count, _words = _FURTHER[what]
    if count:
        return {field: whole(form["extra"], "extra", 1, 1000)}
    return {field: number_or_text(form["extra"]) if unit == "in" else length(form["extra"], "mm")}


def instrument_for(kit: Kit, what: str, value: Any, unit: str) -> Instrument | None:
    """The finest of the kit's instruments that takes this reading and is long enough for it."""
    try:
        size = float(read_length(value)) if isinstance(value, str) else float(value) * (25.4 if unit == "in" else 1)
    except Unreadable:
        return None  # the operation says what is wrong with it
    fitting = [
        one
        for one in kit.instruments
        if what in one.reads and one.unit in ("mm", "in") and (one.longest_mm is None or size <= one.longest_mm)
    ]
    return min(fitting, key=lambda one: one.uncertainty * (25.4 if one.unit == "in" else 1), default=None)


def can_read(kit: Kit) -> list[str] | None:
    """Kinds that the shop's instruments take; None while none is on the shelf, which leaves all open."""
    kinds = {kind for one in kit.instruments for kind in one.reads}
    return sorted(kinds) or None


def said(asked: dict[str, Any]) -> str:
    """One reading in words, with its further figure."""
    what = str(asked.get("what"))
    if what == "rack_tried":
        return _("Rack or hob tried: {size}, {angle}°", **_rack(asked.get("rack", {})))
    words = _(WHATS.get(what, what))
    if what == "span":
        words = _("Span over {n} teeth", n=asked.get("span_teeth"))
    elif what in _FURTHER:
        field, _count, name = _FURTHER[what]
        words = _("{what}; {name}: {value}", what=words, name=_(name).lower(), value=asked.get(field))
    return _("{what}, worn", what=words) if asked.get("worn") else words


def _rack(rack: dict[str, Any]) -> dict[str, str]:
    sizes = {
        "module_mm": N_("module {size}"),
        "diametral_pitch": N_("{size} DP"),
        "circular_pitch_mm": N_("pitch {size} mm"),
    }
    size = next((_(words, size=number(rack[name])) for name, words in sizes.items() if rack.get(name)), "–")
    return {"size": size, "angle": number(rack.get("pressure_angle_deg"))}


_RACK_SIZES: dict[str, str] = {
    "module_mm": N_("module {size}"),
    "diametral_pitch": N_("{size} DP"),
    "circular_pitch_mm": N_("pitch {size} mm"),
}


ROLLED: dict[str, str] = {"smooth": N_("smooth"), "bumping": N_("bumping")}


def rack_of(form: Typed) -> dict[str, Any]:
    """A rack or hob that was rolled in the ring, as a reading of `identify`."""
    field = form["rack_in"] if form["rack_in"] in ("module_mm", "diametral_pitch", "circular_pitch_mm") else "module_mm"
    rack = {
        field: number_or_text(form["rack_size"]),
        "pressure_angle_deg": number_or_text(form["rack_angle"]),
        "rolled": form["rolled"],
    }
    return given([("what", "rack_tried"), ("rack", rack), ("worn", True if form["worn"] == "yes" else None)])


#: what is known of the machine, as `identify` asks it
MADE_IN: dict[str, str] = {
    "": N_("not known"),
    "britain": N_("Britain"),
    "continental_europe": N_("the Continent"),
    "north_america": N_("North America"),
    "east_asia": N_("East Asia"),
}
SIZES: dict[str, str] = {"": N_("not known"), "metric": N_("metric"), "inch": N_("inch")}


def origin_of(form: Typed) -> dict[str, Any] | None:
    """Where the machine comes from; None when nothing was said."""
    return (
        given(
            [
                ("made_in", form["made_in"] if form["made_in"] in MADE_IN and form["made_in"] else None),
                (
                    "built_year",
                    whole(form["built_year"], "built_year", 1800, 2100) if form.text("built_year") else None,
                ),
                ("threads", form["threads"] if form["threads"] in ("inch", "metric") else None),
                ("bore", form["bore"] if form["bore"] in ("inch", "metric") else None),
            ]
        )
        or None
    )
