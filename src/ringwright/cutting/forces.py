"""Cutting force after Kienzle with its corrections, and what it asks of spindle, table and lock.

The constants are textbook constants for turning with sharp carbide at about 100 m/min; rake, speed, wear and the
interrupted cut come in as factors. Two sound sources differ by 10 to 30 per cent in the same steel and by up to a
factor 1.9 where the chip is 0.02 mm thin, so a force is never shown without its band.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import acos, degrees, pi, tan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright import tables
from ringwright.errors import Refusal, require

Array = NDArray[np.float64]
#: Below this chip thickness the law is not carried on: k_c is that of this thickness [mm] (rule of this program).
THINNEST_CHIP = 0.03
#: The law holds from here [mm].
LAW_FROM, LAW_TO = 0.05, 2.5
#: Chip compression of milling, drilling and boring against turning [-] (memory).
MILLING = 1.2
#: Wear factor of a sharp edge, of one in use, of one at the end of its life [-] (memory).
SHARP, USUAL, WORN = 1.0, 1.3, 1.5
#: Force across the edge and out of the metal over the force along the cut: sharp, worn [-] (memory).
RADIAL_SHARP, RADIAL_WORN = 0.4, 0.8
#: Share of tan(helix) that turns into force along the cutter's axis, 0.5 to 1 [-] (memory).
AXIAL_SHARE = 0.75
#: Exponent with which force rises with Brinell hardness (line through handbook power constants, read).
HARDNESS_EXPONENT = 0.48
#: A plain medium carbon steel at this hardness has the constants of C45 [HB].
C45_HB = 190.0
#: Bands on a force: known steel, steel known by hardness only, chip thinner than the law [-] (rule of this program).
BAND_KNOWN, BAND_HARDNESS, BAND_THIN = 0.15, 0.25, 0.30


@dataclass(frozen=True, slots=True)
class Steel:
    """Kienzle constants: k_c1.1 [MPa] at b = h = 1 mm, m_c [-], and the rake they were taken at [rad]."""

    k_c11: float
    m_c: float
    gamma_ref: float
    known: bool = True


@cache
def grades() -> dict[str, Steel]:
    """Constants by name of the steel or iron."""
    return {
        r["material"]: Steel(float(r["k_c11_mpa"]), float(r["m_c"]), float(np.radians(float(r["gamma_ref_deg"]))))
        for r in tables.load("kienzle")
    }


def steel_of_hardness(HB: float) -> Steel:
    """Constants when only the hardness is known: those of C45 with k_c1.1 times (HB / 190)^0.48.

    Parameters
    ----------
    HB : float
        Brinell hardness, 80 to 615 [-]

    Raises
    ------
    OutOfRange
        HB lies outside 80 to 615.

    Examples
    --------
    >>> steel_of_hardness(190).k_c11, steel_of_hardness(380).k_c11
    (2220.0, 3096.3)
    """
    require("HB", HB, 80, 615)
    base = grades()["C45"]
    return Steel(base.k_c11 * (HB / C45_HB) ** HARDNESS_EXPONENT, base.m_c, base.gamma_ref, known=False)


def rake_factor(gamma: float, gamma_ref: float) -> float:
    """K_gamma = 1 - 0.015 (gamma - gamma_ref), both in degrees there [-]; arguments in rad, -0.35 to 0.53.

    >>> rake_factor(np.radians(12), np.radians(6))
    0.91
    """
    require("gamma", gamma, -0.35, 0.53)
    return 1 - 0.015 * degrees(gamma - gamma_ref)


def speed_factor(v: float) -> float:
    """K_v = 2.023 v^-0.153 below 100 m/min, 1.380 v^-0.07 from there on [-]; v 5 to 1000 m/min.

    >>> speed_factor(25), speed_factor(100), speed_factor(150)
    (1.24, 1.00, 0.97)
    """
    require("v", v, 5, 1000)
    return float(2.023 * v**-0.153 if v < 100 else 1.380 * v**-0.07)


def corrections(steel: Steel, v: float, gamma: float = 0.105, wear: float = USUAL) -> float:
    """All factors on k_c together: rake, speed, wear, milling [-].

    Parameters
    ----------
    steel : Steel
        Its rake of reference
    v : float
        Cutting speed, 5 to 1000 [m/min]
    gamma : float
        Rake of the cutter [rad]
    wear : float
        1 sharp, 1.3 usual, 1.5 at the end of its life [-]
    """
    require("K_w", wear, 1, 2)
    return rake_factor(gamma, steel.gamma_ref) * speed_factor(v) * wear * MILLING


def unit_force(steel: Steel, h: ArrayLike, least: float = THINNEST_CHIP) -> Array:
    """k_c = k_c1.1 max(h, least)^-m_c [MPa]; h in mm, any shape, 0 to 5.

    Below 0.03 mm the law would rise without end where the edge rubs rather than cuts; there k_c stands still.

    >>> unit_force(grades()["E360"], [0.2828, 0.01])
    array([3301.2, 6471.1])
    """
    h = np.asarray(h, dtype=float)
    require("h", h, 0, 5)
    return np.asarray(steel.k_c11 * np.maximum(h, least) ** -steel.m_c)


def edge_force(steel: Steel, b: float, h: float, factor: float = 1.0) -> float:
    """Force along the cut on one edge, F_c = k_c b h times the corrections [N]; b and h in mm.

    >>> edge_force(grades()["C45"], 3.0, 0.04, 1.2)
    501.7
    """
    require("b", b, 0, 1000)
    return float(unit_force(steel, h)) * b * h * factor


def mean_chip_power(
    steel: Steel, factor: float, a_p: float, a_e: float, D: float, n_z_fz: tuple[float, float, float], least: float
) -> float:
    """Cutting power of a side cut or slot from the mean chip, P = a_p a_e v_f k_c(h_m) / 60e6 [kW].

    Parameters
    ----------
    steel, factor
        Constants and their corrections
    a_p, a_e : float
        Depth along and width across the cutter [mm], a_e at most D
    D : float
        Cutter diameter [mm]
    n_z_fz : floats
        Spindle speed [1/min], edges [-], feed per tooth [mm]
    least : float
        Chip thickness below which k_c stands still [mm]
    """
    n, z, f_z = n_z_fz
    require("a_e", a_e, 1e-6, D)
    h_m = 2 * f_z * a_e / (D * acos(1 - 2 * a_e / D))
    return a_p * a_e * n * z * f_z * float(unit_force(steel, h_m, least)) * factor / 60e6


def torque(P: float, n: float) -> float:
    """Torque from power, M = 60000 P / (2 pi n) [N m]; P in kW, n in 1/min.

    >>> torque(0.956, 1591.5)
    5.736
    """
    require("n", n, 1e-6, 100_000)
    return 60_000 * P / (2 * pi * n)


def spindle_torque(P: float, eta: float, n: float) -> float:
    """Torque that the motor's power leaves at the cutter, M = 9549 P eta / n [N m].

    Parameters
    ----------
    P : float
        Power on the motor's plate, 0.05 to 100 [kW]
    eta : float
        What belts and gears leave of it, 0.3 to 1: 0.90 belt, 0.75 back gear, 0.70 to 0.80 geared head [-]
    n : float
        Spindle speed [1/min]

    Examples
    --------
    >>> spindle_torque(1.5, 0.8, 660)
    17.36
    """
    require("P", P, 0.05, 100)
    require("eta", eta, 0.3, 1)
    return torque(P * eta, n)


def mean_tangential(M: float, D: float) -> float:
    """Mean force along the cut of all edges together, F = 2000 M / D [N]; M in N m, D in mm.

    >>> mean_tangential(5.739, 12)
    956.5
    """
    require("D", D, 0.1, 1000)
    return 2000 * M / D


def axial_of_helix(helix: float, share: float = AXIAL_SHARE) -> float:
    """Force along the cutter's axis over the force along the cut; a right-hand helix pulls the cutter out [-].

    >>> axial_of_helix(np.radians(30), 0.5), axial_of_helix(np.radians(30), 1)
    (0.289, 0.577)
    """
    require("helix", helix, -1.2, 1.2)
    require("share", share, 0.5, 1)
    return share * tan(helix)


def radial_ratio(wear: float) -> float:
    """Force out of the metal over the force along the cut, 0.4 sharp to 0.8 worn, along a straight line [-].

    >>> radial_ratio(1.0), radial_ratio(1.25), radial_ratio(1.5)
    (0.4, 0.6, 0.8)
    """
    require("K_w", wear, 1, 2)
    share = min((wear - SHARP) / (WORN - SHARP), 1.0)
    return RADIAL_SHARP + share * (RADIAL_WORN - RADIAL_SHARP)


def table_moment(F: float, r: float) -> float:
    """Moment about the ring's axis of a force at a radius [N m]; F in N, r in mm.

    >>> table_moment(600, 150)
    90.0
    """
    require("r", r, 0, 100_000)
    return F * r / 1000


def worm_handwheel(M: float, ratio: float) -> float:
    """Upper bound of the torque at an unlocked worm's handwheel, M / ratio: no friction counted [N m].

    >>> worm_handwheel(90, 90)
    1.0
    """
    require("ratio", ratio, 1, 1000)
    return M / ratio


def band(steel: Steel, h: float) -> float:
    """How far the real force may lie off to either side, as a share [-].

    0.15 for a known steel, 0.25 where only the hardness is known, at least 0.30 where the chip is thinner than 0.05.
    """
    known = BAND_KNOWN if steel.known else BAND_HARDNESS
    return max(known, BAND_THIN) if h < LAW_FROM else known


def of_grade(name: str) -> Steel:
    """Constants by name; ``unknown_steel`` when there is none."""
    if name not in grades():
        raise Refusal("unknown_steel", "material", facts={"names": ", ".join(grades())})
    return grades()[name]
