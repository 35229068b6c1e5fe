"""Where a tip does not belong: below the mate's flank, across the mate's tip, or in the way when the pair is put in."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, asin, cos, isnan, nan, sqrt

from ringwright.gears.involute import inv
from ringwright.gears.mesh import Pair, Path, working_angle
from ringwright.gears.ring import RingGeometry


@dataclass(frozen=True, slots=True)
class RootContact:
    """How deep the mate's tip would touch on one gear.

    ``d_needed`` [mm] is the circle on which the mate's tip would touch, NaN where it would lie beyond the base tangent
    point; ``d_form`` [mm] where this flank ends; ``missing`` [mm] how much flank lacks along the line of action, 0 or
    less where all is well.
    """

    d_needed: float
    d_form: float
    missing: float


def root_contacts(pair: Pair, path: Path) -> tuple[RootContact, RootContact]:
    """Contact below the flank, on the pinion and on the ring.

    Where flank is missing, the mate's tip runs on the fillet, or out of contact, for that piece. Own derivation from
    the line of action; flank ends as `touch.flank_range`.
    """
    on_pinion = _root(pair.pinion.d_b, path.tip_ring, path.root_pinion, 1)
    on_ring = _root(pair.ring.d_b, path.from_ring(path.tip_pinion), path.from_ring(path.root_ring), pair.s)
    return on_pinion, on_ring


def _root(d_b: float, needed: float, form: float, s: int) -> RootContact:
    d_needed = sqrt(d_b**2 + 4 * needed**2) if needed >= 0 else nan
    return RootContact(d_needed, sqrt(d_b**2 + 4 * form**2), s * (form - needed))


@dataclass(frozen=True, slots=True)
class Internal:
    """The three tests of an internal pair.

    ``involute`` [mm]: how far the ring's tip keeps from the pinion's base tangent point along the line of action, below
    0 interference. ``tips`` [mm]: how far the pinion's tip corner clears the ring's tip corner where the two tip
    circles cross, arc on the ring's tip circle; NaN where the ring's tip lies inside its base circle.
    ``radial`` [mm]: the same for a pinion that is pushed in radially; NaN where the formula says nothing.
    """

    involute: float
    tips: float
    radial: float


def internal_tests(pair: Pair, path: Path, a_w: float) -> Internal:
    """Involute, tip and radial interference of an internal pair at centre distance a_w [mm].

    Backlash does not come in: the flanks that touch are looked at.

    References
    ----------
    .. [1] Gear makers' technical references, internal gears (formulas from memory).
    """
    alpha_w = working_angle(pair, a_w)
    return Internal(path.tip_ring, _tips(pair, a_w, alpha_w), _radial(pair, alpha_w))


def _tip_angle(gear: RingGeometry) -> float:
    """Transverse pressure angle at the tip [rad]; NaN inside the base circle."""
    return acos(gear.d_b / gear.d_a) if gear.d_a >= gear.d_b else nan


def _tips(pair: Pair, a_w: float, alpha_w: float) -> float:
    alpha_1, alpha_2 = _tip_angle(pair.pinion), _tip_angle(pair.ring)
    if isnan(alpha_1) or isnan(alpha_2):
        return nan
    r_1, r_2 = pair.pinion.d_a / 2, pair.ring.d_a / 2
    at_pinion, at_ring = _crossing(r_1, r_2, a_w)
    turned = at_pinion + float(inv(alpha_1) - inv(alpha_w))
    corner = turned * pair.pinion.z / pair.ring.z + float(inv(alpha_w) - inv(alpha_2))
    return (corner - at_ring) * r_2


def _crossing(r_1: float, r_2: float, a_w: float) -> tuple[float, float]:
    """Where the two tip circles cross: angles off the line of centres, about the pinion's axis and the ring's [rad]."""
    x = (r_2**2 - r_1**2 - a_w**2) / (2 * a_w * r_1)
    y = (r_2**2 - r_1**2 + a_w**2) / (2 * a_w * r_2)
    return acos(min(1.0, max(-1.0, x))), acos(min(1.0, max(-1.0, y)))


def _radial(pair: Pair, alpha_w: float) -> float:
    alpha_1, alpha_2 = _tip_angle(pair.pinion), _tip_angle(pair.ring)
    if isnan(alpha_1) or isnan(alpha_2):
        return nan
    u = pair.pinion.z / pair.ring.z
    ratio = cos(alpha_1) / cos(alpha_2)
    under_1, under_2 = (1 - ratio**2) / (1 - u**2), (ratio**-2 - 1) / (u**-2 - 1)
    if not (0 <= under_1 <= 1 and 0 <= under_2 <= 1):
        return nan
    first = asin(sqrt(under_1)) + float(inv(alpha_1) - inv(alpha_w))
    second = asin(sqrt(under_2)) + float(inv(alpha_2) - inv(alpha_w))
    return (first * u - second) * pair.ring.d_a / 2


def least_difference_rule(z: int) -> float:
    """Least difference of teeth of an internal pair by an old rule, 10 + z/5, z the pinion's teeth [-].

    20 degrees full depth, no shift. Gear Engineering (Merritt), quoted in a forum (read).

    >>> least_difference_rule(21)
    14.2
    """
    return 10 + z / 5
