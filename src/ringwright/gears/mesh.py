"""A pair in mesh: centres, working angle, path of contact, contact ratios, clearances, sliding.

The pair is a pinion, always external, and a ring, external or internal. Everything is reckoned from base circles and
thicknesses, so that two gears of unlike module and pressure angle but like base pitch are a pair too. ``s`` is +1 for
an external ring and -1 for an internal one.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, cos, degrees, hypot, inf, pi, sin, sqrt, tan

from ringwright.errors import Refusal, require
from ringwright.gears.involute import inv
from ringwright.gears.ring import RingGeometry
from ringwright.gears.touch import flank_range

#: Base pitches that differ by more do not run together; 0.2 % is our own limit, some hundredths of a mm in a pitch.
PITCH_MATCH = 0.002
#: Base helix angles that differ by more touch at one end of the face only: 0.06 mm over a face of 60 mm.
HELIX_MATCH = 0.001


@dataclass(frozen=True, slots=True)
class Pair:
    """Pinion and ring, with what their teeth have lost.

    ``lost_pinion`` and ``lost_ring`` [mm] are thickness gone by wear, both flanks together, normal arc on the
    reference circle, >= 0.

    Raises
    ------
    OutOfRange
        A loss below 0, or above the tooth.
    Refusal
        ``two_internal``, ``ring_not_larger``, ``hands_do_not_mesh``, ``helix_angles_differ``, ``base_pitches_differ``.
    """

    pinion: RingGeometry
    ring: RingGeometry
    lost_pinion: float = 0.0
    lost_ring: float = 0.0

    def __post_init__(self) -> None:
        require("lost_pinion", self.lost_pinion, 0, self.pinion.s_n)
        require("lost_ring", self.lost_ring, 0, self.ring.s_n)
        if self.pinion.kind == "internal":
            raise Refusal("two_internal", "kind")
        if self.s < 0 and self.ring.z <= self.pinion.z:
            raise Refusal("ring_not_larger", "z", self.pinion.z, 5, self.ring.z - 1)
        self._same_helix()
        ours, theirs = self.ring.p_bn, self.pinion.p_bn
        if abs(ours - theirs) > PITCH_MATCH * ours:
            raise Refusal("base_pitches_differ", "m_n", facts={"ring": f"{ours:.4f} mm", "mate": f"{theirs:.4f} mm"})

    def _same_helix(self) -> None:
        one, other = self.ring.beta_b, -self.s * self.pinion.beta_b
        if abs(one - other) <= HELIX_MATCH:
            return
        if abs(one + other) <= HELIX_MATCH:
            raise Refusal("hands_do_not_mesh", "beta", facts={"external": self.s > 0})
        shown = {name: f"{degrees(abs(angle)):.3f}°" for name, angle in (("ring", one), ("mate", other))}
        raise Refusal("helix_angles_differ", "beta", facts=shown)

    @property
    def s(self) -> int:
        """+1 external pair, -1 internal pair."""
        return self.ring.s

    @property
    def z_sum(self) -> int:
        """Sum of the teeth, for an internal pair their difference [-]."""
        return self.ring.z + self.s * self.pinion.z

    @property
    def a(self) -> float:
        """Reference centre distance: reference circles touching [mm]."""
        return (self.ring.d + self.s * self.pinion.d) / 2

    @property
    def a_b(self) -> float:
        """Sum of the base radii, for an internal pair their difference [mm]: no centres are nearer (internal: too)."""
        return (self.ring.d_b + self.s * self.pinion.d_b) / 2

    @property
    def pitch_error(self) -> float:
        """By how much the ring's transverse base pitch is longer than the pinion's [mm]."""
        return self.ring.p_bt - self.pinion.p_bt

    @property
    def inv_tight(self) -> float:
        """Involute function of the working angle at which both flanks touch [rad]; below 0 where none is so tight.

        From thicknesses as they are, allowance and wear taken off: (z1 psi1 + z2 psi2 - pi) / (z1 + s z2), psi being
        the angle of a tooth's thickness carried to the base circle.
        """
        psi_1 = thickness_angle(self.pinion, self.lost_pinion)
        psi_2 = thickness_angle(self.ring, self.lost_ring)
        return (self.pinion.z * psi_1 + self.ring.z * psi_2 - pi) / (self.pinion.z + self.s * self.ring.z)


def thickness_angle(ring: RingGeometry, lost: float = 0.0) -> float:
    """Thickness over diameter at the reference circle, the involute's part added [rad]; ``lost`` as in `Pair` [mm].

    s_t / d + s inv(alpha_t), of an external ring half the angle of its tooth at the base circle. Own derivation.
    """
    s_t = ring.s_t - lost / cos(ring.beta)
    return s_t / ring.d + ring.s * float(inv(ring.alpha_t))


def working_angle(pair: Pair, a_w: float) -> float:
    """Transverse working pressure angle: arccos(a_b / a_w), a_w [mm] -> [rad].

    External and internal pairs. ISO 21771 (from memory).

    Raises
    ------
    Refusal
        ``out_of_reach``: the centres of an external pair are nearer than the base circles allow, or so far apart that
        no tip reaches the mate's tip circle; ``too_near_inside``: those of an internal pair are too near for either.

    Examples
    --------
    >>> pair = Pair(RingGeometry("external", 19, 25.4 / 6), RingGeometry("external", 37, 25.4 / 6))
    >>> degrees(working_angle(pair, 1.02 * pair.a))
    22.8879
    """
    tips = (pair.ring.d_a + pair.s * pair.pinion.d_a) / 2
    if pair.s < 0:
        low = max(pair.a_b, tips)
        if not a_w >= low:
            raise Refusal("too_near_inside", "a_w", a_w, low)
        return acos(pair.a_b / a_w)
    low, high = pair.a_b, tips
    if not low <= a_w <= high:
        raise Refusal("out_of_reach", "a_w", a_w, facts={"least": f"{low:.3f} mm", "most": f"{high:.3f} mm"})
    return acos(pair.a_b / a_w)


def working_radii(pair: Pair, a_w: float) -> tuple[float, float]:
    """Radii of the two circles that roll on each other, pinion and ring, a_w [mm] -> [mm]. ISO 21771 (from memory).

    >>> pair = Pair(RingGeometry("external", 16, 12.7), RingGeometry("external", 40, 12.7))
    >>> [2 * r / 25.4 for r in working_radii(pair, 14.25 * 25.4)]
    [8.1429, 20.3571]
    """
    return a_w * pair.pinion.z / pair.z_sum, a_w * pair.ring.z / pair.z_sum


@dataclass(frozen=True, slots=True)
class Path:
    """The path of contact, transverse: places along the line of action from the pinion's base tangent point [mm].

    The line runs towards the pinion's tip. ``tip_ring`` and ``tip_pinion`` are where the two tip circles (the circles
    where a tip chamfer begins) cut it, ``head_ring`` and ``head_pinion`` where the flanks really end near the tips,
    ``root_pinion`` and ``root_ring`` where they end towards the roots; ``start`` and ``end`` bound what is really in
    contact. ``whole`` is the distance between the two base tangent points.
    """

    whole: float
    tip_ring: float
    tip_pinion: float
    head_ring: float
    head_pinion: float
    root_pinion: float
    root_ring: float
    s: int

    @property
    def start(self) -> float:
        """Where a pair of flanks comes into contact, near the pinion's root."""
        return max(self.head_ring, self.root_pinion)

    @property
    def end(self) -> float:
        """Where it goes out of contact, at the pinion's tip."""
        return min(self.head_pinion, self.root_ring)

    @property
    def in_contact(self) -> float:
        """Length that is really in contact, 0 where nothing touches [mm]."""
        return max(0.0, self.end - self.start)

    @property
    def between_tips(self) -> float:
        """Length between the two tip circles, whatever flank there is [mm]."""
        return self.tip_pinion - self.tip_ring

    def from_ring(self, t: float) -> float:
        """The same place seen from the ring's base tangent point [mm]."""
        return self.whole - self.s * t


def path_of_contact(pair: Pair, a_w: float) -> Path:
    """Path of contact at centre distance a_w [mm], from real tip circles and from where the flanks really end.

    External and internal pairs, spur and helical (transverse section). An internal ring's tip inside its base circle
    counts from the base circle. ISO 21771 (from memory), flank ends as `touch.flank_range`.
    """
    whole = a_w * sin(working_angle(pair, a_w))
    (low_1, high_1), (low_2, high_2) = flank_range(pair.pinion), flank_range(pair.ring)
    head_2, root_2 = (high_2, low_2) if pair.s > 0 else (low_2, high_2)
    return Path(
        whole=whole,
        tip_ring=pair.s * (whole - _tangent(pair.ring, pair.ring.d_Fa)),
        tip_pinion=_tangent(pair.pinion, pair.pinion.d_Fa),
        head_ring=pair.s * (whole - _tangent(pair.ring, head_2)),
        head_pinion=_tangent(pair.pinion, high_1),
        root_pinion=_tangent(pair.pinion, low_1),
        root_ring=pair.s * (whole - _tangent(pair.ring, root_2)),
        s=pair.s,
    )


def _tangent(ring: RingGeometry, d_y: float) -> float:
    """Length of the tangent to the base circle from the circle d_y, transverse [mm]."""
    return sqrt(max(0.0, d_y**2 - ring.d_b**2)) / 2


def transverse_contact_ratio(pair: Pair, a_w: float) -> float:
    """Transverse contact ratio eps_alpha: how many pairs of flanks touch on average [-]; a_w [mm].

    From what is really in contact, real tips and flank ends; 0 where nothing touches. ISO 21771 (from memory).

    >>> pair = Pair(RingGeometry("external", 19, 25.4 / 6), RingGeometry("external", 37, 25.4 / 6))
    >>> transverse_contact_ratio(pair, pair.a)
    1.6209
    """
    return path_of_contact(pair, a_w).in_contact / pair.pinion.p_bt


def tip_contact_ratio(pair: Pair, a_w: float) -> float:
    """Transverse contact ratio as textbooks give it, from the two tip circles alone [-]; a_w [mm].

    Greater than `transverse_contact_ratio` where a fillet or an undercut takes flank away. ISO 21771 (from memory).

    >>> tip_contact_ratio(Pair(RingGeometry("external", 15, 1), RingGeometry("external", 15, 1)), 15)
    1.481
    """
    return path_of_contact(pair, a_w).between_tips / pair.pinion.p_bt


def overlap_ratio(pair: Pair, b: float) -> float:
    """Overlap ratio eps_beta over the common face width b > 0 [mm]: b sin(beta) / (pi m_n) [-]; 0 for straight teeth.

    ISO 21771 (from memory).

    >>> helical = [RingGeometry("external", z, 3, beta=beta) for z, beta in ((12, 0.5236), (60, -0.5236))]
    >>> overlap_ratio(Pair(*helical), 30)
    1.5915
    """
    require("b", b, 0, 10_000)
    return b * abs(sin(pair.pinion.beta)) / pair.pinion.p_n


def clearances(pair: Pair, a_w: float) -> tuple[float, float]:
    """Clearance between the pinion's tip and the ring's root, and between the ring's tip and the pinion's root [mm].

    a_w [mm]; negative where a tip digs into a root. Own derivation, on the line of centres.

    >>> pair = Pair(RingGeometry("external", 19, 4), RingGeometry("internal", 80, 4))
    >>> clearances(pair, pair.a)
    (1.0, 1.0)
    """
    tip, root = pair.pinion.d_a / 2, pair.pinion.d_f / 2
    return pair.s * (a_w - pair.ring.d_f / 2) - tip, pair.s * (a_w - pair.ring.d_a / 2) - root


def sliding(pair: Pair, path: Path, t: float) -> tuple[float, float]:
    """Specific sliding at the place t [mm] of the path, on the pinion and on the ring [-].

    (Own speed along the flank less the mate's) over the own one: 0 at the pitch point, far below 0 near a root;
    -inf where the own flank stands still, at its base circle. ISO 21771 (from memory).
    """
    u = pair.pinion.z / pair.ring.z
    own, mate = t, path.from_ring(t)
    on_pinion = 1 - u * mate / own if own > 0 else -inf
    on_ring = 1 - own / (u * mate) if mate > 0 else -inf
    return on_pinion, on_ring


def radius_at(ring: RingGeometry, tangent: float) -> float:
    """Radius of the point a piece ``tangent`` [mm] along the line of action from the base tangent point [mm]."""
    return hypot(ring.d_b / 2, tangent)


def least_shift(ring: RingGeometry) -> float:
    """Profile shift below which a rack cutter undercuts an external ring [-].

    h_f - rho_f (1 - sin(alpha_n)) - z sin^2(alpha_t) / (2 cos(beta)), the rack with rounded corners. ISO 21771 (from
    memory).

    >>> least_shift(RingGeometry("external", 12, 3))
    0.2982
    """
    rounded = ring.rho_f * (1 - sin(ring.alpha_n))
    return ring.h_f - rounded - ring.z * sin(ring.alpha_t) ** 2 / (2 * cos(ring.beta))


def least_teeth(alpha_n: float, h_a: float, beta: float = 0.0) -> float:
    """Teeth below which a sharp rack of reach h_a modules undercuts, no shift: 2 h_a cos(beta) / sin^2(alpha_t) [-].

    alpha_n 0.17 to 0.62, beta -0.8 to 0.8 [rad]. Elements of Metric Gear Technology (read).

    >>> import numpy as np
    >>> [least_teeth(angle, 1) for angle in np.radians([14.5, 20])]
    [31.9029, 17.0973]
    """
    require("alpha_n", alpha_n, 0.17, 0.62)
    require("beta", beta, -0.8, 0.8)
    tan_t = tan(alpha_n) / cos(beta)
    return 2 * h_a * cos(beta) * (1 + tan_t**2) / tan_t**2
