"""What a micrometer, pins and a tooth caliper read on a ring that is true to drawing.

All functions take arrays that broadcast together. A thickness allowance enters as the profile shift that alone would
give the same flanks (``RingGeometry.x_E``), so that no formula needs it twice.
"""

from __future__ import annotations

from math import pi
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import require
from ringwright.gears.involute import inv, inverse_inv

Array = NDArray[np.float64]


def _ring(z: ArrayLike, m_n: ArrayLike, alpha_n: ArrayLike, beta: ArrayLike, x: ArrayLike) -> tuple[Array, ...]:
    """The five numbers of a ring as arrays, each in its range."""
    require("z", z, 5, 1000)
    require("m_n", m_n, 0.1, 100)
    require("alpha_n", alpha_n, 0.17, 0.62)
    require("beta", beta, -0.8, 0.8)
    require("x", x, -6, 6)
    return tuple(np.asarray(value, dtype=float) for value in (z, m_n, alpha_n, beta, x))


def transverse_pressure_angle(alpha_n: ArrayLike, beta: ArrayLike) -> Array:
    """Transverse pressure angle, arctan(tan(alpha_n) / cos(beta)).

    External and internal rings; alpha_n 0.17 to 0.62, beta -0.8 to 0.8 [rad] -> [rad]. ISO 21771, from memory.

    >>> np.degrees(transverse_pressure_angle(np.radians(20), np.radians(15)))
    np.float64(20.6469)
    """
    require("alpha_n", alpha_n, 0.17, 0.62)
    require("beta", beta, -0.8, 0.8)
    return np.asarray(np.arctan(np.tan(alpha_n) / np.cos(beta)))


def transverse_pitch(m_n: ArrayLike, beta: ArrayLike) -> Array:
    """Circular pitch in the transverse section, pi m_n / cos(beta).

    m_n 0.1 to 100 [mm], beta -0.8 to 0.8 [rad] -> [mm]. ISO 21771, from memory.

    >>> transverse_pitch(8, np.radians(15))
    array(26.019)
    """
    require("m_n", m_n, 0.1, 100)
    require("beta", beta, -0.8, 0.8)
    return np.asarray(pi * np.asarray(m_n) / np.cos(beta))


def virtual_teeth(z: ArrayLike, beta: ArrayLike) -> Array:
    """Virtual number of teeth, z / cos^3(beta), for chords and for choosing a form cutter.

    z 5 to 1000 [-], beta -0.8 to 0.8 [rad] -> [-]. Elements of Metric Gear Technology, table 10-3 (read).

    >>> virtual_teeth(16, np.radians(25))
    array(21.4928)
    """
    require("z", z, 5, 1000)
    require("beta", beta, -0.8, 0.8)
    return np.asarray(np.asarray(z) / np.cos(beta) ** 3)


def base_pitch(m_n: ArrayLike, alpha_n: ArrayLike) -> Array:
    """Normal base pitch, pi m_n cos(alpha_n): the step between the spans over k and k + 1 teeth.

    m_n 0.1 to 100 [mm], alpha_n 0.17 to 0.62 [rad] -> [mm]. ISO 21771, from memory.

    >>> base_pitch(1, np.radians([14.5, 20, 25]))
    array([3.04153, 2.95213, 2.84725])
    """
    require("m_n", m_n, 0.1, 100)
    require("alpha_n", alpha_n, 0.17, 0.62)
    return np.asarray(pi * np.asarray(m_n) * np.cos(alpha_n))


def base_tangent_length(
    k: ArrayLike, z: ArrayLike, m_n: ArrayLike, alpha_n: ArrayLike, beta: ArrayLike = 0.0, x: ArrayLike = 0.0
) -> Array:
    r"""Base tangent length W_k, the micrometer reading over k teeth.

    External spur and helical rings; not internal ones.

    .. math:: W_k = m_n [\cos\alpha_n (\pi (k - 0.5) + z\,\mathrm{inv}\,\alpha_t) + 2 x \sin\alpha_n]

    Parameters
    ----------
    k : integers
        Teeth between the anvils, 2 to z/2 [-]
    z : integers
        Teeth on the whole ring, 5 to 1000 [-]
    m_n : floats
        Normal module, 0.1 to 100 [mm]
    alpha_n : floats
        Normal pressure angle, 0.17 to 0.62 [rad]
    beta : floats
        Helix angle at the reference circle, either hand, -0.8 to 0.8 [rad]
    x : floats
        Generating profile shift coefficient, -6 to 6 [-]

    Returns
    -------
    array
        W_k, measured normal to the teeth [mm]; shape: the arguments broadcast together, () for scalars

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.

    Notes
    -----
    Whether the anvils really land on involute is not decided here (`span_contact_diameter`), and a helical ring also
    needs a face width of at least W_k sin(beta_b).

    Examples
    --------
    >>> base_tangent_length([4, 5], 24, 3, np.radians(20), np.radians([0, 25]), x=0.4)
    array([32.8266, 42.0085])

    References
    ----------
    .. [1] ISO 21771, base tangent length (formula from memory; clause not yet read).
    .. [2] Elements of Metric Gear Technology, sec. 10 (values from memory, recomputed).
    """
    z, m_n, alpha_n, beta, x = _ring(z, m_n, alpha_n, beta, x)
    require("k", k, 2, z / 2)
    inv_alpha_t = inv(transverse_pressure_angle(alpha_n, beta))
    return np.asarray(
        m_n * (np.cos(alpha_n) * (pi * (np.asarray(k) - 0.5) + z * inv_alpha_t) + 2 * x * np.sin(alpha_n))
    )


def ideal_span_teeth(z: ArrayLike, alpha_n: ArrayLike, beta: ArrayLike = 0.0, x: ArrayLike = 0.0) -> Array:
    """Number of teeth, not rounded, for which the anvils would touch on the circle d + 2 x m_n.

    External spur and helical; arguments as in `base_tangent_length` -> [-]. Elements of Metric Gear Technology,
    sec. 10 (formula from memory, its two examples recomputed).

    >>> ideal_span_teeth(24, np.radians(20), np.radians([0, 25]), 0.4)
    array([3.78787, 4.63009])
    """
    z, _m_n, alpha_n, beta, x = _ring(z, 1.0, alpha_n, beta, x)
    t2 = np.cos(beta) ** 2 + np.tan(alpha_n) ** 2
    lead = 1 + np.sin(beta) ** 2 / t2
    root = np.sqrt(np.maximum(0.0, t2 * (1 / np.cos(beta) + 2 * x / z) ** 2 - 1))
    inv_alpha_t = inv(transverse_pressure_angle(alpha_n, beta))
    return np.asarray(0.5 + z / pi * (lead * root - inv_alpha_t - 2 * x / z * np.tan(alpha_n)))


def span_contact_diameter(
    W_k: ArrayLike, z: ArrayLike, m_n: ArrayLike, alpha_n: ArrayLike, beta: ArrayLike = 0.0
) -> Array:
    """Diameter of the circle on which both anvils touch, sqrt(d_b^2 + (W_k cos(beta_b))^2).

    External spur and helical; W_k > 0 [mm], the rest as in `base_tangent_length` -> [mm]. Own derivation: both
    anvils touch at the ends of a line of length W_k cos(beta_b) tangent to the base circle in its middle.

    >>> span_contact_diameter(222.923047, 127, 5, np.radians(20))
    array(636.986)
    """
    require("W_k", W_k, 0, 1e6)
    d_b, beta_b = _base(z, m_n, alpha_n, beta)
    return np.asarray(np.hypot(d_b, np.asarray(W_k) * np.cos(beta_b)))


def _base(z: ArrayLike, m_n: ArrayLike, alpha_n: ArrayLike, beta: ArrayLike) -> tuple[Array, Array]:
    """Base diameter [mm] and base helix angle [rad]."""
    z, m_n, alpha_n, beta, _x = _ring(z, m_n, alpha_n, beta, 0.0)
    d_b = z * m_n / np.cos(beta) * np.cos(transverse_pressure_angle(alpha_n, beta))
    return np.asarray(d_b), np.asarray(np.arcsin(np.sin(beta) * np.cos(alpha_n)))


def pin_pressure_angle(
    kind: Literal["external", "internal"],
    D_M: ArrayLike,
    z: ArrayLike,
    m_n: ArrayLike,
    alpha_n: ArrayLike,
    beta: ArrayLike = 0.0,
    x: ArrayLike = 0.0,
) -> Array:
    """Transverse pressure angle alpha_K at the centre of a pin that touches both flanks of a space.

    Parameters
    ----------
    kind : "external" or "internal"
    D_M : floats
        Pin or ball diameter, 0 to 1000 [mm]
    z, m_n, alpha_n, beta, x
        As in `base_tangent_length`; x positive thickens the tooth for both kinds

    Returns
    -------
    array
        alpha_K [rad]; NaN where the pin finds no involute to touch

    References
    ----------
    .. [1] ISO 21771, dimension over and between balls (formula from memory), with the sign of x as there.

    Examples
    --------
    >>> np.degrees(pin_pressure_angle("external", 1.7, 20, 1, np.radians(20)))
    np.float64(24.1350)
    """
    z, m_n, alpha_n, beta, x = _ring(z, m_n, alpha_n, beta, x)
    require("D_M", D_M, 0, 1000)
    s = 1 if kind == "external" else -1
    # a thicker tooth pushes an outside pin away from the axis and an inside pin towards it
    pushed = np.asarray(D_M) / (z * m_n * np.cos(alpha_n)) - pi / (2 * z) + 2 * x * np.tan(alpha_n) / z
    inv_K = inv(transverse_pressure_angle(alpha_n, beta)) + s * pushed
    return np.asarray(np.where(inv_K >= 0, inverse_inv(np.clip(inv_K, 0, 1000)), np.nan))


def over_pins(
    D_M: ArrayLike,
    z: ArrayLike,
    m_n: ArrayLike,
    alpha_n: ArrayLike,
    beta: ArrayLike = 0.0,
    x: ArrayLike = 0.0,
) -> Array:
    """Dimension over two pins (balls in one transverse plane for helical) of an external ring, even or odd z.

    Arguments as in `pin_pressure_angle` -> M_dK [mm], NaN where the pin finds no involute. Whether the pin stands
    proud of the tip and clear of the root is not decided here. ISO 21771, from memory.

    >>> over_pins(1.728, [20, 7], 1, np.radians([20, 25])).tolist()
    [22.3900, 9.1536]
    """
    return _across(1, D_M, z, m_n, alpha_n, beta, x)


def between_pins(
    D_M: ArrayLike,
    z: ArrayLike,
    m_n: ArrayLike,
    alpha_n: ArrayLike,
    beta: ArrayLike = 0.0,
    x: ArrayLike = 0.0,
) -> Array:
    """Dimension between two pins (balls for helical) of an internal ring, even or odd z.

    Arguments as in `pin_pressure_angle` -> M_dK [mm], NaN where the pin finds no involute. ISO 21771, from memory.

    >>> between_pins(1.44, [10, 12], 1, np.radians([20, 14.5])).tolist()
    [8.6617, 10.8394]
    """
    return _across(-1, D_M, z, m_n, alpha_n, beta, x)


def _across(
    s: int, D_M: ArrayLike, z: ArrayLike, m_n: ArrayLike, alpha_n: ArrayLike, beta: ArrayLike, x: ArrayLike
) -> Array:
    alpha_K = pin_pressure_angle("external" if s > 0 else "internal", D_M, z, m_n, alpha_n, beta, x)
    d_b, _beta_b = _base(z, m_n, alpha_n, beta)
    z = np.asarray(z, dtype=float)
    # two pins of an odd ring stand half a tooth off the diameter
    c = np.where(np.asarray(z) % 2 == 0, 1.0, np.cos(pi / (2 * z)))
    return np.asarray(c * d_b / np.cos(alpha_K) + s * np.asarray(D_M))


def pin_contact_diameter(
    kind: Literal["external", "internal"],
    D_M: ArrayLike,
    z: ArrayLike,
    m_n: ArrayLike,
    alpha_n: ArrayLike,
    beta: ArrayLike = 0.0,
    x: ArrayLike = 0.0,
) -> Array:
    """Diameter of the circle on which the pin touches the flanks.

    Arguments as in `pin_pressure_angle` -> [mm]; NaN where it would have to touch beyond the end of the involute at
    the base circle. ISO 21771, from memory.

    The printed ideal pin for 20 teeth touches on the reference circle:

    >>> pin_contact_diameter("external", 1.7245, 20, 1, np.radians(20))
    array(20.000)
    """
    s = 1 if kind == "external" else -1
    alpha_K = pin_pressure_angle(kind, D_M, z, m_n, alpha_n, beta, x)
    d_b, beta_b = _base(z, m_n, alpha_n, beta)
    along = d_b * np.tan(alpha_K) - s * np.asarray(D_M) * np.cos(beta_b)
    return np.asarray(np.hypot(d_b, np.where(along >= 0, along, np.nan)))


def ideal_pin(
    kind: Literal["external", "internal"],
    d_M: float,
    z: float,
    m_n: float,
    alpha_n: float,
    beta: float = 0.0,
    x: float = 0.0,
) -> float:
    """Diameter of the pin that touches the flanks on the circle d_M [mm]; the rest as in `pin_pressure_angle` -> [mm].

    Found by ever finer steps; NaN when no pin up to 6 m_n touches there.

    >>> ideal_pin("internal", 40, 40, 1, np.radians(20))
    1.6489
    """
    s = 1 if kind == "external" else -1
    low, high = 0.0, 6 * m_n
    for _step in range(8):
        tried = np.linspace(low, high, 65)
        got = pin_contact_diameter(kind, tried, z, m_n, alpha_n, beta, x)
        # no contact: outside the pin is still too small, inside it is already too large
        above = np.where(np.isfinite(got), s * (got - d_M) > 0, s < 0)
        if above[0] or not above.any():
            return float("nan")
        first = int(np.argmax(above))
        low, high = float(tried[first - 1]), float(tried[first])
    return (low + high) / 2


def chordal_thickness(s_n: ArrayLike, z: ArrayLike, m_n: ArrayLike, beta: ArrayLike = 0.0) -> Array:
    """Chordal tooth thickness at the reference circle, z_v m_n sin(s_n / (z_v m_n)).

    External and internal; s_n > 0 arc in the normal section [mm], z_v = z / cos^3(beta) -> [mm]. Elements of Metric
    Gear Technology, sec. 10 (read).

    >>> chordal_thickness(17.8918, 12, 10)
    array(17.8256)
    """
    d_v = _virtual(s_n, z, m_n, beta)
    return np.asarray(d_v * np.sin(np.asarray(s_n) / d_v))


def chordal_height(s_n: ArrayLike, z: ArrayLike, m_n: ArrayLike, h_a: ArrayLike, beta: ArrayLike = 0.0) -> Array:
    """Caliper depth from the tip to the chord of `chordal_thickness`, external rings.

    h_a [mm] is the real addendum, (d_a - d) / 2 -> [mm]. Elements of Metric Gear Technology, sec. 10 (read).

    >>> chordal_height(17.8918, 12, 10, 13)
    array(13.6657)
    """
    d_v = _virtual(s_n, z, m_n, beta)
    return np.asarray(np.asarray(h_a) + d_v / 2 * (1 - np.cos(np.asarray(s_n) / d_v)))


def chordal_height_internal(
    s_n: ArrayLike, z: ArrayLike, m_n: ArrayLike, d_a: ArrayLike, s_a: ArrayLike, beta: ArrayLike = 0.0
) -> Array:
    """Caliper depth to the chord of `chordal_thickness`, internal rings: the bar rests on the two tip corners.

    d_a tip diameter, s_a transverse tip thickness [mm] -> [mm]. Own derivation: addendum, less the rise of the
    reference arc, plus the rise of the tip arc.

    >>> chordal_height_internal(3 * pi / 2, 60, 3, 174, 2.9)
    array(2.981)
    """
    d_v = _virtual(s_n, z, m_n, beta)
    d = np.asarray(z) * np.asarray(m_n) / np.cos(beta)
    d_a, s_a = np.asarray(d_a, dtype=float), np.asarray(s_a, dtype=float)
    dip = d_a / 2 * (1 - np.cos(s_a / d_a))
    return np.asarray((d - d_a) / 2 - d_v / 2 * (1 - np.cos(np.asarray(s_n) / d_v)) + dip)


def _virtual(s_n: ArrayLike, z: ArrayLike, m_n: ArrayLike, beta: ArrayLike) -> Array:
    """Reference diameter of the virtual spur ring in the normal section [mm]."""
    require("m_n", m_n, 0.1, 100)
    require("s_n", s_n, 0, pi * np.asarray(m_n))
    return np.asarray(virtual_teeth(z, beta) * np.asarray(m_n))
