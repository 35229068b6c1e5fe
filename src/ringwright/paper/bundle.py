"""The four papers of a round in one go, from the job, its frozen sheet and what its requests answer."""

from __future__ import annotations

from ringwright.job.document import JobDocument
from ringwright.job.sheet import RoundSheet
from ringwright.job.state import State
from ringwright.paper.blocks import Drawing
from ringwright.paper.drawing import PAPER_STYLE, ring_svg
from ringwright.paper.from_job import division_from, hand_over_from, tooth_sheet_from
from ringwright.paper.job_drawing import ring_of
from ringwright.paper.papers import division_table, hand_over, setup_sheet, tooth_sheet
from ringwright.paper.set_up import setup_of_round
from ringwright.words import _

#: Names of the papers, as files and as addresses.
NAMES = ("set-up-sheet", "division-table", "tooth-sheet", "hand-over")


def paper_of(
    name: str,
    job: JobDocument,
    sheet: RoundSheet,
    date: str,
    *,
    state: State | None = None,
) -> bytes:
    """One paper as PDF; KeyError when there is none of that name. ``state`` is where the round stands."""
    if name == "division-table":
        return division_table(division_from(job, sheet, date))
    if name == "tooth-sheet":
        return tooth_sheet(tooth_sheet_from(job, sheet, date))
    if name == "hand-over":
        done = what_was_done(job, sheet, state)
        before, after = maps_of(job, state)
        return hand_over(hand_over_from(job, date, done=done, before=before, after=after, sheet=sheet))
    if name != "set-up-sheet":
        raise KeyError(name)
    return setup_sheet(setup_of_round(job, sheet, date, drawing=maps_of(job, None)[0]))


def what_was_done(job: JobDocument, sheet: RoundSheet, state: State | None) -> tuple[str, ...]:
    """What the log says was done in the round, in words."""
    said = []
    if state is not None:
        by_kind = {k: [m.tooth for m in state.marks if m.mark == k] for k in ("done", "skipped", "trouble")}
        said.append(
            _("{title}: {n} of {all} teeth done.", title=sheet.title, n=len(by_kind["done"]), all=len(sheet.rows))
        )
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
                else _(
                    "A witness did not agree within teeth {a} to {b}; not settled.", a=slip.teeth[0], b=slip.teeth[-1]
                )
            )
    turn = job.decide.reclock_by_teeth
    if turn:
        words = _("To go back on turned {n} teeth on.") if turn > 0 else _("To go back on turned {n} teeth back.")
        said.append(words.format(n=abs(turn)))
    return tuple(said)


def maps_of(job: JobDocument, state: State | None) -> tuple[Drawing | None, Drawing | None]:
    """The map as it came in, and the same with a dot at every tooth that the round has done."""
    teeth = job.find_out.teeth
    if teeth is None:
        return None, None
    came = ring_of(job, teeth)
    before = Drawing(ring_svg(came, style=PAPER_STYLE), came.label, _("As it came in"))
    if state is None:
        return before, None
    done = ring_of(job, teeth, frozenset(mark.tooth for mark in state.marks if mark.mark == "done"))
    return before, Drawing(ring_svg(done, style=PAPER_STYLE), done.label, _("Dot: tooth done in this round"))
