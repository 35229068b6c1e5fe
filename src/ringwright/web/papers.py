"""Papers as PDF, a job as one file out, and a job's file in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

from fastapi import APIRouter, Request, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from ringwright import paper
from ringwright.job.document import JobDocument
from ringwright.job.sheet import RoundSheet
from ringwright.paper.bundle import hand_over_of, map_of
from ringwright.paper.from_job import division_from, tooth_sheet_from
from ringwright.paper.set_up import setup_of_round
from ringwright.reckon import phrases, rounds
from ringwright.reckon.base import Problems
from ringwright.store import ArchiveFault, EventClash, JobExists, Missing
from ringwright.web import setting, slate
from ringwright.web.desk import job_of, store_of
from ringwright.web.forms import shown_again_by
from ringwright.web.hand_back import rounds_cut
from ringwright.web.pages import go
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False)

for _code, _what, _allowed, _do in (
    (
        "no_round_yet",
        N_("No round is set out yet, so there is nothing to print."),
        N_("A round under Set out, with its way of dividing taken."),
        N_("Set the round out first."),
    ),
    (
        "no_file",
        N_("No file came with this."),
        N_("One job's zip, as “The whole job as one file” gives it."),
        N_("Choose the file and send it again."),
    ),
    (
        "not_a_job_file",
        N_("This file cannot be taken in as a job: {value}."),
        N_("A job's zip, whole and unchanged, of this version or an older one, up to 8 MiB."),
        N_("Take the file out anew where it came from. Nothing was changed here."),
    ),
    (
        "job_is_here",
        N_("This job is here already."),
        N_("A job that is not on the slate."),
        N_("Open the one on the slate. Nothing was changed here."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

#: why a file was not taken in, in words
_FAULTS = {
    "too_large": N_("it is too large"),
    "not_a_zip": N_("it is not a zip, or a damaged one"),
    "missing_file": N_("a part is missing"),
    "not_json": N_("a part cannot be read"),
    "newer_format": N_("a newer version of this program wrote it"),
    "not_a_job_archive": N_("it is no job of this program"),
    "faulty": N_("a record in it is faulty"),
    "does_not_hold_together": N_("its parts do not belong together"),
}


def _set_out_again(request: Request, job_id: str, **_path: Any) -> Response:
    return setting.page(request, job_id)


# -- papers -----------------------------------------------------------------------------------------------------------


@router.get("/jobs/{job_id}/papers/{name}.pdf", dependencies=[shown_again_by(_set_out_again)])
def printed(request: Request, job_id: str, name: str) -> Response:
    """One of the papers; those of a round take ``?round=``, else the round set out last."""
    make = _PAPERS.get(name)
    if make is None:
        raise Missing(f"paper {name}")
    job, _version = job_of(request, job_id)
    pdf = make(request, job, date.today().isoformat())  # noqa: DTZ011  the shop's own day
    headers = {"Content-Disposition": f'inline; filename="{job.job_id}-{name}.pdf"', "Cache-Control": "no-store"}
    return Response(pdf, media_type="application/pdf", headers=headers)


def _sheet(request: Request, job: JobDocument) -> tuple[RoundSheet, bool]:
    """The round's sheet and whether it is frozen; one made from the plan when the round was not started."""
    store = store_of(request)
    asked = request.query_params.get("round", "")
    plan = next((p for p in reversed(job.set_out.rounds) if asked in ("", p.round_id)), None)
    sheets = [s for s in store.rounds(job.job_id) if asked in ("", s.round_id)]
    if plan is not None:
        same = [s for s in sheets if (s.round_id, s.revision) == (plan.round_id, plan.revision)]
        return (same[-1], True) if same else (rounds.make_sheet(job, store.kit()[0], plan.round_id), False)
    if not sheets:
        raise Problems([phrases.problem("no_round_yet", "", {})])
    return sheets[-1], True


def _of_a_round(record: Callable[..., Any], pdf: Callable[[Any], bytes]) -> Callable[..., bytes]:
    def made(request: Request, job: JobDocument, day: str) -> bytes:
        sheet, frozen = _sheet(request, job)
        data = record(job, sheet, day)
        if not frozen:
            draft = _("{n}, not started", n=sheet.revision)
            data = replace(data, title=replace(data.title, revision=draft))
        return pdf(data)

    return made


def _set_up(job: JobDocument, sheet: RoundSheet, day: str) -> paper.SetUp:
    return setup_of_round(job, sheet, day, drawing=map_of(job))


def _hand_over(request: Request, job: JobDocument, day: str) -> bytes:
    return paper.hand_over(hand_over_of(job, day, rounds_cut(store_of(request), job.job_id)))


_PAPERS: dict[str, Callable[..., bytes]] = {
    "set-up-sheet": _of_a_round(_set_up, paper.setup_sheet),
    "division-table": _of_a_round(division_from, paper.division_table),
    "tooth-sheet": _of_a_round(tooth_sheet_from, paper.tooth_sheet),
    "hand-over": _hand_over,
}


# -- a job as one file ------------------------------------------------------------------------------------------------


@router.get("/jobs/{job_id}/job.zip")
def taken_out(request: Request, job_id: str) -> Response:
    """The whole job as one file: document, frozen sheets, log."""
    packed = store_of(request).export_job(job_id)
    headers = {"Content-Disposition": f'attachment; filename="{job_id}.zip"', "Cache-Control": "no-store"}
    return Response(packed, media_type="application/zip", headers=headers)


def _slate_again(request: Request) -> Response:
    return slate.page(request)


@router.post("/jobs/import", dependencies=[shown_again_by(_slate_again)])
async def taken_in(request: Request) -> Response:
    """Take a job's file in, whole or not at all, and open it. The guard bounds the body, the store what unpacks."""
    async with request.form(max_files=1, max_fields=4) as form:
        file = form.get("file")
        packed = await file.read() if isinstance(file, UploadFile) else b""
    if not packed:
        raise Problems([phrases.problem("no_file", "file", {})])
    return go(f"/jobs/{await run_in_threadpool(_import, request, packed)}")


def _import(request: Request, packed: bytes) -> str:
    try:
        return store_of(request).import_job(packed)
    except ArchiveFault as fault:
        why = _(_FAULTS[fault.code]) if fault.code in _FAULTS else fault.code
        said = f"{why} ({fault.where})" if fault.where else why
        raise Problems([phrases.problem("not_a_job_file", "file", {"value": said[:120]})]) from None
    except (JobExists, EventClash):
        raise Problems([phrases.problem("job_is_here", "file", {})]) from None
