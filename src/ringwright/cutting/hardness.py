"""Hardness of steel from one scale to another, and what strength goes with it.

After DIN 50150 (the forerunner of ISO 18265) up to 470 HV and the American table (ASTM A370, as E140) above. For
unalloyed and low-alloy steel only: not for cast iron, austenitic weld metal or cold-worked skins. A conversion is
a fair guess: about 2 HRC to either side, 10 per cent in strength.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from ringwright import tables
from ringwright.errors import Refusal, require

#: How far a converted hardness may lie off, to either side [HRC] (hardness tables read).
SPREAD_HRC = 2.0
#: A rebound reading turned into Rockwell C may lie this far off, to either side [HRC]; the table is recalled.
SPREAD_LEEB_HRC = 3.0
#: Share by which Brinell from a rebound reading below 20 HRC may lie off, to either side [-].
SPREAD_LEEB_SOFT = 0.12
#: A file bites up to this much below its own hardness and skates from this much above it [HRC] (SAE J864).
FILE_BAND_HRC = 2.0
#: Files and answers of the file test lie between these [HRC]; the conversion to Brinell ends at the upper one.
FILE_LOW_HRC, FILE_HIGH_HRC = 20.0, 60.0
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


@cache
def _leeb() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """HLD and HB of the rebound table, rising; shape (n,) each."""
    rows = tables.load("leeb")
    hld, hb = (np.array([float(r[k]) for r in rows]) for k in ("HLD", "HB"))
    rising("leeb", hld)
    rising("leeb", hb)
    return hld, hb


def brinell_from_leeb(HLD: float) -> float:
    """Brinell hardness HB [-] from a rebound reading, impact body D, on carbon and low-alloy steel.

    Parameters
    ----------
    HLD : float
        Rebound hardness, 400 to 800 [-], mean of three to five impacts on a heavy or coupled piece

    Returns
    -------
    float
        HB, to be taken 3 HRC either way above 20 HRC and 12 per cent below [-]

    Raises
    ------
    OutOfRange
        HLD lies outside 400 to 800.

    Notes
    -----
    Between the rows along a straight line. One row is read, the others are recalled: prove the tester on a piece of
    known hardness. A tooth tip is thin and near an edge and reads low; test the rim beside the tooth.

    Examples
    --------
    >>> brinell_from_leeb(603)
    328.0

    References
    ----------
    ASTM E140, Leeb type D against Rockwell C, Vickers and Brinell (one row read, the rest from memory).
    """
    hld, hb = _leeb()
    require("HLD", HLD, float(hld[0]), float(hld[-1]))
    return float(np.interp(HLD, hld, hb))


def file_interval(skates: float | None, bites: float | None) -> tuple[float, float]:
    """Rockwell C from a set of files: low and high end [HRC].

    Work on which a file of n HRC skates is harder than n - 2; work into which it bites is softer than n + 2.

    Parameters
    ----------
    skates : float or None
        Hardest file that skated, 40 to 67 [HRC]; None when every file bit
    bites : float or None
        Softest file that bit, 40 to 67 [HRC]; None when every file skated

    Returns
    -------
    low, high : float
        20 and 60 where that side is open [HRC]

    Raises
    ------
    Refusal
        ``no_file_told`` without either; ``file_order`` when a file bit although a harder one skated.

    Examples
    --------
    >>> file_interval(50, 55), file_interval(55, None), file_interval(None, 40)
    ((48.0, 57.0), (53.0, 60.0), (20.0, 42.0))

    References
    ----------
    SAE J864 (summary read): files 50, 55, 58, 62, 65 cut up to 48, 53, 56, 60, 63 and skate from 52, 57, 60, 64, 67.
    """
    if skates is None and bites is None:
        raise Refusal("no_file_told", "skates")
    for symbol, file in (("skates", skates), ("bites", bites)):
        if file is not None:
            require(symbol, file, 40, 67)
    if skates is not None and bites is not None and bites < skates:
        raise Refusal("file_order", "bites", bites, skates, 67)
    low = FILE_LOW_HRC if skates is None else skates - FILE_BAND_HRC
    high = FILE_HIGH_HRC if bites is None else bites + FILE_BAND_HRC
    return float(low), float(max(high, low))


def rising(name: str, values: NDArray[np.float64]) -> None:
    """Refuse a table whose column does not rise from row to row.

    Raises
    ------
    Refusal
        ``table_not_rising`` with the row at fault.
    """
    falls = np.flatnonzero(np.diff(values) <= 0)
    if len(falls):
        raise Refusal("table_not_rising", name, float(values[falls[0] + 1]), at=(int(falls[0]) + 1,))


def out_of_line(places: NDArray[np.float64], values: NDArray[np.float64], share: float) -> list[int]:
    """Rows whose value lies off the straight line between both neighbours by more than ``share`` of it.

    A misprint still rises when the table is coarse; it is caught as a kink, and only at the row itself, not at the
    neighbours that it throws off.

    Parameters
    ----------
    places, values : arrays, shape (n,)
        Columns of a smooth table, places rising
    share : float
        Largest kink that is let pass, 0 to 1 [-]

    Examples
    --------
    >>> out_of_line(np.arange(5.0), np.array([10, 20, 30.0, 44, 50]), 0.05)
    [3]
    """
    found: list[tuple[float, int]] = []
    for i in range(1, len(places) - 1):
        line = float(np.interp(places[i], places[[i - 1, i + 1]], values[[i - 1, i + 1]]))
        found.append((abs(values[i] - line) / abs(line), i))
    bad = [i for off, i in found if off > share]
    off_at = {i: off for off, i in found}
    return [i for i in bad if all(off_at.get(j, 0.0) <= off_at[i] for j in (i - 1, i + 1))]


def brinell_span(value: float, scale: str) -> tuple[float, float, float]:
    """Brinell hardness from a reading: likely, low and high [-].

    Parameters
    ----------
    value : float
        The reading in its scale [-]
    scale : str
        "HB" (no spread of conversion), "HV" (3 per cent either way), "HRC" (2 HRC either way) or "HLD" (rebound, 3
        HRC either way above 20 HRC, 12 per cent below)
    """
    if scale == "HLD":
        return _leeb_span(brinell_from_leeb(value))
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


def _leeb_span(hb: float) -> tuple[float, float, float]:
    if hb < brinell_from_rockwell(20):
        return hb, (1 - SPREAD_LEEB_SOFT) * hb, (1 + SPREAD_LEEB_SOFT) * hb
    hrc = rockwell_from_brinell(hb)
    ends = (max(hrc - SPREAD_LEEB_HRC, 18.0), min(hrc + SPREAD_LEEB_HRC, 60.0))
    return hb, brinell_from_rockwell(ends[0]), brinell_from_rockwell(ends[1])


def file_span(skates: float | None, bites: float | None) -> tuple[float, float, float]:
    """Brinell hardness from a set of files: middle of the interval, low and high [-]; see `file_interval`.

    Examples
    --------
    >>> file_span(50, 55)
    (520.0, 455.0, 596.7)
    """
    low, high = (min(end, FILE_HIGH_HRC) for end in file_interval(skates, bites))
    middle = min(max((low + high) / 2, 18.0), 60.0)
    return brinell_from_rockwell(middle), brinell_from_rockwell(low), brinell_from_rockwell(high)
