"""What a shrunk seat does to a ring: the standing stress in its roots, and the heat that loosens it."""

from __future__ import annotations

from ringwright.errors import require


def shrink_hoop_stress(delta: float, D: float, E: float = 206_000.0) -> float:
    r"""Hoop stress that a shrink fit leaves in a thin ring on a rigid hub, :math:`\sigma = E\,\delta/D`.

    An upper bound: a hub that gives way lowers it. It stands as a pull in every root, beside the tooth's own stress.

    Parameters
    ----------
    delta : float
        Interference on the diameter, 0 to 10 [mm]
    D : float
        Diameter of the seat, 10 to 20 000 [mm]
    E : float
        Modulus of elasticity, 50 000 to 250 000 [MPa]

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
    >>> shrink_hoop_stress(0.47, 432)
    224.1
    """
    require("delta", delta, 0, 10)
    require("D", D, 10, 20_000)
    require("E", E, 50_000, 250_000)
    return E * delta / D


def growth_by_heat(D: float, dT: float, alpha_T: float = 11.5e-6) -> float:
    r"""How much a bore grows when the whole ring is heated, :math:`\alpha_T\,D\,\Delta T`.

    Parameters
    ----------
    D : float
        Bore, 10 to 20 000 [mm]
    dT : float
        Rise of temperature, 0 to 400 [K]
    alpha_T : float
        Thermal expansion, 5e-6 to 30e-6 [1/K]; the default is plain steel's

    Returns
    -------
    float
        Growth of the diameter [mm]

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.

    Examples
    --------
    >>> growth_by_heat(432, 180)
    0.894
    """
    require("D", D, 10, 20_000)
    require("dT", dT, 0, 400)
    require("alpha_T", alpha_T, 5e-6, 30e-6)
    return alpha_T * D * dT
