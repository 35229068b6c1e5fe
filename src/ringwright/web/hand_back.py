"""From the log to the hand-over: what each round did, what stands against signing, how the ring goes back on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ringwright.job.document import Check, JobDocument
from ringwright.paper.hand_over_words import RoundCut, round_cut, teeth_words
from ringwright.reckon import phrases
from ringwright.reckon.base import Problem
from ringwright.store import Store
from ringwright.words import N_, _, ngettext_

#: Places tried on the machine, evenly round the ring; common practice, no source.
PLACES = 4

for _code, _what, _allowed, _do in (
    (
        "nothing_proved",
        N_("Nothing was looked at yet."),
        N_("At least one check that passed."),
        N_("Measure, look, and put it in."),
    ),
    (
        "check_failed",
        N_("Did not pass: {value}."),
        N_("A later reading there that passes; or a remark on the line, and words under “not warranted”."),
        N_("Put it right and measure again. If it has to go out like this, say so on its line and to the customer."),
    ),
    (
        "check_open",
        N_("Nobody has judged: {value}."),
        N_("A verdict on every line."),
        N_("Look or measure now. What cannot be looked at is taken off the list and said under “not warranted”."),
    ),
    (
        "samples_wanted",
        N_("Still to look at: {value}."),
        N_("A verdict at each, or the tick that it was not looked at."),
        N_("Look or measure; or tick it, and the report says that it was not looked at."),
    ),
    (
        "teeth_not_cut",
        N_("{value}: nobody has touched teeth {teeth}."),
        N_("Every tooth of the round done or passed over, in this round or another."),
        N_("Cut them, or pass them over at the machine with the reason."),
    ),
    (
        "teeth_without_reason",
        N_("{value}: teeth {teeth} were passed over or left in trouble, and nobody said why."),
        N_("A reason at the machine, or words under “not warranted”."),
        N_("Say under “not warranted” what stays as it is and why."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

WHATS: dict[str, str] = {
    "lead": N_("Lead on the tooth end"),
    "end_land": N_("Flat left on the end"),
    "burrs": N_("Burrs off, both ends"),
    "span": N_("Span"),
    "pins": N_("Over or between pins"),
    "cracks": N_("Cracks looked for"),
    "hardness": N_("Hardness"),
    "run_out": N_("Run-out"),
    "reclocked": N_("Turned to its new place"),
    "seated": N_("Seated, no gap"),
    "engagement": N_("Pinion goes in by hand"),
    "backlash": N_("Backlash"),
    "marked": N_("Marked across ring and seat"),
}
#: what is looked at and not measured: passed or not, by eye and hand
LOOKS = ("burrs", "engagement", "cracks", "reclocked", "seated", "marked")


# -- what was cut -----------------------------------------------------------------------------------------------------


def rounds_cut(store: Store, job_id: str) -> tuple[RoundCut, ...]:
    """Every round that was started, folded from its log."""
    newest = {sheet.round_id: sheet for sheet in sorted(store.rounds(job_id), key=lambda s: s.revision)}
    return tuple(round_cut(sheet, store.events(job_id, sheet.round_id)) for sheet in newest.values())


# -- may it be signed -------------------------------------------------------------------------------------------------


def check_words(check: Check) -> str:
    """What and where."""
    return _(WHATS[check.what]) + (_(", tooth {tooth}", tooth=check.tooth) if check.tooth else "")


def superseded(checks: Sequence[Check], index: int) -> bool:
    """Whether the same thing at the same place was judged again later and passed."""
    old = checks[index]
    return any(c.what == old.what and c.tooth == old.tooth and c.passed for c in checks[index + 1 :])


def why_not_signed(
    job: JobDocument, cut: Sequence[RoundCut], not_warranted: str, wanted: Sequence[str] = ()
) -> list[Problem]:
    """Everything that stands against signing; [] when nothing does. ``wanted``: what nobody looked at."""
    checks, found = job.prove.checks, []
    failed = [
        check_words(c)
        for i, c in enumerate(checks)
        if c.passed is False and not superseded(checks, i) and not (c.remark and not_warranted)
    ]
    unjudged = [check_words(c) for c in checks if c.passed is None]
    if not any(c.passed for c in checks):
        found.append(phrases.problem("nothing_proved", "", {}))
    if failed:
        found.append(phrases.problem("check_failed", "not_warranted", {"value": "; ".join(failed)}))
    if unjudged:
        found.append(phrases.problem("check_open", "", {"value": "; ".join(unjudged)}))
    if wanted:
        found.append(phrases.problem("samples_wanted", "unseen", {"value": "; ".join(wanted)}))
    return found + list(_not_cut(cut, not_warranted))


def _not_cut(cut: Sequence[RoundCut], not_warranted: str) -> Iterable[Problem]:
    """Teeth of a round that no round has done: never touched, or left in trouble or passed over without a word."""
    done = {tooth for one in cut for tooth in one.done}
    for one in cut:
        never = [t for t in one.untouched if t not in done]
        bare = [t for t in (*one.skipped, *one.trouble) if t not in done and not one.reasons.get(t)]
        if never:
            facts = {"value": one.sheet.title, "teeth": teeth_words(never)}
            yield phrases.problem("teeth_not_cut", "", facts)
        if bare and not not_warranted:
            facts = {"value": one.sheet.title, "teeth": teeth_words(bare)}
            yield phrases.problem("teeth_without_reason", "not_warranted", facts)


# -- back to the machine ----------------------------------------------------------------------------------------------


def back_steps(job: JobDocument) -> tuple[str, ...]:
    """Putting the ring back, in order; common practice, no source."""
    said = [
        _("Deburr, wash and blow out: no chip may stay under the ring or in a bolt hole."),
        _which_way(job),
    ]
    said += _reclock(job)
    said += [
        _("Pull the bolts crosswise in steps, to what the machine's papers say; feel for a gap under the ring."),
        _("Backlash at {n} places a quarter turn apart, at least; the tightest place counts. Write all of them in.",
          n=PLACES),
        _("Put the pinion in by hand at the same places and where the ring stops; then one full turn by hand."),
        _("Mark across ring and seat, so that the next one sees where it stood."),
    ]  # fmt: skip
    return tuple(said)


def _which_way(job: JobDocument) -> str:
    if job.decide.taken == "turn_over":
        return _(
            "Turned over: the face that was the far face is the entry face now; the old count runs backwards there. "
            "Paint tooth 1 and the way of counting on the new entry face before you lift."
        )
    if job.decide.taken == "new_ring":
        return _(
            "A new ring: say on it which face is the entry face before you lift; nothing of the old map holds for it."
        )
    return _("The face that was the entry face goes back as the entry face. Look at the mark before you lift.")


def _reclock(job: JobDocument) -> list[str]:
    if job.decide.taken != "reclock":
        return []
    N, turn = int((job.find_out.ring or {}).get("teeth") or 0), job.decide.reclock_by_teeth
    if not turn or not N:
        return [
            _("Turn the ring on its seat as under Decide; paint the tooth that comes to each stop before you lift.")
        ]
    way = _("in counting direction") if turn > 0 else _("against counting direction")
    said = [ngettext_("Turn the ring on its seat by {n} tooth {way}.", "Turn the ring on its seat by {n} teeth {way}.",
                      abs(turn), way=way)]  # fmt: skip
    for stop in job.map.stops_at:
        if stop <= N:
            said.append(_("Tooth {new} then stands where tooth {old} stood.", new=(stop - turn - 1) % N + 1, old=stop))
    return [" ".join(said)]


def duty_words(job: JobDocument) -> tuple[str, ...]:
    """What stands above everything else when people or loads hang on the ring, or may."""
    if job.duty == "holds_people_or_loads":
        return (_("This ring holds people or loads. Nothing here releases it: who is licensed for it decides."),)
    if job.duty == "unknown":
        return (_("Nobody has said whether this ring holds people or loads. Settle that before it runs."),)
    return ()
