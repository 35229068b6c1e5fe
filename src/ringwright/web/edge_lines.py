"""What the cutter of a round does, in lines of the ledger: speed and push, and the life of its edge."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ringwright.job.document import JobDocument, RoundPlan
from ringwright.job.events import Logged
from ringwright.job.kit import Cutter, Kit
from ringwright.job.sheet import RoundSheet
from ringwright.reckon import answers, phrases
from ringwright.reckon.asking_cut import (
    RUN_IN,
    Order,
    SeenEdge,
    cutter_of,
    depth_locked,
    forces_of,
    lead_in_of,
    life_of,
    order_of,
    seen_in,
    travel_mm,
)
from ringwright.reckon.base import Problem, Problems
from ringwright.web.pages import Line, in_hundred, length, number, signed, sums
from ringwright.words import N_, _, ngettext_

#: How an edge was found, in words.
SAID: dict[str, str] = {
    "worn": N_("worn out"),
    "chipped": N_("chipped"),
    "gone": N_("gone, not known how"),
    "changed": N_("changed, still good"),
    "fine": N_("looked at, still good"),
}
_ZONES = {
    "sound": N_("sound"),
    "hard": N_("hard"),
    "weld_start_stop": N_("at the weld"),
    "heat_affected_edge": N_("beside the weld"),
}

phrases.learn(
    "no_hardness_for_edge",
    N_("Without a hardness there is no speed, no push and no life to reckon."),
    N_("At least one hardness reading on the map, and the cutter in the kit."),
    N_("Put a reading on the map; a file test will do."),
)


@dataclass(frozen=True, slots=True)
class Edge:
    """The cutter's figures; ``says`` is the one line that the machine page shows."""

    speed: tuple[Line, ...]
    push: tuple[Line, ...]
    bends: tuple[Line, ...]
    life: tuple[Line, ...]
    laps: tuple[Line, ...]
    advice: tuple[str, ...]
    chance: str
    says: str
    seen: tuple[SeenEdge, ...]
    at_tooth: int | None
    push_n: float | None
    notes: tuple[str, ...]
    cannot: tuple[Problem, ...]


class _Ask:
    def __init__(self) -> None:
        self.cannot: list[Problem] = []
        self.notes: list[str] = []

    def __call__(self, name: str, request: dict[str, Any] | None) -> Any:
        if request is None:
            return None
        try:
            answer = answers.answer(name, request)
        except Problems as problems:
            self.cannot += problems.problems
            return None
        self.notes += [n.text for n in answer.notes]
        return answer


def edge_of(
    job: JobDocument,
    kit: Kit,
    plan: RoundPlan,
    sheet: RoundSheet | None,
    log: Sequence[Logged],
    unit: str,
    more: dict[str, Any] | None = None,
) -> Edge:
    """Everything about the cutter of a round; ``more`` goes into the cut as `cutting_data` takes it."""
    ask, cutter = _Ask(), cutter_of(kit, plan)
    lead = _quiet("lead_in", lead_in_of(job, kit, plan))
    way = _way(plan, lead)
    data = ask("cutting_data", forces_of(job, kit, plan, way, more))
    if data is None and not ask.cannot:
        ask.cannot.append(phrases.problem("no_hardness_for_edge", "", {}))
    first = tuple[str, ...]()
    if cutter is not None and cutter.end != cutter.kind:
        first = (_("Speed, push and life are those of an end mill of this diameter: begin slower."),)
    order = order_of(job, plan, sheet)
    seen = seen_in(log, order)
    lasts = _life(ask, job, cutter, order, data, seen)
    push_n = abs(data.forces.turning.push_n) if data is not None and data.forces is not None else None
    return Edge(
        speed=tuple(speed_lines(data)) if data is not None else (),
        push=(*_push(data), *_lock(ask, plan, push_n)) if data is not None else (),
        bends=tuple(_bends(data, unit)) if data is not None else (),
        life=tuple(life_lines(lasts, order.teeth)) if lasts is not None else (),
        laps=tuple(lap_lines(lasts)) if lasts is not None else (),
        advice=(*first, *(advice_lines(lasts, order.teeth) if lasts is not None else ())),
        chance=in_hundred(lasts.finish.both) if lasts is not None and lasts.finish is not None else "",
        says=_short(lasts),
        seen=seen,
        at_tooth=order.teeth[lasts.next_tooth - 1] if lasts is not None and lasts.next_tooth else None,
        push_n=push_n,
        notes=tuple(dict.fromkeys((*_way_says(plan, way), *ask.notes))),
        cannot=tuple(ask.cannot),
    )


def short_of(job: JobDocument, kit: Kit, plan: RoundPlan, sheet: RoundSheet, log: Sequence[Logged]) -> str:
    """The chance of this edge in one line, without the forces; "" where it cannot be reckoned."""
    cutter, order = cutter_of(kit, plan), order_of(job, plan, sheet)
    lead = _quiet("lead_in", lead_in_of(job, kit, plan))
    asked = forces_of(job, kit, plan, _way(plan, lead))
    if asked is None:
        return ""
    asked.pop("cut")
    data = _quiet("cutting_data", asked)
    return _short(_life(_Ask(), job, cutter, order, data, seen_in(log, order)))


def _quiet(name: str, asked: dict[str, Any] | None) -> Any:
    return _Ask()(name, asked)


def _way(plan: RoundPlan, lead: Any) -> float | None:
    if lead is None or not lead.passes:
        return None
    reaches = max(lead.lead_length_mm.plus, lead.lead_length_mm.minus) if lead.lead_length_mm is not None else 0.0
    return travel_mm(plan, [one.infeed_mm for one in lead.passes], reaches)


def _way_says(plan: RoundPlan, way: float | None) -> Iterable[str]:
    """How the way of one cut was taken, on which seconds and life hang."""
    if way is None:
        return
    if depth_locked(plan):
        yield _("Depth locked: each pass is taken to run by lead, cutter diameter and {mm:g} mm of run-in.", mm=RUN_IN)
    else:
        yield _("The way of one pass is its infeed from touch-off and {mm:g} mm of run-in.", mm=RUN_IN)


def _life(
    ask: Callable[[str, Any], Any],
    job: JobDocument,
    cutter: Cutter | None,
    order: Order,
    data: Any,
    seen: tuple[SeenEdge, ...],
) -> Any:
    if data is None or cutter is None or not data.cut_s:
        return None
    return ask("cutter_life", life_of(job, cutter, order, data.speed_as_set_m_min, data.cut_s, seen))


# -- speed and push ---------------------------------------------------------------------------------------------------


def speed_lines(data: Any) -> Iterable[Line]:
    """Spindle, feed and seconds of an answer of `cutting_data`."""
    rpm = data.spindle_rpm.set or data.spindle_rpm.ideal
    why = _("{v} m/min at the edge; {ideal} would be right", v=number(data.speed_as_set_m_min, 0),
            ideal=number(data.spindle_rpm.ideal, 0))  # fmt: skip
    yield Line(_("Spindle, as the machine has it"), number(rpm, 0), _("rev/min"), why, sums(data, "n", "v_c"))
    feed = data.feed_mm_min.set or data.feed_mm_min.ideal
    by_hand = "" if data.feed_mm_min.set else _("by hand; ")
    why = by_hand + _("{f} mm a tooth of the cutter", f=number(data.feed_per_tooth_as_set_mm, 3))
    yield Line(_("Feed"), number(feed, 0), "mm/min", why, sums(data, "v_f"))
    if data.cut_s is not None:
        yield Line(_("In the cut, a tooth of the ring"), number(data.cut_s, 1), "s", _("all passes, run-in included"))


def _band(band: Any, digits: int) -> str:
    return _("{low} to {high}", low=number(band.low, digits), high=number(band.high, digits))


def _push(data: Any) -> Iterable[Line]:
    f = data.forces
    if f is None:
        return
    chip = _("thickest chip {h} mm, {A} mm² of metal across it", h=number(f.thickest_chip_mm, 3),
             A=number(f.section_mm2, 1))  # fmt: skip
    force = sums(data, "k_c1.1", "K_γ", "K_v", "K", "k_c", "F")
    yield Line(_("Force at its peak"), number(f.peak_n.likely, 0), "N", f"{_band(f.peak_n, 0)}; {chip}", force)
    yield Line(_("Torque"), f"{f.torque_nm.likely:.2f}", "N m", _band(f.torque_nm, 2), sums(data, "M"))
    motor = _band(f.power_kw, 2)
    if f.motor is not None:
        share = number(100 * max(f.motor.torque_share, f.motor.power_share), 0)
        enough = _("at most {n} in 100 of what the spindle has at this speed", n=share)
        motor += "; " + (enough if f.motor.enough else _("too much: {n} in 100 of what the spindle has", n=share))
    yield Line(_("Power at the spindle"), number(f.power_kw.likely, 2), "kW", motor, sums(data, "P", "M_motor"))
    turning = f.turning
    moment = _("moment {low} to {high} N m about the axis, clockwise above 0", low=_minus(number(turning.least_nm, 0)),
               high=_minus(number(turning.greatest_nm, 0)))  # fmt: skip
    worm = {
        "seats": _("it seats the worm; lock all the same"),
        "unseats": _("it unseats the worm: the lock alone holds"),
        "both": _("it goes both ways within a turn: the lock alone holds"),
        None: _("the lock has to hold it in any case"),
    }[turning.worm]
    push = number(abs(turning.push_n), 0)
    yield Line(_("Push at the reference circle"), push, "N", f"{moment}; {worm}", sums(data, "F_push"))


def _lock(ask: _Ask, plan: RoundPlan, push_n: float | None) -> Iterable[Line]:
    if push_n is None or plan.setup is None:
        return
    answer = _quiet("setup_check", {**plan.setup, "push_n": max(round(push_n), 1), "working": True})
    for one in answer.fits if answer is not None else ():
        if one.what == "worm_lock":
            known = one.have is not None
            value, of = (number(one.have, 0), one.unit) if known else (_("not known"), "")
            yield Line(_("The lock against that push"), value, of, one.says)


def _bends(data: Any, unit: str) -> Iterable[Line]:
    b = data.forces.bending if data.forces is not None else None
    if b is None:
        return
    digits = 3 if unit == "mm" else 4
    why = _("{own} of it the cutter’s own, the rest holder and quill; at the peak, an upper bound",
            own=f"{length(b.tip_um / 1000, unit, digits)} {unit}")  # fmt: skip
    whole = length(b.with_holder_um / 1000, unit, digits)
    yield Line(_("The tip gives way by"), whole, unit, why, sums(data, "δ", "δ_held"))
    lead, k = b.lead_error_mm, 1 / 25.4 if unit == "in" else 1.0
    both = signed(k * lead.plus, digits)
    if abs(lead.plus - lead.minus) > 5e-4:
        both += f" / {signed(k * lead.minus, digits)}"
    yield Line(_("The lead comes out by"), both, unit, _("clockwise tooth / other, as bent less as meant"))
    yield Line(_("The flat comes out by"), signed(k * b.land_error_mm, digits), unit)
    guide = _("{guide} is the guide", guide=number(b.stick_out_guide, 1))
    yield Line(_("Sticks out, in diameters"), number(b.stick_out_diameters, 1), "", guide)
    if b.root_limit_mpa is not None:
        limit = _("{mpa} is the limit taken", mpa=number(b.root_limit_mpa, 0))
        yield Line(_("Stress where it leaves the holder"), number(b.root_stress_mpa, 0), "MPa", limit, sums(data, "σ"))


def _minus(text: str) -> str:
    return text.replace("-", "−")


# -- the life of the edge -------------------------------------------------------------------------------------------


def _greater(c: Any) -> str:
    alone = _(
        "by wear alone {wear}, by chips alone {chips}",
        wear=in_hundred(c.wear_alone),
        chips=in_hundred(c.chipping_alone),
    )
    if abs(c.wear_alone - c.chipping_alone) < 0.02:
        return alone
    more = _("chips are the greater danger") if c.chipping_alone < c.wear_alone else _("wear is the greater danger")
    return f"{alone}: {more}"


def life_lines(life: Any, teeth: Sequence[int]) -> Iterable[Line]:
    """What an edge is good for; ``teeth`` in the order of cutting."""
    if life.finish is None:
        yield Line(_("Teeth left"), "0", "", _("the round is through"))
        return
    left = ngettext_("{n} tooth left", "{n} teeth left", life.teeth_left)
    chances = sums(life, *(w.symbol for w in life.working or () if w.symbol != "T50"))
    value = in_hundred(life.finish.both)
    yield Line(_("This edge finishes the round"), value, "", f"{left}; {_greater(life.finish)}", chances)
    if life.finish_without_hard is not None and len(life.laps) > 1:
        value = in_hundred(life.finish_without_hard.both)
        yield Line(_("Were all but the sound teeth ground first"), value)
    per = life.teeth_per_edge
    if per is not None:
        half = _("half do the whole round") if per.ends_round else _("half do {n}", n=per.p50)
        yield Line(_("Teeth that nine edges in ten do"), str(per.p90), "", half)
    wear = life.wear
    why = _("one in ten less than {low}, one in ten more than {high}; in sound metal at this speed",
            low=number(wear.low_min, 0), high=number(wear.high_min, 0))  # fmt: skip
    yield Line(_("Half of such edges wear out within"), number(wear.median_min, 0), "min", why, sums(life, "T50"))
    for one in life.change:
        reason = _("it may be worn out by then") if one.why == "wear" else _("the next lap begins with a fresh edge")
        yield Line(_("Change the edge after tooth"), str(teeth[one.after_tooth - 1]), "", reason)
    yield from _at_hand(life)


def _at_hand(life: Any) -> Iterable[Line]:
    edges = life.edges
    if edges is None:
        return
    why = _("so that {n} rounds in 100 come to an end", n=number(100 * edges.confidence, 0))
    if edges.p50 < edges.at_confidence:
        why += "; " + _("half do with {n}", n=edges.p50)
    yield Line(_("Edges to have at hand"), str(edges.at_confidence), "", why)
    if life.cutters is not None and life.cutters != edges.at_confidence:
        yield Line(_("That is cutters"), str(life.cutters))


def lap_lines(life: Any) -> Iterable[Line]:
    """Lap by lap, each begun with a fresh edge; nothing where there is one lap."""
    if len(life.laps) < 2:
        return
    for lap in life.laps:
        kinds = ", ".join(f"{n} {_(_ZONES[zone])}" for zone, n in lap.zones.items())
        label = _("Lap {n}: {kinds}", n=lap.lap, kinds=kinds)
        yield Line(label, in_hundred(lap.one_fresh_edge.both), "", _("with one fresh edge"))


def _runs(teeth: Sequence[int]) -> str:
    """Teeth as people say them.

    >>> _runs([3, 7, 8, 9])
    '3, 7–9'
    """
    runs: list[list[int]] = []
    for tooth in teeth:
        if runs and tooth == runs[-1][-1] + 1:
            runs[-1].append(tooth)
        else:
            runs.append([tooth])
    return ", ".join(f"{r[0]}–{r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs)


def advice_lines(life: Any, teeth: Sequence[int]) -> Iterable[str]:
    """What to do about it."""
    if life.grind_first:
        those = _runs(sorted(teeth[t - 1] for t in life.grind_first))
        yield _("Grind these first, they eat the edge: {teeth}.", teeth=those)
    finish = life.finish
    if finish is not None and finish.chipping_alone < finish.wear_alone - 0.02:
        yield _("Changing early does not help against chips: keep a spare ready and look often.")
    if life.teeth_left:
        yield _("Look at the edge every ten teeth, and after each tooth that is not sound.")


def _short(life: Any) -> str:
    if life is None or life.finish is None:
        return ""
    said = _("This edge finishes the round: {chance}.", chance=in_hundred(life.finish.both))
    edges = life.edges
    return (
        said
        if edges is None
        else said + " " + ngettext_("Have {n} edge at hand.", "Have {n} edges at hand.", edges.at_confidence)
    )
