"""How far the flank that an involute form cutter leaves lies off the ring's own involute.

A numbered cutter covers a range of tooth counts and carries the form of the lowest one; on every other ring of its
range the space comes out a little wrong. How wrong is asked here, in the normal section.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal
from ringwright.gears import ring as rack
from ringwright.gears.involute import inv
from ringwright.gears.ring import RingGeometry
from ringwright.gears.touch import flank_range

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ShapeError:
    """Metal left on (positive) or cut away (negative) square to the true flank [mm], nought at the reference circle.

    At the flank's ends ``tip`` and ``root``, and the largest of either sign, ``most``, on the circle ``d_most`` [mm].
    """

    tip: float
    root: float
    most: float
    d_most: float


def shape_error(ring: RingGeometry, z_low: int) -> ShapeError:
    """Shape error of a ring cut with a form cutter made for ``z_low`` teeth without profile shift.

    The cutter is sunk until the thickness at the reference circle is right; of a helical ring the virtual spur ring is
    taken. Cutter off centre, runout and wear are not looked at.

    Parameters
    ----------
    ring : RingGeometry
        External, spur or helical
    z_low : int
        Tooth count that the cutter is made for, 5 to 1000 [-]

    Returns
    -------
    ShapeError
        Over the whole flank, from fillet to tip

    Raises
    ------
    Refusal
        ``external_only``; ``rack_pointed``; ``form_does_not_fit``: the cutter never gets as wide as the space.

    Examples
    --------
    >>> error = shape_error(RingGeometry("external", 127, 5.0), 80)
    >>> round(error.tip * 1000), round(error.root * 1000)
    (-109, -33)
    """
    d_y, error = error_curve(ring, z_low)
    most = int(np.argmax(np.abs(error)))
    return ShapeError(float(error[-1]), float(error[0]), float(error[most]), float(d_y[most]))


def error_curve(ring: RingGeometry, z_low: int, points: int = 201) -> tuple[Array, Array]:
    """Diameters [mm] from fillet to tip and the shape error there [mm]; arguments and refusals as `shape_error`."""
    if ring.kind != "external":
        raise Refusal("external_only", "kind")
    d_v = ring.z_v * ring.m_n
    low, high = flank_range(ring)
    # heights over the reference circle are those of the real ring; the reference circle itself stands last
    r_v = d_v / 2 + (np.append(np.linspace(low, high, points), ring.d) - ring.d) / 2
    alpha = np.arccos(np.minimum(1.0, d_v * np.cos(ring.alpha_n) / 2 / r_v))
    half = pi / ring.z_v - ring.s_n / d_v - inv(ring.alpha_n) + inv(alpha)
    u, v = r_v * np.sin(half), r_v * np.cos(half) - d_v / 2
    form_u, form_v = _form(ring, z_low, float(v.max() - v.min()))
    if not form_u[0] < u[-1] < form_u[-1]:
        raise Refusal("form_does_not_fit", "z_low", z_low)
    sunk = v[-1] - float(np.interp(u[-1], form_u, form_v))
    u, v, r_v = u[:-1], v[:-1], r_v[:-1]
    off = u - np.interp(v - sunk, form_v, form_u)
    lean, form_lean = np.arctan(np.gradient(u, v)), np.arctan(np.interp(v - sunk, form_v, np.gradient(form_u, form_v)))
    error = off * np.cos(form_lean) / np.cos(form_lean - lean)  # along the true flank's normal to the cutter's
    return ring.d + 2 * r_v - d_v, error


def _form(ring: RingGeometry, z_low: int, depth: float) -> tuple[Array, Array]:
    """Right side of the cutter's form from its tip upward: half width and height over the reference circle [mm]."""
    form = RingGeometry("external", z_low, ring.m_n, ring.alpha_n, h_a=ring.h_a, h_f=ring.h_f, rho_f=ring.rho_f)
    end = rack.undercut_psi(form) if rack.is_undercut(form) else pi / 2 - form.alpha_t
    low_r, low_angle = rack.trochoid(form, end * np.linspace(0, 1, 1000))
    roll = np.linspace(np.tan(form.alpha_y(max(rack.form_diameter(form), form.d_b))), 1.0, 4000)[1:]
    r_y = form.d_b / 2 * np.hypot(1, roll)
    r_y = r_y[r_y < form.d / 2 + depth + ring.m_n]
    radius = np.concatenate([low_r, r_y])
    angle = np.concatenate([low_angle, rack.space_half_angle(form, r_y)])
    keep = angle < pi / 2
    return (radius * np.sin(angle))[keep], (radius * np.cos(angle))[keep] - form.d / 2
