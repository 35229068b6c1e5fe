"""What was typed, kept as typed, and turned into requests of the contract.

Nothing is judged here: a bare number takes the unit that the page shows, everything else goes on as text and the
operation says what it thinks of it. When a form is refused the page comes back with every word still in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from ringwright.errors import Unreadable
from ringwright.quantities import read_length
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.words import N_

phrases.learn(
    "version_missing",
    N_("The page that sent this is incomplete."),
    N_("A form of this program, as it was shown."),
    N_("Open the page again."),
)

_NUMBER = re.compile(r"[+\-−]?\d+(?:[.,]\d+)?\Z")


class Typed(dict[str, str]):
    """The fields of a form; a field that was not sent reads as empty."""

    def __missing__(self, name: str) -> str:
        return ""

    def text(self, name: str) -> str:
        """Without the blanks round it."""
        return self[name].strip()

    @property
    def seen_version(self) -> int:
        """The version that the page showed."""
        if not self["version"].isdecimal() or len(self["version"]) > 9:
            raise Problems([phrases.problem("version_missing", "version", {})])
        return int(self["version"])


async def read_form(request: Request) -> Typed:
    """The form of this request; kept in ``request.state.typed`` for the page that may come back."""
    typed = Typed()
    async with request.form() as sent:
        for name, value in sent.items():
            if isinstance(value, UploadFile):
                typed[name] = (await value.read()).decode("utf-8-sig", errors="replace")
            else:
                typed[name] = value
    request.state.typed = typed
    return typed


#: The form of a request, as a handler takes it.
Sent = Annotated[Typed, Depends(read_form)]


def shown_again_by(page: Callable[..., Response]) -> Any:
    """A dependency: when this form is refused, ``page(request, **path)`` shows it again."""

    def remember(request: Request) -> None:
        request.state.again = page

    return Depends(remember)


def number_or_text(text: str) -> float | str:
    """A plain number (point or comma) as a number; anything else goes on as it was typed.

    >>> number_or_text("642.1"), number_or_text("25,4"), number_or_text("1-1/4 in"), number_or_text("1,250")
    (642.1, 25.4, '1-1/4 in', '1,250')
    """
    text = text.strip()
    if not _NUMBER.match(text):
        return text
    try:
        return float(read_length(f"{text} mm"))
    except Unreadable:
        return text


def whole_or_text(text: str) -> int | str:
    """A whole number as an int; anything else as typed."""
    text = text.strip()
    return int(text) if re.fullmatch(r"[+\-]?\d{1,9}", text) else text


def length(text: str, unit: str) -> float | str:
    """A length for a field of the contract: bare numbers take the unit shown, text keeps its own.

    >>> length("1", "in"), length("12.5", "mm"), length("32 thou", "mm")
    ('1 in', 12.5, '32 thou')
    """
    value = number_or_text(text)
    return f"{text.strip()} in" if unit == "in" and isinstance(value, float) else value


def length_mm(text: str, unit: str, where: str) -> float | None:
    """A length in mm for the job document; None when nothing was typed; `Problems` when it cannot be read."""
    if not text.strip():
        return None
    value = length(text, unit)
    if isinstance(value, float):
        return value
    try:
        return float(read_length(value))
    except Unreadable as fault:
        raise Problems([phrases.problem(fault.code, where, {"value": fault.text})]) from None


def whole(text: str, where: str, low: int, high: int) -> int:
    """A whole number within limits; `Problems` otherwise."""
    value = whole_or_text(text)
    if isinstance(value, str):
        raise Problems([phrases.problem("not_a_whole_number", where, {"value": text.strip()[:40]})])
    if not low <= value <= high:
        facts = {"value": value, "low": low, "high": high}
        raise Problems([phrases.problem("out_of_range", where, facts)])
    return value


def figure(form: Typed, name: str) -> float | None:
    """A plain figure of a form; None when nothing was typed; `Problems` when it is none."""
    if not form.text(name):
        return None
    value = number_or_text(form[name])
    if isinstance(value, str):
        raise Problems([phrases.problem("not_a_number", name, {"value": value[:40]})])
    return value


def wholes(text: str, name: str) -> list[int]:
    """Whole numbers in a row, as circles and gears are written; `Problems` when some piece is none.

    >>> wholes("24, 24 28", "change_gears"), wholes("", "change_gears")
    ([24, 24, 28], [])
    """
    pieces = [x for x in re.split(r"[\s,]+", text.strip()) if x]
    if not all(x.isascii() and x.isdecimal() and len(x) < 6 for x in pieces):
        raise Problems([phrases.problem("not_a_whole_number", name, {"value": text.strip()[:40]})])
    return [int(x) for x in pieces]


def given(pairs: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """A request without the fields that were left empty."""
    return {name: value for name, value in pairs if value not in ("", None)}
