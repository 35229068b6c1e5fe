"""How a page is made: one frozen dataclass, one template; and the frame that all pages stand in."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from ringwright import __version__
from ringwright.job.document import JobDocument
from ringwright.quantities import show_length
from ringwright.reckon.base import Problem
from ringwright.words import N_, _, ngettext_

_HERE = Path(__file__).parent
_MANIFEST = _HERE / "static" / "built" / "manifest.json"

#: (stage of the document, its place in the address, its word); only stages whose page works stand here.
STAGES: tuple[tuple[str, str, str], ...] = (
    ("find_out", "find-out", N_("Find out")),
    ("map", "map", N_("Map")),
    ("decide", "decide", N_("Decide")),
    ("set_out", "set-out", N_("Set out")),
    ("cut", "cut", N_("Cut")),
    ("prove", "prove", N_("Prove")),
)


@dataclass(frozen=True, slots=True)
class StageMark:
    """One graduation of the rule."""

    word: str
    href: str
    here: bool
    settled: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands round every page."""

    title: str
    path: str
    unit: str
    look: str
    job: JobDocument | None
    version: int
    stages: tuple[StageMark, ...]
    section: str
    problems: tuple[Problem, ...]
    typed: Mapping[str, str]
    stale: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A figure in the ledger; ``sums`` are the lines of working that it opens to."""

    label: str
    value: str
    unit: str = ""
    why: str = ""
    sums: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several to choose from."""

    value: str
    word: str
    taken: bool = False


def unit_of(request: Request) -> str:
    """ "mm" or "in", as this browser chose."""
    return "in" if request.cookies.get("unit") == "in" else "mm"


def frame(
    request: Request, title: str, *, job: JobDocument | None = None, version: int = 0, section: str = ""
) -> Frame:
    """The frame of this request's page."""
    look = request.cookies.get("look", "")
    stages = tuple(
        StageMark(_(word), f"/jobs/{job.job_id}/{place}", section == stage, settled(job, stage))
        for stage, place, word in STAGES
        if job is not None
    )
    state = request.state
    return Frame(
        title=title,
        path=_page_path(request),
        unit=unit_of(request),
        look=look if look in ("light", "dark") else "",
        job=job,
        version=version,
        stages=stages,
        section=section,
        problems=getattr(state, "problems", ()),
        typed=getattr(state, "typed", {}),
        stale=getattr(state, "stale", False),
    )


def settled(job: JobDocument, stage: str) -> bool:
    """Whether a stage has its result: the long mark on the rule."""
    return {
        "find_out": job.find_out.ring is not None,
        "map": job.map.gone_round,
        "decide": job.decide.taken is not None,
        "set_out": bool(job.set_out.rounds),
        "cut": job.state == "done",
        "prove": bool(job.prove.signed_by),
    }[stage]


def _page_path(request: Request) -> str:
    """The path of the page itself, also when a form was sent to a path below it."""
    parts = request.url.path.rstrip("/").split("/")
    keep = 4 if len(parts) > 1 and parts[1] == "jobs" else 3
    path = "/".join(parts[:keep]) or "/"
    return f"{path}?{request.url.query}" if request.url.query and request.method == "GET" else path


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    environment.globals.update(_=_, ngettext=ngettext_, asset=asset, made_by=f"ringwright {__version__}")
    environment.filters.update(number=number, length_in=length_in)
    return environment


def render(template: str, page: object, frame: Frame, *, status: int = 200) -> HTMLResponse:
    """The page as HTML; ``page`` is its frozen dataclass. With problems or stale, the status says so."""
    text = _environment().get_template(template).render(page=page, frame=frame)
    if status == 200 and frame.stale:
        status = 409
    elif status == 200 and frame.problems:
        status = 422
    return HTMLResponse(text, status_code=status, headers={"Cache-Control": "no-store"})


def go(path: str) -> Response:
    """After an act: on to the page that shows it."""
    return RedirectResponse(path, status_code=303)


def asset(source: str) -> Markup:
    """Tags for one entry of the built client; nothing when the client is not built (the pages work without)."""
    manifest = _manifest(_MANIFEST.stat().st_mtime_ns if _MANIFEST.exists() else 0)
    entry = manifest.get(source)
    if entry is None:
        return Markup()
    tags = [Markup('<link rel="stylesheet" href="/static/built/{}">').format(css) for css in entry.get("css", ())]
    tags.append(Markup('<script type="module" src="/static/built/{}"></script>').format(entry["file"]))
    return Markup("\n").join(tags)


@cache
def _manifest(stamp: int) -> dict[str, Any]:
    return dict(json.loads(_MANIFEST.read_text("utf-8"))) if stamp else {}


def number(value: float | str | None, digits: int = 3) -> str:
    """A figure with at most so many digits behind the point, none that say nothing.

    >>> number(5.7128), number(94.0), number("13/39"), number(None)
    ('5.713', '94', '13/39', '–')
    """
    if value is None:
        return "–"
    if isinstance(value, str):
        return value
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def signed(value: float, digits: int = 3) -> str:
    """A difference with its sign, a true minus.

    >>> signed(-1.45), signed(0.2)
    ('−1.450', '+0.200')
    """
    return f"{value:+.{digits}f}".replace("-", "−")


def length(mm: float | None, unit: str, digits: int | None = None) -> str:
    """A length in the unit shown; a dash where there is none."""
    return "–" if mm is None else show_length(mm, unit, digits)


def length_in(mm: object, unit: str) -> str:
    """A kept length for a field to be typed over; empty where there is none."""
    if not isinstance(mm, int | float):
        return ""
    return number(mm / 25.4, 4) if unit == "in" else number(mm, 3)


def sums(answer: Any, *symbols: str) -> tuple[Any, ...]:
    """The lines of working of these symbols, in the order of the sum; all of them when none is named."""
    lines: Sequence[Any] = answer.working or ()
    return tuple(line for line in lines if not symbols or line.symbol in symbols)


def in_hundred(probability: float) -> str:
    """A chance as people say it.

    >>> in_hundred(0.943), in_hundred(0.9999), in_hundred(0.0002)
    ('94 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if probability > 0.995:
        return _("more than 99 in 100")
    if probability < 0.005:
        return _("less than 1 in 100")
    return _("{n} in 100", n=round(100 * probability))
