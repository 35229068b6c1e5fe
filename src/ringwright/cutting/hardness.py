"""Hardness of steel from one scale to another, and what strength goes with it.

For unalloyed and low-alloy steel only: not for cast iron, austenitic weld metal or cold-worked skins. A conversion is
a fair guess: about 2 HRC to either side, 10 per cent in strength.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from ringwright import tables
from ringwright.errors import require

#: How far a converted hardness may lie off, to either side [HRC] (hardness tables read).
SPREAD_HRC = 2.0
_FIRST_A370_HV = 470.0


@cache
def _points() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """HRC, HV, HB of the rows of the American table, by rising hardness; shape (n,) each."""
    rows = [r for r in tables.load("hardness") if r["source"] == "hardness-a370"]
    hrc, hv, hb = (np.array([float(r[k]) for r in rows]) for k in ("HRC", "HV", "HB"))
    return hrc, hv, hb


def brinell_from_vickers(HV: float) -> float:
    """Brinell hardness HB [-] from Vickers.

    HB = 0.95 HV up to HV 470 (the German table), above it between the rows of the American one.

    Parameters
    ----------
    HV : float
        Vickers hardness, 84 to 653 [-]

    Returns
    -------
    float
        Brinell hardness, about 3 per cent either way [-]

    Raises
    ------
    OutOfRange
        HV lies outside 84 to 653.

    Examples
    --------
    >>> brinell_from_vickers(300), brinell_from_vickers(513)
    (285.0, 482.0)

    References
    ----------
    Tables after DIN 50150 and ASTM A370 (read).
    """
    require("HV", HV, 84, 653)
    if HV <= _FIRST_A370_HV:
        return 0.95 * HV
    _, hv, hb = _points()
    above = hv > _FIRST_A370_HV
    return float(np.interp(HV, np.r_[_FIRST_A370_HV, hv[above]], np.r_[0.95 * _FIRST_A370_HV, hb[above]]))


def rockwell_from_vickers(HV: float) -> float:
    """Rockwell C hardness from Vickers: HRC = 112.46 - 1430.6 / sqrt(HV), fitted to the German table.

    Parameters
    ----------
    HV : float
        Vickers hardness, 240 to 470 [-]; above it the fit reads 0.7 to 1.5 HRC low

    Returns
    -------
    float
        HRC, within 0.5 of the table [-]

    Raises
    ------
    OutOfRange
        HV lies outside 240 to 470.

    Examples
    --------
    >>> rockwell_from_vickers(400)
    40.93
    """
    require("HV", HV, 240, 470)
    return float(112.46 - 1430.6 / HV**0.5)


def brinell_from_rockwell(HRC: float) -> float:
    """Brinell hardness HB [-] from Rockwell C.

    Below 40 HRC the fit of `rockwell_from_vickers` turned round, above it between the rows of the American table.

    Parameters
    ----------
    HRC : float
        Rockwell C hardness, 18 to 60 [-]; the table ends at 58, the last step is carried on to 60

    Raises
    ------
    OutOfRange
        HRC lies outside 18 to 60.

    Examples
    --------
    >>> brinell_from_rockwell(30), brinell_from_rockwell(50)
    (285.9, 482.0)
    """
    require("HRC", HRC, 18, 60)
    hrc, _, hb = _points()
    if hrc[0] > HRC:
        return float(0.95 * (1430.6 / (112.46 - HRC)) ** 2)
    if hrc[-1] < HRC:
        return float(hb[-1] + (HRC - hrc[-1]) * (hb[-1] - hb[-2]) / (hrc[-1] - hrc[-2]))
    return float(np.interp(HRC, hrc, hb))


def rockwell_from_brinell(HB: float) -> float:
    """Rockwell C hardness [-] from Brinell: `brinell_from_rockwell` turned round.

    Raises
    ------
    OutOfRange
        HB lies outside 217 to 651 (18 to 60 HRC).

    Examples
    --------
    >>> rockwell_from_brinell(482)
    50.00
    """
    scale = np.linspace(18, 60, 421)
    hb = np.array([brinell_from_rockwell(float(h)) for h in scale])
    require("HB", HB, float(hb[0]), float(hb[-1]))
    return float(np.interp(HB, hb, scale))


def tensile_strength(HB: float) -> float:
    """Tensile strength R_m [MPa] from Brinell hardness: 3.825e-5 HB^2 + 3.3914 HB - 5.5, about 10 per cent either way.

    Parameters
    ----------
    HB : float
        Brinell hardness, 80 to 450 [-]

    Raises
    ------
    OutOfRange
        HB lies outside 80 to 450.

    Examples
    --------
    >>> tensile_strength(250)
    844.7
    """
    require("HB", HB, 80, 450)
    return 3.825e-5 * HB**2 + 3.3914 * HB - 5.5


def brinell_span(value: float, scale: str) -> tuple[float, float, float]:
    """Brinell hardness from a reading: likely, low and high [-].

    Parameters
    ----------
    value : float
        The reading in its scale [-]
    scale : str
        "HB" (no spread of conversion), "HV" (3 per cent either way) or "HRC" (2 HRC either way)
    """
    if scale == "HB":
        require("HB", value, 80, 650)
        return value, value, value
    if scale == "HV":
        hb = brinell_from_vickers(value)
        return hb, 0.97 * hb, 1.03 * hb
    require("HRC", value, 20, 58)
    return (
        brinell_from_rockwell(value),
        brinell_from_rockwell(value - SPREAD_HRC),
        brinell_from_rockwell(value + SPREAD_HRC),
    )
