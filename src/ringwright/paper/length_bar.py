"""A bar of a round length, to compare a drawing to scale with."""

from __future__ import annotations

_LENGTHS = (50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1)


def length_bar(scale: float, wide: float, x: float, y: float, gap: float) -> str:
    """SVG of the longest round length within three tenths of a drawing ``wide`` units wide, ``scale`` units a mm.

    It starts at (x, y); its figure stands ``gap`` behind it.
    """
    length = next((s for s in _LENGTHS if s * scale <= 0.3 * wide), _LENGTHS[-1])
    bar = length * scale
    return (
        f'<path class="thin" d="M{x:.0f},{y - 5:.1f}v10M{x:.0f},{y:.1f}h{bar:.1f}m0,-5v10"/>'
        f'<text class="s from" x="{x + bar + gap:.1f}" y="{y + 5:.1f}">{length:g} mm</text>'
    )
