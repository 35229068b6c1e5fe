"""What every operation shares: request and answer models, notes, working, problems, and the registry's entry.

Here core units meet the user's units. Core code refuses with a symbol and a value; each operation declares in
``came_from`` which request field that symbol came from and in which unit, so that the refusal reaches the user as a
problem in the user's field, unit and language.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Annotated, Any, Generic, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError

from ringwright import __version__
from ringwright.errors import Refusal, Unreadable
from ringwright.quantities import read_angle, read_length, read_ratio
from ringwright.reckon import phrases

CONTRACT = 1


class Record(BaseModel):
    """A part of a request: unknown fields refused, frozen, no coercion, no infinities."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Asked(Record):
    """A request; ``working`` asks for the sums to be shown."""

    working: bool = False


class Given(BaseModel):
    """A part of an answer."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Note(Given):
    """A validity limit, a caution, or a default that was used."""

    code: str
    text: str


class WorkingLine(Given):
    """One sum: formula in the standard's symbols, the numbers put in, the result."""

    symbol: str
    name: str
    formula: str
    put_in: str
    value: float | str
    unit: str
    source: str


class Answered(Given):
    """An answer; made_by and contract say what reckoned it."""

    contract: int = CONTRACT
    made_by: str = f"ringwright {__version__}"
    notes: tuple[Note, ...] = ()
    sources: tuple[str, ...] = ()
    working: tuple[WorkingLine, ...] | None = None


def _length(value: object) -> object:
    return float(read_length(value)) if isinstance(value, str) else value


def _angle(value: object) -> object:
    return float(read_angle(value)) if isinstance(value, str) else value


def _ratio(value: object) -> object:
    if isinstance(value, str):
        return read_ratio(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return Fraction(value)
    if isinstance(value, Fraction):
        return value
    raise Unreadable("not_a_ratio", str(value)[:60])


#: A number of mm, or text with its own unit ("1-1/4 in").
Millimetres = Annotated[float, BeforeValidator(_length, json_schema_input_type=float | str)]
#: A number of degrees, or text with its own units ("14°30′").
Degrees = Annotated[float, BeforeValidator(_angle, json_schema_input_type=float | str)]
#: A whole number or "p/q", kept exact.
Ratio = Annotated[Fraction, BeforeValidator(_ratio, json_schema_input_type=int | str)]


def exact(value: Fraction | int) -> str:
    """An exact rational as the contract writes it: lowest terms, sign in front.

    >>> exact(Fraction(2550, 47)), exact(Fraction(60)), exact(Fraction(-7, 3))
    ('2550/47', '60', '-7/3')
    """
    return str(Fraction(value))


class Problem(Given):
    """What is wrong, where in the request as sent, what is allowed, what to do."""

    code: str
    where: str
    what: str
    allowed: str
    do: str


class Problems(Exception):
    """A request that has no answer, with all its problems at once."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("; ".join(f"{p.where or 'the request'}: {p.what}" for p in problems))
        self.problems = tuple(problems)

    def as_record(self) -> dict[str, object]:
        """The contract's body: ``{"problems": [...]}``."""
        return {"problems": [p.model_dump() for p in self.problems]}


@dataclass(frozen=True, slots=True)
class Came:
    """Where a core symbol came from: a path in the request and the user's unit there.

    ``{0}`` in ``path`` is filled with the index that the refusal carries. ``unit`` is "mm", "deg", "" and so on.
    """

    path: str
    unit: str = ""

    def show(self, value: float) -> str:
        """A core value in the user's unit, with the unit."""
        shown = math.degrees(value) if self.unit == "deg" else value
        return f"{shown:.6g} {self.unit}".strip()


Q = TypeVar("Q", bound=Asked)
A = TypeVar("A", bound=Answered)


@dataclass(frozen=True)
class Operation(Generic[Q, A]):
    """One sum that the product does: a request model, an answer model, one function."""

    name: str
    purpose: str
    asked: type[Q]
    answered: type[A]
    do: Callable[[Q], A]
    came_from: Mapping[str, Came] = field(default_factory=dict)

    def ask(self, request: Mapping[str, Any] | Q) -> A:
        """Answer a mapping or a model; raise `Problems` with every fault found."""
        if isinstance(request, self.asked):
            sent: Any = request.model_dump(mode="json")
            model = request
        else:
            sent = request
            model = self._read(sent)
        try:
            return self.do(model)
        except Refusal as refusal:
            raise Problems([self._told(refusal, sent)]) from refusal

    def _read(self, sent: Any) -> Q:
        try:
            return self.asked.model_validate_json(json.dumps(sent))
        except ValidationError as faults:
            raise Problems(_problems(faults, sent)) from None
        except (TypeError, ValueError, RecursionError):
            raise Problems([phrases.problem("not_json", "", {})]) from None

    def _told(self, refusal: Refusal, sent: Any) -> Problem:
        came = self.came_from.get(refusal.symbol, Came(""))
        steps = [int(p) if p.isdigit() else p for p in re.findall(r"[^.\[\]]+", came.path.format(*refusal.at, *"0000"))]
        show = {
            name: came.show(value)
            for name, value in (("value", refusal.value), ("low", refusal.low), ("high", refusal.high))
            if value is not None
        }
        where, _, _ = within(sent, steps)
        return phrases.problem(refusal.code, where, {"field": came.path, **show, **refusal.facts})


def within(sent: Any, steps: Sequence[str | int]) -> tuple[str, Any, bool]:
    """Walk ``steps`` into the request as sent: the path reached, what stands there, and whether all steps were met.

    Steps that name no part of the request (a branch of a union, a missing field) are passed over, so that ``where``
    never names what the request does not have.

    >>> within({"ring": {"teeth": 3}}, ["ring", "teeth"])
    ('ring.teeth', 3, True)
    >>> within({"ring": {}}, ["ring", "teeth"])[0]
    'ring'
    """
    path, here, whole = "", sent, True
    for step in steps:
        if isinstance(step, int) and isinstance(here, list | tuple) and 0 <= step < len(here):
            path, here = f"{path}[{step}]", here[step]
        elif isinstance(step, str) and isinstance(here, Mapping) and step in here:
            path, here = f"{path}.{step}" if path else step, here[step]
        else:
            whole = False
    return path, here, whole


def _problems(faults: ValidationError, sent: Any) -> list[Problem]:
    found: dict[tuple[str, str], Problem] = {}
    for fault in faults.errors(include_url=False):
        where, here, _ = within(sent, fault["loc"])
        code, facts = phrases.fault(fault, here)
        problem = phrases.problem(code, where, facts)
        found.setdefault((where, code), problem)
    return list(found.values())
