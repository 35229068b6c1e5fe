"""Basic racks: the proportions that a ring's teeth may have been cut to."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians

from ringwright import tables
from ringwright.errors import require
from ringwright.gears.ring import RingGeometry


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


def equal_base_pitch(m_n: float, alpha_n: float, alpha_other: float) -> float:
    """Module that has the same base pitch at another pressure angle: m_n cos(alpha_n) / cos(alpha_other) [mm].

    m_n 0.1 to 100 [mm]; both angles 0.17 to 0.62 [rad]. Gears mesh when base pitches match, whatever their labels say.
    Starter ring discussion (read).

    >>> equal_base_pitch(25.4 / 12, radians(12), radians(20))
    2.2033
    """
    require("m_n", m_n, 0.1, 100)
    require("alpha_n", alpha_n, 0.17, 0.62)
    require("alpha_n", alpha_other, 0.17, 0.62)
    return m_n * cos(alpha_n) / cos(alpha_other)


def starter_pinion(z_blank: int, P_1: float, P_2: float) -> RingGeometry:
    """Pinion of a starter with combination pitch: one tooth fewer than its blank was turned for.

    Reference diameter (z_blank - 1) / P_1, tip diameter z_blank / P_1 + 2 / P_2, both in inches: the same as half a
    module of shift. z_blank 6 to 1000 [-]; P_1, P_2 teeth per inch. SAE J543 as summarised (read).

    >>> pinion = starter_pinion(10, 10, 12)
    >>> pinion.z, pinion.d / 25.4, pinion.d_a / 25.4
    (9, 0.900, 1.1667)
    """
    require("z_blank", z_blank, 6, 1000)
    stub = P_1 / P_2
    return RingGeometry("external", z_blank - 1, 25.4 / P_1, radians(20), x=0.5, h_a=stub, h_f=1.25 * stub)
