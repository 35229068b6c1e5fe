"""Which involute form cutter covers a tooth count."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from ringwright import tables


@dataclass(frozen=True, slots=True)
class FormCutter:
    """One cutter of a set: its engraved number and the tooth counts it covers; ``high`` None reaches to a rack."""

    number: str
    low: int
    high: int | None
    source: str


def form_cutters(table: str = "form_cutters") -> tuple[FormCutter, ...]:
    """The cutters of a set: ``form_cutters`` (fifteen, with half numbers) or ``form_cutters_eight``."""
    return tuple(
        FormCutter(row["number"], int(row["from"]), int(row["to"]) if row["to"] else None, row["source"])
        for row in tables.load(table)
    )


def form_cutter(z_v: float, table: str = "form_cutters") -> FormCutter | None:
    """The cutter for z_v teeth (virtual teeth z / cos^3 beta for a helical ring); None below twelve.

    A count between two whole numbers takes the lower one, since a cutter carries the form of its lowest count.

    >>> form_cutter(127).number, form_cutter(127, "form_cutters_eight").number
    ('1 1/2', '2')
    """
    teeth = floor(z_v + 1e-9)
    for cutter in form_cutters(table):
        if cutter.low <= teeth and (cutter.high is None or teeth <= cutter.high):
            return cutter
    return None
