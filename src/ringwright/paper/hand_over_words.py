"""The words of the hand-over: what each round did by its log, and what can hurt when the ring goes back on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ringwright.job.document import JobDocument
from ringwright.job.events import Logged
from ringwright.job.fold import fold
from ringwright.job.sheet import RoundSheet
from ringwright.job.state import State
from ringwright.words import _


@dataclass(frozen=True, slots=True)
class RoundCut:
    """One round as its log has it, newest revision of its sheet."""

    sheet: RoundSheet
    state: State
    #: tooth and the reason given at the machine, "" when none was
    reasons: Mapping[int, str]

    @property
    def done(self) -> tuple[int, ...]:
        """Teeth marked done."""
        return self._marked("done")

    @property
    def skipped(self) -> tuple[int, ...]:
        """Teeth passed over."""
        return self._marked("skipped")

    @property
    def trouble(self) -> tuple[int, ...]:
        """Teeth marked as trouble."""
        return self._marked("trouble")

    @property
    def untouched(self) -> tuple[int, ...]:
        """Teeth of the round without any mark."""
        marked = {m.tooth for m in self.state.marks}
        return tuple(sorted(t for t in self.sheet.order if t not in marked))

    def _marked(self, kind: str) -> tuple[int, ...]:
        return tuple(sorted(m.tooth for m in self.state.marks if m.mark == kind))


def round_cut(sheet: RoundSheet, log: Sequence[Logged]) -> RoundCut:
    """The round as its log tells it, with the reasons that were given."""
    state = fold(sheet, log)
    by_id = {one.event.event_id: one.event for one in log}
    reasons = {}
    for mark in state.marks:
        said = by_id[mark.event_id].data.get("reason")
        reasons[mark.tooth] = said.strip() if isinstance(said, str) else ""
    return RoundCut(sheet, state, reasons)


def teeth_words(teeth: Iterable[int]) -> str:
    """Tooth numbers with their runs drawn together.

    >>> teeth_words((3, 4, 5, 9))
    '3–5, 9'
    """
    runs: list[list[int]] = []
    for tooth in sorted(teeth):
        if runs and tooth == runs[-1][-1] + 1:
            runs[-1].append(tooth)
        else:
            runs.append([tooth])
    return ", ".join(f"{r[0]}–{r[-1]}" if len(r) > 1 else str(r[0]) for r in runs)


def done_words(job: JobDocument, cut: Sequence[RoundCut]) -> tuple[str, ...]:
    """What was done, round by round, each line once; says so when no round was cut."""
    said = dict.fromkeys(line for one in cut for line in _of_one(job, one))
    return tuple(said) or (_("No round was cut."),)


def _of_one(job: JobDocument, one: RoundCut) -> Iterable[str]:
    yield from what_was_done(job, one.sheet, one.state)
    if one.untouched:
        yield _("{title}: teeth {teeth} were not cut.", title=one.sheet.title, teeth=teeth_words(one.untouched))
    for tooth, reason in one.reasons.items():
        if reason:
            yield _("Tooth {tooth}: {reason}", tooth=tooth, reason=reason)


def what_was_done(job: JobDocument, sheet: RoundSheet, state: State) -> tuple[str, ...]:
    """What the log says was done in the round, in words."""
    said = []
    by_kind = {k: [m.tooth for m in state.marks if m.mark == k] for k in ("done", "skipped", "trouble")}
    said.append(_("{title}: {n} of {all} teeth done.", title=sheet.title, n=len(by_kind["done"]), all=len(sheet.rows)))
    for kind, words in (("skipped", _("Skipped: teeth {t}.")), ("trouble", _("Trouble, not done: teeth {t}."))):
        if by_kind[kind]:
            said.append(words.format(t=", ".join(map(str, by_kind[kind]))))
    if state.closed:
        said.append(_("The lap closed: one more move came back to the first tooth."))
    else:
        said.append(_("The closing check was not made."))
    slips = [slip for slip in state.slips if slip.teeth]
    for slip in slips:
        said.append(
            _(
                "A witness did not agree within teeth {a} to {b}; looked at and settled.",
                a=slip.teeth[0],
                b=slip.teeth[-1],
            )
            if slip.settled
            else _("A witness did not agree within teeth {a} to {b}; not settled.", a=slip.teeth[0], b=slip.teeth[-1])
        )
    turn = job.decide.reclock_by_teeth
    if turn:
        words = _("To go back on turned {n} teeth on.") if turn > 0 else _("To go back on turned {n} teeth back.")
        said.append(words.format(n=abs(turn)))
    return tuple(said)


def cautions_of(job: JobDocument) -> tuple[str, ...]:
    """The cautions of the hand-over; first of all, that nobody has signed it."""
    unsigned = () if job.prove.signed_by else (_("Nobody has signed this yet: it shows where the work stands."),)
    return (*unsigned, *cautions_back())


def cautions_back() -> tuple[str, ...]:
    """What can hurt when the ring goes back on; common practice, no source."""
    return (
        _("Drive locked off and tagged, whatever hangs or leans let down, before a hand goes to the ring."),
        _("No fingers between pinion and ring while anything turns, by hand too."),
        _("First run slow, guard on, nobody beside it."),
        _("Look at the bolts and the tooth ends again after the first shift."),
    )
