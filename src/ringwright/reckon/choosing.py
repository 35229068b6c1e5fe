"""The ways to save a ring, side by side, each with what it needs, takes, risks and leaves; and against a new ring."""

from __future__ import annotations

from collections.abc import Iterable

from ringwright.estimating.spread import base_cost, price
from ringwright.reckon import choosing_words as words
from ringwright.reckon.base import Came, Note, Operation, WorkingLine
from ringwright.reckon.bearing import crack_notes, looking_first, part
from ringwright.reckon.choosing_facts import MANGANESE, WINDOW, best_turn, inside, preheat_of, situation_of, teeth_of
from ringwright.reckon.choosing_models import (
    Butting,
    Odds,
    PreheatAsked,
    PreheatSaid,
    Steel,
    WayAnswer,
    WaysAnswer,
    WaysAsked,
)
from ringwright.reckon.turning import damage_of, pattern_of, reclock_cautions
from ringwright.repair import judging
from ringwright.repair.heat import Preheat
from ringwright.repair.judging import Situation
from ringwright.repair.times import WayName, elements
from ringwright.survey import reclocking
from ringwright.words import N_, _


def _told(codes: tuple[str, ...], said: dict[str, str]) -> tuple[Note, ...]:
    return tuple(Note(code=code, text=_(said[code])) for code in codes)


def ways_to_save(asked: WaysAsked) -> WaysAnswer:
    """The ways to save this ring, best first."""
    notes: list[Note] = []
    damage = damage_of(asked.ring.teeth, asked.marks)
    inside(asked)
    turn = best_turn(asked)
    pre = preheat_of(asked, notes)
    situation = situation_of(asked, turn, pre, notes)
    judged = judging.judge(situation)
    ways = _ranked(asked, [_way(w, asked, turn, pre, situation) for w in judged])
    holds = asked.duty == "holds_people_or_loads"
    best = next((w.way for w in ways if w.open), None) if not holds else None
    why_not = looking_first(asked.cracks_looked_for, any(m.condition == "cracked" for m in asked.marks))
    notes += crack_notes(asked.cracks_looked_for)
    return WaysAnswer(
        ways=ways,
        best=best,
        says=_says(best, holds, why_not),
        who_decides=_(words.WHO_DECIDES) if holds else None,
        look_first=why_not is not None,
        damaged_teeth=situation.to_work,
        currency=asked.rates.currency if asked.rates else "",
        pattern=pattern_of(damage, asked.marks, asked.pinion.teeth),
        unknowns=_told(_unknown(asked), words.UNKNOWNS),
        notes=tuple(notes + _standing_notes(asked)),
        sources=_sources(asked, pre),
        working=_working(asked, situation, ways, pre) if asked.working else None,
    )


def _way(
    w: judging.Way,
    asked: WaysAsked,
    turn: tuple[reclocking.Position, bool] | None,
    pre: tuple[float, Preheat] | None,
    s: Situation,
) -> WayAnswer:
    hours = Odds(p50=w.hours.quantile(0.5), p80=w.hours.quantile(0.8))
    cautions = _told(w.cautions, words.CAUTIONS)
    if w.way in ("reclock", "turn_over") and asked.seat is not None:
        cautions += reclock_cautions(asked.seat)
    return WayAnswer(
        way=w.way,
        title=_(words.TITLES[w.way]),
        open=w.open,
        closed_by=_told(w.closed_by, words.CLOSED),
        needs=_told(w.needs, words.NEEDS),
        hours=hours,
        price=_price(asked, hours, s.new_price if w.way == "new_ring" else 0.0),
        weeks=asked.new_ring.weeks if w.way == "new_ring" else None,
        strength=part(w.strength) if w.strength else None,
        strength_at_stops=part(w.strength_at_stops) if w.strength_at_stops else None,
        look_first=w.look_first,
        chance_of_butting=Butting(before=w.butting[0], after=w.butting[1]) if w.butting else None,
        teeth_touched=w.teeth_touched,
        turn_teeth=str(turn[0].turn) if w.way == "reclock" and turn and turn[1] else None,
        preheat=_preheat_said(pre) if w.way == "weld_and_recut" and pre else None,
        risks=_told(w.risks, words.RISKS),
        cautions=cautions,
        why_ranked="",
    )


def _price(asked: WaysAsked, hours: Odds, bought: float | None) -> Odds | None:
    if asked.rates is None or bought is None:
        return None
    rates = asked.rates
    p50, p80 = (
        price(base_cost(h, rates.hour, bought), rates.contingency, rates.margin) for h in (hours.p50, hours.p80)
    )
    return Odds(p50=p50, p80=p80)


def _preheat_said(pre: tuple[float, Preheat]) -> PreheatSaid:
    ce, p = pre
    if not p.weld:
        said = _("Do not weld: {least:.0f} °C is asked for and {limit:.0f} °C is all that ring and seat bear.")
    elif p.most <= 0:
        said = _("No preheat is asked for; weld dry and at room temperature.")
    elif p.differ:
        said = _("Sources differ; the hotter stands: {least:.0f} to {most:.0f} °C.")
    else:
        said = _("Preheat {least:.0f} to {most:.0f} °C.")
    return PreheatSaid(
        carbon_equivalent=ce,
        least_c=p.least,
        most_c=p.most,
        limit_c=p.limit,
        sources_differ=p.differ,
        weld=p.weld,
        asked_by=tuple(PreheatAsked(source=name, low_c=low, high_c=high) for name, low, high in p.asked),
        says=said.format(least=p.least, most=p.most, limit=p.limit or 0.0),
    )


def _ranked(asked: WaysAsked, ways: list[WayAnswer]) -> tuple[WayAnswer, ...]:
    """Open ways first; among them the cheaper, or the shorter where a price is missing."""
    priced = all(w.price is not None for w in ways if w.open)

    def cost(w: WayAnswer) -> float:
        if priced and w.price is not None:
            return w.price.p50
        return w.hours.p50 + (1e9 if w.way == "new_ring" else 0.0)

    rest = sorted(ways, key=lambda w: (not w.open, cost(w)))
    return tuple(w.model_copy(update={"why_ranked": _why(w, n, priced)}) for n, w in enumerate(rest))


def _why(w: WayAnswer, n: int, priced: bool) -> str:
    if not w.open:
        return _("After the open ways: {reason}", reason=w.closed_by[0].text)
    if w.way == "new_ring" and not priced:
        return _("Last of the open ways: its price is not known.")
    by = _("price") if priced else _("hours")
    if n == 0:
        return _("First of the open ways by {by}.", by=by)
    return _("Open; after those with less by {by}.", by=by)


def _says(best: WayName | None, holds: bool, why_not: str | None) -> str:
    if holds:
        return _("No verdict: this ring holds people or loads. {who}", who=_(words.WHO_DECIDES))
    said = _("Nothing known stands against: {title}.", title=_(words.TITLES[best])) if best else _("No way is open.")
    return f"{why_not} {said}" if why_not else said


def _unknown(asked: WaysAsked) -> tuple[str, ...]:
    teeth = teeth_of(asked)
    worn = [m for m in asked.marks if m.condition == "worn" and m.end == "whole"]
    is_open = {
        "cracks": asked.cracks_looked_for == "no",
        "duty": asked.duty == "unknown",
        "steel": asked.steel is None and asked.material != "cast_iron",
        "hardness": not asked.hardness and not asked.stretches,
        "face_width": asked.ring.face_width_mm is None,
        "amounts": any(not t.measured for t in teeth),
        "three_heights": any(m.thickness_root_mm is None for m in worn),
        "stops": not asked.stops_at,
        "seat": asked.seat is None,
        "turning_over": asked.seat is None or asked.seat.turns_over is None,
        "pinion_land": asked.pinion.end_land_mm is None and asked.pinion.entry != "always",
        "ring_land": asked.end_land_mm is None and asked.pinion.entry != "always",
        "new_price": asked.new_ring.price is None,
        "rates": asked.rates is None,
        "load": True,
        "pinion_state": True,
    }
    return tuple(code for code, unknown in is_open.items() if unknown)


def _standing_notes(asked: WaysAsked) -> list[Note]:
    found = [
        Note(
            code="times_common_practice",
            text=_(
                "Minutes are common practice, no source; put the shop's own in “times”. Parts: {names}.",
                names=", ".join(sorted(elements())),
            ),
        ),
        Note(
            code="not_certified",
            text=_("An open way is one against which nothing is known. It is no certificate; local codes come first."),
        ),
    ]
    if any(s.scale == "HLD" for s in asked.hardness):
        text = _("Leeb readings are not turned into another scale here: they do not decide whether teeth are hard.")
        found.append(Note(code="leeb_not_used", text=text))
    if any(m.thickness_root_mm is not None or m.thickness_tip_mm is not None for m in asked.marks):
        text = _(
            "What is left is judged here by the pitch line alone; ask tooth_strength for a tooth with three heights."
        )
        found.append(Note(code="pitch_line_only", text=text))
    fields: dict[str, object] = {
        "cracks_looked_for": "no",
        "duty": "unknown",
        "material": "unknown",
        "weldable": "unknown",
    }
    for name, value in fields.items():
        if name not in asked.model_fields_set:
            text = _("{name} was not given: taken as {value}.", name=name, value=value)
            found.append(Note(code="default_used", text=text))
    for name in ("contingency", "margin"):
        if asked.rates is not None and name not in asked.rates.model_fields_set:
            text = _("rates.{name} was not given: taken as {value}.", name=name, value=getattr(asked.rates, name))
            found.append(Note(code="default_used", text=text))
    if asked.seat is not None and "shrunk" not in asked.seat.model_fields_set:
        text = _("Whether the ring is shrunk on its seat was not said: taken as not.")
        found.append(Note(code="default_used", text=text))
    if asked.pinion.entry is None:
        text = _("How the pinion enters was not given: taken as thrown in.")
        found.append(Note(code="default_used", text=text))
    if asked.pinion.teeth_in_mesh is None and asked.stops_at:
        text = _("How many teeth the pinion can meet at a stop was not given: taken as {n}.", n=WINDOW)
        found.append(Note(code="default_used", text=text))
    return found


def _sources(asked: WaysAsked, pre: tuple[float, Preheat] | None) -> tuple[str, ...]:
    found = ["common-practice", "worn-flank-elements", "mill-gear-tooth-breakage"]
    if asked.seat is not None and asked.seat.shrunk:
        found.append("flywheel-ring-ceiling")
    return tuple(found + [name for name, _low, _high in (pre[1].asked if pre else ())])


def _shares(steel: Steel | None) -> str:
    if steel is None:
        return ""
    Mn = MANGANESE if steel.manganese_percent is None else steel.manganese_percent
    hard = f"({steel.chromium_percent:g} + {steel.molybdenum_percent:g} + {steel.vanadium_percent:g})/5"
    return f"{steel.carbon_percent:g} + {Mn:g}/6 + {hard} + ({steel.nickel_percent:g} + {steel.copper_percent:g})/15"


def _working(
    asked: WaysAsked, s: Situation, ways: tuple[WayAnswer, ...], pre: tuple[float, Preheat] | None
) -> tuple[WorkingLine, ...]:
    lines = []
    butting = next((w.chance_of_butting for w in ways if w.chance_of_butting), None)
    if butting:
        lines.append(
            WorkingLine(
                symbol="P",
                name=_("chance of butting after"),
                formula="P = min(1, (e_ring + e_pinion) / p_t)",
                put_in=f"({s.land_after:.4g} + {s.land_pinion:.4g}) / {s.p:.6g}",
                value=butting.after,
                unit="",
                source="own-arithmetic",
            )
        )
    if pre:
        lines.append(
            WorkingLine(
                symbol="CE",
                name=_("carbon equivalent"),
                formula="CE = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15",
                put_in=_shares(asked.steel),
                value=pre[0],
                unit="%",
                source="carbon-equivalent-bands",
            )
        )
    for w in ways:
        lines.append(
            WorkingLine(
                symbol="T50",
                name=_("hours, {title}", title=w.title),
                formula="lognormal with the sum of the parts' means and variances",
                put_in=f"N = {s.N}, damaged = {s.to_work}",
                value=w.hours.p50,
                unit="h",
                source="common-practice",
            )
        )
        lines += _price_working(asked, s, w)
        lines += _strength_working(s, w)
    return tuple(lines)


def _price_working(asked: WaysAsked, s: Situation, w: WayAnswer) -> list[WorkingLine]:
    rates = asked.rates
    if w.price is None or rates is None:
        return []
    bought = s.new_price if w.way == "new_ring" and s.new_price is not None else 0.0
    cost = f"{w.hours.p50:.4g} · {rates.hour:g}" + (f" + {bought:g}" if bought else "")
    return [
        WorkingLine(
            symbol="price P50",
            name=_("price, {title}", title=w.title),
            formula="price = (T50 · rate + bought) (1 + contingency) / (1 - margin)",
            put_in=f"({cost}) (1 + {rates.contingency:g}) / (1 - {rates.margin:g})",
            value=w.price.p50,
            unit=rates.currency,
            source="common-practice",
        )
    ]


def _strength_working(s: Situation, w: WayAnswer) -> list[WorkingLine]:
    """Least over the teeth that count; how one tooth's range comes about is the working of ``tooth_strength``."""
    shown = w.strength_at_stops or w.strength
    if shown is None:
        return []
    if w.way == "new_ring":
        formula, put_in = _("a new ring is taken as sound"), "1 ... 1"
    elif w.strength_at_stops is not None:
        formula = _("least over the teeth that stand at the stops of (thickness left) × (face left)")
        put_in = _("teeth {t}; face {b} mm, lead-in {c} mm", t=_list(s.stops_teeth), b=_plain(s.b), c=f"{s.lead:g}")
    else:
        formula = _("least over all teeth of (thickness left) × (face left)")
        put_in = _("{n} hurt teeth; face {b} mm, lead-in {c} mm", n=len(s.teeth), b=_plain(s.b), c=f"{s.lead:g}")
    return [
        WorkingLine(
            symbol="left",
            name=_("strength left, {title}", title=w.title),
            formula=formula,
            put_in=put_in,
            value=f"{shown.low:.3f} ... {shown.high:.3f}",
            unit="",
            source="own-arithmetic",
        )
    ]


def _plain(mm: float | None) -> str:
    return "?" if mm is None else f"{mm:g}"


def _list(teeth: Iterable[int]) -> str:
    return ", ".join(map(str, teeth))


WAYS_TO_SAVE = Operation(
    name="ways_to_save",
    purpose=N_("The ways to save a ring, side by side and against a new one."),
    asked=WaysAsked,
    answered=WaysAnswer,
    do=ways_to_save,
    came_from={
        "stops_at": Came("stops_at[{0}]"),
        "tooth": Came("marks[{0}].tooth"),
        "hardness": Came("hardness[{0}].tooth"),
        "stretches": Came("stretches[{0}]"),
        "damage": Came("marks"),
        "window": Came("pinion.teeth_in_mesh"),
        "land_ring": Came("end_land_mm", "mm"),
        "land_pinion": Came("pinion.end_land_mm", "mm"),
        "p": Came("ring", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "step": Came("seat.step_teeth"),
        "holes": Came("seat.bolt_holes"),
        "s_n": Came("ring.profile_shift"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
    },
)
