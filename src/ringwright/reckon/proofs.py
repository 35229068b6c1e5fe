"""Every published check that ships, reckoned again on this machine."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module

from ringwright import tables
from ringwright.tables import Case


@dataclass(frozen=True, slots=True)
class Proof:
    """One published value and what this machine makes of it."""

    case: Case
    got: float | str
    agrees: bool

    @property
    def as_expected(self) -> bool:
        """Agrees, or is known to be wrong in print and still does not agree."""
        return self.agrees != bool(self.case.wrong_in_print)


def reckon_case(case: Case) -> float | str:
    """What ``ringwright.PACKAGE.checks.FUNCTION`` makes of the row's inputs."""
    package, _, function = case.check.partition(".")
    value: float | str = getattr(import_module(f"ringwright.{package}.checks"), function)(case.inputs)
    return value if isinstance(value, str) else float(value)


def prove(names: tuple[str, ...] | None = None) -> Iterator[Proof]:
    """All published cases, or those of the named checks."""
    for name in names or tables.case_names():
        for case in tables.published(name):
            got = reckon_case(case)
            yield Proof(case, got, case.agrees(got))
