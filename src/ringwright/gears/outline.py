"""The outline of the teeth of an external spur ring: involute flanks, root as the rack generates it, round tip land."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal
from ringwright.gears import ring as geometry
from ringwright.gears.ring import RingGeometry


def tooth_outline(ring: RingGeometry, points: int = 24) -> NDArray[np.float64]:
    """One tooth of an external spur ring, centred on +y, ring axis at the origin.

    From the middle of the space on its left, over the tip, to the middle of the space on its right (clockwise, +x to
    the right, +y up). The thickness allowance is taken off the flanks; the root circle stays.

    Parameters
    ----------
    ring : RingGeometry
        External, beta = 0
    points : int
        Points on each flank and on each fillet, 3 to 2000; root and tip arcs get a quarter of that

    Returns
    -------
    array
        (n, 2), x and y [mm]; each point once, both ends on the root circle

    Raises
    ------
    Refusal
        ``external_only``, ``spur_only``, ``rack_pointed``, ``tooth_pointed`` (the flanks meet below the tip circle) or
        ``no_flank`` (the tip circle lies below the start of the involute).

    Examples
    --------
    >>> drawn = tooth_outline(RingGeometry("external", 127, 5.0))
    >>> float(np.hypot(*drawn.T).min()), float(np.hypot(*drawn.T).max())
    (311.25, 322.5)

    References
    ----------
    .. [1] Own derivation: envelope of a rack with a rounded corner rolling on the reference circle.
    """
    right = _right_half(ring, max(3, min(points, 2000)))
    left = right[:0:-1] * (-1, 1)
    return np.concatenate([left, right])


def ring_outline(ring: RingGeometry, points: int = 24) -> NDArray[np.float64]:
    """All teeth of an external spur ring, clockwise, tooth 1 centred on +y: a closed line without its end repeated.

    Returns (n, 2) [mm]; refuses as `tooth_outline`.
    """
    tooth = tooth_outline(ring, points)[:-1]
    turn = -2 * pi * np.arange(ring.z) / ring.z
    c, s = np.cos(turn)[:, None], np.sin(turn)[:, None]
    x, y = tooth[:, 0], tooth[:, 1]
    return np.stack([c * x - s * y, s * x + c * y], axis=-1).reshape(-1, 2)


def _right_half(ring: RingGeometry, points: int) -> NDArray[np.float64]:
    """Right half of the tooth, from the middle of the tip to the middle of the space."""
    if ring.beta != 0:
        raise Refusal("spur_only", "beta", ring.beta)
    d_Ff = geometry.form_diameter(ring)
    if ring.d_a <= d_Ff:
        raise Refusal("no_flank", "d_a", ring.d_a, d_Ff)
    half_tip = float(ring.s_y(ring.d_a)) / ring.d_a
    if half_tip <= 0:
        raise Refusal("tooth_pointed", "d_a", ring.d_a)
    few = max(2, points // 4)
    tip = np.linspace(0, half_tip, few)[:-1]
    # even steps of roll put more points where the flank curves most
    roll = np.linspace(np.tan(ring.alpha_y(ring.d_a)), np.tan(ring.alpha_y(max(d_Ff, ring.d_b))), points)
    flank_d = ring.d_b * np.hypot(1, roll)
    psi_end = geometry.undercut_psi(ring) if geometry.is_undercut(ring) else pi / 2 - ring.alpha_t
    fillet_r, from_space = geometry.trochoid(ring, np.linspace(psi_end, 0, points)[1:])
    fillet = pi / ring.z - from_space
    root = np.linspace(fillet[-1], pi / ring.z, few)[1:]
    if geometry.rack_tip(ring).u_c < 1e-12 * ring.m_n:  # full round corner: no root arc
        root = root[:0]
    angle = np.concatenate([tip, ring.s_y(flank_d) / flank_d, fillet, root])
    radius = np.concatenate([np.full(len(tip), ring.d_a / 2), flank_d / 2, fillet_r, np.full(len(root), ring.d_f / 2)])
    return np.column_stack([radius * np.sin(angle), radius * np.cos(angle)])
