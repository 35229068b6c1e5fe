"""How far a cutter bends, what its root bears, and what runout does to the chip."""

from __future__ import annotations

from math import pi

from ringwright.errors import require

#: A fluted end mill bends as a round bar of this share of its diameter [-] (0.75 to 0.85 for 2 and 4 flutes, read).
FLUTED = 0.8
#: Elastic modulus [MPa] of cemented carbide (560 to 620 GPa) and high speed steel (memory).
E_CARBIDE, E_HSS = 600_000.0, 207_000.0
#: Collet, taper and quill add the cutter's own deflection again or more: factor on it [-] (memory, 2 to 3).
HOLDER = 2.5
#: Carbide breaks before it bends: highest root stress in an interrupted cut [MPa] (rule of the reference, memory).
CARBIDE_LIMIT = 600.0
#: Guide for the stick-out in diameters: carbide, high speed steel in a slot (memory).
STICK_OUT = {"carbide": 4.0, "hss": 3.0, "hss_cobalt": 3.0}
#: Runout should stay below this share of the feed per tooth on a manual mill [-] (memory).
RUNOUT_SHARE = 0.3
#: Life lost per 0.0001 in of runout [-] and that length [mm] (rule of a holder maker, memory).
RUNOUT_LOSS, RUNOUT_STEP = 0.10, 0.00254


def modulus(material: str) -> float:
    """Elastic modulus of the cutter's material [MPa]."""
    return E_CARBIDE if material == "carbide" else E_HSS


def second_moment(d: float) -> float:
    """Second moment of area of a round bar, pi d^4 / 64 [mm4]; d in mm.

    >>> second_moment(9.6)
    416.9
    """
    require("d", d, 0.1, 500)
    return pi * d**4 / 64


def tip_deflection(
    F: float, L: float, D: float, E: float, flute: float | None = None, shank: float | None = None
) -> float:
    """Deflection at the tip of a cutter held in a rigid holder, force at the tip [mm].

    Two sections: flutes over ``flute`` from the tip with 0.8 D, shank over the rest up to the stick-out L;
    delta = F / (3 E) (a^3 / I + (L^3 - a^3) / I_shank). With the flutes over the whole length F L^3 / (3 E I).

    Parameters
    ----------
    F : float
        Force square to the axis [N]
    L : float
        Stick-out from the holder, 1 to 1000 [mm]
    D : float
        Cutting diameter [mm]
    E : float
        Elastic modulus [MPa]
    flute : float or None
        Length of the flutes outside the holder, up to L; None: all of L [mm]
    shank : float or None
        Shank diameter (a neck counts as one); None: that of the cutter [mm]

    Returns
    -------
    float
        [mm]; the real one is larger by collet, taper and quill, and the model is good to 30 per cent

    Examples
    --------
    >>> 1000 * tip_deflection(300, 36, 12, 600_000)
    18.65
    >>> 1000 * tip_deflection(300, 36, 12, 600_000, flute=26, shank=12)
    11.79
    """
    require("F", F, 0, 1e6)
    require("L", L, 1, 1000)
    require("D", D, 0.1, 500)
    require("E", E, 1e3, 1e6)
    a = L if flute is None else flute
    require("flute", a, 0, L)
    stiff = second_moment(D if shank is None else shank)
    return F / (3 * E) * (a**3 / second_moment(FLUTED * D) + (L**3 - a**3) / stiff)


def root_stress(F: float, L: float, D: float) -> float:
    """Bending stress where the flutes end at the holder, 32 F L / (pi (0.8 D)^3) [MPa].

    >>> root_stress(300, 36, 12)
    124.3
    """
    require("F", F, 0, 1e6)
    require("L", L, 1, 1000)
    require("D", D, 0.1, 500)
    return 32 * F * L / (pi * (FLUTED * D) ** 3)


def worst_chip(f_z: float, tir: float) -> float:
    """Feed of the edge that stands out most, f_z + TIR: a bound [mm].

    >>> worst_chip(0.05, 0.02)
    0.07
    """
    require("f_z", f_z, 0, 5)
    require("tir", tir, 0, 5)
    return f_z + tir


def life_left_by_runout(tir: float) -> float:
    """Share of the life that a runout leaves: a tenth lost for each 0.0001 in, compounded [-].

    >>> life_left_by_runout(0.00254), life_left_by_runout(0.02)
    (0.9, 0.44)
    """
    require("tir", tir, 0, 1)
    return float((1 - RUNOUT_LOSS) ** (tir / RUNOUT_STEP))
