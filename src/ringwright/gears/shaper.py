"""The root of an internal ring as a pinion-shaped cutter on a gear shaper leaves it.

An internal ring cannot be cut by a rack. The cutter is a pinion with the ring's module and angle; where its rounded
tip leaves the flank depends on its teeth and its tip radius, so these belong to the question.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan, cos, hypot, pi, sin, sqrt, tan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import Refusal, require
from ringwright.gears.involute import inv, inverse_inv
from ringwright.gears.ring import RingGeometry

#: Reference diameter that a disc cutter comes near to [mm], common practice, no source.
USUAL_DIAMETER = 100.0


@dataclass(frozen=True, slots=True)
class ShaperCutter:
    """A pinion cutter: teeth, tip radius in modules (transverse section), and profile shift as it is ground now.

    ``rho_a0`` None takes the root radius of the ring's basic rack. Its tip diameter is not asked for: it is the one
    that reaches the ring's root circle when the tooth thickness comes out right.
    """

    z_0: int
    rho_a0: float | None = None
    x_0: float = 0.0

    def __post_init__(self) -> None:
        require("z_0", self.z_0, 5, 500)
        require("rho_a0", self.rho_a0 or 0.0, 0, 0.6)
        require("x_0", self.x_0, -1, 1)


@dataclass(frozen=True, slots=True)
class ShaperSetting:
    """The cutter at full depth in the ring, transverse section, lengths [mm], angles [rad].

    ``a_0`` distance of the axes, ``alpha_w0`` working pressure angle, ``r_a0`` tip radius of the cutter; the rounding
    of its tip has its centre on the radius ``r_c``, ``gamma_c`` from the middle of its tooth, and the radius ``rho``.
    ``L_F`` is the length of the flank's normal, base circle to flank, where the rounding ends.
    """

    a_0: float
    alpha_w0: float
    r_a0: float
    r_b0: float
    r_c: float
    gamma_c: float
    rho: float
    L_F: float
    ratio: float

    @property
    def delta_F(self) -> float:
        """Where along the rounding the flank begins: angle from its normal at the tip circle to that at the flank."""
        return asin(self.r_b0 / self.r_c)


def _tooth_angle(r_y: float, r_b0: float, at_base: float) -> float:
    """Half the angle of the cutter's tooth at the radius r_y [mm] -> [rad]."""
    roll = sqrt(max(0.0, (r_y / r_b0) ** 2 - 1))
    return at_base - (roll - atan(roll))


def setting(ring: RingGeometry, cutter: ShaperCutter) -> ShaperSetting:
    """Where the cutter stands when the ring's tooth thickness and root circle are reached.

    Raises
    ------
    Refusal
        ``internal_only``; ``shaper_too_many_teeth``: the cutter finds no place in the ring; ``shaper_pointed``: its
        flanks meet below the tip circle that the ring's root asks for; ``shaper_tip_inside_base``.

    References
    ----------
    .. [1] Own derivation: two involutes without play, and a circle between flank and tip circle.
    """
    if ring.kind != "internal":
        raise Refusal("internal_only", "kind")
    z_0, m_t, alpha_t = cutter.z_0, ring.m_t, ring.alpha_t
    most = ring.z - 3
    if z_0 > most:
        raise Refusal("shaper_too_many_teeth", "z_0", z_0, 5, most)
    # a space cut without play: the cutter's shift and the ring's, which thickens its tooth, both draw the axes together
    inv_w = float(inv(alpha_t)) - 2 * tan(ring.alpha_n) * (ring.x_E + cutter.x_0) / (ring.z - z_0)
    if inv_w <= 0:
        raise Refusal("shaper_too_many_teeth", "z_0", z_0, 5, most)
    alpha_w0 = float(inverse_inv(inv_w))
    r_b0 = z_0 * m_t * cos(alpha_t) / 2
    a_0 = (ring.z - z_0) * m_t / 2 * cos(alpha_t) / cos(alpha_w0)
    r_a0 = ring.d_f / 2 - a_0
    if r_a0 <= r_b0:
        raise Refusal("shaper_tip_inside_base", "d_f", ring.d_f)
    at_base = (pi / 2 + 2 * cutter.x_0 * tan(ring.alpha_n)) / z_0 + float(inv(alpha_t))
    if _tooth_angle(r_a0, r_b0, at_base) < 0:
        raise Refusal("shaper_pointed", "z_0", z_0)
    wanted = ring.m_n * (ring.rho_f if cutter.rho_a0 is None else cutter.rho_a0)
    rho = _rounding(wanted, r_a0, r_b0, at_base)
    r_c = r_a0 - rho
    gamma_c = max(0.0, _tooth_angle(r_c, r_b0, at_base) - rho / r_b0)
    L_F = sqrt(max(0.0, r_c**2 - r_b0**2)) + rho
    return ShaperSetting(a_0, alpha_w0, r_a0, r_b0, r_c, gamma_c, rho, L_F, z_0 / ring.z)


def _rounding(wanted: float, r_a0: float, r_b0: float, at_base: float) -> float:
    """The tip radius, or the largest that finds room between the flanks and above the base circle [mm]."""

    def room(rho: float) -> float:
        # a flank moved inward by rho is an involute of the same base circle, turned by rho / r_b0
        return _tooth_angle(r_a0 - rho, r_b0, at_base) - rho / r_b0

    high = min(wanted, r_a0 - r_b0)
    if room(high) >= 0:
        return high
    low = 0.0
    for _step in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if room(middle) >= 0 else (low, middle)
    return low


def fillet(at: ShaperSetting, delta: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Root fillet cut by the cutter's rounded tip: radius [mm] and angle from the middle of the space [rad].

    ``delta`` [rad] is the angle between the rounding's normal and its normal at the tip circle, 0 there and
    ``at.delta_F`` at the flank. The point is cut when that normal passes through the pitch point.
    """
    delta = np.asarray(delta, dtype=float)
    r_w0 = at.r_b0 / cos(at.alpha_w0)
    theta = np.arcsin(np.minimum(1.0, at.r_c / r_w0 * np.sin(delta))) - delta  # where the centre stands then
    across = at.r_c * np.sin(theta) + at.rho * np.sin(theta + delta)
    up = at.a_0 + at.r_c * np.cos(theta) + at.rho * np.cos(theta + delta)
    return np.hypot(across, up), np.asarray(np.arctan2(across, up) - (theta - at.gamma_c) * at.ratio)


def shaped_form_diameter(ring: RingGeometry, at: ShaperSetting) -> float:
    """Diameter d_Ff where the fillet of an internal ring meets the involute [mm].

    On the common line of action the ring's normal is longer than the cutter's by a_0 sin(alpha_w0).
    """
    return 2 * hypot(ring.d_b / 2, at.L_F + at.a_0 * sin(at.alpha_w0))


def reach_diameter(ring: RingGeometry, at: ShaperSetting) -> float:
    """Diameter down to which the cutter's involute makes the flank of an internal ring [mm].

    There the cutter touches with the very root of its involute; nearer to the axis the ring is cut by what lies below
    it, and the flank is not a true one.
    """
    return 2 * hypot(ring.d_b / 2, max(0.0, at.a_0 * sin(at.alpha_w0)))


def trims_tip(ring: RingGeometry, at: ShaperSetting) -> bool:
    """Whether the cutter's tip, swinging out, takes metal off the ring's flanks near their tips.

    The paths of points on the cutter's tip rounding against the ring's involute, from tip to form circle, 400 places.
    Radial infeed can trim more; it is not looked at.
    """
    low, high = max(ring.d_a, ring.d_b) / 2, min(shaped_form_diameter(ring, at), ring.d_f) / 2
    if low >= high:
        return False
    r_y = np.linspace(low, high - 0.02 * (high - low), 400)
    delta = np.linspace(0, at.delta_F, 8)[:, None]
    along, aside = at.r_c + at.rho * np.cos(delta), at.rho * np.sin(delta)
    edge, r_edge = at.gamma_c + np.arctan2(aside, along), np.hypot(along, aside)
    theta = np.arccos(np.clip((r_y**2 - at.a_0**2 - r_edge**2) / (2 * at.a_0 * r_edge), -1, 1))
    space = pi / ring.z - ring.s_y(2 * r_y) / (2 * r_y)
    cut = [
        np.arctan2(r_edge * np.sin(turn), at.a_0 + r_edge * np.cos(turn)) - (turn - edge) * at.ratio
        for turn in (theta, -theta)
    ]
    # against its own flank a point of the flank lies on the involute: only more than a tenth of a micrometre counts
    return bool((np.maximum(*cut) - space > 1e-4 / r_y).any())


def usual_cutter(ring: RingGeometry) -> ShaperCutter:
    """Cutter of about 100 mm diameter, 12 teeth or more, at most half of the ring's teeth (common practice, no source).

    A cutter too small to make the flank right up to the ring's tip gets more teeth, within that half.

    Raises
    ------
    OutOfRange
        A ring of fewer than ten teeth leaves no room for a cutter.

    Examples
    --------
    >>> usual_cutter(RingGeometry("internal", 80, 4.0)).z_0
    25
    """
    half = ring.z // 2
    for z_0 in range(min(max(12, round(USUAL_DIAMETER / ring.m_t)), half), half):
        try:
            if reach_diameter(ring, setting(ring, ShaperCutter(z_0))) <= ring.d_a:
                return ShaperCutter(z_0)
        except Refusal:
            continue
    return ShaperCutter(half)
