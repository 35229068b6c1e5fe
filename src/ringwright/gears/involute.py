"""The involute function and its inverse."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import require

#: Coefficients of a^3, a^5 ... of tan(a) - a: the difference itself loses digits at small angles.
_SERIES = (
    1 / 3,
    2 / 15,
    17 / 315,
    62 / 2835,
    1382 / 155925,
    21844 / 6081075,
    929569 / 638512875,
    6404582 / 10854718875,
    443861162 / 1856156927625,
    18888466084 / 194896477400625,
)
_SMALL = 0.2


def inv(alpha: ArrayLike) -> NDArray[np.float64]:
    r"""Involute function, inv(alpha) = tan(alpha) - alpha.

    Parameters
    ----------
    alpha : floats
        Pressure angle, -1.57 to 1.57 [rad]

    Returns
    -------
    array
        inv(alpha) [rad], full double precision at small angles too; shape of the argument

    Raises
    ------
    OutOfRange
        The angle is a right angle or more.

    Examples
    --------
    >>> inv(np.radians([14.5, 20, 25]))
    array([0.0055448, 0.0149044, 0.0299753])

    References
    ----------
    .. [1] ISO 21771 (formula from memory; clause not read).
    """
    a = np.asarray(alpha, dtype=float)
    require("alpha", a, -1.57, 1.57)
    small = np.abs(a) < _SMALL
    low = np.where(small, a, 0.0)
    series = np.zeros_like(a)
    for c in reversed(_SERIES):
        series = series * low**2 + c
    return np.asarray(np.where(small, series * low**3, np.tan(a) - a))


def inverse_inv(value: ArrayLike) -> NDArray[np.float64]:
    r"""Angle whose involute function is ``value``, by Newton steps from above.

    Parameters
    ----------
    value : floats
        Involute function, -1000 to 1000 [rad]

    Returns
    -------
    array
        alpha [rad], to the last bits of a double; shape of the argument

    Raises
    ------
    OutOfRange
        The value lies outside the range above.

    Notes
    -----
    inv is convex above nought and both starting values lie above the root, so every step comes nearer.

    Examples
    --------
    >>> np.degrees(inverse_inv(0.0149043839))
    np.float64(20.000000)
    """
    v = np.asarray(value, dtype=float)
    require("inv_alpha", v, -1000, 1000)
    size = np.abs(v)
    a = np.minimum(np.cbrt(3 * size), np.arctan(size + np.pi / 2))
    for _step in range(60):
        slope = np.tan(a) ** 2
        move = np.divide(inv(a) - size, slope, out=np.zeros_like(a), where=slope > 0)
        a = a - move
        if np.all(np.abs(move) <= 2e-16 * np.abs(a)):
            break
    return np.asarray(np.copysign(a, v))
