"""The contract's worked requests and answers, which ship with the product so that others can run them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any


@dataclass(frozen=True, slots=True)
class ContractCase:
    """One request of one operation, and the part of the answer (or the problems) that it must bring."""

    operation: str
    name: str
    request: Any
    answer: Any
    problems: Any
    status: int
    tolerance: float
    derived: str


def _folder() -> Path:
    shipped = Path(str(files("ringwright"))) / "contract_cases"
    return shipped if shipped.is_dir() else Path(__file__).resolve().parents[3] / "tests" / "contract"


def cases() -> Iterator[ContractCase]:
    """All cases, operation by operation."""
    for path in sorted(_folder().glob("*.json")):
        for row in json.loads(path.read_text(encoding="utf-8")):
            yield ContractCase(
                operation=path.stem,
                name=row["name"],
                request=row["request"],
                answer=row.get("answer"),
                problems=row.get("problems"),
                status=row.get("status", 422 if "problems" in row else 200),
                tolerance=row.get("tolerance", 5e-7),
                derived=row["derived"],
            )


def differences(case: ContractCase, status: int, body: Any) -> list[str]:
    """Where status and body depart from the case; empty when they keep to it."""
    if status != case.status:
        return [f"status {status}, wanted {case.status}: {json.dumps(body)[:300]}"]
    if case.problems is not None:
        there = [(p["code"], p["where"]) for p in body.get("problems", [])]
        return [f"no problem {p}" for p in case.problems if (p["code"], p["where"]) not in there]
    return list(_apart("", case.answer, body, case.tolerance))


def _apart(path: str, want: Any, got: Any, tolerance: float) -> Iterator[str]:
    if isinstance(want, dict) and isinstance(got, dict):
        for key, value in want.items():
            if key not in got:
                yield f"{path}.{key} is not there"
            else:
                yield from _apart(f"{path}.{key}", value, got[key], tolerance)
    elif isinstance(want, list) and isinstance(got, list):
        if len(got) < len(want):
            yield f"{path} has {len(got)} elements, wanted {len(want)}"
        for n, (w, g) in enumerate(zip(want, got, strict=False)):
            yield from _apart(f"{path}[{n}]", w, g, tolerance)
    elif isinstance(want, float | int) and isinstance(got, float | int) and not isinstance(want, bool):
        if not math.isclose(want, got, rel_tol=0, abs_tol=tolerance * max(1.0, abs(want))):
            yield f"{path} is {got}, wanted {want}"
    elif want != got or isinstance(want, bool) != isinstance(got, bool):
        yield f"{path} is {got!r}, wanted {want!r}"
