"""``cutter_life``: will the edge last the round, when to change it, how many to buy, and what was seen so far."""

from __future__ import annotations

from functools import lru_cache
from math import ceil
from typing import Literal

import numpy as np

from ringwright.cutting import chipping, deflection, life, seen_edges, wear
from ringwright.cutting.chipping import ZONES, Chance
from ringwright.cutting.life import Survival
from ringwright.cutting.seen_edges import Belief, Round, Seen
from ringwright.cutting.wear import MedianLife
from ringwright.errors import Refusal
from ringwright.reckon.base import Came, Operation
from ringwright.reckon.lasting_models import (
    Chances,
    ChangeAt,
    Chips,
    CutterLifeAnswer,
    CutterLifeAsked,
    EdgeChance,
    EdgesNeeded,
    History,
    Lap,
    TeethPerEdge,
    Wears,
)
from ringwright.reckon.lasting_words import (
    LIFE_AT_PRINT,
    MOST_GAIN,
    USUAL_HB,
    advice,
    grind_first,
    notes,
    sound_hb,
    sources,
    working,
)
from ringwright.reckon.speeds import printed_speed
from ringwright.words import N_, _


def _wears(asked: CutterLifeAsked) -> list[float]:
    """How fast each stretch wears the edge against sound metal at the round's speed [-]."""
    material = asked.cutter.material
    n, _C = wear.TAYLOR[material]
    sound = printed_speed(material, sound_hb(asked))
    found = []
    for i, s in enumerate(asked.stretches):
        try:
            here = printed_speed(material, s.hardness_hb or USUAL_HB[s.zone])
            rate = wear.life_ratio(here / sound * asked.speed_m_min / (s.speed_m_min or asked.speed_m_min), n)
        except Refusal as refusal:
            refusal.at = (i,)
            raise
        rough = s.zone in ("weld_start_stop", "heat_affected_edge")
        found.append(rate / wear.ROUGH_SHARE if rough else rate)
    return found


def _order(asked: CutterLifeAsked) -> list[list[int]]:
    """Tooth numbers by lap: sound ones in counting order, then the others, or all in one lap."""
    zone = {t: s.zone for s in asked.stretches for t in range(s.first, s.last + 1)}
    teeth = sorted(zone)
    if asked.laps == "as_counted":
        return [teeth]
    laps = [[t for t in teeth if zone[t] == "sound"], [t for t in teeth if zone[t] != "sound"]]
    return [lap for lap in laps if lap]


def _round(asked: CutterLifeAsked, laps: list[list[int]]) -> Round:
    rates = _wears(asked)
    facts = {
        t: (ZONES.index(s.zone), life.minutes_of(asked.seconds_per_tooth, rate))
        for s, rate in zip(asked.stretches, rates, strict=True)
        for t in range(s.first, s.last + 1)
    }
    order = [t for lap in laps for t in lap]
    starts = tuple(sum(len(lap) for lap in laps[:k]) for k in range(len(laps)))
    return Round(np.array([facts[t][0] for t in order]), np.array([facts[t][1] for t in order]), starts)


def _prior(asked: CutterLifeAsked) -> MedianLife:
    """Belief in the median life before this round."""
    history = asked.history or History()
    doubt = wear.DOUBT_KNOWN if history.same_steel else wear.DOUBT_NEW
    minutes = history.minutes or _printed_life(asked)
    if asked.cutter.runout_mm is not None and history.minutes is None:
        minutes *= deflection.life_left_by_runout(asked.cutter.runout_mm)
    return seen_edges.prior_of(minutes, doubt).told(history.lives_min, wear.sigma_of_cv(wear.CV))


def _printed_life(asked: CutterLifeAsked) -> float:
    """Median life from the printed speed by Taylor's exponent, never more than three times that at print [min]."""
    material = asked.cutter.material
    n, _C = wear.TAYLOR[material]
    ratio = min(max(asked.speed_m_min / printed_speed(material, sound_hb(asked)), 0.05), 20.0)
    return LIFE_AT_PRINT[material] * min(wear.life_ratio(ratio, n), MOST_GAIN)


def _chances(asked: CutterLifeAsked) -> dict[str, Chance]:
    found = dict(chipping.prior(asked.cutter.material))
    for i, told in enumerate(asked.chipping):
        if told.chipped > told.entered:
            raise Refusal("out_of_range", "chipped", told.chipped, 0, told.entered, at=(i,))
        found[told.zone] = found[told.zone].told(told.entered, told.chipped)
    return found


def _seen(asked: CutterLifeAsked, laps: list[list[int]]) -> list[Seen]:
    at = {t: i for i, t in enumerate(t for lap in laps for t in lap)}
    for i, event in enumerate(asked.seen):
        if event.tooth not in at:
            raise Refusal("not_of_this_round", "seen", at=(i,))
    return [Seen(at[event.tooth], event.what) for event in asked.seen]


def _three(survival: Survival) -> Chances:
    return Chances(
        both=float(survival.both[-1]),
        wear_alone=float(survival.wear[-1]),
        chipping_alone=float(survival.chipping[-1]),
    )


def _lap(number: int, teeth: list[int], asked: CutterLifeAsked, belief: Belief, all_: Round) -> Lap:
    start = all_.laps[number]
    zones = all_.zone[start : start + len(teeth)]
    return Lap(
        lap=number + 1,
        teeth=tuple(teeth),
        zones={z: int((zones == i).sum()) for i, z in enumerate(ZONES) if (zones == i).any()},
        one_fresh_edge=_three(life.survival(belief, all_, start, start + len(teeth), ends=True)),
    )


def _chips(asked: CutterLifeAsked, belief: Belief, all_: Round) -> tuple[Chips, ...]:
    found = []
    for i, zone in enumerate(ZONES):
        if not (all_.zone == i).any():
            continue
        low, high = np.quantile(belief.p[:, i], [0.1, 0.9])
        found.append(
            Chips(
                zone=zone,
                teeth_left=int((all_.zone[belief.next :] == i).sum()),
                chance_per_tooth=float(belief.p[:, i].mean()),
                low=float(low),
                high=float(high),
                entered=belief.entered[zone],
                chipped=belief.chipped[zone],
            )
        )
    return tuple(found)


def _plan(all_: Round, belief: Belief, limit: float, order: list[int]) -> list[ChangeAt]:
    """Changes before wear takes the edge, and at the start of a lap."""
    found: list[ChangeAt] = []
    used = belief.used
    for k in range(belief.next, len(all_)):
        new_lap = k in all_.laps and k > belief.next
        over = used > 0 and used + float(all_.minutes[k]) > limit
        if k > 0 and (new_lap or over):
            tooth = order[k - 1]
            why: Literal["wear", "lap"] = "lap" if new_lap else "wear"
            said = (
                _("After tooth {tooth}: the next lap begins with a fresh edge.", tooth=tooth)
                if new_lap
                else _("After tooth {tooth}: before wear takes it.", tooth=tooth)
            )
            found.append(ChangeAt(after_tooth=tooth, why=why, says=said))
            used = 0.0
        used += float(all_.minutes[k])
    return found


def _needed(belief: Belief, all_: Round, limit: float, asked: CutterLifeAsked) -> EdgesNeeded:
    edges = life.edges_needed(belief, all_, limit)
    most = edges.enough(0.99)
    return EdgesNeeded(
        p50=edges.enough(0.5),
        p90=edges.enough(0.9),
        at_confidence=edges.enough(asked.confidence),
        confidence=asked.confidence,
        chances=tuple(EdgeChance(edges=k, chance=edges.chance(k)) for k in range(1, min(most, 40) + 1)),
        surprises=float(edges.failed.mean()),
    )


@lru_cache(maxsize=32)
def _answered(asked: CutterLifeAsked) -> CutterLifeAnswer:
    laps = _order(asked)
    order = [t for lap in laps for t in lap]
    all_ = _round(asked, laps)
    sigma = wear.sigma_of_cv(wear.CV)
    prior, chances = _prior(asked), _chances(asked)
    belief = seen_edges.believe(all_, prior, chances, sigma, _seen(asked, laps))
    median, low, high = seen_edges.believed_minutes(belief)
    left = len(all_) - belief.next
    limit = life.safe_minutes(belief, asked.confidence)
    needed = _needed(belief, all_, limit, asked) if left else None
    fresh = life.survival(belief, all_, belief.next, len(all_)) if left else None
    finish = _three(life.survival(belief, all_, belief.next, len(all_), belief.used, ends=True)) if left else None
    plan = _plan(all_, belief, limit, order)
    return CutterLifeAnswer(
        teeth=len(all_),
        teeth_left=left,
        next_tooth=order[belief.next] if left else None,
        laps=tuple(_lap(k, lap, asked, belief, all_) for k, lap in enumerate(laps)),
        wear=Wears(median_min=median, low_min=low, high_min=high, scatter=sigma),
        chipping=_chips(asked, belief, all_),
        finish=finish,
        finish_without_hard=_without_hard(asked, belief, all_),
        teeth_per_edge=_per_edge(fresh) if fresh else None,
        change=tuple(plan),
        edges=needed,
        cutters=ceil(needed.at_confidence / asked.cutter.edges_per_cutter) if needed else None,
        grind_first=grind_first(asked),
        advice=tuple(advice(asked, finish, needed, plan)),
        notes=tuple(notes(asked, belief)),
        sources=sources(asked),
        working=working(asked, all_, belief, prior, chances, finish) if asked.working and finish else None,
    )


def _per_edge(fresh: Survival) -> TeethPerEdge:
    return TeethPerEdge(p50=fresh.teeth(0.5), p90=fresh.teeth(0.9), ends_round=bool(fresh.both[-1] >= 0.5))


def _without_hard(asked: CutterLifeAsked, belief: Belief, all_: Round) -> Chances | None:
    """The same edge, were the teeth that are not sound ground before."""
    keep = np.flatnonzero(all_.zone[belief.next :] == 0) + belief.next
    if len(keep) == len(all_) - belief.next or not len(keep):
        return None
    sound = Round(all_.zone[keep], all_.minutes[keep])
    return _three(life.survival(belief, sound, 0, len(keep), belief.used, ends=True))


def cutter_life(asked: CutterLifeAsked) -> CutterLifeAnswer:
    """Wear and chipping together over the round, updated by what was seen."""
    return _answered(asked)


CUTTER_LIFE = Operation(
    name="cutter_life",
    purpose=N_("Whether the edge lasts the round, when to change it and how many to buy, after what was seen."),
    asked=CutterLifeAsked,
    answered=CutterLifeAnswer,
    do=cutter_life,
    came_from={
        "HB": Came("stretches[{0}].hardness_hb", "HB"),
        "seen": Came("seen[{0}].tooth"),
        "what": Came("seen[{0}].what"),
        "life": Came("history.lives_min[{0}]", "min"),
        "chipped": Came("chipping[{0}].chipped"),
        "speed_ratio": Came("stretches[{0}].speed_m_min"),
        "tir": Came("cutter.runout_mm", "mm"),
    },
)
