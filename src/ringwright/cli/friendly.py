"""The everyday sums as plain commands, thin over the operations."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import Any

from ringwright import reckon
from ringwright.reckon.base import Problems
from ringwright.words import N_, _, ngettext_

_METHODS = {
    "direct": N_("direct"),
    "plain": N_("plain"),
    "compound": N_("compound, two moves for each tooth"),
    "differential": N_("differential"),
    "dial": N_("by the dial"),
    "counts": N_("by the readout"),
    "step_over": N_("several spaces at a time"),
    "from_teeth": N_("from the ring's own teeth"),
    "plate_to_make": N_("with a plate to make"),
}
#: Ways printed in full; the rest get one line each.
_IN_FULL = 3
#: Options that name a device; without any of them the kit's devices are asked.
_NAMES_A_DEVICE = ("ratio", "circles", "gears", "dial_arcsec", "counts")
#: What ``--radius-mm`` and the like are called in a request.
_PASSED_ON = ("radius_mm", "tolerance_um", "work", "set_up", "outside_diameter_mm", "mass_kg")


def divide(asked: argparse.Namespace) -> int:
    """``ringwright divide 127``, or a chart ``--from 2 --to 500``: the kit's devices, or one named by plain options."""
    request = _request(asked)
    if request is None:
        return 2
    if asked.divisions is None:
        return _chart(asked, request)
    try:
        answer = reckon.operation("divide").ask({**request, "divisions": asked.divisions, "table": asked.table})
    except Problems as problems:
        return _told(problems)
    print_divide(answer)
    return 0 if answer.ways else 2


def _request(asked: argparse.Namespace) -> dict[str, Any] | None:
    """The devices and what else was named; None when there is no device, which has then been said."""
    request: dict[str, Any] = {f: getattr(asked, f) for f in _PASSED_ON if getattr(asked, f) is not None}
    if any(getattr(asked, f) is not None for f in _NAMES_A_DEVICE):
        request["device"] = _named(asked)
        if not asked.ratio:
            print(_("Ratio not given: 40 crank turns to one of the spindle taken."))
        if asked.circles is None and asked.dial_arcsec is None and asked.counts is None:
            print(_("No circles, dial or readout named: --circles 15,16,17,18,19,20 names those of a plate."))
        return request
    from ringwright.store import StoreRefusal

    try:
        request["devices"] = _kit_devices(asked.data)
    except (StoreRefusal, OSError) as fault:
        print(fault, file=sys.stderr)
        return None
    if not request["devices"]:
        print(
            _("There is no dividing device in the kit. Name one: --ratio 40 --circles 15,16,17,18,19,20."),
            file=sys.stderr,
        )
        return None
    if asked.blanked is not None:
        left_out = _numbers(asked.blanked)
        request["devices"] = [{**d, "blanked": [*(d.get("blanked") or ()), *left_out]} for d in request["devices"]]
    return request


def _chart(asked: argparse.Namespace, request: dict[str, Any]) -> int:
    """One line for every count, the best way first found; progress on stderr when a person watches."""
    from ringwright.reckon.indexing_chart import chart_of

    first, last = asked.first, 500 if asked.last is None else asked.last
    try:
        lines = chart_of({**request, "divisions": first}, last, _progress if sys.stderr.isatty() else None)
        for count, way in lines:
            print(_chart_line(count, way))
    except Problems as problems:
        return _told(problems)
    finally:
        if sys.stderr.isatty():
            print("\r" + " " * 40 + "\r", end="", file=sys.stderr)
    return 0


def _progress(done: int, of: int) -> None:
    if done % 10 == 0 or done == of:
        print("\r" + _("{done} of {of} counts", done=done, of=of), end="", file=sys.stderr, flush=True)


def _chart_line(count: int, way: Any) -> str:
    if way is None:
        return _("{n:5d}  no way with what there is", n=count)
    return f"{count:5d}  {way.device}: {_move(way)} ({_error(way)})"


def _error(way: Any) -> str:
    if way.worst_error_arcsec is None:
        return _("error: that of the ring's own teeth")
    if way.exact:
        return _("exact")
    if way.worst_error_um is None:
        return _("worst error {e:.1f} arcsec", e=way.worst_error_arcsec)
    return _("worst error {e:.1f} arcsec, {um:.0f} µm", e=way.worst_error_arcsec, um=way.worst_error_um)


def print_divide(answer: Any) -> None:
    """The best ways in full, the others in one line each; then notes, and the table of the first way, if asked for."""
    if not answer.ways:
        print(_("No device here takes this ring.") if answer.cannot_take else _("No way with this device."))
    for number, way in enumerate(answer.ways, 1):
        method = _(_METHODS.get(way.method, way.method))
        print(f"{number}. {way.device}, {method}: {_move(way)} ({_error(way)})")
        if number <= _IN_FULL:
            for label, said in (
                (_("Why"), way.why),
                (_("Place"), way.ranks),
                (_("Do"), way.steps_note),
                (_("Prove before cutting"), way.prove),
                (_("Risk"), way.risk),
            ):
                if said:
                    print(f"   {label}: {said}")
    if len(answer.ways) > _IN_FULL:
        print(_("In full: the first {n}. All there is: ringwright reckon divide.", n=_IN_FULL))
    for gone in answer.cannot_take:
        print(_("Left out: {device}. {why}", device=gone.device, why=gone.why))
    for note in answer.notes:
        print(f"- {note.text}")
    table = (answer.ways and answer.ways[0].table) or ()
    if table:
        print(_("Way 1; turns and hole are those of the crank, and hole 0 is the one at tooth 1:"))
        print(f"{_('tooth'):>5}  {_('turns / hole, or reading'):>28}  {_('spindle'):>9}")
    for row in table:
        place = row.reading or (f"{row.turns} / {row.hole}")
        print(f"{row.tooth:5d}  {place:>28}  {row.spindle_deg:9.4f}°  {row.move or ''}".rstrip())


def _move(way: Any) -> str:
    from ringwright.reckon.crank import spaces_words

    move = way.move
    if way.counts_per_move is not None:
        return _("about {n} counts a tooth, each set by itself", n=way.counts_per_move)
    if move.dial is not None:
        dial = f"{move.dial.deg}° {move.dial.min}′ {move.dial.sec:g}″"
        return _("about {dial} a tooth, each set by itself", dial=dial)
    if way.method == "from_teeth":
        return _("one tooth of the ring")
    said: str = ngettext_("{n} full turn", "{n} full turns", move.turns) if move.turns else _("no full turn")
    if way.method == "plate_to_make":
        said = _("plate to be drilled first: {move}", move=said)
    if move.circle is not None:
        said += ", " + spaces_words(move.holes, move.circle)
    if move.second is not None:
        said += _(
            ", then plate and crank together {sense} {spaces}",
            sense=_("clockwise") if move.second.holes > 0 else _("anticlockwise"),
            spaces=spaces_words(abs(move.second.holes), move.second.circle),
        )
    if way.spaces_per_move > 1:
        said += _(", which goes {n} teeth on", n=way.spaces_per_move)
    return said if way.gears is None else said + _train(way)


def _train(way: Any) -> str:
    said: str = _("; gears {s} on the spindle", s=way.gears.spindle)
    if way.gears.stud_meshing_spindle is not None:
        said += _(", {a} and {b} on the stud", a=way.gears.stud_meshing_spindle, b=way.gears.stud_meshing_worm)
    said += _(", {w} on the worm", w=way.gears.worm)
    return said + (
        _(", plate turning with the crank")
        if way.gears.plate_turns == "with"
        else _(", plate turning against the crank")
    )


#: What ``--module-mm`` and the like are called in a ring of a request; the same for a ring and its mate.
_OF_BOTH = ("module_mm", "diametral_pitch", "circular_pitch_mm", "pressure_angle_deg", "helix_angle_deg")
#: What belongs to one ring alone.
_OF_ONE = ("hand", "profile_shift", "tip_diameter_mm", "thickness_allowance_mm")


def gear(asked: argparse.Namespace) -> int:
    """``ringwright gear 127 --module-mm 5``."""
    return _figures("gear", {"ring": _ring(asked), **_given(asked, ("span_teeth", "pin_diameter_mm"))})


def mesh(asked: argparse.Namespace) -> int:
    """``ringwright mesh 127 20 --module-mm 5 --centre-distance-mm 367.8``: a ring and a mate of the same pitch."""
    mate = {"kind": "external", "teeth": asked.mate_teeth, **_given(asked, (*_OF_BOTH, "face_width_mm"))}
    if asked.hand is not None:
        mate["hand"] = asked.hand if asked.internal else {"right": "left", "left": "right"}[asked.hand]
    for field in ("profile_shift", "tip_diameter_mm"):
        if getattr(asked, f"mate_{field}") is not None:
            mate[field] = getattr(asked, f"mate_{field}")
    request = {"ring": _ring(asked), "mate": mate, **_given(asked, ("centre_distance_mm", "use"))}
    if asked.backlash_mm is not None:
        if asked.backlash_kind is None:
            print(_("Kind of backlash not given: normal backlash, what a feeler shows, taken."))
        request["backlash"] = {"kind": asked.backlash_kind or "normal", "mm": asked.backlash_mm}
    return _figures("mesh", request)


def tolerance(asked: argparse.Namespace) -> int:
    """``ringwright tolerance 127 --module-mm 5 --grade 9 --edition 1995``."""
    return _figures("tolerance", {"ring": _ring(asked), **_given(asked, ("grade", "edition", "sector_pitches"))})


def _ring(asked: argparse.Namespace) -> dict[str, Any]:
    """The ring named by plain options."""
    kind = "internal" if asked.internal else "external"
    return {"kind": kind, "teeth": asked.teeth, **_given(asked, (*_OF_BOTH, *_OF_ONE, "face_width_mm"))}


def _given(asked: argparse.Namespace, fields: Sequence[str]) -> dict[str, Any]:
    return {field: getattr(asked, field) for field in fields if getattr(asked, field) is not None}


def _figures(name: str, request: dict[str, Any]) -> int:
    """Ask an operation and print its figures, one a line, then its notes."""
    try:
        answer = reckon.operation(name).ask(request)
    except Problems as problems:
        return _told(problems)
    for field, value in answer.model_dump(exclude={"contract", "made_by", "notes", "sources", "working"}).items():
        if value is not None and value != ():
            print(f"{field:32} {_plain(value)}")
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
    device: dict[str, Any] = {"name": _("the device you named"), "ratio": _ratio(asked.ratio or "40")}
    if asked.circles is not None:
        device["circles"] = [_numbers(side) for side in asked.circles.split("/")]
    if asked.gears is not None:
        device["change_gears"] = _numbers(asked.gears)
    if asked.dial_arcsec is not None:
        device["dial"] = {"smallest_arcsec": asked.dial_arcsec}
    if asked.counts is not None:
        device["readout"] = {"counts_per_turn": asked.counts}
    if asked.blanked is not None:
        device["blanked"] = _numbers(asked.blanked)
    return device


def _ratio(text: str) -> str:
    """The ratio as the operation reads it; "40:1", as it stands on the head, is 40.

    >>> _ratio("40:1"), _ratio("90 : 1"), _ratio("2550/47"), _ratio("1:40")
    ('40', '90', '2550/47', '1:40')
    """
    turns, colon, one = text.partition(":")
    return turns.strip() if colon and one.strip() == "1" else text


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
    return [device.as_offered() for device in kit.devices]


def _told(problems: Problems) -> int:
    for problem in problems.problems:
        where = f"{problem.where}: " if problem.where else ""
        print(f"{where}{problem.what} {_capital(problem.allowed)} {problem.do}", file=sys.stderr)
    return 2


def _capital(text: str) -> str:
    """The sentence as it begins a line: first letter large, a full stop behind it."""
    said = text[:1].upper() + text[1:]
    return said if not said or said[-1] in ".!?" else said + "."
