"""Quick sums, divide: what was typed of the circle, the ring on it, and a head that is not on the shelf."""

from __future__ import annotations

from typing import Any

from ringwright.web.devices import record_of
from ringwright.web.forms import Typed, given, length, number_or_text, whole_or_text
from ringwright.words import N_, _

#: What is cut, which says how true it has to be where that is not typed.
WORKS: dict[str, str] = {
    "": N_("any"),
    "flank": N_("tooth flanks"),
    "lead_in": N_("lead-ins"),
    "gash": N_("gashes"),
    "marks": N_("marks only"),
}
SET_UPS: dict[str, str] = {"": N_("either way"), "flat": N_("lying flat"), "upright": N_("standing upright")}


def circle_asked(typed: Typed, unit: str) -> dict[str, Any]:
    """The circle to divide and the ring that stands on the device."""
    lengths = {"radius_mm": "radius", "outside_diameter_mm": "outside"}
    figures = {"tolerance_um": "tolerance", "mass_kg": "mass"}
    return given(
        [
            ("divisions", whole_or_text(typed["divisions"])),
            *((n, length(typed[f], unit) if typed.text(f) else None) for n, f in lengths.items()),
            *((n, number_or_text(typed[f]) if typed.text(f) else None) for n, f in figures.items()),
            ("work", typed["work"] if typed["work"] in WORKS else None),
            ("set_up", typed["set_up"] if typed["set_up"] in SET_UPS else None),
        ]
    )


def typed_shelf(typed: Typed, unit: str) -> list[dict[str, Any]]:
    """The head that was typed, alone; nothing without a ratio."""
    if not typed.text("ratio"):
        return []
    record = record_of(Typed({**typed, "change_gears": typed["gears"], "name": _("as typed")}), unit)
    for own in ("has_lock", "stands_upright", "mass_kg"):  # not asked here; the mass is that of the ring
        record.pop(own, None)
    shows = record.pop("dial_shows", None)
    if shows and "dial" in record:
        record["dial"]["shows"] = shows
    return [record]
