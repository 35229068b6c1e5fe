"""Cut: which tooth, what now? The sheet and the log go to the browser, which folds them; every touch comes back as an
event and is answered only when it is on disk.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse
from markupsafe import Markup
from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool

from ringwright.job.document import JobDocument
from ringwright.job.events import Event, Logged, read_event
from ringwright.job.fold import fold
from ringwright.job.sheet import RoundSheet
from ringwright.job.state import State
from ringwright.reckon import phrases
from ringwright.reckon.base import Problem, Problems
from ringwright.reckon.rounds import recheck_words
from ringwright.store import EventClash, Store, UnknownSheet
from ringwright.web import ring
from ringwright.web.desk import job_of, store_of
from ringwright.web.edge import short_of
from ringwright.web.pages import frame, render
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}")

#: One delivery of a station that was off the network for a day.
MOST_EVENTS = 2000

phrases.learn(
    "not_an_event",
    N_("This is no event of the log."),
    N_("A list of at most 2000 events of one round."),
    N_("Keep the page open and send again; nothing was lost."),
)
phrases.learn(
    "other_round",
    N_("This event belongs to another job or round."),
    N_("Events of the round in the address."),
    N_("Open the page of that round."),
)
phrases.learn(
    "unknown_sheet",
    N_("The round sheet that this event names is not kept here."),
    N_("An event of a round that was started here."),
    N_("Keep the page open; bring the job over with its zip first."),
)
phrases.learn(
    "event_clash",
    N_("There is another event under this name already."),
    N_("Sending the same event twice is harmless; two events under one name are not."),
    N_("Keep the page open and tell who looks after the program."),
)


@dataclass(frozen=True, slots=True)
class CutPage:
    """The round at the machine; ``sheet`` is None while no round was started."""

    ring: ring.Views | None
    sheet: RoundSheet | None
    state: State | None
    payload: Markup
    others: tuple[RoundSheet, ...]
    tooth: int | None
    edge_says: str = ""


def page(request: Request, job_id: str) -> Response:
    """The round asked for by ``?round=``, else the one started last."""
    job, version = job_of(request, job_id)
    store = store_of(request)
    sheets = store.rounds(job_id)
    asked = request.query_params.get("round", "")
    sheet = next((s for s in reversed(sheets) if asked in ("", s.round_id)), None)
    if sheet is None:
        shown = CutPage(ring.views(job), None, None, Markup(), tuple(sheets), None)
        return render("cut.html", shown, frame(request, _("Cut"), job=job, version=version, section="cut"))
    log = store.events(job_id, sheet.round_id)
    state = fold(sheet, log)
    at = state.next_tooth or state.at_tooth
    shown = CutPage(
        ring=ring.views(job, at, _done(state), between=True),
        sheet=sheet,
        state=state,
        payload=_payload(sheet, log),
        others=tuple(s for s in sheets if s.round_id != sheet.round_id),
        tooth=at,
        edge_says=_edge_says(request, job, sheet),
    )
    return render("cut.html", shown, frame(request, _("Cut"), job=job, version=version, section="cut"))


def _edge_says(request: Request, job: JobDocument, sheet: RoundSheet) -> str:
    """What the edge is still good for; "" when the plan was changed since or it cannot be reckoned."""
    same = (sheet.round_id, sheet.revision)
    plan = next((p for p in job.set_out.rounds if (p.round_id, p.revision) == same), None)
    return short_of(request, job, plan) if plan is not None else ""


@router.get("/cut")
def cut(request: Request, job_id: str) -> Response:
    """The page at the machine."""
    return page(request, job_id)


@router.get("/rounds/{round_id}/ring")
def drawn(request: Request, job_id: str, round_id: str) -> Response:
    """The ring as the log has it, with the scriber at ``?at=``, for the page to put in place."""
    job, _version = job_of(request, job_id)
    store = store_of(request)
    sheet = _sheet(store, job_id, round_id)
    state = fold(sheet, store.events(job_id, round_id))
    asked = request.query_params.get("at", "")
    at = int(asked) if asked.isdecimal() and len(asked) < 5 else state.next_tooth or state.at_tooth
    views = ring.views(job, at, _done(state), between=True)
    if views is None:
        return HTMLResponse("", headers={"Cache-Control": "no-store"})
    parts = {"whole": str(views.whole), "strip": str(views.strip), "glass": str(views.glass)}
    return JSONResponse(parts, headers={"Cache-Control": "no-store"})


@router.get("/rounds/{round_id}/log")
def log(request: Request, job_id: str, round_id: str, after: int = 0) -> Response:
    """Events that arrived after ``after``."""
    found = store_of(request).events(job_id, round_id, after)
    return JSONResponse([one.model_dump(mode="json") for one in found], headers={"Cache-Control": "no-store"})


@router.post("/rounds/{round_id}/events")
async def arrived(request: Request, job_id: str, round_id: str) -> Response:
    """Take events in; the receipts are sent when they are durably on disk, never before."""
    raw = await request.body()
    events, problems = _read(raw, job_id, round_id)
    if problems:
        raise Problems(problems)
    receipts = await run_in_threadpool(_append, store_of(request), events)
    return JSONResponse([one.model_dump(mode="json") for one in receipts])


def _append(store: Store, events: Sequence[Event]) -> Sequence[Any]:
    try:
        return store.append(events)
    except UnknownSheet:
        raise Problems([phrases.problem("unknown_sheet", "", {})]) from None
    except EventClash:
        raise Problems([phrases.problem("event_clash", "", {})]) from None


def _read(raw: bytes, job_id: str, round_id: str) -> tuple[list[Event], list[Problem]]:
    try:
        sent = json.loads(raw)
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, list) or not 0 < len(sent) <= MOST_EVENTS:
        return [], [phrases.problem("not_an_event", "", {})]
    events: list[Event] = []
    problems: list[Problem] = []
    for n, one in enumerate(sent):
        try:
            event = read_event(one)
        except (ValidationError, ValueError, AttributeError, TypeError):
            problems.append(phrases.problem("not_an_event", f"[{n}]", {}))
            continue
        if (event.job_id, event.round_id) != (job_id, round_id):
            problems.append(phrases.problem("other_round", f"[{n}]", {}))
        events.append(event)
    return events, problems


def _sheet(store: Store, job_id: str, round_id: str) -> RoundSheet:
    from ringwright.store import Missing

    found = [s for s in store.rounds(job_id) if s.round_id == round_id]
    if not found:
        raise Missing(f"round {round_id}")
    return found[-1]


def _done(state: State) -> frozenset[int]:
    return frozenset(mark.tooth for mark in state.marks if mark.mark == "done")


def _payload(sheet: RoundSheet, log: Sequence[Logged]) -> Markup:
    """Sheet and log as a JSON data block; ``<`` is escaped so that no text can end the block."""
    record = {
        "sheet": sheet.model_dump(mode="json"),
        "digest": sheet.digest,
        "log": [one.model_dump(mode="json") for one in log],
        "rechecks": [{"code": code, "words": recheck_words(code)} for code in sheet.rechecks],
    }
    text = json.dumps(record, ensure_ascii=False).replace("<", "\\u003c").replace("&", "\\u0026")
    return Markup(text)  # escaped above
