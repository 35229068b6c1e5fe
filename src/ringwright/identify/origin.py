"""Where the machine comes from, as weights on the systems: evidence of a kind, never proof."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ringwright.tables import load

_TURN = 1960


@dataclass(frozen=True)
class Origin:
    """Clues by name (``made_in``, ``threads``, ``bore``), the year it was built, and how much to make of them.

    ``strength`` 1 takes the table's factors, 0 takes none, 2 squares them.
    """

    clues: Mapping[str, str]
    built: int | None = None
    strength: float = 1.0

    @property
    def period(self) -> str:
        """The table's word for the time of building."""
        if self.built is None:
            return "unknown"
        return "before_1960" if self.built < _TURN else "from_1960"


def factors(origin: Origin) -> dict[tuple[str, float | None], float]:
    """What each system, or one angle of a system (degrees), is multiplied by; what is not named stays as it was.

    >>> factors(Origin({"threads": "metric", "bore": "metric"}))
    {('module', None): 3.0}
    >>> factors(Origin({"threads": "metric"}, strength=0))
    {('module', None): 1.0}
    """
    found: dict[tuple[str, float | None], float] = {}
    for row in load("origin_weights"):
        if origin.clues.get(row["clue"]) == row["value"] and row["period"] in ("any", origin.period):
            at = (row["system"], float(row["angle_deg"]) if row["angle_deg"] else None)
            found[at] = found.get(at, 1.0) * float(row["factor"]) ** origin.strength
    return found
