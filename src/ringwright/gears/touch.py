"""Where anvils and pins land on a ring's flanks, and which span and which pin to take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, isfinite, pi, radians, sin, tan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright import tables
from ringwright.errors import Refusal
from ringwright.gears import measures
from ringwright.gears.ring import RingGeometry
from ringwright.gears.root import Root, generated_root
from ringwright.gears.shaper import ShaperCutter


@dataclass(frozen=True, slots=True)
class Span:
    """W_k [mm] over k teeth, anvils touching on the circle d_M [mm] and ``b_k`` [mm] apart along the face."""

    k: int
    W_k: float
    d_M: float
    b_k: float = 0.0


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


@dataclass(frozen=True, slots=True)
class _Flank:
    """From where to where the involute goes [mm], and the root below it when its cutter is known."""

    low: float
    high: float
    root: Root | None


def _flank(ring: RingGeometry, cutter: ShaperCutter | None) -> _Flank:
    try:
        made = generated_root(ring, cutter)
    except Refusal:  # no such cutter: the root circle is all that is known
        made = None
    end, reach = (made.d_Ff, made.d_reach) if made else (ring.d_f, 0.0)
    if ring.kind == "internal":
        return _Flank(float(np.fmax(max(ring.d_Fa, ring.d_b, reach), ring.d_pointed)), min(end, ring.d_f), made)
    return _Flank(max(end, ring.d_b), min(ring.d_Fa, ring.d_pointed), made)


def flank_range(ring: RingGeometry, cutter: ShaperCutter | None = None) -> tuple[float, float]:
    """Smallest and largest diameter of the involute flank [mm].

    External: from the end of the rack-generated fillet to the tip, its chamfer, or the point of a pointed tooth.
    Internal: from tip, chamfer, point or base circle to the fillet of the pinion cutter, as
    `ringwright.gears.root.generated_root`.
    """
    flank = _flank(ring, cutter)
    return flank.low, flank.high


def wanted_diameter(ring: RingGeometry) -> float:
    """The circle d + 2 x m_n (internal: d - 2 x m_n) on which anvils and pins should touch [mm]."""
    return ring.d + ring.s * 2 * ring.x * ring.m_n


def spans(ring: RingGeometry) -> tuple[Span, ...]:
    """Every span whose anvils touch between fillet and tip, from the smallest k; none for an internal ring."""
    if ring.kind == "internal":
        return ()
    return tuple(found for found, on in _spans(ring, np.arange(2, ring.z // 2 + 1)) if on)


def _spans(ring: RingGeometry, k: NDArray[np.int64]) -> list[tuple[Span, bool]]:
    """Spans over those k, and whether the anvils are on the flank."""
    low, high = flank_range(ring)
    W = measures.base_tangent_length(k, ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.x_E)
    d_M = measures.span_contact_diameter(W, ring.z, ring.m_n, ring.alpha_n, ring.beta)
    b_k, on = W * abs(sin(ring.beta_b)), (d_M > low) & (d_M < high)
    return [(Span(int(a), float(b), float(c), float(d)), bool(e)) for a, b, c, d, e in zip(k, W, d_M, b_k, on)]


def comfortable_face(b_k: float) -> float:
    """Face width [mm] on which anvils ``b_k`` [mm] apart along it sit well: a fifth more, 5 mm at least.

    Common practice, no source; straight teeth ask for nothing.
    """
    return b_k + max(5.0, 0.2 * b_k) if b_k else 0.0


def span(ring: RingGeometry, k: int | None = None, b: float | None = None) -> Span | NoMeasure:
    """Span over k teeth, or over the number whose contact lies on the flank nearest d + 2 x m_n.

    With the face width b [mm] only spans that a helical face is wide enough for, comfortably if there are such.

    Raises
    ------
    OutOfRange
        k is not 2 to z/2.
    """
    if ring.kind == "internal":
        return NoMeasure("span_internal", {})
    tried = _spans(ring, np.arange(2, ring.z // 2 + 1) if k is None else np.asarray([k]))
    wanted = wanted_diameter(ring)
    tried.sort(key=lambda one: abs(one[0].d_M - wanted))
    on = [found for found, is_on in tried if is_on]
    if not on:
        low, high = flank_range(ring)
        return NoMeasure("span_off_flank", {"contact": tried[0][0].d_M, "low": low, "high": high})
    if b is None:
        return on[0]
    narrow = min(found.b_k for found in on)
    for need in (comfortable_face, lambda b_k: b_k):
        fits = [found for found in on if need(found.b_k) < b or found.b_k == 0]
        if fits:
            return fits[0]
    return NoMeasure("span_face_too_narrow", {"need": narrow, "face": b})


def best_pin(ring: RingGeometry, cutter: ShaperCutter | None = None) -> float | None:
    """Pin that touches on the flank nearest d + 2 x m_n, rounded to 0.01 mm; None when there is none."""
    low, high = flank_range(ring, cutter)
    if low >= high:
        return None
    room = 0.05 * (high - low)
    target = min(max(wanted_diameter(ring), low + room), high - room)
    D_M = measures.ideal_pin(ring.kind, target, ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.x_E)
    return round(D_M, 2) if isfinite(D_M) else None


def pins(ring: RingGeometry, D_M: float | None = None, cutter: ShaperCutter | None = None) -> Pins | NoMeasure:
    """Dimension over or between pins D_M [mm], or the best pins; says why when they cannot be used."""
    if D_M is None:
        D_M = best_pin(ring, cutter)
        if D_M is None:
            return NoMeasure("pin_none", {})
    return _tried(ring, _flank(ring, cutter), [D_M])[0]


def _tried(ring: RingGeometry, flank: _Flank, D_M: Sequence[float]) -> list[Pins | NoMeasure]:
    """What each of those pins reads, or why it cannot be used."""
    seats = zip(D_M, *(value.tolist() for value in _seated(ring, D_M)), strict=True)
    return [_one(ring, flank, *seat) for seat in seats]


def _one(ring: RingGeometry, flank: _Flank, D_M: float, M: float, d_M: float, d_K: float) -> Pins | NoMeasure:
    if not flank.low < d_M < flank.high:
        return NoMeasure("pin_off_flank", {"pin": D_M, "low": flank.low, "high": flank.high})
    if ring.s * (d_K + ring.s * D_M - ring.d_a) <= 0:
        return NoMeasure("pin_below_tip", {"pin": D_M, "reach": d_K + ring.s * D_M, "tip": ring.d_a})
    if ring.s * (d_K - ring.s * D_M - ring.d_f) <= 0:
        return NoMeasure("pin_on_root", {"pin": D_M, "reach": d_K - ring.s * D_M, "root": ring.d_f})
    if _hits_fillet(ring, flank.root, D_M, d_K):
        return NoMeasure("pin_on_fillet", {"pin": D_M})
    return Pins(D_M, M, d_M)


def _seated(ring: RingGeometry, D_M: ArrayLike) -> tuple[NDArray[np.float64], ...]:
    """Reading, contact diameter and diameter of the centres for pins D_M [mm]; NaN where they find no involute."""
    D_M = np.asarray(D_M, dtype=float)
    flanks = (ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.x_E)
    M = (measures.over_pins if ring.s > 0 else measures.between_pins)(D_M, *flanks)
    c = 1.0 if ring.z % 2 == 0 else cos(pi / (2 * ring.z))
    return M, measures.pin_contact_diameter(ring.kind, D_M, *flanks), (M - ring.s * D_M) / c


def _hits_fillet(ring: RingGeometry, root: Root | None, D_M: float, d_K: float) -> bool:
    """Whether a ball in the space touches the root fillet before the flanks: distance to forty of its helices."""
    if root is None:
        return False
    radius, angle = root.curve(np.linspace(0, root.end, 40))
    turn, r_K = tan(ring.beta) / (ring.d / 2), d_K / 2
    along = np.zeros_like(radius)
    for _step in range(5):  # the nearest point of a helix, by Newton steps from the section through the ball
        at = angle + along * turn
        pull = radius * r_K * turn * np.sin(at) + along
        along = along - pull / (1 + radius * r_K * turn**2 * np.cos(at))
    away = radius**2 + r_K**2 - 2 * radius * r_K * np.cos(angle + along * turn) + along**2
    return bool((np.sqrt(away) < D_M / 2 - 1e-6).any())


def pin_range(ring: RingGeometry, cutter: ShaperCutter | None = None) -> tuple[float, float] | None:
    """Smallest and largest pin that touches the flank, stands proud of the tip and clears root and fillet [mm].

    To a thousandth of a module, inside the true limits; None when there is no such pin up to 6 m_n.
    """
    flank, step = _flank(ring, cutter), 0.02 * ring.m_n
    coarse: NDArray[np.float64] = step * np.arange(1.0, 301.0)
    fits = coarse[_fits(ring, flank, coarse)]
    if len(fits) == 0:
        return None
    fine = np.linspace(0, step, 41)
    low, high = np.asarray(fits[0] - step + fine[1:]), np.asarray(fits[-1] + fine)
    low, high = low[_fits(ring, flank, low)], high[_fits(ring, flank, high)]
    return float(low[0]), float(high[-1])


def _fits(ring: RingGeometry, flank: _Flank, D_M: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which of those pins can be used."""
    _M, d_M, d_K = _seated(ring, D_M)
    fits = (flank.low < d_M) & (d_M < flank.high)
    fits &= ring.s * (d_K + ring.s * D_M - ring.d_a) > 0
    fits &= ring.s * (d_K - ring.s * D_M - ring.d_f) > 0
    for i in np.flatnonzero(fits):  # the fillet is in the way of the small ones only
        if not _hits_fillet(ring, flank.root, float(D_M[i]), float(d_K[i])):
            break
        fits[i] = False
    return np.asarray(fits)


@dataclass(frozen=True, slots=True)
class NamedPins:
    """Pins of a usual size, by the name that the table gives them, and what they read on the ring."""

    name: str
    reads: Pins
    source: str


def usual_pins(ring: RingGeometry, cutter: ShaperCutter | None = None) -> tuple[NamedPins, ...]:
    """Pins of the table ``standard_pins`` that this ring can be measured with, the best place of contact first."""
    named = []
    for row in tables.load("standard_pins"):
        alpha_n = radians(float(row["alpha_deg"])) if row["alpha_deg"] else ring.alpha_n
        if row["kind"] in (ring.kind, "any") and abs(alpha_n - ring.alpha_n) < 1e-3:
            D_M = float(row["modules"]) * ring.m_n if row["modules"] else float(row["mm"])
            named.append((row["name"], D_M, row["source"]))
    tried = _tried(ring, _flank(ring, cutter), [D_M for _name, D_M, _source in named])
    usable = [
        NamedPins(name, reads, source)
        for (name, _D_M, source), reads in zip(named, tried, strict=True)
        if isinstance(reads, Pins)
    ]
    wanted = wanted_diameter(ring)
    return tuple(sorted(usable, key=lambda one: abs(one.reads.d_M - wanted)))


def best_of(ring: RingGeometry, own: Sequence[float], cutter: ShaperCutter | None = None) -> Pins | NoMeasure:
    """Of the pins at hand [mm] the usable one that touches nearest d + 2 x m_n."""
    usable = [found for found in _tried(ring, _flank(ring, cutter), own) if isinstance(found, Pins)]
    if not usable:
        return NoMeasure("pin_none_at_hand", {})
    return min(usable, key=lambda found: abs(found.d_M - wanted_diameter(ring)))
