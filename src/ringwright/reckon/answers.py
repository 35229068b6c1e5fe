"""Answers of the operations for pages and round sheets: the same request is reckoned once while the program runs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from ringwright import reckon


def answer(name: str, request: Mapping[str, Any]) -> Any:
    """The answer of an operation; raises its `Problems`. Operations are pure: a kept answer is as good as a new one."""
    return _kept(name, json.dumps(request, sort_keys=True))


@lru_cache(maxsize=128)
def _kept(name: str, request: str) -> Any:
    return reckon.operation(name).ask(json.loads(request))
