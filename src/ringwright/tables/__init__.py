"""Published tables as data files, each row with its source; one loader.

A table is ``NAME.csv``, digits as printed, each row with a ``source`` key that stands once in ``sources.toml``.
Worked examples are ``cases/PACKAGE.FUNCTION.csv``: the columns between ``source`` and ``printed`` are the inputs, in
the unit that the column's name carries, and ``ringwright.PACKAGE.checks.FUNCTION`` reckons the row again.
"""

from __future__ import annotations

import csv
import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from ringwright.errors import Refusal

HAVE = ("read", "memory", "common practice", "own arithmetic")
_ADMIN = ("source", "printed", "tolerance", "wrong_in_print", "id")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number comes from; ``have`` says whether the page was read or recalled."""

    key: str
    title: str
    edition: str
    place: str
    have: str


@dataclass(frozen=True, slots=True)
class Case:
    """One published worked example.

    ``inputs`` and ``printed`` are texts exactly as they stand in the file. ``tolerance`` is empty (half of the last
    printed digit for a decimal, equality for a text) or a number in the unit of ``printed`` with a reason to be wider.
    ``wrong_in_print`` is empty, or says why the printed value is known not to recompute.
    """

    check: str
    source: str
    inputs: Mapping[str, str]
    printed: str
    tolerance: str = ""
    wrong_in_print: str = ""

    @property
    def allowed(self) -> float | None:
        """How far a recomputed number may lie from print; None when the comparison is of texts."""
        if self.tolerance:
            return float(self.tolerance)
        try:
            float(self.printed)
        except ValueError:
            return None
        mantissa, _, exponent = self.printed.lower().partition("e")
        decimals = len(mantissa.partition(".")[2])
        return 0.5 * 10.0 ** (int(exponent or 0) - decimals) * (1 + 1e-9)

    def agrees(self, got: float | str) -> bool:
        """Whether a recomputed value is the printed one within what is allowed."""
        if self.allowed is None or isinstance(got, str):
            return str(got) == self.printed
        return abs(float(got) - float(self.printed)) <= self.allowed


@cache
def sources() -> dict[str, Source]:
    """All sources by key."""
    raw = tomllib.loads((files("ringwright.tables") / "sources.toml").read_text(encoding="utf-8"))
    found = {}
    for key, row in raw.items():
        if row["have"] not in HAVE:
            raise Refusal("unknown_kind_of_source", key, facts={"have": row["have"]})
        found[key] = Source(key, row["title"], row.get("edition", ""), row.get("place", ""), row["have"])
    return found


def _rows(path: str) -> list[dict[str, str]]:
    text = files("ringwright.tables").joinpath(path).read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#")))
    for n, row in enumerate(rows, 1):
        if row.get("source") not in sources():
            raise Refusal("unknown_source", path, n, facts={"source": row.get("source")})
        if None in row or None in row.values():
            raise Refusal("ragged_row", path, n)
    return rows


@cache
def load(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``NAME.csv`` as texts, digits as printed; an unknown source key is refused."""
    return tuple(_rows(f"{name}.csv"))


@cache
def case_names() -> tuple[str, ...]:
    """Names ``PACKAGE.FUNCTION`` of all files of worked examples."""
    there = files("ringwright.tables").joinpath("cases").iterdir()
    return tuple(sorted(f.name.removesuffix(".csv") for f in there if f.name.endswith(".csv")))


@cache
def published(name: str) -> tuple[Case, ...]:
    """The worked examples of one check."""
    return tuple(
        Case(
            check=name,
            source=row["source"],
            inputs={k: v for k, v in row.items() if k not in _ADMIN},
            printed=row["printed"],
            tolerance=row.get("tolerance", ""),
            wrong_in_print=row.get("wrong_in_print", ""),
        )
        for row in _rows(f"cases/{name}.csv")
    )


@cache
def digest() -> str:
    """Digest of every table that ships (16 hex digits), for the provenance of papers and answers."""
    total = hashlib.sha256()
    here = files("ringwright.tables")
    paths = [f for f in here.iterdir() if f.name.endswith((".csv", ".toml"))]
    paths += [f for f in here.joinpath("cases").iterdir() if f.name.endswith(".csv")]
    for path in sorted(paths, key=lambda f: f.name):
        total.update(path.name.encode())
        total.update(path.read_bytes())
    return total.hexdigest()[:16]
