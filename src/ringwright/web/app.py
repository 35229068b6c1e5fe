"""The app: the operations over HTTP, the pages, and what goes wrong, told once for all of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from ringwright import __version__, reckon
from ringwright.reckon import faces
from ringwright.reckon.base import CONTRACT
from ringwright.web.guard import Guard, problem_body

_STATIC = Path(__file__).parent / "static"


def create_app(store: Any, *, first_page: str = "/jobs", hosts: tuple[str, ...] = ()) -> FastAPI:
    """The app over one store; ``first_page`` is where "/" leads, ``hosts`` further names it may be asked under."""
    app = FastAPI(title="Ringwright", version=__version__, docs_url=None, redoc_url=None)
    app.state.store = store
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

    app.mount("/static", StaticFiles(directory=_STATIC), name="static")
    app.add_exception_handler(HTTPException, _missed)
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
    return JSONResponse({"detail": missed.detail}, status_code=missed.status_code, headers=missed.headers)
