"""The outline of a ring's teeth in the transverse section: flanks, roots as their cutter generates them, tip land.

External and internal, spur and helical; tip chamfer, thinning, topping and profile shift as the ring has them.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal, require
from ringwright.gears.ring import RingGeometry
from ringwright.gears.root import Root, generated_root
from ringwright.gears.shaper import ShaperCutter

Array = NDArray[np.float64]
#: A piece of the outline: radius [mm] and angle [rad] from the middle of the tooth, for places 0 to 1 along it.
Piece = Callable[[Array], tuple[Array, Array]]


def tooth_outline(
    ring: RingGeometry, points: int = 24, *, tolerance: float | None = None, cutter: ShaperCutter | None = None
) -> Array:
    """One tooth in the transverse section, centred on +y, ring axis at the origin.

    From the middle of the space on its left, over the tip, to the middle of the space on its right (clockwise for an
    external ring, +x to the right, +y up; an internal tooth hangs down from its root circle). The thickness allowance
    is taken off the flanks; the root circle stays.

    Parameters
    ----------
    ring : RingGeometry
        External or internal, spur or helical; of a helical ring the section square to the axis
    points : int
        Points on each flank and on each fillet, 3 to 2000; root and tip arcs get a quarter of that
    tolerance : float or None
        How far a straight line between neighbouring points may leave the curve, 1e-6 to 10 [mm]; then ``points`` is
        not looked at
    cutter : ShaperCutter or None
        What cut an internal ring, as `ringwright.gears.root.generated_root`

    Returns
    -------
    array
        (n, 2), x and y [mm]; each point once, both ends on the root circle

    Raises
    ------
    OutOfRange
        ``tolerance``.
    Refusal
        ``rack_pointed``, ``tooth_pointed`` (the flanks meet below the tip circle), ``chamfer_too_wide`` or ``no_flank``
        (the flank ends at the tip below its start at the root); for internal rings as
        `ringwright.gears.shaper.setting`.

    Notes
    -----
    An internal tip inside the base circle has no involute there; a radial line is drawn, and what a cutter leaves is
    not decided.

    Examples
    --------
    >>> drawn = tooth_outline(RingGeometry("external", 127, 5.0))
    >>> float(np.hypot(*drawn.T).min()), float(np.hypot(*drawn.T).max())
    (311.25, 322.5)

    References
    ----------
    .. [1] Own derivation: envelope of a rack, or of a pinion cutter, with a rounded corner.
    """
    if tolerance is not None:
        require("tolerance", tolerance, 1e-6, 10)
    right = _right_half(ring, max(3, min(points, 2000)), tolerance, cutter)
    left = right[:0:-1] * (-1, 1)
    return np.concatenate([left, right])


def ring_outline(
    ring: RingGeometry, points: int = 24, *, tolerance: float | None = None, cutter: ShaperCutter | None = None
) -> Array:
    """All teeth of a ring, clockwise, tooth 1 centred on +y: a closed line without its end repeated.

    Arguments and refusals as `tooth_outline`; returns (n, 2) [mm].
    """
    tooth = tooth_outline(ring, points, tolerance=tolerance, cutter=cutter)[:-1]
    turn = -2 * pi * np.arange(ring.z) / ring.z
    c, s = np.cos(turn)[:, None], np.sin(turn)[:, None]
    x, y = tooth[:, 0], tooth[:, 1]
    return np.stack([c * x - s * y, s * x + c * y], axis=-1).reshape(-1, 2)


def _right_half(ring: RingGeometry, points: int, tolerance: float | None, cutter: ShaperCutter | None) -> Array:
    """Right half of the tooth, from the middle of the tip to the middle of the space."""
    root = generated_root(ring, cutter)
    flank_end, half_land = _tip(ring, root)
    few = max(2, points // 4)
    pieces = [(_arc(ring.d_a / 2, 0.0, half_land), few), (_flank(ring, flank_end, root.d_Ff), points)]
    if ring.kind == "internal" and ring.d_Fa < ring.d_b:
        pieces.insert(1, (_radial(ring, ring.d_Fa, ring.d_b), 2))
    pieces.append((_fillet(ring, root), points))
    if not root.round:
        pieces.append((_arc(ring.d_f / 2, float(pieces[-1][0](np.ones(1))[1][0]), pi / ring.z), few))
    drawn = [_drawn(piece, n, tolerance) for piece, n in pieces]
    if not ring.h_K:  # the land's end is the flank's beginning
        drawn[0] = drawn[0][:-1]
    return np.concatenate([*drawn[:2], *(part[1:] for part in drawn[2:])])


def _tip(ring: RingGeometry, root: Root) -> tuple[float, float]:
    """Diameter at which the flank ends at the tip [mm], and half the angle of the tip land [rad]."""
    end = max(ring.d_Fa, ring.d_b) if ring.kind == "internal" else ring.d_Fa
    if ring.s * (end - root.d_Ff) <= 0:
        raise Refusal("no_flank", "d_a", ring.d_a, root.d_Ff)
    corner = max(ring.d_a, ring.d_b)
    half = float(ring.s_y(corner)) / corner
    if half <= 0:
        raise Refusal("tooth_pointed", "d_a", ring.d_a)
    if half * ring.d_a / 2 <= ring.h_K:
        raise Refusal("chamfer_too_wide", "h_K", ring.h_K, 0, half * ring.d_a / 2)
    return end, half - 2 * ring.h_K / ring.d_a


def _arc(radius: float, start: float, end: float) -> Piece:
    return lambda t: (np.full_like(t, radius), start + (end - start) * t)


def _radial(ring: RingGeometry, start: float, end: float) -> Piece:
    half = float(ring.s_y(ring.d_b)) / ring.d_b
    return lambda t: ((start + (end - start) * t) / 2, np.full_like(t, half))


def _flank(ring: RingGeometry, tip: float, root: float) -> Piece:
    """Even steps of roll put more points where the flank curves most."""
    ends = np.tan(ring.alpha_y(np.maximum([tip, root], ring.d_b)))

    def at(t: Array) -> tuple[Array, Array]:
        d_y = ring.d_b * np.hypot(1, ends[0] + (ends[1] - ends[0]) * t)
        return d_y / 2, ring.s_y(d_y) / d_y

    return at


def _fillet(ring: RingGeometry, root: Root) -> Piece:
    def at(t: Array) -> tuple[Array, Array]:
        radius, from_space = root.curve(root.end * (1 - t))
        return radius, pi / ring.z - from_space

    return at


def _drawn(piece: Piece, n: int, tolerance: float | None) -> Array:
    """The piece as points: n of them, or as many as the tolerance asks for."""
    if tolerance is None:
        return _points(piece, np.linspace(0, 1, n))
    n = 1
    while True:
        fine = _points(piece, np.linspace(0, 1, 2 * n + 1))
        # a tenth in hand, since the curve is farthest from its chord only near the middle
        if _sag(fine) <= 0.9 * tolerance or n >= 1 << 15:
            return fine[::2]
        n *= 2


def _points(piece: Piece, t: Array) -> Array:
    radius, angle = piece(t)
    return np.column_stack([radius * np.sin(angle), radius * np.cos(angle)])


def _sag(fine: Array) -> float:
    """Farthest that every second point lies off the line between its neighbours [mm]."""
    chord = fine[2::2] - fine[:-2:2]
    off = fine[1::2] - fine[:-2:2]
    length = np.hypot(*chord.T)
    across = np.abs(chord[:, 0] * off[:, 1] - chord[:, 1] * off[:, 0])
    return float((across / np.where(length > 0, length, 1.0)).max())
