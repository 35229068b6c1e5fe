"""The one door behind the command line and HTTP: raw JSON in, a status and a body out."""

from __future__ import annotations

import json
from typing import Any, NoReturn

from ringwright import reckon
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems

#: Requests above this are refused unread.
MOST_BYTES = 1_048_576
_DEEPEST = 40


def answer(name: str, raw: bytes) -> tuple[int, dict[str, Any]]:
    """Answer raw JSON: 200 with the answer, or 400, 404, 413, 422 with the contract's problems."""
    if name not in reckon.REGISTRY:
        return 404, _one("unknown_operation", names=", ".join(reckon.names()))
    if len(raw) > MOST_BYTES:
        return 413, _one("too_large", limit="1 MiB")
    try:
        sent = json.loads(raw, parse_constant=_not_finite)
        if not isinstance(sent, dict) or _depth(sent) > _DEEPEST:
            return 400, _one("not_json")
    except (ValueError, RecursionError):
        return 400, _one("not_json")
    try:
        answered = reckon.operation(name).ask(sent)
    except Problems as problems:
        return 422, problems.as_record()
    return 200, answered.model_dump(mode="json")


def schema(name: str) -> dict[str, Any]:
    """JSON schemas of an operation: ``{"request": ..., "answer": ...}``."""
    op = reckon.operation(name)
    return {"request": op.asked.model_json_schema(), "answer": op.answered.model_json_schema(mode="serialization")}


def _one(code: str, **facts: object) -> dict[str, Any]:
    return Problems([phrases.problem(code, "", facts)]).as_record()


def _not_finite(text: str) -> NoReturn:
    raise ValueError(text)


def _depth(value: object, level: int = 0) -> int:
    if level > _DEEPEST:
        return level
    if isinstance(value, dict):
        return max((_depth(v, level + 1) for v in value.values()), default=level)
    if isinstance(value, list):
        return max((_depth(v, level + 1) for v in value), default=level)
    return level
