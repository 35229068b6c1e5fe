"""The four papers of a round in one go, from the job, its frozen sheet and what its requests answer."""

from __future__ import annotations

from typing import Any

from ringwright import reckon
from ringwright.job.document import JobDocument, RoundPlan
from ringwright.job.sheet import RoundSheet
from ringwright.job.state import State
from ringwright.paper.blocks import Drawing, Figure
from ringwright.paper.from_job import division_from, hand_over_from, setup_from, tooth_sheet_from
from ringwright.paper.papers import division_table, hand_over, setup_sheet, tooth_sheet
from ringwright.reckon.base import Problems
from ringwright.reckon.rounds import recheck_words
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
    before: Drawing | None = None,
    after: Drawing | None = None,
) -> bytes:
    """One paper as PDF; KeyError when there is none of that name. ``state`` is where the round stands."""
    if name == "division-table":
        return division_table(division_from(job, sheet, date))
    if name == "tooth-sheet":
        return tooth_sheet(tooth_sheet_from(job, sheet, date))
    if name == "hand-over":
        done = what_was_done(job, sheet, state)
        return hand_over(hand_over_from(job, date, done=done, before=before, after=after, sheet=sheet))
    if name != "set-up-sheet":
        raise KeyError(name)
    cut = _lead_in(next((p for p in job.set_out.rounds if p.round_id == sheet.round_id), None))
    return setup_sheet(
        setup_from(
            job,
            sheet,
            date,
            recheck=recheck_words,
            touch_off=_touch_off(cut) if cut else (),
            infeed=_infeed(sheet, cut) if cut else (),
            lock=(
                _("Lock every slide that does not feed, and take up its gib."),
                _("Lock the spindle of the dividing device before each cut; the worm alone does not carry it."),
            ),
            cautions=(
                _("Lift the ring with slings that are rated for it; never stand under it."),
                _("Guard the cutter; no gloves near it. Stop the spindle before reaching in."),
            ),
        )
    )


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
    if job.decide.reclock_by_teeth:
        said.append(_("To go back on re-clocked by {n} teeth.", n=job.decide.reclock_by_teeth))
    return tuple(said)


def _lead_in(plan: RoundPlan | None) -> Any:
    if plan is None or plan.lead_in is None:
        return None
    try:
        return reckon.operation("lead_in").ask(plan.lead_in)
    except Problems:
        return None  # the round sheet was frozen with the figures of its day; what cannot be reckoned now stays off


def _touch_off(cut: Any) -> tuple[str, ...]:
    found = []
    if cut.tip_at_touch_off is not None:
        r, _t, a = cut.tip_at_touch_off
        found.append(
            _("Touch off on a sound tooth: the cutter’s tip then stands {r} mm from the ring’s axis, {a} mm from the face.",
              r=f"{r:.3f}", a=f"{a:.3f}")
        )  # fmt: skip
    if cut.touch_off is not None and cut.touch_off.grazing:
        found.append(_("The first contact is a graze: trust the first tooth’s lead, not the touch."))
    if cut.touch_off is not None and cut.touch_off.shift_per_mm_of_corner_lost is not None:
        shift = f"{cut.touch_off.shift_per_mm_of_corner_lost:.2f}"
        found.append(_("On a tooth whose corner has lost 1 mm it touches {s} mm later.", s=shift))
    found.append(_("Set the readout to nought there."))
    return tuple(found)


def _infeed(sheet: RoundSheet, cut: Any) -> tuple[Figure, ...]:
    row = next(iter(sheet.rows))
    found = [Figure(_("Infeed"), row.infeed_words)]
    if cut.lead_length_mm is not None:
        lead = cut.lead_length_mm
        found.append(Figure(_("Lead at the pitch line"), f"{lead.plus:.2f} / {lead.minus:.2f} mm"))
    if cut.end_land_finished_mm is not None:
        found.append(Figure(_("Land left, all spaces cut"), f"{cut.end_land_finished_mm:.2f} mm"))
    return tuple(found)
