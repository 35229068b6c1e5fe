"""What the quick sums share: the address is the form, and what cannot be answered goes to the page."""

from __future__ import annotations

import re
from typing import Any

from fastapi import Request

from ringwright.reckon import answers
from ringwright.reckon.base import Problem, Problems
from ringwright.web.forms import Typed

#: Numbers that a list may run over, so that "1-999999999" fills no memory.
_LONGEST = 1000


def query(request: Request) -> Typed:
    """The address's query as a form; kept for the page."""
    typed = Typed({name: value[:2000] for name, value in request.query_params.items()})
    request.state.typed = typed
    return typed


def ask(request: Request, name: str, sum_: dict[str, Any]) -> Any:
    """The answer; None when there is none, its problems then go to the page."""
    try:
        return answers.answer(name, sum_)
    except Problems as problems:
        found: tuple[Problem, ...] = problems.problems
        request.state.problems = found
        return None


def numbers(text: str) -> list[int | str]:
    """A list of teeth as people write it; what is no number goes on as typed.

    >>> numbers("3, 7-9 12"), numbers("x"), numbers("")
    ([3, 7, 8, 9, 12], ['x'], [])
    """
    found: list[int | str] = []
    for part in re.split(r"[,;\s]+", re.sub(r"\s*[-–]\s*", "-", text.strip())):
        run = re.fullmatch(r"(\d{1,4})-(\d{1,4})", part)
        if run and int(run[1]) <= int(run[2]) and int(run[2]) - int(run[1]) < _LONGEST:
            found += range(int(run[1]), int(run[2]) + 1)
        elif part:
            found.append(int(part) if re.fullmatch(r"\d{1,4}", part) else part)
    return found[:_LONGEST]
