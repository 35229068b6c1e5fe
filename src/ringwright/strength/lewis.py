"""The sound tooth by Lewis: published factors, root stress, the velocity factors printed beside them."""

from __future__ import annotations

from functools import cache
from math import pi, sqrt
from typing import Literal

import numpy as np

from ringwright import tables
from ringwright.errors import require

System = Literal["full_depth_14_5", "full_depth_20", "stub_20"]
Made = Literal["cast", "cut", "hobbed", "ground"]


@cache
def _table(system: System) -> tuple[tuple[float, ...], tuple[float, ...]]:
    rows = tables.load("lewis_y")
    one_over_z = [0.0 if r["z"] == "rack" else 1 / float(r["z"]) for r in rows]
    return tuple(reversed(one_over_z)), tuple(float(r[system]) for r in reversed(rows))


def lewis_factor(z: float, system: System) -> float:
    r"""Lewis factor Y in the module form, :math:`Y = \pi y`, for load at the tip.

    External spur teeth; a helical tooth goes in with its virtual tooth count. Not for internal rings. Between two
    printed tooth counts the factor is taken linear in 1/z, which ends at the rack. The straight-line fits that are
    printed beside the table are not used: they lie up to 8 % above it.

    Parameters
    ----------
    z : float
        Teeth on the whole ring, 12 to 1000 [-]
    system : str
        ``"full_depth_14_5"``, ``"full_depth_20"`` or ``"stub_20"``

    Returns
    -------
    float
        Y [-]

    Raises
    ------
    OutOfRange
        Fewer than 12 or more than 1000 teeth.

    Notes
    -----
    A generated 14.5 degree tooth is 2 to 12 % weaker than this table, the more the fewer its teeth.

    Examples
    --------
    >>> lewis_factor(20, "full_depth_20")
    0.3204
    """
    require("z", z, 12, 1000)
    one_over_z, y = _table(system)
    return float(pi * np.interp(1 / z, one_over_z, y))


def lewis_stress(F_t: float, b: float, m_n: float, Y: float, K_v: float = 1.0) -> float:
    r"""Bending stress at the root by Lewis, :math:`\sigma = K_v F_t / (b\,m_n\,Y)`.

    One tooth carries all, load at the tip, no stress concentration: a figure to compare teeth with, not a rating.

    Parameters
    ----------
    F_t : float
        Load along the reference circle, 0 to 1e8 [N]
    b : float
        Face width that carries, above 0, to 5000 [mm]
    m_n : float
        Normal module, 0.1 to 100 [mm]
    Y : float
        Lewis factor, module form, 0.05 to 1 [-]
    K_v : float
        Velocity factor, 1 to 20 [-]

    Returns
    -------
    float
        sigma [MPa]

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.

    Examples
    --------
    >>> lewis_stress(1000, 10, 5, 0.32)
    62.5
    """
    require("F_t", F_t, 0, 1e8)
    require("b", b, 1e-6, 5000)
    require("m_n", m_n, 0.1, 100)
    require("Y", Y, 0.05, 1)
    require("K_v", K_v, 1, 20)
    return K_v * F_t / (b * m_n * Y)


def lewis_load(sigma: float, b: float, m_n: float, Y: float, K_v: float = 1.0) -> float:
    r"""Load along the reference circle at which the Lewis stress is sigma, :math:`F_t = \sigma\,b\,m_n\,Y / K_v`.

    Parameters as in `lewis_stress`, with sigma 0 to 5000 [MPa].

    Returns
    -------
    float
        F_t [N]

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.

    Examples
    --------
    >>> lewis_load(62.5, 10, 5, 0.32)
    1000.0
    """
    require("sigma", sigma, 0, 5000)
    require("b", b, 1e-6, 5000)
    require("m_n", m_n, 0.1, 100)
    require("Y", Y, 0.05, 1)
    require("K_v", K_v, 1, 20)
    return sigma * b * m_n * Y / K_v


def velocity_factor(v: float, made: Made) -> float:
    r"""Velocity factor K_v of Barth's family, at least 1, by how the teeth were made.

    Cast :math:`(3.05+v)/3.05`, cut or milled :math:`(6.1+v)/6.1`, hobbed or shaped
    :math:`(3.56+\sqrt v)/3.56`, ground or shaved :math:`\sqrt{(5.56+\sqrt v)/5.56}`.

    Parameters
    ----------
    v : float
        Speed at the reference circle, 0 to 50 [m/s]
    made : str
        ``"cast"``, ``"cut"``, ``"hobbed"`` or ``"ground"``

    Returns
    -------
    float
        K_v [-], multiplies the stress

    Raises
    ------
    OutOfRange
        A negative speed or one above 50 m/s.

    Examples
    --------
    >>> velocity_factor(5, "cut")
    1.82
    """
    require("v", v, 0, 50)
    return {
        "cast": (3.05 + v) / 3.05,
        "cut": (6.1 + v) / 6.1,
        "hobbed": (3.56 + sqrt(v)) / 3.56,
        "ground": sqrt((5.56 + sqrt(v)) / 5.56),
    }[made]


def barth_reduction(v: float, v_half: float = 3.0) -> float:
    r"""Barth's older form: the allowed stress is multiplied by :math:`C_v = v_{half}/(v_{half}+v)`.

    Parameters
    ----------
    v : float
        Speed at the reference circle, 0 to 50 [m/s]
    v_half : float
        Speed at which half is left: 3 for ordinary, 4.5 for careful, 6 for accurate work; 1 to 10 [m/s]

    Returns
    -------
    float
        C_v [-], 0 to 1

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.

    Examples
    --------
    >>> barth_reduction(3)
    0.5
    """
    require("v", v, 0, 50)
    require("v_half", v_half, 1, 10)
    return v_half / (v_half + v)
