"""Two drawings of what a worn ring may be: the teeth that fit laid over each other, and how readings moved the odds.

SVG for pages and papers; every line carries its style and a mark of its own, nothing is told by colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal
from ringwright.gears.outline import tooth_outline
from ringwright.gears.ring import RingGeometry
from ringwright.paper.length_bar import length_bar
from ringwright.words import _

Array = NDArray[np.float64]

#: Line styles in order of the odds; the style sheets of page and paper know them as o1 to o4.
STYLES = ("o1", "o2", "o3", "o4")
_WIDE = 640.0


@dataclass(frozen=True, slots=True)
class Laid:
    """One tooth as it lies over the others; lengths in mm."""

    label: str
    style: str
    differs: float | None
    """The most by which half the tooth's width differs from the first one's at the same depth [mm]; None: the first."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """The drawing and what its lines are."""

    svg: str
    lines: tuple[Laid, ...]


def overlay(rings: Sequence[tuple[str, RingGeometry]]) -> Overlay | None:
    """The teeth of up to four rings, tip on tip and middle on middle; None when none of them has a tooth to draw."""
    drawn = [(label, tooth) for label, ring in rings[: len(STYLES)] if (tooth := _tip_up(ring)) is not None]
    if not drawn:
        return None
    across = 1.06 * max(float(np.ptp(tooth[:, 0])) for _label, tooth in drawn)
    deep = 1.10 * max(float(tooth[:, 1].max()) for _label, tooth in drawn)
    scale = _WIDE / across
    tall = deep * scale + 44
    paths = []
    for style, (_label, tooth) in reversed(list(zip(STYLES, drawn, strict=False))):
        at = np.column_stack([_WIDE / 2 + tooth[:, 0] * scale, 26 + tooth[:, 1] * scale])
        paths.append(f'<path class="{style}" d="M' + "L".join(f"{x:.1f},{y:.1f}" for x, y in at) + '"/>')
    first = drawn[0][1]
    lines = tuple(
        Laid(label, style, None if i == 0 else _differs(first, tooth))
        for i, (style, (label, tooth)) in enumerate(zip(STYLES, drawn, strict=False))
    )
    said = _("Tooth of {names}, laid tip on tip", names=", ".join(line.label for line in lines))
    svg = (
        f'<svg viewBox="0 0 {_WIDE:.0f} {tall:.0f}" role="img" aria-label="{escape(said)}">'
        f'<path class="cl" d="M{_WIDE / 2:.1f},4V{tall - 22:.1f}"/>{"".join(paths)}'
        f"{length_bar(scale, _WIDE, 8, tall - 8, 8)}</svg>"
    )
    return Overlay(svg, lines)


def _tip_up(ring: RingGeometry) -> Array | None:
    """One tooth as (across, depth below the tip) [mm], for teeth that look out as for those that look in."""
    try:
        tooth = tooth_outline(ring)
    except Refusal:
        return None
    sense = -1.0 if ring.kind == "internal" else 1.0
    return np.column_stack([tooth[:, 0], sense * (ring.d_a / 2 - tooth[:, 1])])


def _half_width(tooth: Array, depth: Array) -> Array:
    """Half the tooth's width at depths below the tip, from its right half [mm]."""
    right = tooth[tooth[:, 0] > 0]
    order = np.argsort(right[:, 1], kind="stable")
    return np.asarray(np.interp(depth, right[order, 1], right[order, 0]), dtype=np.float64)


def _differs(first: Array, other: Array) -> float:
    """Along the middle three quarters of the common depth, where an instrument reaches the flanks [mm]."""
    depth = np.linspace(0.1, 0.85, 60) * min(first[:, 1].max(), other[:, 1].max())
    return float(np.abs(_half_width(first, depth) - _half_width(other, depth)).max())


@dataclass(frozen=True, slots=True)
class Trail:
    """How the odds of one ring went, reading by reading; ``told`` is false where it was not told apart from others."""

    label: str
    odds: tuple[float, ...]
    told: tuple[bool, ...]


def trail_svg(trails: Sequence[Trail], first: int = 1) -> str:
    """Odds (0 to 1, upward) over the readings from ``first`` on, one line a ring; hollow where it is not told apart."""
    n = len(trails[0].odds)
    left, right, top, low = 62.0, _WIDE - 20, 14.0, 200.0
    step = (right - left) / max(1, n - 1)

    def at(i: int, p: float) -> tuple[float, float]:
        return left + i * step, low - p * (low - top)

    parts = [
        f'<path class="rim" d="M{left},{top}V{low}H{right}"/>',
        *(
            f'<path class="cl" d="M{left},{at(0, p)[1]:.1f}H{right}"/>'
            f'<text class="s upto" x="{left - 8}" y="{at(0, p)[1] + 5:.1f}">{p * 100:.0f}</text>'
            for p in (0.5, 1.0)
        ),
        *(f'<text class="s" x="{at(i, 0)[0]:.1f}" y="{low + 22}">{i + first}</text>' for i in range(n)),
    ]
    for style, trail in reversed(list(zip(STYLES, trails, strict=False))):
        points = [at(i, p) for i, p in enumerate(trail.odds)]
        parts.append(f'<path class="{style}" d="M' + "L".join(f"{x:.1f},{y:.1f}" for x, y in points) + '"/>')
        for (x, y), told in zip(points, trail.told, strict=True):
            parts.append(f'<circle class="{"scr-ink" if told else "open-ink"}" cx="{x:.1f}" cy="{y:.1f}" r="5"/>')
    said = "; ".join(
        _("{label}: {odds} in 100", label=t.label, odds=", ".join(f"{100 * p:.0f}" for p in t.odds)) for t in trails
    )
    return f'<svg viewBox="0 0 {_WIDE:.0f} 232" role="img" aria-label="{escape(said)}">{"".join(parts)}</svg>'


def sample_svg(style: str) -> str:
    """A short piece of the line, for the list beside the drawing."""
    return f'<svg class="sample" viewBox="0 0 64 12" aria-hidden="true"><path class="{style}" d="M2,6H62"/></svg>'
