"""One toothed ring: its drawing as numbers, and the diameters and thicknesses that follow.

Signs: ``z`` is positive for both kinds. ``x`` is in the sense of ISO 21771: positive thickens the tooth at the
reference circle for both kinds, and an internal ring's tip circle then gets smaller.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan, cos, hypot, inf, nan, pi, sin, sqrt, tan
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import Refusal, require
from ringwright.gears.involute import inv, inverse_inv


@dataclass(frozen=True, slots=True)
class RingGeometry:
    """A spur or helical ring, external or internal, in core units.

    Parameters
    ----------
    kind : "external" or "internal"
    z : int
        Teeth on the whole ring, 5 to 1000 [-]
    m_n : float
        Normal module, 0.1 to 100 [mm]
    alpha_n : float
        Normal pressure angle, 0.17 to 0.62 [rad]
    beta : float
        Helix angle at the reference circle, right hand positive, -0.8 to 0.8 [rad]
    x : float
        Profile shift coefficient, -2 to 2 [-]; positive thickens the tooth for both kinds
    h_a, h_f, rho_f : float
        Addendum, dedendum, root radius of the basic rack, in modules [-]
    allowance : float
        Thinning of the tooth, both flanks together, normal section, arc on the reference circle, >= 0 [mm]
    d_a_given, d_f_given : float or None
        Real tip and root diameter where they differ from what x, h_a and h_f say, 0.1 d to 5 d [mm]
    h_K : float
        Tip chamfer, transverse section: taken off each flank radially and off each end of the tip land, 0 to h [mm]

    Raises
    ------
    OutOfRange
        Some value lies outside the range given with it.
    Refusal
        ``tooth_has_no_thickness``: shift and allowance leave no tooth, or no space, at the reference circle;
        ``tip_beyond_root``: the tip circle lies on the wrong side of the root circle.
    """

    kind: Literal["external", "internal"]
    z: int
    m_n: float
    alpha_n: float = pi / 9
    beta: float = 0.0
    x: float = 0.0
    h_a: float = 1.0
    h_f: float = 1.25
    rho_f: float = 0.38
    allowance: float = 0.0
    d_a_given: float | None = None
    d_f_given: float | None = None
    h_K: float = 0.0

    def __post_init__(self) -> None:
        require("z", self.z, 5, 1000)
        require("m_n", self.m_n, 0.1, 100)
        require("alpha_n", self.alpha_n, 0.17, 0.62)
        require("beta", self.beta, -0.8, 0.8)
        require("x", self.x, -2, 2)
        require("h_a", self.h_a, 0, 2)
        require("h_f", self.h_f, 0, 2.5)
        require("rho_f", self.rho_f, 0, 0.6)
        require("allowance", self.allowance, 0, 50)
        for symbol, given in (("d_a", self.d_a_given), ("d_f", self.d_f_given)):
            if given is not None:
                require(symbol, given, 0.1 * self.d, 5 * self.d)
        if not 0 < self.s_n < pi * self.m_n:
            raise Refusal("tooth_has_no_thickness", "s_n", self.s_n, 0, pi * self.m_n)
        if self.d_f <= 0 or self.d_a <= 0 or self.s * (self.d_a - self.d_f) <= 0:
            raise Refusal("tip_beyond_root", "d_a", self.d_a, facts={"root": f"{self.d_f:.6g} mm"})
        require("h_K", self.h_K, 0, self.h)

    @property
    def s(self) -> int:
        """+1 external, -1 internal."""
        return 1 if self.kind == "external" else -1

    @property
    def m_t(self) -> float:
        """Transverse module [mm]."""
        return self.m_n / cos(self.beta)

    @property
    def alpha_t(self) -> float:
        """Transverse pressure angle at the reference circle [rad]."""
        return atan(tan(self.alpha_n) / cos(self.beta))

    @property
    def beta_b(self) -> float:
        """Helix angle at the base circle [rad]."""
        return asin(sin(self.beta) * cos(self.alpha_n))

    @property
    def d(self) -> float:
        """Reference diameter [mm]."""
        return self.z * self.m_t

    @property
    def d_b(self) -> float:
        """Base diameter [mm]."""
        return self.d * cos(self.alpha_t)

    @property
    def d_a(self) -> float:
        """Tip diameter, the real one where it was given [mm]."""
        if self.d_a_given is not None:
            return self.d_a_given
        return self.d + self.s * 2 * self.m_n * (self.h_a + self.x)

    @property
    def d_f(self) -> float:
        """Root diameter, the real one where it was given [mm]; a thickness allowance does not deepen it."""
        if self.d_f_given is not None:
            return self.d_f_given
        return self.d - self.s * 2 * self.m_n * (self.h_f - self.x)

    @property
    def d_Fa(self) -> float:
        """Tip form diameter, where the flank ends and the tip chamfer begins [mm]."""
        return self.d_a - self.s * 2 * self.h_K

    @property
    def h(self) -> float:
        """Whole depth [mm]."""
        return self.s * (self.d_a - self.d_f) / 2

    @property
    def p_n(self) -> float:
        """Circular pitch, normal section [mm]."""
        return pi * self.m_n

    @property
    def p_t(self) -> float:
        """Circular pitch, transverse section [mm]."""
        return pi * self.m_t

    @property
    def p_bn(self) -> float:
        """Base pitch, normal section [mm]."""
        return pi * self.m_n * cos(self.alpha_n)

    @property
    def p_bt(self) -> float:
        """Base pitch, transverse section [mm]."""
        return pi * self.m_t * cos(self.alpha_t)

    @property
    def s_n(self) -> float:
        """Tooth thickness, arc on the reference circle, normal section, allowance taken off [mm]."""
        return self.m_n * (pi / 2 + 2 * self.x * tan(self.alpha_n)) - self.allowance

    @property
    def s_t(self) -> float:
        """Tooth thickness, arc on the reference circle, transverse section, allowance taken off [mm]."""
        return self.s_n / cos(self.beta)

    @property
    def x_E(self) -> float:
        """Generating profile shift coefficient: the shift that alone would give this thickness [-]."""
        return self.x - self.allowance / (2 * self.m_n * tan(self.alpha_n))

    @property
    def p_z(self) -> float:
        """Lead, the length of one whole turn of the helix [mm]; infinite for straight teeth."""
        return abs(pi * self.d / tan(self.beta)) if self.beta else inf

    @property
    def z_v(self) -> float:
        """Virtual number of teeth, z / cos^3 beta, for chords and for choosing a form cutter [-]."""
        return float(self.z / cos(self.beta) ** 3)

    def alpha_y(self, d_y: ArrayLike) -> NDArray[np.float64]:
        """Transverse pressure angle on the circle d_y [mm] -> [rad]; NaN inside the base circle."""
        ratio = self.d_b / np.asarray(d_y, dtype=float)
        return np.asarray(np.arccos(np.where(ratio <= 1, ratio, np.nan)))

    def s_y(self, d_y: ArrayLike) -> NDArray[np.float64]:
        """Tooth thickness, transverse arc on the circle d_y [mm] -> [mm]; NaN inside the base circle."""
        d_y = np.asarray(d_y, dtype=float)
        alpha = self.alpha_y(d_y)
        inv_y = np.where(np.isnan(alpha), np.nan, inv(np.nan_to_num(alpha)))
        return np.asarray(d_y * (self.s_t / self.d + self.s * (inv(self.alpha_t) - inv_y)))

    @property
    def d_pointed(self) -> float:
        """Diameter on which the two flanks of a tooth meet [mm]; of an internal ring NaN where they never do."""
        inv_y = float(inv(self.alpha_t)) + self.s * self.s_t / self.d
        return self.d_b / cos(float(inverse_inv(inv_y))) if inv_y >= 0 else nan

    def s_yn(self, d_y: ArrayLike) -> NDArray[np.float64]:
        """Tooth thickness on the circle d_y [mm], normal section -> [mm]; NaN inside the base circle."""
        d_y = np.asarray(d_y, dtype=float)
        return np.asarray(self.s_y(d_y) * np.cos(np.arctan(np.tan(self.beta) * d_y / self.d)))

    def e_y(self, d_y: ArrayLike) -> NDArray[np.float64]:
        """Space width, transverse arc on the circle d_y [mm] -> [mm]; NaN inside the base circle."""
        return np.asarray(np.pi * np.asarray(d_y, dtype=float) / self.z - self.s_y(d_y))


@dataclass(frozen=True, slots=True)
class RackTip:
    """Tip of the rack that generates the space: u [mm] from the middle of its tooth, v [mm] outward from rolling line.

    ``half`` is the half thickness on the rolling line, ``v_tip`` the tip line, (``u_c``, ``v_c``) the centre of the
    corner rounding [mm], all in the transverse section. ``rho`` is the radius of the rounding in the normal section
    [mm]; the transverse section sees it stretched along u by 1 / cos(beta).
    """

    half: float
    v_tip: float
    u_c: float
    v_c: float
    rho: float


def rack_tip(ring: RingGeometry) -> RackTip:
    """Tip of the generating rack of an external ring, transverse section.

    A thickness allowance widens the rack tooth and leaves its depth; a root radius that does not find room between
    the two flanks is drawn as the largest full round one.

    Raises
    ------
    Refusal
        ``external_only``; ``rack_pointed``: the rack's flanks meet above its tip line.
    """
    if ring.kind != "external":
        raise Refusal("external_only", "kind")
    # the rack's tooth is a plain one in the normal section
    t, cos_b = tan(ring.alpha_n), cos(ring.beta)
    half_n = (ring.p_n - ring.s_n) / 2
    v_tip = (ring.d_f - ring.d) / 2
    land = half_n + v_tip * t
    if land < 0:
        raise Refusal("rack_pointed", "h_f", ring.h_f)
    rho = min(ring.rho_f * ring.m_n, land / (1 / cos(ring.alpha_n) - t))
    v_c = v_tip + rho
    return RackTip(half_n / cos_b, v_tip, (half_n + v_c * t - rho / cos(ring.alpha_n)) / cos_b, v_c, rho)


def trochoid(ring: RingGeometry, psi: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Root fillet cut by the rack's rounded corner: radius [mm] and angle from the middle of the space [rad].

    ``psi`` [rad] is the slope of the corner's normal in the transverse section, 0 at the tip line, pi/2 - alpha_t at
    the flank. The point is cut when that normal passes through the point where rack and ring roll.
    """
    tip, r, cos_b = rack_tip(ring), ring.d / 2, cos(ring.beta)
    psi = np.asarray(psi, dtype=float)
    turn = np.arctan2(np.sin(psi), np.cos(psi) * cos_b)  # the same place on the round corner of the normal section
    u, v = tip.u_c + tip.rho * np.sin(turn) / cos_b, tip.v_c - tip.rho * np.cos(turn)
    u_P = u + v * np.tan(psi)
    return np.hypot(u - u_P, r + v), np.asarray(np.arctan2(u - u_P, r + v) + u_P / r)


def space_half_angle(ring: RingGeometry, r_y: ArrayLike) -> NDArray[np.float64]:
    """Half the angle of the space between involutes at radius r_y >= r_b [mm] -> [rad]."""
    r_y = np.asarray(r_y, dtype=float)
    alpha = np.arccos(np.minimum(1.0, ring.d_b / 2 / r_y))
    return np.asarray(pi / ring.z - ring.s_t / ring.d - ring.s * (inv(ring.alpha_t) - inv(alpha)))


def form_diameter(ring: RingGeometry) -> float:
    """Diameter d_Ff where the root fillet meets the involute [mm].

    External ring, spur or helical; undercut is found as the crossing of fillet and involute. What a form cutter or
    a shaper left is not decided here.

    Raises
    ------
    Refusal
        As `rack_tip`.
    """
    tip, r = rack_tip(ring), ring.d / 2
    v_F = tip.v_c - tip.rho * sin(ring.alpha_n)
    if -v_F <= r * sin(ring.alpha_t) ** 2:
        return 2 * hypot(r + v_F, v_F / tan(ring.alpha_t))
    return 2 * float(trochoid(ring, undercut_psi(ring))[0])


def undercut_psi(ring: RingGeometry) -> float:
    """Where along the corner the fillet of an undercut tooth crosses the involute [rad]."""
    grid = np.linspace(0, pi / 2 - ring.alpha_t, 2001)

    def beyond(psi: NDArray[np.float64]) -> NDArray[np.float64]:
        radius, angle = trochoid(ring, psi)
        return np.asarray(angle - space_half_angle(ring, np.maximum(radius, ring.d_b / 2)))

    into = np.flatnonzero(beyond(grid) > 0)
    if len(into) == 0 or into[-1] + 1 >= len(grid):
        return float(grid[-1])
    low, high = grid[into[-1]], grid[into[-1] + 1]
    for _step in range(6):
        finer = np.linspace(low, high, 65)
        last = int(np.flatnonzero(beyond(finer) > 0)[-1])
        if last + 1 >= len(finer):
            break
        low, high = finer[last], finer[last + 1]
    return float((low + high) / 2)


def is_undercut(ring: RingGeometry) -> bool:
    """Whether the generating rack cuts into the involute near the root (external ring)."""
    tip = rack_tip(ring)
    return -(tip.v_c - tip.rho * sin(ring.alpha_n)) > ring.d / 2 * sin(ring.alpha_t) ** 2


def contact_diameter(ring: RingGeometry, length_t: float) -> float:
    """Diameter at the end of a piece ``length_t`` [mm] of the base tangent line, transverse section [mm]."""
    return sqrt(ring.d_b**2 + (2 * length_t) ** 2)
