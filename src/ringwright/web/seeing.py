"""See the cut: the tooth before and after in three dimensions, plain sections, and the leads in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from ringwright.job.document import JobDocument
from ringwright.paper.cut_drawing import TITLES, section_svg
from ringwright.reckon import answers, phrases
from ringwright.reckon.base import Problem, Problems
from ringwright.web.desk import job_of
from ringwright.web.pages import frame, length, render, unit_of
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/set-out/cut")

#: Heights across and along: a third of a millimetre apart at most under a cutter of 12, few enough for a small tablet.
_ROWS = 33

phrases.learn(
    "no_cut_to_see",
    N_("No cut is set out yet."),
    N_("A round with its cutter, its pose and what is wanted."),
    N_("Fill in the set-up under Set out; the cut can be looked at then."),
)


@dataclass(frozen=True, slots=True)
class SectionView:
    """One section as a drawing."""

    title: str
    svg: Markup


@dataclass(frozen=True, slots=True)
class LeadLine:
    """Leads at one height, in the unit shown."""

    at: str
    plus: str
    minus: str


@dataclass(frozen=True, slots=True)
class SeePage:
    """The cut to look at."""

    round_id: str
    title: str
    shape: Markup
    infeed: float
    most: float
    reachable: bool
    sections: tuple[SectionView, ...]
    leads: tuple[LeadLine, ...]
    notes: tuple[Any, ...]
    cannot: tuple[Problem, ...]


@router.get("")
def see(request: Request, job_id: str) -> Response:
    """The page; ?round= picks one of several."""
    job, version = job_of(request, job_id)
    shown = _page(request, job)
    return render("see_cut.html", shown, frame(request, _("See the cut"), job=job, version=version, section="set_out"))


def _page(request: Request, job: JobDocument) -> SeePage:
    plans, asked = job.set_out.rounds, request.query_params.get("round", "")
    plan = next((p for p in plans if p.round_id == asked), plans[-1] if plans else None)
    answer, cannot = None, tuple[Problem, ...]()
    try:
        if plan is None or plan.lead_in is None:
            raise Problems([phrases.problem("no_cut_to_see", "", {})])
        answer = answers.answer("cut_shape", {**plan.lead_in, "every_space": True, "rows": _ROWS})
    except Problems as problems:
        cannot = problems.problems
    unit = unit_of(request)
    return SeePage(
        round_id=plan.round_id if plan is not None else "",
        title=plan.title if plan is not None else "",
        shape=Markup(_data(answer)),
        infeed=answer.infeed_mm if answer is not None else 0.0,
        most=answer.most_mm if answer is not None else 0.0,
        reachable=answer is not None and answer.reachable,
        sections=tuple(
            SectionView(_(TITLES[s.plane]), Markup(section_svg(s, f"cut-{s.plane}")))
            for s in (answer.sections if answer is not None else ())
        ),
        leads=tuple(
            LeadLine(length(x.height_mm, unit), length(x.plus_mm, unit), length(x.minus_mm, unit))
            for x in (answer.leads if answer is not None else ())
        ),
        notes=answer.notes if answer is not None else (),
        cannot=cannot,
    )


def _data(answer: Any) -> str:
    """The arrays for the turnable view, safe inside a page."""
    if answer is None:
        return ""
    drawn = {"infeed_mm", "most_mm", "tool_axis", "tip_at_touch_off", "cutter_profile_mm", "front", "tooth"}
    text: str = answer.model_dump_json(include=drawn)
    return text.replace("<", "\\u003c")
