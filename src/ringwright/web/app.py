"""The app: the operations over HTTP, the pages, and what goes wrong, told once for all of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from ringwright import __version__, reckon
from ringwright.reckon import faces
from ringwright.reckon.base import CONTRACT, Problems
from ringwright.store import Missing, Stale
from ringwright.web import (
    cut,
    deciding,
    edge,
    finding,
    mapping,
    measured_acts,
    papers,
    proving,
    seeing,
    setting,
    shelf,
    slate,
    sums,
)
from ringwright.web.forms import Sent
from ringwright.web.guard import Guard, problem_body
from ringwright.web.pages import frame, render
from ringwright.words import _

_STATIC = Path(__file__).parent / "static"


@dataclass(frozen=True, slots=True)
class LostPage:
    """Nothing here."""

    words: str


def create_app(store: Any, *, first_page: str = "/jobs", hosts: tuple[str, ...] = ()) -> FastAPI:
    """The app over one store; ``first_page`` is where "/" leads, ``hosts`` further names it may be asked under."""
    app = FastAPI(title="Ringwright", version=__version__, docs_url=None, redoc_url=None)
    app.state.store = store
    app.state.undo = {}
    app.add_middleware(Guard, hosts=hosts)

    @app.get("/health")
    async def health() -> dict[str, object]:
        return {"status": "ok", "made_by": f"ringwright {__version__}", "contract": CONTRACT}

    @app.post("/reckon/{name}")
    async def reckoned(name: str, request: Request) -> JSONResponse:
        status, body = await run_in_threadpool(faces.answer, name, await request.body())
        return JSONResponse(body, status_code=status)

    @app.get("/", include_in_schema=False)
    async def first() -> RedirectResponse:
        return RedirectResponse(first_page, status_code=303)

    @app.post("/shown", include_in_schema=False)
    def shown(form: Sent) -> Response:
        """Lengths in mm or inch, paper or soot: this browser's choice, for a year."""
        back = form["back"]
        answer = RedirectResponse(
            back if back.startswith("/") and not back.startswith(("//", "/\\")) else first_page, 303
        )
        for name, allowed in (("unit", ("mm", "in")), ("look", ("light", "dark"))):
            if form[name] in allowed:
                answer.set_cookie(name, form[name], max_age=31_536_000, samesite="lax", httponly=True)
        return answer

    for router in (
        slate.router,
        finding.router,
        mapping.router,
        measured_acts.router,
        deciding.router,
        setting.router,
        seeing.router,
        edge.router,
        cut.router,
        proving.router,
        papers.router,
        shelf.router,
        sums.router,
    ):
        app.include_router(router)
    app.mount("/static", StaticFiles(directory=_STATIC), name="static")
    app.add_exception_handler(HTTPException, _missed)
    app.add_exception_handler(Problems, _problems)
    app.add_exception_handler(Stale, _stale)
    app.add_exception_handler(Missing, _not_here)
    return app


async def _missed(request: Request, missed: Exception) -> Response:
    assert isinstance(missed, HTTPException)
    if request.url.path.startswith("/reckon/"):
        code = {404: "unknown_operation", 405: "wrong_method"}.get(missed.status_code, "not_json")
        return Response(
            problem_body(code, names=", ".join(reckon.names())),
            status_code=missed.status_code,
            headers=missed.headers,
            media_type="application/json",
        )
    return _lost(request, missed.status_code)


async def _problems(request: Request, problems: Exception) -> Response:
    """A form was refused: its page again, with what was typed and what is wrong with it."""
    assert isinstance(problems, Problems)
    request.state.problems = problems.problems
    if "application/json" in request.headers.get("accept", "") or not hasattr(request.state, "again"):
        return JSONResponse(problems.as_record(), status_code=422)
    return await _again(request)


async def _stale(request: Request, stale: Exception) -> Response:
    """Somebody saved in between: the page as it stands now, with what was typed."""
    assert isinstance(stale, Stale)
    request.state.stale = True
    if "application/json" in request.headers.get("accept", "") or not hasattr(request.state, "again"):
        return JSONResponse({"stale": {"seen": stale.seen, "now": stale.now}}, status_code=409)
    return await _again(request)


async def _again(request: Request) -> Response:
    page: Response = await run_in_threadpool(request.state.again, request, **request.path_params)
    return page


async def _not_here(request: Request, missing: Exception) -> Response:
    return _lost(request, 404)


def _lost(request: Request, status: int) -> Response:
    words = {
        404: _("There is nothing under this address."),
        405: _("This address only shows; nothing can be put in here."),
    }.get(status, _("This did not work."))
    return render("lost.html", LostPage(words), frame(request, _("Not here")), status=status)
