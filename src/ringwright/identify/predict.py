"""What every hypothesis predicts for a reading, for whole arrays of hypotheses at once.

External and internal rings share one set of forms through s = +1 or -1; x is the ISO 21771 shift, positive thickens the
tooth of both. The forms are those of ``ringwright.gears``, broadcast without range checks; a test holds them together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.readings import Reading

Array = NDArray[np.float64]
Numbers = float | Array


@dataclass(frozen=True)
class Rings:
    """Rings as arrays that broadcast: s (+1, -1), z, m, alpha_n, ha, hf, beta, shift x, thinning w and topping t.

    ``w`` is the normal arc lost at the reference circle, ``t`` the height lost at the tip [mm].
    """

    s: int
    z: Array
    m: Array
    alpha: Array
    ha: Array
    hf: Array
    beta: Numbers = 0.0
    x: Numbers = 0.0
    w: Numbers = 0.0
    t: Numbers = 0.0

    @cached_property
    def d(self) -> Array:
        """Reference diameter [mm]."""
        return np.asarray(self.z * self.m / np.cos(self.beta))

    @cached_property
    def alpha_t(self) -> Array:
        """Transverse pressure angle [rad]."""
        return np.asarray(np.arctan(np.tan(self.alpha) / np.cos(self.beta)))

    @cached_property
    def d_b(self) -> Array:
        """Base diameter [mm]."""
        return np.asarray(self.d * np.cos(self.alpha_t))

    @cached_property
    def s_n(self) -> Array:
        """Normal tooth thickness at the reference circle [mm]."""
        return np.asarray(self.m * (pi / 2 + 2 * np.asarray(self.x) * np.tan(self.alpha)) - self.w)


def inv(alpha: Numbers) -> Array:
    """Involute of an angle [rad]."""
    return np.asarray(np.tan(alpha) - np.asarray(alpha))


def inv_inverse(v: Numbers) -> Array:
    """Angle whose involute is v >= 0 (Newton from the power series).

    >>> inv_inverse(inv(np.array([0.05, 0.4, 1.2])))
    array([0.05, 0.4 , 1.2 ])
    """
    v = np.maximum(np.asarray(v, dtype=float), 1e-9)
    root = np.cbrt(3 * v)
    a = root * (1 - 2 * root**2 / 15)
    a = np.where(v > 0.6, np.arctan(v + pi / 2 - 1 / (v + pi / 2)), a)
    for _ in range(5):
        tan_a = np.tan(a)
        a = a - (tan_a - a - v) / tan_a**2
    return np.asarray(a)


def predict(reading: Reading, r: Rings) -> Array:
    """The reading that these rings would give [mm; rad for the helix angle]; shape: the rings broadcast together.

    ``pitch`` is the transverse circular pitch on the reference circle, ``helix_angle`` the one there.
    """
    return _FORMS[reading.what](reading, r)


def contact_height(reading: Reading, r: Rings) -> Array:
    """Where the instrument touches the flank: height above the reference circle, outwards on the tooth [modules].

    Nought for readings that do not touch flanks.
    """
    if reading.what == "span":
        beta_b = np.arcsin(np.sin(r.beta) * np.cos(r.alpha))
        d_M = np.hypot(r.d_b, _span(reading, r) * np.cos(beta_b))
    elif reading.what in ("over_pins", "between_pins"):
        beta_b = np.arcsin(np.sin(r.beta) * np.cos(r.alpha))
        d_M = np.hypot(r.d_b, r.d_b * np.tan(_alpha_K(reading, r)) - r.s * reading.D_M * np.cos(beta_b))
    elif reading.what == "chordal_thickness":
        return np.asarray(r.ha + r.x - (np.asarray(r.t) + reading.h) / r.m)
    else:
        return np.zeros(np.broadcast_shapes(np.shape(r.m), np.shape(r.x)))
    return np.asarray(r.s * (d_M - r.d) / (2 * r.m))


def _tip(_: Reading, r: Rings) -> Array:
    return np.asarray(r.d + 2 * r.s * (r.m * (r.ha + r.x) - r.t))


def _root(_: Reading, r: Rings) -> Array:
    return np.asarray(r.d - 2 * r.s * r.m * (r.hf - np.asarray(r.x)))


def _depth(_: Reading, r: Rings) -> Array:
    return np.asarray(r.m * (r.ha + r.hf) - np.asarray(r.t) + 0.0 * np.asarray(r.x))


def _span(reading: Reading, r: Rings) -> Array:
    pitches = pi * (reading.k - 1) + r.s_n / r.m
    return np.asarray(r.m * np.cos(r.alpha) * (pitches + r.z * inv(r.alpha_t)))


def _alpha_K(reading: Reading, r: Rings) -> Array:
    pin = reading.D_M / (r.m * np.cos(r.alpha))
    return inv_inverse(inv(r.alpha_t) + r.s * (pin + r.s_n / r.m - pi) / r.z)


def _pins(reading: Reading, r: Rings) -> Array:
    odd = np.where(np.asarray(r.z) % 2 == 0, 1.0, np.cos(pi / (2 * r.z)))
    return np.asarray(odd * r.d_b / np.cos(_alpha_K(reading, r)) + r.s * reading.D_M)


def _chordal(reading: Reading, r: Rings) -> Array:
    """Chord at ``h`` below the tip; helical rings by their virtual spur ring. An internal tip rests on its corners."""
    z_v = r.z / np.cos(r.beta) ** 3
    R = z_v * r.m / 2
    tip = R + r.s * (r.m * (r.ha + r.x) - r.t)

    def half(radius: Array) -> Array:
        alpha_y = np.arccos(np.minimum(R * np.cos(r.alpha) / np.maximum(radius, 1e-9), 1))
        return np.asarray(r.s_n / (z_v * r.m) + r.s * (inv(r.alpha) - inv(alpha_y)))

    level = tip - reading.h if r.s > 0 else tip * np.cos(half(tip)) + reading.h
    radius = np.asarray(level, dtype=float)
    for _ in range(3):
        radius = level / np.cos(half(radius))
    return np.asarray(2 * radius * np.sin(half(radius)))


def _centres(reading: Reading, r: Rings) -> Array:
    """Reference centre distance, moved by the ring's own shift; the mate's shift is part of the spread."""
    reference = (r.z + r.s * reading.z_mate) * r.m / (2 * np.cos(r.beta))
    return np.asarray(reference + r.s * r.m * np.asarray(r.x))


def _caliper(reading: Reading, r: Rings) -> Array:
    """Largest caliper reading over the tips: with an odd count no tip faces a tip."""
    return np.asarray(_tip(reading, r) * np.where(np.asarray(r.z) % 2 == 0, 1.0, np.cos(pi / (2 * r.z))))


def _along_tips(reading: Reading, r: Rings) -> Array:
    """A tape along the tips: arcs over the lands, chords over the gaps; it lies half its thickness off the tips."""
    d_a = _tip(reading, r)
    alpha_a = np.arccos(np.minimum(r.d_b / np.maximum(d_a, 1e-9), 1))
    half_land = r.s_n / (r.d * np.cos(r.beta)) + inv(r.alpha_t) - inv(alpha_a)
    half_land = np.clip(half_land, 0, pi / r.z)
    pitches = r.z if reading.what == "tip_girth" else reading.n
    one = half_land + np.sin(pi / r.z - half_land)
    return np.asarray(pitches * (d_a * one + pi * reading.tape / r.z))


def _chord(reading: Reading, r: Rings) -> Array:
    """Straight from a tip to the tip ``n`` pitches on."""
    return np.asarray(_tip(reading, r) * np.sin(pi * reading.n / r.z))


def _span_difference(reading: Reading, r: Rings) -> Array:
    """``n`` base pitches: even wear is in both spans and falls out."""
    return np.asarray(reading.n * pi * r.m * np.cos(r.alpha) + 0.0 * np.asarray(r.x))


def _pitch(_: Reading, r: Rings) -> Array:
    return np.asarray(pi * r.m / np.cos(r.beta) + 0.0 * np.asarray(r.x))


def _helix(_: Reading, r: Rings) -> Array:
    return np.asarray(r.beta + 0.0 * r.m + 0.0 * np.asarray(r.x))


_FORMS = {
    "tip_diameter": _tip,
    "root_diameter": _root,
    "whole_depth": _depth,
    "span": _span,
    "over_pins": _pins,
    "between_pins": _pins,
    "chordal_thickness": _chordal,
    "centre_distance": _centres,
    "pitch": _pitch,
    "helix_angle": _helix,
    "tip_caliper": _caliper,
    "tip_girth": _along_tips,
    "tip_arc": _along_tips,
    "chord_over_teeth": _chord,
    "span_difference": _span_difference,
}
