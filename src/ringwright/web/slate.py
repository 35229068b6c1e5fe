"""The slate: the shop's jobs, what is urgent, when it is due, and a new job."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request, Response

from ringwright.job.document import JobDocument
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.web.desk import store_of
from ringwright.web.forms import Sent, shown_again_by
from ringwright.web.pages import STAGES, Choice, frame, go, render, settled
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False)

phrases.learn("title_missing", N_("The ring has no name yet."), N_("A few words."), N_("Say what ring it is."))

STATES = {"open": N_("open"), "waiting": N_("waiting"), "cutting": N_("cutting"), "done": N_("done")}


@dataclass(frozen=True, slots=True)
class SlateLine:
    """One job on the slate."""

    href: str
    number: str
    title: str
    customer: str
    due: str
    urgent: bool
    state: str
    next_word: str
    ring: str


@dataclass(frozen=True, slots=True)
class SlatePage:
    """The shop's jobs in the order in which they press."""

    lines: tuple[SlateLine, ...]
    duties: tuple[Choice, ...]


def page(request: Request) -> Response:
    """All jobs, urgent first, then by due day."""
    lines = tuple(_line(line.document) for line in store_of(request).jobs())
    duties = (
        Choice("unknown", _("not known yet")),
        Choice("ordinary", _("ordinary work")),
        Choice("holds_people_or_loads", _("holds people or hanging loads, or moves a vehicle")),
    )
    return render("slate.html", SlatePage(lines, duties), frame(request, _("Slate"), section="slate"))


def _line(job: JobDocument) -> SlateLine:
    opening = next(((place, word) for stage, place, word in STAGES if not settled(job, stage)), STAGES[-1][1:])
    found = job.find_out
    ring = found.ring_label or (_("{n} teeth", n=found.teeth) if found.teeth else _("not counted yet"))
    return SlateLine(
        f"/jobs/{job.job_id}/{opening[0]}",
        job.number,
        job.title,
        job.customer,
        job.due,
        job.urgent,
        _(STATES[job.state]),
        _(opening[1]),
        ring,
    )


@router.get("/jobs")
def slate(request: Request) -> Response:
    """The slate."""
    return page(request)


@router.get("/jobs/{job_id}")
def job(request: Request, job_id: str) -> Response:
    """The job, at its first stage that is still open."""
    document, _version = store_of(request).job(job_id)
    return go(_line(document).href)


@router.post("/jobs", dependencies=[shown_again_by(page)])
def new_job(request: Request, form: Sent) -> Response:
    """Put a new job on the slate and open it."""
    title = form.text("title")
    if not title:
        raise Problems([phrases.problem("title_missing", "title", {})])
    store = store_of(request)
    standing = store.jobs()
    number = form.text("number")[:20] or _next_number(line.document.number for line in standing)
    document = JobDocument(
        job_id=_free_id(number, {line.job_id for line in standing}),
        number=number,
        title=title[:120],
        customer=form.text("customer")[:120],
        machine=form.text("machine")[:200],
        words=form.text("words")[:2000],
        duty=form["duty"] if form["duty"] in ("ordinary", "holds_people_or_loads") else "unknown",
        received=date.today().isoformat(),  # noqa: DTZ011  the shop's own day
        due=form.text("due")[:10],
        urgent=form["urgent"] == "yes",
    )
    store.new_job(document)
    return go(f"/jobs/{document.job_id}/find-out")


def _next_number(numbers: Iterable[str]) -> str:
    whole = [int(n) for n in numbers if n.isdecimal()]
    return str(max(whole, default=0) + 1)


def _free_id(number: str, taken: set[str]) -> str:
    base = "job-" + (re.sub(r"[^a-z0-9]+", "-", number.lower()).strip("-") or "x")
    if base not in taken:
        return base
    return next(f"{base}-{n}" for n in range(2, len(taken) + 3) if f"{base}-{n}" not in taken)
