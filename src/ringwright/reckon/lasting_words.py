"""What `cutter_life` says beside its figures: defaults taken, advice, notes, the sums shown."""

from __future__ import annotations

from ringwright.cutting import data
from ringwright.cutting.chipping import ZONES, Chance
from ringwright.cutting.seen_edges import Belief, Round
from ringwright.cutting.wear import MedianLife
from ringwright.reckon.base import Note, WorkingLine
from ringwright.reckon.lasting_models import Chances, ChangeAt, CutterLifeAsked, EdgesNeeded, History
from ringwright.words import _, ngettext_

#: Life that the printed speed is taken to give [min], by kind of cutter (common practice, no source).
LIFE_AT_PRINT = {"carbide": 45.0, "hss": 60.0, "hss_cobalt": 60.0}
#: A speed below print is not believed to give more than this many times that life (common practice).
MOST_GAIN = 3.0
#: Hardness taken where none is given [HB] (common practice).
USUAL_HB = {"sound": 200.0, "hard": 450.0, "weld_start_stop": 250.0, "heat_affected_edge": 400.0}


def sound_hb(asked: CutterLifeAsked) -> float:
    given = [s.hardness_hb for s in asked.stretches if s.zone == "sound" and s.hardness_hb is not None]
    return given[0] if given else USUAL_HB["sound"]


def grind_first(asked: CutterLifeAsked) -> tuple[int, ...]:
    hard = [s for s in asked.stretches if s.file_skates or (s.hardness_hb or 0) > data.HARD_HB]
    return tuple(sorted(t for s in hard for t in range(s.first, s.last + 1)))


def advice(
    asked: CutterLifeAsked, finish: Chances | None, needed: EdgesNeeded | None, plan: list[ChangeAt]
) -> list[str]:
    said = []
    hard = len(grind_first(asked))
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


def notes(asked: CutterLifeAsked, belief: Belief) -> list[Note]:
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
        shown = ", ".join(f"{z} {sound_hb(asked) if z == 'sound' else USUAL_HB[z]:g} HB" for z in zones)
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


def sources(asked: CutterLifeAsked) -> tuple[str, ...]:
    speeds = "carbide-end-mill-data" if asked.cutter.material == "carbide" else "hss-speeds-by-hb"
    return ("taylor-constants", "machinerys-handbook-31-statistics", "chipping-practice", speeds, "common-practice")


def working(
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
