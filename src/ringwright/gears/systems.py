"""Basic racks: the proportions that a ring's teeth may have been cut to."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

from ringwright import tables


@dataclass(frozen=True, slots=True)
class BasicRack:
    """Proportions of one system.

    ``alpha_n`` [rad]; ``h_a``, ``h_f``, ``rho_f`` in modules [-], rho_f None where it is not known; ``seen`` is how
    often it walks into a repair shop: everyday, regular, occasional, rare.
    """

    key: str
    name: str
    alpha_n: float
    h_a: float
    h_f: float
    rho_f: float | None
    seen: str
    source: str


def basic_racks() -> tuple[BasicRack, ...]:
    """All basic racks of the table, the common ones first.

    >>> basic_racks()[0].h_f
    1.25
    """
    return tuple(
        BasicRack(
            key=row["key"],
            name=row["name"],
            alpha_n=radians(float(row["alpha_deg"])),
            h_a=float(row["addendum"]),
            h_f=float(row["dedendum"]),
            rho_f=float(row["root_radius"]) if row["root_radius"] else None,
            seen=row["seen"],
            source=row["source"],
        )
        for row in tables.load("basic_racks")
    )
