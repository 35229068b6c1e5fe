"""The four papers of a round in one go, from the job, its frozen sheet and what its requests answer."""

from __future__ import annotations

from collections.abc import Sequence

from ringwright.job.document import JobDocument
from ringwright.job.events import Logged
from ringwright.job.sheet import RoundSheet
from ringwright.paper.blocks import Drawing
from ringwright.paper.drawing import PAPER_STYLE, ring_svg
from ringwright.paper.from_job import division_from, hand_over_from, tooth_sheet_from
from ringwright.paper.hand_over_words import RoundCut, cautions_of, done_words, round_cut
from ringwright.paper.job_drawing import ring_of
from ringwright.paper.papers import HandOver, division_table, hand_over, setup_sheet, tooth_sheet
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
    log: Sequence[Logged] = (),
) -> bytes:
    """One paper as PDF; KeyError when there is none of that name. ``log`` is what happened in the round."""
    if name == "division-table":
        return division_table(division_from(job, sheet, date))
    if name == "tooth-sheet":
        return tooth_sheet(tooth_sheet_from(job, sheet, date))
    if name == "hand-over":
        return hand_over(hand_over_of(job, date, (round_cut(sheet, log),)))
    if name != "set-up-sheet":
        raise KeyError(name)
    return setup_sheet(setup_of_round(job, sheet, date, drawing=map_of(job)))


def hand_over_of(job: JobDocument, date: str, cut: Sequence[RoundCut]) -> HandOver:
    """The hand-over report of a job from the rounds that were cut, oldest first."""
    return hand_over_from(
        job,
        date,
        done=done_words(job, cut),
        before=map_of(job),
        after=_after(job, frozenset(tooth for one in cut for tooth in one.done)),
        cautions=cautions_of(job),
        sheet=cut[-1].sheet if cut else None,
    )


def map_of(job: JobDocument) -> Drawing | None:
    """The map as it came in; None while the number of teeth is not known."""
    teeth = _teeth(job)
    if not teeth:
        return None
    came = ring_of(job, teeth)
    return Drawing(ring_svg(came, style=PAPER_STYLE), came.label, _("As it came in"))


def _after(job: JobDocument, done: frozenset[int]) -> Drawing | None:
    teeth = _teeth(job)
    if not done or not teeth:
        return None
    shown = ring_of(job, teeth, done)
    return Drawing(ring_svg(shown, style=PAPER_STYLE), shown.label, _("Dots: the spaces that were cut"))


def _teeth(job: JobDocument) -> int:
    return int((job.find_out.ring or {}).get("teeth") or job.find_out.teeth or 0)
