"""From a request to the situation that is judged: core units, marks taken together, every default noted."""

from __future__ import annotations

from fractions import Fraction
from math import pi

from ringwright.errors import OutOfRange
from ringwright.reckon.base import Note
from ringwright.reckon.choosing_models import Stretch, WaysAsked
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.turning import Mark, damage_of
from ringwright.repair import heat
from ringwright.repair.heat import Preheat
from ringwright.repair.judging import Situation
from ringwright.repair.teeth import DamagedTooth
from ringwright.survey import reclocking
from ringwright.words import _

WINDOW = 3
_LEAD_COEF = 0.8
_LAND = 0.3
MANGANESE = 0.7
_HARD = {"HRC": 40.0, "HV": 390.0, "HB": 370.0}


def inside(asked: WaysAsked) -> None:
    """Refuse stops, readings and stretches off the ring."""
    N = asked.ring.teeth
    for n, s in enumerate(asked.stops_at):
        if not 1 <= s <= N:
            raise OutOfRange("stops_at", s, 1, N, at=(n,))
    for n, h in enumerate(asked.hardness):
        if h.tooth > N:
            raise OutOfRange("hardness", h.tooth, 1, N, at=(n,))
    for n, stretch in enumerate(asked.stretches):
        if max(stretch.first, stretch.last) > N:
            raise OutOfRange("stretches", max(stretch.first, stretch.last), 1, N, at=(n,))


def best_turn(asked: WaysAsked) -> tuple[reclocking.Position, bool] | None:
    """The best allowed turn and whether it is better than now; None where seat or stops are not known."""
    if asked.seat is None or not asked.stops_at:
        return None
    damage, window = (
        damage_of(asked.ring.teeth, asked.marks),
        min(asked.pinion.teeth_in_mesh or WINDOW, asked.ring.teeth),
    )
    now = reclocking.position(damage, asked.stops_at, Fraction(0), window)
    found = reclocking.best_positions(damage, asked.stops_at, asked.seat.allowed(asked.ring.teeth), window)
    if not found:
        return now, False
    return found[0], (found[0].damage, found[0].worst) < (now.damage, now.worst)


def _hardened(asked: WaysAsked) -> bool:
    read = any(h.value >= _HARD.get(h.scale, float("inf")) for h in asked.hardness)
    return read or any(s.kind == "hard" for s in asked.stretches)


def preheat_of(asked: WaysAsked, notes: list[Note]) -> tuple[float, Preheat] | None:
    """Carbon equivalent and preheat; None where nobody knows the steel."""
    steel = asked.steel
    if steel is None:
        return None
    Mn = steel.manganese_percent
    if Mn is None:
        Mn = MANGANESE
        text = _("Manganese was not given: taken as {mn} %, usual in plain carbon steel.", mn=MANGANESE)
        notes.append(Note(code="default_used", text=text))
    ce = heat.carbon_equivalent(
        steel.carbon_percent,
        Mn,
        steel.chromium_percent,
        steel.molybdenum_percent,
        steel.vanadium_percent,
        steel.nickel_percent,
        steel.copper_percent,
    )
    shrunk = asked.seat is not None and asked.seat.shrunk
    if _hardened(asked) and asked.tempered_at_c is None:
        text = _(
            "Teeth are hard and nobody knows at what heat they were tempered: {t:.0f} °C is taken as the limit (common"
            " practice).",
            t=heat.TEMPERED_UNKNOWN,
        )
        notes.append(Note(code="tempering_unknown", text=text))
    return ce, heat.preheat(ce, heat.heat_limit(_hardened(asked), asked.tempered_at_c, shrunk))


def teeth_of(asked: WaysAsked) -> tuple[DamagedTooth, ...]:
    """The damaged teeth, their marks taken together."""
    s_n = core_ring(asked.ring).s_n
    by_tooth: dict[int, list[Mark]] = {}
    for m in asked.marks:
        by_tooth.setdefault(m.tooth, []).append(m)
    welds = {n for s in asked.stretches if s.kind == "weld" for n in _run(s, asked.ring.teeth)}
    for n in welds:
        by_tooth.setdefault(n, [])
    return tuple(_tooth(n, marks, s_n, n in welds) for n, marks in sorted(by_tooth.items()))


def _run(s: Stretch, N: int) -> list[int]:
    return [(s.first - 1 + n) % N + 1 for n in range((s.last - s.first) % N + 1)]


def _tooth(n: int, marks: list[Mark], s_n: float, weld: bool) -> DamagedTooth:
    lost = {"entry": 0.0, "far": 0.0}
    gone, measured = 0.0, True
    for m in marks:
        if m.condition in ("missing", "cracked", "weld"):
            continue
        if m.thickness_mm is not None:
            gone = max(gone, s_n - m.thickness_mm)
        if m.end != "whole" and m.amount_mm is not None:
            lost[m.end] = max(lost[m.end], m.amount_mm)
        elif m.end == "whole" and m.amount_mm is not None and m.condition == "worn":
            gone = max(gone, m.amount_mm)
        elif m.thickness_mm is None:
            measured = False
    kinds = {m.condition for m in marks}
    return DamagedTooth(
        tooth=n,
        lost_entry=lost["entry"],
        lost_far=lost["far"],
        gone=gone,
        measured=measured,
        missing="missing" in kinds,
        cracked="cracked" in kinds,
        weld="weld" in kinds or weld,
    )


def situation_of(
    asked: WaysAsked,
    turn: tuple[reclocking.Position, bool] | None,
    pre: tuple[float, Preheat] | None,
    notes: list[Note],
) -> Situation:
    """All that is known, in core units; each default that fills a gap is a note."""
    ring = core_ring(asked.ring)
    N = ring.z
    window = asked.pinion.teeth_in_mesh or WINDOW
    near = {
        (round(s.place) - 1 + off) % N + 1
        for s in (turn[0].stops if turn else ())
        for off in range(-(window // 2), window // 2 + 1)
    }
    lead, land = _lead(asked, notes)
    full = ring.s_t
    land_now = _or_full(asked.end_land_mm, full, "end_land_mm", notes)
    return Situation(
        N=N,
        m_n=ring.m_n,
        p=ring.p_t,
        b=asked.ring.face_width_mm,
        helical=ring.beta != 0,
        teeth=teeth_of(asked),
        looked=asked.cracks_looked_for != "no",
        holds=asked.duty == "holds_people_or_loads",
        land_now=land_now,
        land_after=min(land, land_now),
        land_pinion=_or_full(asked.pinion.end_land_mm, pi * ring.m_t / 2, "pinion.end_land_mm", notes),
        lead=lead,
        enters=asked.pinion.entry != "always",
        turns=None if asked.seat is None else asked.seat.turns != "no",
        turns_better=None if turn is None else turn[1],
        stops_teeth=tuple(sorted(near)),
        turns_over=None if asked.seat is None else asked.seat.turns_over,
        one_flank=_one_flank(asked.marks),
        weldable={"yes": True, "no": False, "unknown": None}[asked.weldable],
        cast_iron=asked.material == "cast_iron",
        preheat=pre[1] if pre else None,
        new_price=asked.new_ring.price,
        own_times={t.element: (t.p50_minutes, t.p80_minutes) for t in asked.times},
    )


def _one_flank(marks: tuple[Mark, ...]) -> bool:
    """Wear is marked on one flank and nowhere on the other."""
    return {m.flank for m in marks if m.condition == "worn"} in ({"plus"}, {"minus"})


def _lead(asked: WaysAsked, notes: list[Note]) -> tuple[float, float]:
    lead, land = asked.lead.lead_length_mm, asked.lead.end_land_finished_mm
    if lead is None:
        lead = _LEAD_COEF * asked.ring.m_n
        text = _("Length of the lead-in was not given: {mm:.2f} mm (0.8 modules, common practice).", mm=lead)
        notes.append(Note(code="default_used", text=text))
    if land is None:
        land = _LAND
        text = _("Land to leave on the tooth ends was not given: {mm} mm (common practice).", mm=land)
        notes.append(Note(code="default_used", text=text))
    return lead, land


def _or_full(given: float | None, full: float, name: str, notes: list[Note]) -> float:
    if given is not None:
        return given
    text = _("{name} was not given: taken as the whole tooth, {mm:.2f} mm (no bevel left).", name=name, mm=full)
    notes.append(Note(code="default_used", text=text))
    return full
