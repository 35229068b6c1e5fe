"""The cutter of a round: its speed and feed, what it pushes with, how long the edge lasts, what was seen of it."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from fastapi import APIRouter, Request, Response

from ringwright.job.document import JobDocument, RoundPlan, SetOut
from ringwright.job.events import Event, Logged
from ringwright.job.fold import fold
from ringwright.job.kit import Kit
from ringwright.job.sheet import RoundSheet
from ringwright.reckon import phrases
from ringwright.reckon.asking_cut import SEEN, SeenEdge
from ringwright.reckon.base import Problem, Problems
from ringwright.web import edge_lines, ring
from ringwright.web.desk import job_of, keep, store_of
from ringwright.web.edge_lines import SAID, Edge, edge_of
from ringwright.web.forms import Sent, shown_again_by, whole
from ringwright.web.pages import Choice, Line, frame, go, render, unit_of
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/set-out/cutter")

for _code, _what, _allowed, _do in (
    (
        "no_cutter_to_see",
        N_("No cut is set out yet."),
        N_("A round with its cutter, its pose and what is wanted."),
        N_("Fill in the set-up under Set out; the cutter can be looked at then."),
    ),
    (
        "round_not_begun",
        N_("This round was not started yet."),
        N_("A round with its sheet frozen."),
        N_("Start the round under Set out; what is seen of the edge goes into its log."),
    ),
    (
        "tooth_not_in_round",
        N_("Tooth {value} is not cut in this round."),
        N_("A tooth of the round."),
        N_("Look at the number."),
    ),
    (
        "what_of_the_edge",
        N_("It is not said how the edge was found."),
        N_("Worn, chipped, gone, changed or still good."),
        N_("Choose one."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

_WEARS = {"sharp": N_("sharp"), "usual": N_("in use"), "worn": N_("worn")}
_MOVES = {"": N_("not said"), "clockwise": N_("clockwise"), "counterclockwise": N_("anticlockwise")}


@dataclass(frozen=True, slots=True)
class EdgePage:
    """The cutter of one round."""

    ring: ring.Views | None
    round_id: str
    title: str
    cutter: str
    edge: Edge | None
    wears: tuple[Choice, ...]
    moves: tuple[Choice, ...]
    said: tuple[Choice, ...]
    seen: tuple[Line, ...]
    troubles: tuple[Line, ...]
    after: int | None
    started: bool
    push_n: float | None
    may_put: bool
    cannot: tuple[Problem, ...]


def page(request: Request, job_id: str) -> Response:
    """The page; ?round= picks one of several."""
    job, version = job_of(request, job_id)
    shown = _page(request, job)
    return render("cutter.html", shown, frame(request, _("The cutter"), job=job, version=version, section="set_out"))


@router.get("")
def see(request: Request, job_id: str) -> Response:
    """The page."""
    return page(request, job_id)


def round_of(request: Request, job: JobDocument) -> tuple[RoundPlan, Kit, RoundSheet | None, tuple[Logged, ...]]:
    """The plan asked for, the kit, the frozen sheet of this revision and its log; `Problems` without a cut."""
    typed = getattr(request.state, "typed", {})
    asked = typed.get("round_id") or request.query_params.get("round", "")
    plans = job.set_out.rounds
    plan = next((p for p in plans if p.round_id == asked), plans[-1] if plans else None)
    if plan is None or plan.lead_in is None:
        raise Problems([phrases.problem("no_cutter_to_see", "", {})])
    store = store_of(request)
    same = (plan.round_id, plan.revision)
    sheet = next((s for s in store.rounds(job.job_id) if (s.round_id, s.revision) == same), None)
    log = store.events(job.job_id, plan.round_id) if sheet is not None else ()
    return plan, store.kit()[0], sheet, log


def _page(request: Request, job: JobDocument) -> EdgePage:
    query = request.query_params
    wear = query.get("wear") if query.get("wear") in _WEARS else "usual"
    move = query.get("last_move") if query.get("last_move") in _MOVES else ""
    plan, sheet, edge, cannot, log = None, None, None, tuple[Problem, ...](), tuple[Logged, ...]()
    try:
        plan, kit, sheet, log = round_of(request, job)
        more = {"wear": wear, **({"last_move": move} if move else {})}
        edge = edge_of(job, kit, plan, sheet, log, unit_of(request), more)
    except Problems as problems:
        cannot = problems.problems
    seen = edge.seen if edge is not None else ()
    done = frozenset(one.tooth for one in fold(sheet, log).marks if one.mark == "done") if sheet is not None else ()
    return EdgePage(
        ring=ring.views(job, edge.at_tooth if edge is not None else None, frozenset(done), between=True),
        round_id=plan.round_id if plan is not None else "",
        title=plan.title if plan is not None else "",
        cutter=plan.cutter if plan is not None else "",
        edge=edge,
        wears=tuple(Choice(value, _(word), value == wear) for value, word in _WEARS.items()),
        moves=tuple(Choice(value, _(word), value == move) for value, word in _MOVES.items()),
        said=tuple(Choice(value, _(SAID[value])) for value in SEEN),
        seen=tuple(_seen_line(one) for one in seen),
        troubles=tuple(_troubles(log)),
        after=_after(log),
        started=sheet is not None,
        push_n=edge.push_n if edge is not None else None,
        may_put=plan is not None and plan.setup is not None and sheet is None,
        cannot=(*cannot, *(edge.cannot if edge is not None else ())),
    )


def _troubles(log: Sequence[Logged]) -> Iterable[Line]:
    """Trouble at the machine of which nobody has said yet whether it was the edge."""
    told = {one.event.tooth for one in log if one.event.data.get("edge") in SEEN}
    for one in log:
        event = one.event
        if event.kind == "trouble" and event.tooth is not None and event.tooth not in told:
            yield Line(_("Trouble at tooth {n}", n=event.tooth), "", "", str(event.data.get("reason") or ""))


def _after(log: Sequence[Logged]) -> int | None:
    """The tooth that is most likely meant: the last one done or in trouble."""
    at = [one.event.tooth for one in log if one.event.kind in ("done", "trouble") and one.event.tooth is not None]
    return at[-1] if at else None


def _seen_line(one: SeenEdge) -> Line:
    if not one.seq:
        return Line(_("At tooth {n}", n=one.tooth), _("still cutting"), "", _("the last one done in the log"))
    return Line(_("After tooth {n}", n=one.tooth), _(SAID[one.what]))


def short_of(request: Request, job: JobDocument, plan: RoundPlan) -> str:
    """The chance of the edge in one line, for the pages of a started round; "" where it cannot be reckoned."""
    store = store_of(request)
    same = (plan.round_id, plan.revision)
    sheet = next((s for s in store.rounds(job.job_id) if (s.round_id, s.revision) == same), None)
    if sheet is None or plan.lead_in is None:
        return ""
    return edge_lines.short_of(job, store.kit()[0], plan, sheet, store.events(job.job_id, plan.round_id))


# -- acts -------------------------------------------------------------------------------------------------------------


@router.post("/seen", dependencies=[shown_again_by(page)])
def seen(request: Request, job_id: str, form: Sent) -> Response:
    """How the edge was found after a tooth, into the round's log."""
    job, _version = job_of(request, job_id)
    plan, _kit, sheet, log = round_of(request, job)
    if sheet is None:
        raise Problems([phrases.problem("round_not_begun", "", {})])
    if form["what"] not in SEEN:
        raise Problems([phrases.problem("what_of_the_edge", "what", {})])
    tooth = whole(form["tooth"], "tooth", 1, 1000)
    if tooth not in sheet.order:
        raise Problems([phrases.problem("tooth_not_in_round", "tooth", {"value": tooth})])
    event = Event(
        event_id=uuid.uuid4().hex,
        job_id=job.job_id,
        round_id=plan.round_id,
        sheet_digest=sheet.digest,
        station="desk",
        station_seq=1 + max((one.event.station_seq for one in log if one.event.station == "desk"), default=0),
        at=datetime.now(UTC).isoformat(timespec="seconds"),
        kind="note",
        tooth=tooth,
        data={"edge": form["what"], "text": _("Edge after tooth {n}: {what}", n=tooth, what=_(SAID[form["what"]]))},
    )
    store_of(request).append([event])
    return go(f"/jobs/{job_id}/set-out/cutter?round={plan.round_id}")


@router.post("/push", dependencies=[shown_again_by(page)])
def push(request: Request, job_id: str, form: Sent) -> Response:
    """Put the reckoned push into the round's set-up, where the lock is judged by it."""
    job, _version = job_of(request, job_id)
    plan, kit, sheet, log = round_of(request, job)
    if sheet is not None:
        raise Problems([phrases.problem("round_frozen", "", {})])
    edge = edge_of(job, kit, plan, sheet, log, unit_of(request), {"wear": "worn"})
    if edge.push_n is None or plan.setup is None:
        raise Problems(edge.cannot or [phrases.problem("no_cutter_to_see", "", {})])
    new = plan.model_copy(update={"setup": {**plan.setup, "push_n": round(edge.push_n)}})
    rounds = tuple(new if p.round_id == new.round_id else p for p in job.set_out.rounds)
    keep(request, job, form.seen_version, set_out=SetOut(rounds=rounds))
    return go(f"/jobs/{job_id}/set-out?round={plan.round_id}")
