"""The mate on the Find out page: how the pair runs, and the lead-in that the mate asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ringwright.errors import Unreadable
from ringwright.job.document import FindOut
from ringwright.quantities import read_length
from ringwright.reckon import answers
from ringwright.reckon.base import Problem, Problems
from ringwright.web.pages import Line, length, number
from ringwright.words import N_, _

#: how the mate comes in, as the job keeps it -> as `mesh` asks it
HOW: dict[str, str] = {
    "thrown": "thrown_at_rest",
    "thrown_turning": "thrown_turning",
    "slid": "slid",
    "always": "always",
}
FLANKS: dict[str, str] = {
    "": N_("not known"),
    "plus": N_("the clockwise one"),
    "minus": N_("the other one"),
    "both": N_("both, driven both ways"),
}
_BY: dict[str, str] = {"plus": N_("the clockwise flank"), "minus": N_("the other flank")}


@dataclass(frozen=True, slots=True)
class Mating:
    """What the pair does, as ledger lines; ``asks`` is the lead-in in a sentence."""

    lines: tuple[Line, ...]
    asks: str
    butting: str
    notes: tuple[Any, ...]
    cannot: tuple[Problem, ...]


def mesh_of(found: FindOut) -> dict[str, Any] | None:
    """What `mesh` is asked: the mate in the ring's own system, at the centres that were read; None while unknown."""
    mate = found.mate or {}
    if found.ring is None or not mate.get("teeth"):
        return None
    own = {name: value for name, value in found.ring.items() if name not in _OF_THE_RING and value is not None}
    other = {"right": "left", "left": "right"}.get(str(own.get("hand")))
    if other is not None and found.ring["kind"] == "external":
        own["hand"] = other
    entry: dict[str, Any] = {"how": HOW.get(str(mate.get("enters")), "always")}
    for kept, asked in (
        ("end_land_mm", "mate_end_land_mm"),
        ("loaded_flank", "loaded_flank"),
        ("throw_mm", "throw_mm"),
    ):
        if mate.get(kept) is not None:
            entry[asked] = mate[kept]
    if mate.get("bevel_mm"):
        entry["mate_bevel"] = {"length_mm": mate["bevel_mm"]}
    centres = mate.get("centre_distance_mm") or _read_centres(found, mate["teeth"])
    return {
        "ring": found.ring,
        "mate": {**own, "kind": "external", "teeth": mate["teeth"]},
        **({"centre_distance_mm": centres} if centres else {}),
        "entry": entry,
    }


#: what the mate does not share with the ring
_OF_THE_RING = ("kind", "teeth", "profile_shift", "tip_diameter_mm", "root_diameter_mm", "thickness_allowance_mm")


def _read_centres(found: FindOut, teeth: int) -> float | None:
    """The centre distance among the readings, for this mate."""
    for reading in reversed(found.readings):
        asked = reading.asked
        if asked.get("what") == "centre_distance" and asked.get("mate_teeth") == teeth:
            value = asked["value"]
            try:
                return float(read_length(value)) if isinstance(value, str) else _mm(float(value), asked.get("unit"))
            except Unreadable:
                return None
    return None


def _mm(value: float, unit: Any) -> float:
    return value * 25.4 if unit == "in" else value


def mating(found: FindOut, unit: str) -> Mating | None:
    """The pair as it runs; None while ring or mate are not known."""
    asked = mesh_of(found)
    if asked is None:
        return None
    try:
        answer = answers.answer("mesh", {**asked, "working": True})
    except Problems as problems:
        return Mating((), "", "", (), problems.problems)
    kept = tuple(n for n in answer.notes if n.code != "default_used")
    return Mating(_lines(answer, unit), *_asks(answer.lead_in, unit), kept, ())


def _lines(answer: Any, unit: str) -> tuple[Line, ...]:
    def sums(*symbols: str) -> tuple[Any, ...]:
        return tuple(w for w in answer.working or () if w.symbol in symbols)

    def mm(value: float) -> str:
        return length(value, unit, 3 if unit == "mm" else 4)

    play = answer.backlash
    least = next((r for r in answer.recommended if r.by == "least"), None)
    wanted = _("recommended at least {mm} {unit} normal", mm=mm(least.normal_low_mm), unit=unit) if least else ""
    lines = [
        Line(
            _("Centre distance"), mm(answer.centre_distance_mm), unit, _from_drawn(answer, mm, unit), sums("a", "α_wt")
        ),
        Line(_("Contact ratio"), number(answer.contact_ratio.transverse, 2), "", "", sums("ε_α")),
        Line(_("Backlash, circumferential"), mm(play.circumferential_mm), unit, _("with sound flanks"), sums("j_wt")),
        Line(_("Backlash, normal"), mm(play.normal_mm), unit, wanted, sums("j_bn")),
        Line(
            _("Tip clearance, ring / mate"),
            f"{mm(answer.ring.tip_clearance_mm)} / {mm(answer.mate.tip_clearance_mm)}",
            unit,
        ),
    ]
    if play.radial_mm is not None:
        lines.insert(4, Line(_("Backlash, radial"), mm(play.radial_mm), unit, "", sums("j_r")))
    return tuple(lines)


def _from_drawn(answer: Any, mm: Any, unit: str) -> str:
    return _("drawn: {mm} {unit}", mm=mm(answer.reference_centre_distance_mm), unit=unit)


def _asks(lead_in: Any, unit: str) -> tuple[str, str]:
    """The lead-in that the mate asks for, and what it does to butting."""
    if lead_in is None or not lead_in.flanks:
        return _("Always in mesh: the mate asks for no lead-in."), ""
    which = _("both flanks") if len(lead_in.flanks) == 2 else _(_BY[lead_in.flanks[0].flank])
    asks = _(
        "The mate asks for a lead-in {long} {unit} long on {which} of every tooth, at the end where it enters.",
        long=length(lead_in.lead_length_mm, unit),
        unit=unit,
        which=which,
    )
    chance = lead_in.chance_of_butting
    if chance is None:
        return asks, ""
    return asks, _(
        "Tooth end on tooth end: {before} in 100 as drawn, {after} in 100 with it.",
        before=number(100 * chance.before, 0),
        after=number(100 * chance.after, 0),
    )
