"""Speeds, feeds, chip, power and time of the cut: a starting point that the machinist turns down."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import acos, exp, log, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from ringwright import tables
from ringwright.cutting import forces
from ringwright.errors import Refusal, require

#: High speed steel is refused above this hardness [HB], and not worth it above the first.
HSS_DEAR_HB, HSS_END_HB = 350.0, 400.0
#: The carbide table ends here; above 482 HB (50 HRC) grinding or softening come first [HB].
CARBIDE_TABLE_HB, HARD_HB, CARBIDE_END_HB = 450.0, 482.0, 615.0
#: No chip thinner than this: the edge rubs instead of cutting [mm].
THINNEST_FEED = 0.01
#: What a manual knee mill takes of a carbide table made for stiff machines [-].
MANUAL_SHARE = 0.6
#: Speed where the cut enters through weld or hard spots [-] (common practice, 0.5 to 0.75).
ZONE_SHARE = 0.6
#: Cobalt grade over plain high speed steel [-] (maker's chart, read).
COBALT_GAIN = 1.2
#: 1 hp per cubic inch and minute in J/mm3 (definition).
HP_IN3_MIN = 745.6999 * 60 / 25.4**3


@cache
def _table(name: str, x: str, y: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    rows = tables.load(name)
    return np.array([float(r[x]) for r in rows]), np.array([float(r[y]) for r in rows])


def hss_speed(HB: float) -> float:
    """Cutting speed of plain high speed steel in milling medium carbon steel [m/min].

    v = 30.5 (150/HB)^0.7 up to HB 250, then 21.3 exp(-0.00687 (HB - 250)): a smooth line through the printed steps,
    within 10 per cent of them.

    Parameters
    ----------
    HB : float
        Brinell hardness of the hardest zone that the cut meets, 80 to 400 [-]

    Raises
    ------
    Refusal
        ``hss_too_hard`` above 400 HB.
    OutOfRange
        HB lies below 80.

    Examples
    --------
    >>> hss_speed(200)
    24.9

    References
    ----------
    Handbook copy of high speed steel milling speeds by HB, 0.27 to 0.52 per cent carbon (read).
    """
    if HB > HSS_END_HB:
        raise Refusal("hss_too_hard", "HB", HB, 80, HSS_END_HB)
    require("HB", HB, 80, HSS_END_HB)
    return 30.5 * (150 / HB) ** 0.7 if HB <= 250 else 21.3 * exp(-0.00687 * (HB - 250))


def carbide_speed(HB: float, engagement: str = "heavy") -> float:
    """Cutting speed of a coated solid carbide end mill in steel, as printed for stiff machines [m/min].

    Between the printed rows along a straight line of the logarithms; above HB 450 the last slope is carried on.

    Parameters
    ----------
    HB : float
        Brinell hardness of the hardest zone that the cut meets, 80 to 615 [-]
    engagement : str
        "heavy" (slot and wide cuts) or "light" (light roughing)

    Raises
    ------
    OutOfRange
        HB lies outside 80 to 615.

    Examples
    --------
    >>> carbide_speed(300), carbide_speed(350, "light")
    (90.0, 105.9)
    """
    require("HB", HB, 80, CARBIDE_END_HB)
    hb, v = _table("carbide_speeds", "HB", f"{engagement}_m_min")
    if hb[-1] >= HB:
        return float(np.exp(np.interp(log(HB), np.log(hb), np.log(v))))
    slope = log(v[-1] / v[-2]) / log(hb[-1] / hb[-2])
    return float(v[-1] * (HB / hb[-1]) ** slope)


def carbide_feed(D: float, engagement: str = "heavy") -> float:
    """Feed per tooth of a solid carbide end mill in steel [mm].

    Between the printed diameters; outside them as a share of the diameter at the nearer end, never below 0.01 mm.

    Parameters
    ----------
    D : float
        Cutter diameter, 1 to 100 [mm]
    engagement : str
        "heavy" or "light"

    Raises
    ------
    OutOfRange
        D lies outside 1 to 100.

    Examples
    --------
    >>> carbide_feed(12), carbide_feed(3)
    (0.036, 0.010)
    """
    require("D", D, 1, 100)
    d, f = _table("carbide_feeds", "D_mm", f"{engagement}_mm")
    inside = min(max(D, float(d[0])), float(d[-1]))
    f_z = float(np.interp(inside, d, f)) * D / float(inside)
    return max(THINNEST_FEED, f_z)


def spindle_speed(v: float, D: float) -> float:
    """Spindle speed n = 1000 v / (pi D) [1/min].

    Parameters
    ----------
    v : float
        Cutting speed, above 0 to 2000 [m/min]
    D : float
        Cutter diameter, 0.1 to 1000 [mm]

    Examples
    --------
    >>> spindle_speed(60, 12)
    1591.5
    """
    require("v", v, 1e-6, 2000)
    require("D", D, 0.1, 1000)
    return 1000 * v / (pi * D)


def table_feed(n: float, z: float, f_z: float) -> float:
    """Feed of the table v_f = n z f_z [mm/min].

    Parameters
    ----------
    n : float
        Spindle speed, 0 to 100 000 [1/min]
    z : float
        Cutting edges, 1 to 100 [-]
    f_z : float
        Feed per tooth, 0 to 5 [mm]

    Examples
    --------
    >>> table_feed(510, 8, 0.2)
    816.0
    """
    require("n", n, 0, 100_000)
    require("z", z, 1, 100)
    require("f_z", f_z, 0, 5)
    return n * z * f_z


def step_below(ideal: float, steps: Sequence[float]) -> float | None:
    """The machine's step at or below the ideal; the lowest step when all are above; None without steps."""
    if not steps:
        return None
    below = [s for s in steps if s <= ideal * (1 + 1e-9)]
    return max(below) if below else min(steps)


def mean_chip(f_z: float, engaged_share: float) -> float:
    """Mean chip thickness over the arc of contact, h_m = 2 f_z x / phi with phi = acos(1 - 2 x) [mm].

    Parameters
    ----------
    f_z : float
        Feed per tooth, 0 to 5 [mm]
    engaged_share : float
        x = a_e / D: share of the diameter that cuts, 0.001 to 1 (a full slot) [-]

    Examples
    --------
    >>> mean_chip(0.04, 1)
    0.02546
    """
    require("f_z", f_z, 0, 5)
    require("x", engaged_share, 0.001, 1)
    return 2 * f_z * engaged_share / acos(1 - 2 * engaged_share)


def chip_thinning(engaged_share: float) -> float:
    """What the feed may be multiplied with for the same thickest chip, K = 1 / (2 sqrt(x (1 - x))) for x <= 0.5 [-].

    >>> chip_thinning(0.2)
    1.25
    """
    require("x", engaged_share, 0.001, 0.5)
    return 1 / (2 * sqrt(engaged_share * (1 - engaged_share)))


def specific_cutting_force(k_c11: float, m_c: float, h: float) -> float:
    """Kienzle's specific cutting force k_c = k_c1.1 h^(-m_c) [MPa].

    Sharp carbide, rake +6 degrees, about 100 m/min; below h = 0.05 mm an extrapolation that tends high.

    Parameters
    ----------
    k_c11 : float
        Main value at b = h = 1 mm, 100 to 10 000 [MPa]
    m_c : float
        Rise with thin chips, 0 to 0.6 [-]
    h : float
        Chip thickness, 0.005 to 5 [mm]

    Examples
    --------
    >>> specific_cutting_force(2260, 0.3, 0.2828)
    3301.2
    """
    require("k_c11", k_c11, 100, 10_000)
    require("m_c", m_c, 0, 0.6)
    require("h", h, 0.005, 5)
    return float(forces.unit_force(forces.Steel(k_c11, m_c, 0.0), h, least=0.0))


def milling_power(Q: float, k_c: float) -> float:
    """Cutting power P_c = Q k_c / 60e6 [kW].

    Parameters
    ----------
    Q : float
        Metal removed, 0 to 1e7 [mm3/min]
    k_c : float
        Specific cutting force (energy), 0 to 20 000 [MPa]

    Examples
    --------
    >>> milling_power(101250, 5000)
    8.44
    """
    require("Q", Q, 0, 1e7)
    require("k_c", k_c, 0, 20_000)
    return Q * k_c / 60e6


def unit_power(K_p: float) -> float:
    """Handbook power constant K_p [hp per cubic inch and minute] as energy per volume [J/mm3].

    >>> unit_power(1.00)
    2.73
    """
    require("K_p", K_p, 0, 10)
    return K_p * HP_IN3_MIN


def unit_energy(HB: float) -> float:
    """Energy per volume in plain carbon steel, U = 1.99 (HB/150)^0.48, at 0.3 mm feed per tooth [J/mm3].

    A line through the handbook's rows from HB 130 to 350, within 4.5 per cent of them; sources differ by 25.

    Parameters
    ----------
    HB : float
        Brinell hardness, 80 to 615 [-]; above 360 carried on

    Examples
    --------
    >>> unit_energy(250)
    2.54
    """
    require("HB", HB, 80, CARBIDE_END_HB)
    return float(1.99 * (HB / 150) ** 0.48)


def feed_factor(f_z: float) -> float:
    """Thin chips take more power per volume: C = (0.30 / f_z)^0.197 [-].

    >>> feed_factor(0.1)
    1.24
    """
    require("f_z", f_z, 0.005, 1)
    return float((0.30 / f_z) ** 0.197)


def run_in(D: float, d: float) -> float:
    """Way of a peripheral cutter from first touch to full depth, sqrt(d (D - d)) [mm].

    >>> run_in(63, 8)
    20.98
    """
    require("D", D, 0.1, 1000)
    require("d", d, 0, D)
    return sqrt(d * (D - d))


def cut_seconds(length: float, v_f: float) -> float:
    """Time of one cut over a length at a table feed [s].

    >>> cut_seconds(26, 318)
    4.9
    """
    require("length", length, 0, 100_000)
    require("v_f", v_f, 1e-6, 100_000)
    return 60 * length / v_f


def peak_to_mean(engaged_share: float, z: int) -> float:
    """Peak over mean tangential force with one tooth in the cut, sin(phi) (2 pi / z) / (1 - cos(phi)) [-].

    >>> peak_to_mean(0.2, 4)
    3.14
    """
    require("x", engaged_share, 0.001, 0.5)
    phi = acos(1 - 2 * engaged_share)
    return sin(phi) * (2 * pi / z) / (2 * engaged_share)
