"""The involute function and its inverse."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import require

#: Steps of the continued fraction tan(a) = a / (1 - a^2 / (3 - a^2 / (5 - ...))): enough for the last bit up to 1.57.
_ODD = (23.0, 21.0, 19.0, 17.0, 15.0, 13.0, 11.0, 9.0, 7.0, 5.0, 3.0)


def inv(alpha: ArrayLike) -> NDArray[np.float64]:
    r"""Involute function, inv(alpha) = tan(alpha) - alpha.

    Parameters
    ----------
    alpha : floats
        Pressure angle, -1.57 to 1.57 [rad]

    Returns
    -------
    array
        inv(alpha) [rad], to the last bits of a double at small and at large angles; shape of the argument

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
    .. [2] Continued fraction of the tangent (Lambert; memory).
    """
    a = np.asarray(alpha, dtype=float)
    require("alpha", a, -1.57, 1.57)
    # tan(a) - a itself loses digits at small angles; by the fraction it is a^2 tan(a) / rest, without a difference
    square = a * a
    rest = np.full_like(a, 25.0)
    for odd in _ODD:
        rest = odd - square / rest
    return np.asarray(square * np.tan(a) / rest)


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
