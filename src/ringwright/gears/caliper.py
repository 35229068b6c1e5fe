"""What a tooth caliper is set to and reads: chords of a tooth at any diameter, and the constant chord."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, isfinite, sin, tan

from ringwright.errors import require
from ringwright.gears.ring import RingGeometry
from ringwright.gears.shaper import ShaperCutter
from ringwright.gears.touch import NoMeasure, flank_range


@dataclass(frozen=True, slots=True)
class Chord:
    """Caliper set to the depth ``h_c`` [mm] from the tip; it reads ``s_c`` [mm] and touches on the circle ``d_y``."""

    d_y: float
    s_c: float
    h_c: float


def _tip_dip(ring: RingGeometry) -> float:
    """How far the middle of an internal tip stands back behind its two corners, on which the bar rests [mm]."""
    if ring.kind == "external":
        return 0.0
    corner = max(ring.d_a, ring.d_b)
    half = max(0.0, float(ring.s_y(corner)) / corner - 2 * ring.h_K / ring.d_a)
    return ring.d_a / 2 * (1 - cos(half))


def chordal_at(ring: RingGeometry, d_y: float, cutter: ShaperCutter | None = None) -> Chord:
    """Chordal thickness on the circle d_y and the caliper's depth from the real tip.

    Parameters
    ----------
    ring : RingGeometry
        External or internal, spur or helical; a topped ring by its ``d_a_given``
    d_y : float
        Where the caliper's jaws touch, on the flank [mm]
    cutter : ShaperCutter or None
        What cut an internal ring, as `ringwright.gears.root.generated_root`

    Returns
    -------
    Chord
        Of a helical ring in the normal section, its circles taken as d_y / cos^2(beta_y)

    Raises
    ------
    OutOfRange
        d_y is not on the flank.

    Notes
    -----
    The virtual ring is a near sum: against the section square to the tooth it is good to a few millionths of the
    module from 12 teeth and up to a helix of 30 degrees (worked out on drawn sections, see the tests).

    Examples
    --------
    >>> chordal_at(RingGeometry("external", 12, 10.0, x=0.3), 120.0)
    Chord(d_y=120.0, s_c=17.8256, h_c=13.6657)

    References
    ----------
    .. [1] Elements of Metric Gear Technology, sec. 10 (at the reference circle; read), elsewhere the same sector.
    """
    require("d_y", d_y, *flank_range(ring, cutter))
    across = d_y * (1 + (tan(ring.beta) * d_y / ring.d) ** 2)
    half = float(ring.s_yn(d_y)) / across
    rise = across / 2 * (1 - cos(half))
    return Chord(d_y, across * sin(half), ring.s * ((ring.d_a - d_y) / 2 + rise) + _tip_dip(ring))


def constant_chord(ring: RingGeometry, cutter: ShaperCutter | None = None) -> Chord | NoMeasure:
    """Chord between the points where the basic rack, rolled to the tooth's middle, touches both flanks.

    Its length does not depend on the number of teeth. External and internal, spur and helical (normal section, exact).

    >>> constant_chord(RingGeometry("external", 24, 1.0))
    Chord(d_y=24.544, s_c=1.3870, h_c=0.7476)

    References
    ----------
    .. [1] Gear handbooks, constant chord s cos^2 alpha (memory); the internal ring by own derivation.
    """
    s_c, up = ring.s_n * cos(ring.alpha_n) ** 2, ring.s_n / 2 * sin(ring.alpha_n) * cos(ring.alpha_n)
    along = ring.d / 2 * sin(ring.alpha_t) + ring.s * ring.s_t / 2 * cos(ring.alpha_t)
    d_y = 2 * hypot(ring.d_b / 2, along)
    low, high = flank_range(ring, cutter)
    if along < 0 or not low < d_y < high or not isfinite(d_y):
        return NoMeasure("constant_chord_off_flank", {"contact": d_y, "low": low, "high": high})
    return Chord(d_y, s_c, ring.s * (ring.d_a - ring.d) / 2 - up + _tip_dip(ring))
