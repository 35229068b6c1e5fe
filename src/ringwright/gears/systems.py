"""Basic racks: the proportions that a ring's teeth may have been cut to."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, pi, radians, tan

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


def combination_rack(P_1: float, P_2: float) -> BasicRack:
    """Proportions of a combination pitch: P_1 sets pitch and thickness, P_2 the depth.

    Addendum 1/P_2, dedendum 1.25/P_2; P_1, P_2 teeth per inch, 0.5 to 200, P_2 at least P_1; proportions come in
    modules of P_1. Handbook (from memory).

    >>> rack = combination_rack(8, 10)
    >>> rack.h_a, rack.h_f
    (0.8, 1.0)
    """
    require("P_1", P_1, 0.5, 200)
    require("P_2", P_2, P_1, 200)
    stub, name = P_1 / P_2, f"{P_1:g}/{P_2:g}"
    return BasicRack(name, name, radians(20), stub, 1.25 * stub, None, "everyday", "combination-pitch")


def fine_pitch_rack(P: float) -> BasicRack:
    """Proportions of the 20 degree fine pitches: dedendum 1.2/P + 0.002 inch.

    P diametral pitch, 20 to 200 [1/in]; proportions in modules. Mott, table 8-4 (read).

    >>> fine_pitch_rack(20).h_f
    1.24
    """
    require("P", P, 20, 200)
    name = f"20 degree fine pitch, {P:g} per inch"
    return BasicRack(f"fine-{P:g}", name, radians(20), 1.0, 1.2 + 0.002 * P, None, "regular", "rack-table-textbook")


def by_circular_pitch(part: float) -> float:
    """A height given as a part of the circular pitch, in modules: pi part [-]; part 0 to 1 [-].

    >>> by_circular_pitch(0.25)
    0.7854
    """
    require("part", part, 0, 1)
    return pi * part


def transverse_racks() -> tuple[tuple[BasicRack, float], ...]:
    """Double helical systems made to the transverse section, as normal proportions, each with its helix angle [rad].

    tan(alpha_n) = tan(alpha_t) cos(beta); heights, given in transverse modules, over cos(beta).

    >>> [(round(rack.h_a, 4), round(beta, 4)) for rack, beta in transverse_racks()]
    [(0.9521, 0.3927), (0.9238, 0.5236)]
    """
    return tuple(_normal(row) for row in tables.load("transverse_racks"))


def _normal(row: dict[str, str]) -> tuple[BasicRack, float]:
    beta = radians(float(row["beta_deg"]))
    alpha_n = atan(tan(radians(float(row["alpha_t_deg"]))) * cos(beta))
    h_a, h_f = (float(row[name]) / cos(beta) for name in ("addendum", "dedendum"))
    return BasicRack(row["key"], row["name"], alpha_n, h_a, h_f, None, row["seen"], row["source"]), beta


@dataclass(frozen=True, slots=True)
class StarterSystem:
    """Pinions of starter rings: module ``m_n`` [mm], ``alpha_n`` [rad], teeth and shift from to, ``h_a`` in modules.

    ``h_a`` is None where the makers differ.
    """

    key: str
    name: str
    m_n: float
    alpha_n: float
    teeth: tuple[int, int]
    shift: tuple[float, float]
    h_a: float | None
    seen: str
    source: str


def starter_systems() -> tuple[StarterSystem, ...]:
    """Starter pinions and the systems of their rings.

    >>> [(s.key, round(s.m_n, 4), s.teeth) for s in starter_systems()][:2]
    [('sae-6-8', 4.2333, (11, 11)), ('sae-8-10', 3.175, (10, 10))]
    """
    return tuple(_starter(row) for row in tables.load("starter_pinions"))


def _starter(row: dict[str, str]) -> StarterSystem:
    by_inch = bool(row["first"])
    first, second = (float(row[name] or 0) for name in ("first", "second"))
    return StarterSystem(
        key=row["key"],
        name=row["name"],
        m_n=25.4 / first if by_inch else float(row["module_mm"]),
        alpha_n=radians(float(row["alpha_deg"])),
        teeth=(int(row["teeth_from"]), int(row["teeth_to"])),
        shift=(float(row["shift_from"]), float(row["shift_to"])),
        h_a=first / second if by_inch else None,
        seen=row["seen"],
        source=row["source"],
    )
