"""Where anvils and pins land on a ring's flanks, and which span and which pin to take."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, isfinite, pi

import numpy as np

from ringwright.errors import Refusal
from ringwright.gears import measures
from ringwright.gears.ring import RingGeometry, form_diameter


@dataclass(frozen=True, slots=True)
class Span:
    """W_k [mm] over k teeth, anvils touching on the circle d_M [mm]."""

    k: int
    W_k: float
    d_M: float


@dataclass(frozen=True, slots=True)
class Pins:
    """M_dK [mm] over (external) or between (internal) pins D_M [mm] that touch on the circle d_M [mm]."""

    D_M: float
    M_dK: float
    d_M: float


@dataclass(frozen=True, slots=True)
class NoMeasure:
    """Why a measure does not exist on this ring; ``facts`` are lengths in mm for the words."""

    code: str
    facts: dict[str, float]


def flank_range(ring: RingGeometry) -> tuple[float, float]:
    """Smallest and largest diameter of the involute flank [mm].

    External: from the end of the rack-generated fillet to the tip. Internal: from the tip, or the base circle where
    that is larger, to the root circle, since the fillet there depends on the cutter that nobody knows.
    """
    if ring.kind == "internal":
        return max(ring.d_a, ring.d_b), ring.d_f
    try:
        return max(form_diameter(ring), ring.d_b), ring.d_a
    except Refusal:  # no such rack: the root circle is all that is known
        return max(ring.d_f, ring.d_b), ring.d_a


def wanted_diameter(ring: RingGeometry) -> float:
    """The circle d + 2 x m_n (internal: d - 2 x m_n) on which anvils and pins should touch [mm]."""
    return ring.d + ring.s * 2 * ring.x * ring.m_n


def span(ring: RingGeometry, k: int | None = None) -> Span | NoMeasure:
    """Span over k teeth, or over the number whose contact lies on the flank nearest d + 2 x m_n.

    Raises
    ------
    OutOfRange
        k is not 2 to z/2.
    """
    if ring.kind == "internal":
        return NoMeasure("span_internal", {})
    low, high = flank_range(ring)
    choice = np.arange(2, ring.z // 2 + 1) if k is None else np.asarray([k])
    W = measures.base_tangent_length(choice, ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.x_E)
    d_M = measures.span_contact_diameter(W, ring.z, ring.m_n, ring.alpha_n, ring.beta)
    on = (d_M > low) & (d_M < high)
    if not on.any():
        near = int(np.argmin(np.abs(d_M - wanted_diameter(ring))))
        return NoMeasure("span_off_flank", {"contact": float(d_M[near]), "low": low, "high": high})
    best = int(np.argmin(np.where(on, np.abs(d_M - wanted_diameter(ring)), np.inf)))
    return Span(int(choice[best]), float(W[best]), float(d_M[best]))


def best_pin(ring: RingGeometry) -> float | None:
    """Pin that touches on the flank nearest d + 2 x m_n, rounded to 0.01 mm; None when there is none."""
    low, high = flank_range(ring)
    if low >= high:
        return None
    room = 0.05 * (high - low)
    target = min(max(wanted_diameter(ring), low + room), high - room)
    D_M = measures.ideal_pin(ring.kind, target, ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.x_E)
    return round(D_M, 2) if isfinite(D_M) else None


def pins(ring: RingGeometry, D_M: float | None = None) -> Pins | NoMeasure:
    """Dimension over or between pins D_M [mm], or the best pins; says why when they cannot be used."""
    if D_M is None:
        D_M = best_pin(ring)
        if D_M is None:
            return NoMeasure("pin_none", {})
    flanks = (ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.x_E)
    d_M = float(measures.pin_contact_diameter(ring.kind, D_M, *flanks))
    low, high = flank_range(ring)
    if not low < d_M < high:
        return NoMeasure("pin_off_flank", {"pin": D_M, "low": low, "high": high})
    M = float((measures.over_pins if ring.s > 0 else measures.between_pins)(D_M, *flanks))
    c = 1.0 if ring.z % 2 == 0 else cos(pi / (2 * ring.z))
    d_K = (M - ring.s * D_M) / c
    if ring.s * (d_K + ring.s * D_M - ring.d_a) <= 0:
        return NoMeasure("pin_below_tip", {"pin": D_M, "reach": d_K + ring.s * D_M, "tip": ring.d_a})
    if ring.s * (d_K - ring.s * D_M - ring.d_f) <= 0:
        return NoMeasure("pin_on_root", {"pin": D_M, "reach": d_K - ring.s * D_M, "root": ring.d_f})
    return Pins(D_M, M, d_M)
