"""From what was set out to a round sheet: order of teeth, moves, infeed as it is turned, speeds, re-checks."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from pydantic import ValidationError

from ringwright import __version__, reckon, tables
from ringwright.errors import Refusal
from ringwright.job.document import Hardness, JobDocument, RoundPlan
from ringwright.job.kit import Cutter, Device, Kit, Machine
from ringwright.job.resume import Zero, rechecks
from ringwright.job.sheet import (
    Closing,
    FirstWanted,
    Position,
    Provenance,
    RoundSheet,
    Row,
    WitnessRule,
    Zone,
    canonical,
)
from ringwright.reckon import answers, phrases
from ringwright.reckon.asking_cut import axis_of, infeed_motion, lead_in_of, speed_of
from ringwright.reckon.base import CONTRACT, Problem, Problems
from ringwright.reckon.crank import WayBack
from ringwright.reckon.crank_rows import SettingRow, read_way, table_rows
from ringwright.reckon.crank_words import move_words
from ringwright.reckon.round_words import (
    CUTTER_KINDS,
    MOTIONS,
    decimal_mm,
    infeed_words,
    recheck_words,
    zone_words,
)
from ringwright.reckon.round_zones import brinell, hardest, zones_of_spaces
from ringwright.words import N_, _, ngettext_

for _code, _what, _allowed, _do in (
    ("no_such_round", N_("There is no such round."), N_("A round that was set out."), N_("Set it out first.")),
    (
        "no_way_chosen",
        N_("No way of dividing was chosen for this round."),
        N_("One of the ways of the division."),
        N_("Go to the division of this round and take one."),
    ),
    (
        "way_not_readable",
        N_("The way of dividing that was kept cannot be read any more."),
        N_("A way as the division gives it today."),
        N_("Reckon the division again and take a way."),
    ),
    (
        "divisions_not_teeth",
        N_("The division is for {value}, the ring has {teeth} teeth."),
        N_("{teeth} divisions."),
        N_("Reckon the division again for this ring."),
    ),
    (
        "tooth_not_on_ring",
        N_("Tooth {value} is not on this ring."),
        N_("1 to {teeth}."),
        N_("Look at the chosen teeth."),
    ),
    (
        "infeed_not_reachable",
        N_("The cut as set out does not give what is wanted."),
        N_("A target that this cutter reaches in this pose."),
        N_("Look at the lead-in of this round: what it would reach, and with what."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

__all__ = ["infeed_words", "make_sheet", "recheck_words", "zones_of_spaces"]


def make_sheet(document: JobDocument, kit: Kit, round_id: str) -> RoundSheet:
    """The round sheet of one round as set out.

    Row n is the space behind tooth n, between n and n + 1. Nothing is filled in silently: what is not known stays open
    and is named in ``notes``.

    Raises
    ------
    Problems
        The round is not there, has no way of dividing, or one of its sums has no answer; ``where`` is a path in the
        document.
    """
    plan, at = _plan(document, round_id)
    gathered = _Gathered(document, kit, plan, at)
    back, device_asked, N = _division(gathered)
    settings = _reckoned(f"{at}.way", lambda: table_rows(back, device_asked, N))
    zones = zones_of_spaces(document.map, N)
    ordered = _order(gathered, settings, zones)
    speeds = {zone: _speed(gathered, zone) for zone in dict.fromkeys(zones[s.tooth] for s, _lap in ordered)}
    infeed = _infeed(gathered)
    _named_notes(gathered, back)
    return RoundSheet(
        job_id=document.job_id,
        round_id=round_id,
        revision=plan.revision,
        provenance=_provenance(gathered),
        title=plan.title,
        teeth_on_ring=N,
        turns=plan.turns,
        machine=plan.machine,
        device=plan.device,
        cutter_words=_cutter_words(gathered),
        setup_words=tuple(_setup_words(gathered, back)),
        rows=tuple(_rows(gathered, settings, ordered, zones, speeds, infeed)),
        witness=_witness(plan, back, N),
        rechecks=rechecks(back.method, infeed.zero, has_lock=gathered.device is None or gathered.device.has_lock),
        least_seconds=plan.least_seconds,
        tolerances=plan.tolerances,
        first_wanted=_first_wanted(gathered),
        closing=_closing(back, N, ordered[0][0]),
        notes=tuple(dict.fromkeys(gathered.notes)),
    )


@dataclass
class _Gathered:
    """What a sheet is made from, and the notes that come together on the way."""

    document: JobDocument
    kit: Kit
    plan: RoundPlan
    at: str
    notes: list[str] = field(default_factory=list)

    @property
    def ring(self) -> dict[str, Any] | None:
        return self.document.find_out.ring

    @property
    def machine(self) -> Machine | None:
        return next((m for m in self.kit.machines if m.name == self.plan.machine), None)

    @property
    def device(self) -> Device | None:
        return next((d for d in self.kit.devices if d.name == self.plan.device), None)

    @property
    def cutter(self) -> Cutter | None:
        return next((c for c in self.kit.cutters if c.name == self.plan.cutter), None)


def _plan(document: JobDocument, round_id: str) -> tuple[RoundPlan, str]:
    for i, plan in enumerate(document.set_out.rounds):
        if plan.round_id == round_id:
            return plan, f"set_out.rounds[{i}]"
    raise Problems([phrases.problem("no_such_round", "set_out.rounds", {"value": round_id})])


def _reckoned(where: str, sum_: Any) -> Any:
    """The result of a sum; its faults told at their place in the document."""
    try:
        return sum_()
    except Problems as faults:
        raise Problems([_moved(problem, where) for problem in faults.problems]) from faults
    except Refusal as refusal:
        raise Problems([phrases.problem(refusal.code, where, {"value": refusal.value})]) from refusal
    except ValidationError as fault:
        raise Problems([phrases.problem("way_not_readable", where, {})]) from fault


def _moved(problem: Problem, where: str) -> Problem:
    return problem.model_copy(update={"where": f"{where}.{problem.where}" if problem.where else where})


# -- the division ---------------------------------------------------------------------------------------------------


def _division(g: _Gathered) -> tuple[WayBack, Mapping[str, Any], int]:
    """The way chosen, the device it is for, and the number of divisions."""
    plan, asked = g.plan, g.plan.divide or {}
    if plan.way is None:
        raise Problems([phrases.problem("no_way_chosen", g.at, {})])
    way = plan.way
    back: WayBack = _reckoned(f"{g.at}.way", lambda: read_way(way))
    teeth = (g.ring or {}).get("teeth") or g.document.find_out.teeth
    N = asked.get("divisions") or teeth
    if not isinstance(N, int) or (teeth is not None and teeth != N):
        facts = {"value": N, "teeth": teeth}
        raise Problems([phrases.problem("divisions_not_teeth", f"{g.at}.divide", facts)])
    offered = [asked["device"]] if asked.get("device") else list(asked.get("devices") or ())
    named = [one for one in offered if one.get("name", "") == back.device]
    if named or offered:
        return back, (named or offered)[0], N
    if g.device is None:
        raise Problems([phrases.problem("no_way_chosen", f"{g.at}.device", {})])
    return back, g.device.as_asked(), N


def _order(
    g: _Gathered, settings: Sequence[SettingRow], zones: Mapping[int, Zone]
) -> tuple[tuple[SettingRow, int], ...]:
    """The rows to cut with their lap: as the device meets them, hard and welded teeth in a second lap."""
    N = len(settings)
    chosen = set(g.plan.teeth) if g.plan.teeth is not None else set(range(1, N + 1))
    for tooth in sorted(chosen):
        if not 1 <= tooth <= N:
            facts = {"value": tooth, "teeth": N}
            raise Problems([phrases.problem("tooth_not_on_ring", f"{g.at}.teeth", facts)])
    met = sorted((s for s in settings if s.tooth in chosen), key=lambda s: s.total)
    if not met:
        raise Problems([phrases.problem("tooth_not_on_ring", f"{g.at}.teeth", {"value": "", "teeth": N})])
    later = {s.tooth for s in met if zones[s.tooth] != "sound"} if g.plan.hard_last else set()
    if len(later) == len(met):
        later = set()
    if later:
        g.notes.append(
            ngettext_(
                "{n} hard or welded space comes in a second lap, in counting order.",
                "{n} hard or welded spaces come in a second lap, in counting order.",
                len(later),
            )
        )
    first = [(s, 1) for s in met if s.tooth not in later]
    return (*first, *((s, 2) for s in met if s.tooth in later))


def _witness(plan: RoundPlan, back: WayBack, N: int) -> WitnessRule:
    """Painted numbers where the move itself gives degrees, or where the teeth are counted by hand."""
    kind = "painted" if back.method in ("dial", "counts", "from_teeth") else "spindle_deg"
    return WitnessRule(kind=kind, every=plan.witness_every, within_deg=90 / N)


def _closing(back: WayBack, N: int, first: SettingRow) -> Closing:
    """Where the device stands after N moves from the first tooth of the round."""
    move = back.move.core()
    off = (back.closing_error_arcsec or 0.0) / 3600
    hole, circle = first.hole, first.circle
    if move.circle is None or move.second is not None or back.method in ("from_teeth", "dial", "counts"):
        words = _("After the last tooth go on to the first: the cutter falls into the first cut without touching.")
        hole = hole if back.method == "from_teeth" else None
    else:
        total = N * move.x
        if hole is not None and circle is not None:
            hole = int((Fraction(hole, circle) + total) % 1 * circle)
        p = back.spaces_per_move
        words = _(
            "{n} × {move} = {total} turns of the {what}; the ring goes round {p}: back in the first cut.",
            n=N,
            move=_mixed(move.x),
            total=_mixed(total),
            what=_("nose plate") if back.method == "direct" else _("crank"),
            p=_("once") if p == 1 else _("{p} times", p=p),
        )
    if off:
        past = _("past") if off > 0 else _("short of")
        words += " " + _(
            "It then stands {off:.0f}″ {past} the first cut; that is this way's own error.",
            off=abs(off) * 3600,
            past=past,
        )
    return Closing(divisions=N, identity=words, hole=hole, spindle_deg=_round_the_circle(first.spindle_deg + off))


def _mixed(x: Fraction) -> str:
    """A fraction as the trade says it.

    >>> _mixed(Fraction(47, 13)), _mixed(Fraction(40)), _mixed(Fraction(1, 3))
    ('3 8/13', '40', '1/3')
    """
    whole, rest = divmod(x, 1)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def _round_the_circle(degrees: float) -> float:
    turned = degrees % 360
    return 0.0 if turned >= 360 else turned


def _rows(
    g: _Gathered,
    settings: Sequence[SettingRow],
    ordered: Sequence[tuple[SettingRow, int]],
    zones: Mapping[int, Zone],
    speeds: Mapping[Zone, str],
    infeed: _Infeed,
) -> Iterable[Row]:
    before = settings[0]
    for n, (setting, lap) in enumerate(ordered):
        words = move_words(before, setting) if setting is not before else _("Start here. Come up clockwise. Lock.")
        if n == 0 and setting is not before:
            words = _("From tooth 1: {move}", move=words)
        yield Row(
            tooth=setting.tooth,
            lap=lap,
            move_words=words,
            position=Position(
                turns=setting.turns if setting.circle is not None or setting.dial is not None else None,
                hole=setting.hole,
                dial=setting.shown,
                spindle_deg=_round_the_circle(setting.spindle_deg),
            ),
            infeed_words=infeed.words,
            infeed_mm=infeed.mm,
            passes=g.plan.passes,
            zone=zones[setting.tooth],
            speed_words=speeds[zones[setting.tooth]],
        )
        before = setting


# -- the infeed, as it is turned ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Infeed:
    words: str
    mm: float | None
    zero: Zero


def _infeed(g: _Gathered) -> _Infeed:
    """The infeed from touch-off, on the axis that the pose names."""
    if g.plan.lead_in is None:
        g.notes.append(_("No lead-in was reckoned for this round: the infeed is set by hand."))
        return _Infeed("", None, "felt")
    asked = _lead_in_asked(g)
    where = f"{g.at}.lead_in"
    answer = _reckoned(where, lambda: answers.answer("lead_in", asked))
    g.notes.extend(note.text for note in answer.notes)
    if not answer.reachable:
        raise Problems([phrases.problem("infeed_not_reachable", where, {})])
    mm = round(float(answer.infeed_mm), 4)  # a tenth of a micrometre: one digest on every machine
    motion = infeed_motion(asked)
    axis = axis_of(g.machine, motion)
    if axis is None or motion is None:
        g.notes.append(_("The slide that feeds in is not named or not in the kit: infeed in mm only."))
        return _Infeed(_("{mm} mm from touch-off", mm=decimal_mm(Fraction(round(mm * 100), 100))), mm, "felt")
    steps = [infeed_words(axis, one.infeed_mm, motion) for one in answer.passes]
    words = steps[0] if len(steps) == 1 else _("from touch-off, pass by pass: {steps}", steps="; ".join(steps))
    return _Infeed(words[:200], mm, "readout" if axis.readout else "handwheel")


# -- zones and speeds -----------------------------------------------------------------------------------------------


def _speed(g: _Gathered, zone: Zone) -> str:
    """Spindle speed and feed for one zone, in the machine's steps; "" with a note where it cannot be said."""
    cutter, machine = g.cutter, g.machine
    reading = _hardest(g, zone)
    if cutter is None or reading is None:
        missing = (
            _("the cutter is not in the kit") if cutter is None else _("no hardness was read that can be converted")
        )
        g.notes.append(_("No speeds are given: {missing}.", missing=missing))
        return ""
    asked = speed_of(cutter, machine, reading, zone)
    try:
        answer = reckon.operation("cutting_data").ask(asked)
    except Problems as faults:
        g.notes.extend(f"{zone_words(zone)}: {p.what} {p.do}" for p in faults.problems)
        return ""
    g.notes.extend(note.text for note in answer.notes)
    rpm = answer.spindle_rpm.set or answer.spindle_rpm.ideal
    said = _("{rpm:.0f} rev/min", rpm=rpm)
    if answer.feed_mm_min.set is not None:
        return _("{speed}, feed {feed:.0f} mm/min", speed=said, feed=answer.feed_mm_min.set)
    seconds = 600 / answer.feed_mm_min.ideal
    return _("{speed}, by hand about {seconds:.0f} s for 10 mm", speed=said, seconds=seconds)


def _hardest(g: _Gathered, zone: Zone) -> Hardness | None:
    """The hardest reading in that zone; where none was taken there, the hardest of all, with a note."""
    N = (g.ring or {}).get("teeth") or g.document.find_out.teeth or 1000
    of = g.document.map
    if any(brinell(r) is None or r.tooth > N for r in of.hardness):
        g.notes.append(_("Some hardness readings could not be converted and were left out of the speeds."))
    found, here = hardest(of, N, zone)
    if found is not None and not here:
        g.notes.append(_("{zone}: no reading there, the hardest of all was taken.", zone=zone_words(zone)))
    return found


# -- words of the sheet ---------------------------------------------------------------------------------------------


def _cutter_words(g: _Gathered) -> str:
    c = g.cutter
    if c is None:
        return g.plan.cutter
    return _(
        "{name}: {kind}, {d:g} mm as measured, {z} flutes, {out:g} mm out of the holder",
        name=c.name,
        kind=_(CUTTER_KINDS[c.kind]),
        d=c.diameter_mm,
        z=c.flutes,
        out=c.stick_out_mm,
    )


def _setup_words(g: _Gathered, back: WayBack) -> Iterable[str]:
    pose = (g.plan.lead_in or {}).get("pose") or {}
    yield _("Ring lies flat on the device.") if g.plan.set_up == "flat" else _("Ring stands upright on the device.")
    yield _("Clock the ring true on its datum; clamp; mark across ring and seat.")
    yield _("Phase the cutter to the space behind tooth 1, by both flanks of two sound spaces.")
    if pose.get("nod_deg") or pose.get("tilt_deg"):
        yield _("Head: nod {nod}°, tilt {tilt}°.", nod=pose.get("nod_deg") or 0, tilt=pose.get("tilt_deg") or 0)
    else:
        yield _("Head: as drawn on the set-up sheet, trammed.")
    yield _("Set the degree scale to nought at tooth 1.")
    said = _("clockwise") if g.plan.turns == "clockwise" else _("anticlockwise")
    yield _("From tooth n to n + 1 the ring turns {way}, seen on the entry face; the numbers run clockwise.", way=said)
    yield _("Prove by hand that a clockwise crank turns it so; if not, crank and come up anticlockwise throughout.")
    if back.steps_note:
        yield back.steps_note
    for slide, verb in (("depth_by", N_("Infeed: {motion}, then lock.")), ("feed_by", N_("Cut: {motion}."))):
        if pose.get(slide) in MOTIONS:
            yield _(verb, motion=_(MOTIONS[pose[slide]]))
    yield from _which_way(g)


def _first_wanted(g: _Gathered) -> FirstWanted | None:
    """The figures of the first space alone, to a hundredth; the land is larger than when all are cut."""
    if g.plan.lead_in is None:
        return None
    answer = answers.answer("lead_in", _lead_in_asked(g))
    lead, land = answer.lead_length_mm, answer.end_land_mm
    return FirstWanted(lead_mm=round(min(lead.plus, lead.minus), 2), end_land_mm=round(min(land.plus, land.minus), 2))


def _which_way(g: _Gathered) -> Iterable[str]:
    """Climb or conventional, push and burrs, as `lead_in` says them of the edges that bite."""
    if g.plan.lead_in is None:
        return
    turning = answers.answer("lead_in", _lead_in_asked(g)).turning
    yield from turning.says if turning is not None else ()
    yield _("Lock before each cut; the worm alone does not hold the ring.")


def _lead_in_asked(g: _Gathered) -> dict[str, Any]:
    return lead_in_of(g.document, g.kit, g.plan) or {}


def _named_notes(g: _Gathered, back: WayBack) -> None:
    g.notes.append(_("Row n is the space behind tooth n, between n and n + 1; its zone is the worse of the two."))
    if back.method in ("dial", "counts", "from_teeth"):
        g.notes.append(_("The witness is the painted number: the move itself gives the degrees or the count."))
    if g.machine is None:
        g.notes.append(_("The machine is not in the kit: speeds are not snapped to its steps."))


def _provenance(g: _Gathered) -> Provenance:
    asked = {"plan": g.plan.model_dump(mode="json"), "ring": g.ring, "map": g.document.map.model_dump(mode="json")}
    return Provenance(
        made_by=f"ringwright {__version__}",
        contract=CONTRACT,
        tables_digest=tables.digest(),
        request_digest=hashlib.sha256(canonical(asked).encode()).hexdigest(),
    )
