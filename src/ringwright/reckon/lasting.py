"""``cutter_life``: will the edge last the round, when to change it, how many to buy, and what was seen so far."""

from __future__ import annotations

from functools import lru_cache
from math import ceil
from typing import Literal, Self

import numpy as np
from pydantic import Field, model_validator

from ringwright.cutting import chipping, data, deflection, life, wear
from ringwright.cutting.chipping import ZONES, Chance
from ringwright.cutting.life import Belief, Round, Seen, Survival
from ringwright.cutting.wear import MedianLife
from ringwright.errors import Refusal
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Millimetres, Note, Operation, Record, WorkingLine
from ringwright.reckon.speeds import printed_speed
from ringwright.words import N_, _, ngettext_

phrases.learn(
    "seen_out_of_order",
    N_("What was seen does not go forward in the order of cutting."),
    N_("Teeth of the round, each after the one before in the order in which they are cut."),
    N_("Look at the tooth numbers. With the hard teeth last, their lap comes after all the others."),
)
phrases.learn(
    "seen_impossible",
    N_("What was seen cannot be with what was said before of the life."),
    N_("Lives that the first belief leaves some chance for."),
    N_("Look at seconds_per_tooth, the speed and the minutes given."),
)
phrases.learn(
    "tooth_twice",
    N_("Two stretches name the same tooth, or one runs backwards."),
    N_("Each tooth in one stretch only, last not before first."),
    N_("Look at first and last."),
)
phrases.learn(
    "too_many_teeth",
    N_("More than 1000 teeth are named."),
    N_("At most 1000 teeth in all."),
    N_("Leave out what is not cut."),
)
phrases.learn(
    "not_of_this_round",
    N_("That tooth is in no stretch."),
    N_("A tooth of one of the stretches."),
    N_("Look at the number, or name its stretch."),
)

Zone = Literal["sound", "hard", "weld_start_stop", "heat_affected_edge"]
#: Life that the printed speed is taken to give [min], by kind of cutter (common practice, no source).
LIFE_AT_PRINT = {"carbide": 45.0, "hss": 60.0, "hss_cobalt": 60.0}
#: A speed below print is not believed to give more than this many times that life (common practice).
MOST_GAIN = 3.0
#: Hardness taken where none is given [HB] (common practice).
USUAL_HB = {"sound": 200.0, "hard": 450.0, "weld_start_stop": 250.0, "heat_affected_edge": 400.0}


class Stretch(Record):
    """Teeth one after the other that are alike, by their numbers on the ring."""

    first: int = Field(ge=1, le=1000)
    last: int = Field(ge=1, le=1000)
    zone: Zone = "sound"
    hardness_hb: float | None = Field(None, ge=80, le=615)
    file_skates: bool = Field(False, description="a hardness file of 50 HRC or more skates here")
    speed_m_min: float | None = Field(None, gt=0, le=1000)


class EdgeAsked(Record):
    """The cutter whose edge is in question."""

    material: Literal["hss", "hss_cobalt", "carbide"]
    edges_per_cutter: int = Field(1, ge=1, le=40, description="edges of one cutter: regrinds and its own, or corners")
    runout_mm: Millimetres | None = Field(None, ge=0, le=1, description="total indicator reading of the edges")


class History(Record):
    """What the kit knows of such an edge in sound metal at this speed."""

    minutes: float | None = Field(None, gt=0, le=10_000, description="median minutes in the cut")
    same_steel: bool = False
    lives_min: tuple[float, ...] = Field((), max_length=100, description="lives seen to their end by wear")


class ZoneHistory(Record):
    """Teeth of a zone that such edges entered before this round, and how often one chipped."""

    zone: Zone
    entered: int = Field(ge=0, le=100_000)
    chipped: int = Field(ge=0, le=100_000)


class SeenAsked(Record):
    """How the edge was found after a tooth."""

    tooth: int = Field(ge=1, le=1000)
    what: Literal["worn", "chipped", "gone", "changed", "fine"]


class CutterLifeAsked(Asked):
    """The teeth to cut by zone, the cutter and its speed, and what has been seen."""

    stretches: tuple[Stretch, ...] = Field(min_length=1, max_length=400)
    cutter: EdgeAsked
    speed_m_min: float = Field(gt=0, le=1000, description="cutting speed in sound metal")
    seconds_per_tooth: float = Field(gt=0, le=36_000, description="seconds in the cut per tooth, not the handling")
    laps: Literal["hard_last", "as_counted"] = "hard_last"
    history: History | None = None
    chipping: tuple[ZoneHistory, ...] = Field((), max_length=40)
    seen: tuple[SeenAsked, ...] = Field((), max_length=1000)
    confidence: float = Field(0.9, ge=0.5, le=0.99)

    @model_validator(mode="after")
    def _each_tooth_once(self) -> Self:
        if sum(max(s.last - s.first + 1, 0) for s in self.stretches) > 1000:
            raise ValueError("too_many_teeth")
        named = [t for s in self.stretches for t in range(s.first, s.last + 1)]
        if len(named) != len(set(named)) or any(s.last < s.first for s in self.stretches):
            raise ValueError("tooth_twice")
        return self


class Wears(Given):
    """Median life in the cut, sound metal, this speed; ``scatter`` of ln of one life."""

    median_min: float
    low_min: float
    high_min: float
    scatter: float


class Chips(Given):
    """Chance of a chipped edge per tooth of a zone, and what it rests on from this round."""

    zone: str
    teeth_left: int
    chance_per_tooth: float
    low: float
    high: float
    entered: int
    chipped: int


class Chances(Given):
    """Chance that one edge does it: with both ways to end, and with only one of them."""

    both: float
    wear_alone: float
    chipping_alone: float


class TeethPerEdge(Given):
    """Teeth that a fresh edge does in the coming order with chance 50 and 90 per cent; ``ends_round``: it does all."""

    p50: int
    p90: int
    ends_round: bool


class Lap(Given):
    """One time round, in counting order, begun with a fresh edge."""

    lap: int
    teeth: tuple[int, ...]
    zones: dict[str, int]
    one_fresh_edge: Chances


class ChangeAt(Given):
    """Change the edge after this tooth though it may still cut."""

    after_tooth: int
    why: Literal["wear", "lap"]
    says: str


class EdgeChance(Given):
    """Chance that so many edges finish the round."""

    edges: int
    chance: float


class EdgesNeeded(Given):
    """Edges for the teeth left, changed as planned, the one in the spindle counted."""

    p50: int
    p90: int
    at_confidence: int
    confidence: float
    chances: tuple[EdgeChance, ...]
    surprises: float


class CutterLifeAnswer(Answered):
    """What the edge is good for on this round; null where nothing is left to cut."""

    teeth: int
    teeth_left: int
    next_tooth: int | None
    laps: tuple[Lap, ...]
    wear: Wears
    chipping: tuple[Chips, ...]
    finish: Chances | None
    finish_without_hard: Chances | None
    teeth_per_edge: TeethPerEdge | None
    change: tuple[ChangeAt, ...]
    edges: EdgesNeeded | None
    cutters: int | None
    grind_first: tuple[int, ...]
    advice: tuple[str, ...]


def _sound_hb(asked: CutterLifeAsked) -> float:
    given = [s.hardness_hb for s in asked.stretches if s.zone == "sound" and s.hardness_hb is not None]
    return given[0] if given else USUAL_HB["sound"]


def _wears(asked: CutterLifeAsked) -> list[float]:
    """How fast each stretch wears the edge against sound metal at the round's speed [-]."""
    material = asked.cutter.material
    n, _C = wear.TAYLOR[material]
    sound = printed_speed(material, _sound_hb(asked))
    found = []
    for i, s in enumerate(asked.stretches):
        try:
            here = printed_speed(material, s.hardness_hb or USUAL_HB[s.zone])
        except Refusal as refusal:
            refusal.at = (i,)
            raise
        rate = wear.life_ratio(here / sound * asked.speed_m_min / (s.speed_m_min or asked.speed_m_min), n)
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
    return life.prior_of(minutes, doubt).told(history.lives_min, wear.sigma_of_cv(wear.CV))


def _printed_life(asked: CutterLifeAsked) -> float:
    """Median life from the printed speed by Taylor's exponent, never more than three times that at print [min]."""
    material = asked.cutter.material
    n, _C = wear.TAYLOR[material]
    ratio = min(max(asked.speed_m_min / printed_speed(material, _sound_hb(asked)), 0.05), 20.0)
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


def _grind_first(asked: CutterLifeAsked) -> tuple[int, ...]:
    hard = [s for s in asked.stretches if s.file_skates or (s.hardness_hb or 0) > data.HARD_HB]
    return tuple(sorted(t for s in hard for t in range(s.first, s.last + 1)))


@lru_cache(maxsize=32)
def _answered(asked: CutterLifeAsked) -> CutterLifeAnswer:
    laps = _order(asked)
    order = [t for lap in laps for t in lap]
    all_ = _round(asked, laps)
    sigma = wear.sigma_of_cv(wear.CV)
    prior, chances = _prior(asked), _chances(asked)
    belief = life.believe(all_, prior, chances, sigma, _seen(asked, laps))
    median, low, high = life.believed_minutes(belief)
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
        grind_first=_grind_first(asked),
        advice=tuple(_advice(asked, finish, needed, plan)),
        notes=tuple(_notes(asked, belief)),
        sources=_sources(asked),
        working=_working(asked, all_, belief, prior, chances, finish) if asked.working and finish else None,
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


def _advice(
    asked: CutterLifeAsked, finish: Chances | None, needed: EdgesNeeded | None, plan: list[ChangeAt]
) -> list[str]:
    said = []
    hard = len(_grind_first(asked))
    if hard:
        said.append(
            ngettext_(
                "Grind {n} tooth first: above 50 HRC, or a file skates there. A milling edge hardly lasts in it.",
                "Grind {n} teeth first: above 50 HRC, or a file skates there. A milling edge hardly lasts in them.",
                hard,
            )
        )
    if finish is not None and finish.both < asked.confidence:
        said.append(
            _(
                "The chance that this edge finishes is {both}; with wear alone {wear}, with chips alone {chip}.",
                both=f"{finish.both:.0%}",
                wear=f"{finish.wear_alone:.0%}",
                chip=f"{finish.chipping_alone:.0%}",
            )
        )
        if finish.chipping_alone < finish.wear_alone:
            said.append(
                _("Chipping is the greater danger. Changing early does not help; have a spare ready and look often.")
            )
    if needed is not None and needed.at_confidence > 1:
        said.append(
            _(
                "Have {n} edges at hand to finish with {share} confidence.",
                n=needed.at_confidence,
                share=f"{asked.confidence:.0%}",
            )
        )
    if any(change.why == "lap" for change in plan):
        said.append(_("Cut the sound teeth first, the others in a second lap, both in counting order."))
    said.append(_("Look at the edge every ten teeth and after each tooth that is not sound."))
    return said


def _notes(asked: CutterLifeAsked, belief: Belief) -> list[Note]:
    found: list[Note] = []

    def note(code: str, text: str) -> None:
        found.append(Note(code=code, text=text))

    note("lesser_of_two", _("Life is the lesser of wear and chipping; wear alone is not the chance to finish."))
    note(
        "chipping_guessed", _("The chances of a chip are wide guesses of the trade; what you see outweighs them soon.")
    )
    history = asked.history or History()
    if history.minutes is None:
        note(
            "life_from_print",
            _(
                "The median life is reckoned from the printed speed: {n} minutes there (common practice), "
                "at most three times that when slower.",
                n=f"{LIFE_AT_PRINT[asked.cutter.material]:g}",
            ),
        )
    if any(s.hardness_hb is None for s in asked.stretches):
        zones = sorted({s.zone for s in asked.stretches if s.hardness_hb is None})
        shown = ", ".join(f"{z} {_sound_hb(asked) if z == 'sound' else USUAL_HB[z]:g} HB" for z in zones)
        note("hardness_used", _("No hardness was given; taken: {shown}.", shown=shown))
    for name, shown in (("confidence", f"{asked.confidence:.0%}"), ("laps", _("hard teeth last"))):
        if name not in asked.model_fields_set:
            note(f"{name}_used", _("{name} was not given: {shown}.", name=name, shown=shown))
    if "edges_per_cutter" not in asked.cutter.model_fields_set:
        note("one_edge_each", _("One edge to a cutter: no regrinding and no second corner counted."))
    if asked.cutter.runout_mm is None:
        note("runs_true", _("The cutter is taken as running true."))
    if any(s.zone in ("weld_start_stop", "heat_affected_edge") for s in asked.stretches):
        note("weld_halves", _("Minutes in weld and heat-affected metal count twice (memory)."))
    if belief.effective < 300:
        note("seen_unlikely", _("What was seen is so unlike what was believed that the answer is rough."))
    note("played_through", _("Numbers of edges are played through with fixed chances drawn; good to about 0.01."))
    return found


def _sources(asked: CutterLifeAsked) -> tuple[str, ...]:
    speeds = "carbide-end-mill-data" if asked.cutter.material == "carbide" else "hss-speeds-by-hb"
    return ("taylor-constants", "machinerys-handbook-31-statistics", "chipping-practice", speeds, "common-practice")


def _working(
    asked: CutterLifeAsked,
    all_: Round,
    belief: Belief,
    prior: MedianLife,
    chances: dict[str, Chance],
    finish: Chances,
) -> tuple[WorkingLine, ...]:
    minutes = float(all_.minutes[belief.next :].sum())
    lines = [
        WorkingLine(
            symbol="T50",
            name=_("median life before this round"),
            formula="ln T50 ~ N(m, t²)",
            put_in=f"m = {prior.m:.4f}, t = {prior.t:.4f}",
            value=prior.minutes,
            unit="min",
            source="taylor-constants",
        ),
        WorkingLine(
            symbol="t",
            name=_("minutes of wear of the teeth left"),
            formula="t = Σ seconds / 60 · wear of the zone",
            put_in=f"{asked.seconds_per_tooth:g} s, {len(all_) - belief.next} teeth",
            value=minutes,
            unit="min",
            source="own-arithmetic",
        ),
    ]
    for i, zone in enumerate(ZONES):
        n = int((all_.zone[belief.next :] == i).sum())
        if n:
            c = chances[zone].told(belief.entered[zone], belief.chipped[zone])
            lines.append(
                WorkingLine(
                    symbol=f"S({zone})",
                    name=_("chance not to chip"),
                    formula="S = B(a, b + n) / B(a, b)",
                    put_in=f"a = {c.a:g}, b = {c.b:g}, n = {n}",
                    value=c.survive(n),
                    unit="",
                    source="chipping-practice",
                )
            )
    lines.append(
        WorkingLine(
            symbol="P",
            name=_("chance to finish with this edge"),
            formula="P = E[S_wear · S_chip]",
            put_in=f"{finish.wear_alone:.4f}, {finish.chipping_alone:.4f}",
            value=finish.both,
            unit="",
            source="own-arithmetic",
        )
    )
    return tuple(lines)


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
        "speed_ratio": Came("stretches[{0}].speed_m_min", "m/min"),
        "tir": Came("cutter.runout_mm", "mm"),
    },
)
