"""Dividing the circle: every way the shelf has, ranked, with its errors, and what the real ring says to it."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import gcd
from typing import Any

from ringwright.dividing.accuracy import arc_um, arcsec
from ringwright.dividing.devices import ARCSEC, Device, Train, arms
from ringwright.dividing.places import sure_within
from ringwright.dividing.settings import crank_turns, divides
from ringwright.dividing.ways import Way as Found
from ringwright.dividing.ways import search, within
from ringwright.errors import Refusal
from ringwright.reckon import indexing_words as words
from ringwright.reckon import phrases
from ringwright.reckon.base import Came, Operation, WorkingLine, exact
from ringwright.reckon.crank import DeviceAsked, GearsHung, MoveMade, SecondMove, dial_reading
from ringwright.reckon.crank_rows import table_rows
from ringwright.reckon.crank_words import move_words
from ringwright.reckon.indexing_models import Arms, DivideAnswer, DivideAsked, Effort, Way
from ringwright.reckon.indexing_notes import MOST_ROWS, MOST_WAYS, notes_of, unreached
from ringwright.reckon.indexing_ring import cannot_take, real_ring
from ringwright.words import N_, _

phrases.learn(
    "no_such_tooth",
    N_("Tooth {value} is not on this ring."),
    N_("{low} to {high}, each once."),
    N_("Look at the number."),
)
phrases.learn(
    "named_twice",
    N_("{value} is named twice."),
    N_("{low} to {high}, each once."),
    N_("Take one out; should it have been another number?"),
)


def divide(asked: DivideAsked) -> DivideAnswer:
    """Every way to divide with the devices on the shelf, in order of preference."""
    chosen = _chosen(asked.teeth, asked.divisions)
    out = dict(cannot_take(asked))
    shelf = asked.core_shelf()
    methods, r = asked.methods, asked.radius_mm
    found = search(shelf, asked.divisions, methods, r, asked.allowed_um, len(chosen))
    found = [way for way in found if way.device not in out]
    ring = real_ring(asked)
    rows = MOST_ROWS // max(1, len(chosen)) if asked.table else 0
    ways = [one_way(way, asked, shelf[way.device], asked.divisions) for way in found[:MOST_WAYS]]
    ways[:rows] = [
        _with_table(shown, asked, way.device, set(chosen)) for shown, way in zip(ways, found[:rows], strict=False)
    ]
    return DivideAnswer(
        ways=tuple(ways),
        cannot_take=tuple(out.values()),
        real_ring=ring[0] if ring else None,
        notes=(*notes_of(asked, found, shelf, rows), *unreached(asked, found, shelf), *(ring[1] if ring else ())),
        sources=("common-practice", "own-arithmetic"),
        working=_working(shelf, found, asked.divisions) if asked.working else None,
    )


def _chosen(teeth: tuple[int, ...] | None, N: int) -> tuple[int, ...]:
    if teeth is None:
        return tuple(range(1, N + 1))
    for i, tooth in enumerate(teeth):
        if tooth > N or tooth in teeth[:i]:
            raise Refusal("no_such_tooth" if tooth > N else "named_twice", "chosen", tooth, 1, N, at=(i,))
    return tuple(sorted(teeth))


def _with_table(shown: Way, asked: DivideAsked, at: int, wanted: set[int]) -> Way:
    rows = [row for row in table_rows(shown, asked.shelf[at], asked.divisions) if row.tooth in wanted]
    records = [row.as_record() for row in rows]
    if asked.teeth is not None:
        moves = [None, *(move_words(a, b) for a, b in pairwise(rows))]
        records = [record.model_copy(update={"move": move}) for record, move in zip(records, moves, strict=True)]
    return shown.model_copy(update={"table": tuple(records)})


def _name(device: Device, at: int) -> str:
    return device.name or _("device {n}", n=at + 1)


def one_way(way: Found, asked: DivideAsked, device: Device, N: int) -> Way:
    """A way of the core as the contract writes it."""
    given, r = asked.shelf[way.device], asked.radius_mm
    sector = arms(way.move.holes) if way.method not in ("dial", "counts", "direct", "from_teeth") else None
    return Way(
        method=way.method,
        device=_name(device, way.device),
        exact=way.exact,
        move=_move(way, device),
        gears=_gears(way.train),
        arms=Arms(spaces=sector[0], holes=sector[1]) if sector else None,
        steps_note=words.steps(way, device, given, N),
        effort=Effort(moves=way.moves, seconds=way.seconds),
        why=words.why(way, device, N),
        ratio=exact(device.K),
        spaces_per_move=way.p,
        within_tolerance=within(way, r, asked.allowed_um),
        prove=words.prove(way, device, N),
        risk=words.risk(way),
        ranks=words.ranks(way, r, asked.allowed_um),
        identity=words.identity(way, device, N),
        **_errors(way, r),
        **_on_plate(way, device, given, N, r),
        **_on_dial(way, device, given, N),
    )


def _move(way: Found, device: Device) -> MoveMade:
    return MoveMade(
        turns=way.move.turns,
        circle=way.move.circle,
        holes=way.move.holes,
        second=SecondMove(circle=way.move.second[0], holes=way.move.second[1]) if way.move.second else None,
        dial=dial_reading(way.step * device.K % 1 / device.K) if way.method == "dial" else None,
    )


def _errors(way: Found, r: float | None) -> dict[str, Any]:
    """The errors as angles, and at the radius as lengths."""
    e = way.errors
    each = {
        "error_per_tooth": None if e is None else e.per_move,
        "worst_error": None if e is None else e.worst,
        "worst_neighbour": None if e is None else e.neighbour,
        "closing_error": None if e is None else e.closing,
    }
    angles = {f"{name}_arcsec": None if value is None else arcsec(value) for name, value in each.items()}
    arcs = {f"{name}_um": None if value is None or r is None else arc_um(value, r) for name, value in each.items()}
    return {"ratio_error": None if e is None else exact(e.ratio), **angles, **arcs}


def _on_plate(way: Found, device: Device, given: DeviceAsked, N: int, r: float | None) -> dict[str, Any]:
    """What belongs to holes and gears."""
    C, train = way.move.circle, way.train
    comes_back = C // gcd(C, way.move.holes) if C and way.move.second is None and way.method != "from_teeth" else None
    on_plate = C is not None and way.method not in ("direct", "from_teeth", "plate_to_make")
    side = next((n for n, side in enumerate(given.circles, 1) if _both(way) <= set(side)), None) if on_plate else None
    marked = any(d.circle in _both(way) for d in given.damaged)
    return {
        "one_space_um": None if C is None or r is None else arc_um(_one_space(way, device), r),
        "plate_side": side,
        "start_hole": way.start[0] if marked else None,
        "second_start_hole": way.start[1] if marked and way.move.second else None,
        "hole_comes_back_after": comes_back,
        "place_sure_within_deg": sure_within(N, comes_back, way.p) if comes_back else None,
        "idler_gears": train.between if train else None,
        "gears_reach": True if train and device.quadrant is not None else None,
    }


def _both(way: Found) -> set[int]:
    second = {way.move.second[0]} if way.move.second else set()
    return second if way.move.circle is None else {way.move.circle, *second}


def _on_dial(way: Found, device: Device, given: DeviceAsked, N: int) -> dict[str, Any]:
    """What belongs to a dial or a readout."""
    dial, counts = way.method == "dial", device.counts if way.method == "counts" else None
    return {
        "dial_step_arcsec": float(device.dial * ARCSEC) if dial and device.dial else None,
        "dial_smallest_arcsec": given.dial.smallest_arcsec if dial and given.dial else None,
        "dial_shows": given.dial.shows if dial and given.dial else "dms",
        "counts_per_turn": None if counts is None else exact(counts),
        "counts_per_move": None if counts is None else int(way.step * counts),
    }


def _one_space(way: Found, device: Device) -> Fraction:
    assert way.move.circle is not None
    if way.method in ("direct", "from_teeth"):
        return Fraction(1, way.move.circle)
    return Fraction(1, way.move.circle) / (device.K - (way.train.R if way.train else 0))


def _gears(train: Train | None) -> GearsHung | None:
    if train is None:
        return None
    return GearsHung(
        spindle=train.spindle,
        stud_meshing_spindle=train.on_stud_to_spindle,
        stud_meshing_worm=train.on_stud_to_worm,
        worm=train.worm,
        idlers=train.idlers,
        plate_turns="with" if train.sense > 0 else "against",
    )


def _working(shelf: list[Device], found: list[Found], N: int) -> tuple[WorkingLine, ...]:
    if not found:
        return ()
    way, K = found[0], shelf[found[0].device].K
    R = way.train.R if way.train else Fraction(0)
    lines = [("K/N", _("crank turns per division"), "K/N", f"{K}/{N}", exact(crank_turns(K, N)), _("turns"))]
    if way.train:
        lines.append(("R", _("plate turns per spindle turn"), "K - N x", f"{K} - {N}·{way.move.x}", exact(R), ""))
    if way.method not in ("direct", "dial", "counts", "from_teeth"):
        put = f"({K} - ({R}))/({way.move.worm})"
        lines.append(("D", _("this move divides"), "(K - R)/x", put, exact(divides(K, way.move.worm, R)), ""))
    if way.errors:
        put = f"{exact(way.errors.worst)}·1296000"
        lines.append(("F", _("worst error"), "max E - min E", put, f"{arcsec(way.errors.worst):.3f}", "″"))
    return tuple(
        WorkingLine(symbol=s, name=n, formula=f, put_in=p, value=v, unit=u, source="own-arithmetic")
        for s, n, f, p, v, u in lines
    )


DIVIDE = Operation(
    "divide",
    N_("Divide a ring with the devices on the shelf"),
    DivideAsked,
    DivideAnswer,
    divide,
    {
        "chosen": Came("teeth[{0}]"),
        "sound": Came("measured.sound[{0}]"),
        "measured": Came("measured"),
        "pitch": Came("measured.pitch_um[{0}].tooth"),
        "position": Came("measured.position_um[{0}].tooth"),
        "run_out": Came("measured.run_out_um[{0}].tooth"),
        "stretch": Came("measured.stretch"),
    },
)
