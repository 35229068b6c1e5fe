"""The everyday sums as plain commands, thin over the operations."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from ringwright import reckon
from ringwright.reckon.base import Problems
from ringwright.words import N_, _

_METHODS = {
    "direct": N_("direct"),
    "plain": N_("plain"),
    "compound": N_("compound, two moves for each tooth"),
    "differential": N_("differential"),
    "dial": N_("by the dial"),
    "step_over": N_("several spaces at a time"),
    "from_teeth": N_("from the ring's own teeth"),
    "plate_to_make": N_("with a plate to make"),
}


def divide(asked: argparse.Namespace) -> int:
    """``ringwright divide 127``: the kit's devices, or the one named by plain options."""
    request: dict[str, Any] = {"divisions": asked.divisions, "table": asked.table}
    if asked.ratio or asked.circles or asked.gears or asked.dial_arcsec:
        request["device"] = _named(asked)
    else:
        from ringwright.store import StoreRefusal

        try:
            request["devices"] = _kit_devices(asked.data)
        except (StoreRefusal, OSError) as fault:
            print(fault, file=sys.stderr)
            return 2
        if not request["devices"]:
            print(
                _("There is no dividing device in the kit. Name one: --ratio 40 --circles 15,16,17,18,19,20."),
                file=sys.stderr,
            )
            return 2
    for option, field in (("radius_mm", "radius_mm"), ("tolerance_um", "tolerance_um")):
        if getattr(asked, option) is not None:
            request[field] = getattr(asked, option)
    try:
        answer = reckon.operation("divide").ask(request)
    except Problems as problems:
        return _told(problems)
    if "device" in request and not asked.ratio:
        print(_("Ratio not given: 40 crank turns to one of the spindle taken."))
    print_divide(answer)
    return 0 if answer.ways else 2


def print_divide(answer: Any) -> None:
    """One line per way, the best first; then the table of the first way, when there is one."""
    if not answer.ways:
        print(_("No way with this device."))
    for number, way in enumerate(answer.ways, 1):
        error = _("exact") if way.exact else _("worst error {e:.1f} arcsec", e=way.worst_error_arcsec)
        print(f"{number}. {way.device}, {_(_METHODS.get(way.method, way.method))}: {_move(way)} ({error})")
        print(f"   {way.why}")
        if way.steps_note and way.steps_note != _move(way):
            print(f"   {way.steps_note}")
    for note in answer.notes:
        print(f"   {note.text}")
    table = getattr(answer, "table", None) or (answer.ways and getattr(answer.ways[0], "table", None))
    for row in table or ():
        place = row.dial or f"{row.turns} / {row.hole}"
        print(f"{row.tooth:5d}  {place:>18}  {row.spindle_deg:9.4f}°")


def _move(way: Any) -> str:
    move = way.move
    if move is None:
        return str(way.steps_note or way.why)
    if move.dial is not None:
        return f"{move.dial.deg}° {move.dial.min}′ {move.dial.sec:g}″"
    said: str = _("{n} full turns", n=move.turns) if move.turns else _("no full turn")
    if move.circle is not None:
        said += _(", {holes} spaces on the {circle} circle", holes=move.holes, circle=move.circle)
    if move.second is not None:
        said += _(
            ", then plate and crank together {holes} spaces on the {circle} circle",
            holes=move.second.holes,
            circle=move.second.circle,
        )
    if way.spaces_per_move > 1:
        said += _(", which goes {n} teeth on", n=way.spaces_per_move)
    if way.gears is not None:
        said += _("; gears {s} on the spindle", s=way.gears.spindle)
        if way.gears.stud_meshing_spindle is not None:
            said += _(", {a} and {b} on the stud", a=way.gears.stud_meshing_spindle, b=way.gears.stud_meshing_worm)
        said += _(", {w} on the worm", w=way.gears.worm)
        said += (
            _(", plate turning with the crank")
            if way.gears.plate_turns == "with"
            else _(", plate turning against the crank")
        )
    return said


def gear(asked: argparse.Namespace) -> int:
    """``ringwright gear 127 --module-mm 5``."""
    ring: dict[str, Any] = {"kind": "internal" if asked.internal else "external", "teeth": asked.teeth}
    for field in ("module_mm", "diametral_pitch", "pressure_angle_deg", "profile_shift"):
        if getattr(asked, field) is not None:
            ring[field] = getattr(asked, field)
    try:
        answer = reckon.operation("gear").ask({"ring": ring})
    except Problems as problems:
        return _told(problems)
    for name, value in answer.model_dump(exclude={"contract", "made_by", "notes", "sources", "working"}).items():
        if value is not None:
            print(f"{name:32} {_plain(value)}")
    for note in answer.notes:
        print(note.text)
    return 0


def _plain(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{k} {_plain(v)}" for k, v in value.items() if v is not None)
    if isinstance(value, (tuple, list)):
        return ("; " if value and isinstance(value[0], dict) else " to ").join(_plain(v) for v in value)
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _named(asked: argparse.Namespace) -> dict[str, Any]:
    device: dict[str, Any] = {"name": _("the device you named"), "ratio": asked.ratio or "40"}
    if asked.circles:
        device["circles"] = [_numbers(side) for side in asked.circles.split("/")]
    if asked.gears:
        device["change_gears"] = _numbers(asked.gears)
    if asked.dial_arcsec:
        device["dial"] = {"smallest_arcsec": asked.dial_arcsec}
    return device


def _numbers(text: str) -> list[Any]:
    """Whole numbers; anything else goes on as it is, so that the operation says what is wrong with it."""
    return [int(w) if w.strip().isdigit() else w.strip() for w in text.split(",")]


def _kit_devices(data: str | None) -> list[dict[str, object]]:
    from ringwright.store import StoreRefusal, open_store
    from ringwright.store.place import data_place

    try:
        with open_store(data_place(data), create=False) as store:
            kit, _version = store.kit()
    except StoreRefusal:
        if data:
            raise
        return []  # nobody opened the app here yet, so there is no shelf either
    return [device.as_asked() for device in kit.devices]


def _told(problems: Problems) -> int:
    for problem in problems.problems:
        where = f"{problem.where}: " if problem.where else ""
        print(f"{where}{problem.what} {_capital(problem.allowed)} {problem.do}", file=sys.stderr)
    return 2


def _capital(text: str) -> str:
    """The sentence as it begins a line: first letter large, a full stop behind it."""
    said = text[:1].upper() + text[1:]
    return said if not said or said[-1] in ".!?" else said + "."
