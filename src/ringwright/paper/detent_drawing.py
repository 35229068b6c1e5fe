"""A detent in its tooth space as a drawing, enlarged and true to the flanks. SVG, shared by pages and papers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import cos, pi, radians, sin, tan
from typing import Any

from ringwright.paper.dividing_drawing import Point, line_of, record, sheet


def detent_svg(outline: Sequence[Point], detent: Any, seat: Any, kind: str, teeth: int, *, style: str = "") -> str:
    """A detent in its space, enlarged and true: ``outline`` is one tooth, centred on +y [mm], of a spur ring."""
    detent, seat = record(detent), record(seat)
    s = 1 if kind == "external" else -1
    Y = seat["nose_diameter_mm"] / 2
    pitch = 2 * pi / teeth
    scale = 190.0 / (pitch * Y)
    turned = seat.get("turned_um", 0.0) / 1000 / Y if detent["shape"] == "pawl" else 0.0

    def place(x: float, y: float) -> Point:
        return x * scale, -(y - Y) * scale

    parts = []
    for side in (-1, 1):
        a = side * pitch / 2 + turned
        points = [place(x * cos(a) + y * sin(a), -x * sin(a) + y * cos(a)) for x, y in outline]
        parts.append(f'<path class="metal" d="{line_of(points)}"/>')
    ys = [place(0, y)[1] for _x, y in outline]
    low, high = min(ys), max(ys)
    across = (detent["diameter_mm"] or 0.0) * scale
    top = min(low - 70, -across - 14) if s > 0 else low - 30
    high = max(high, 40 if s > 0 else across - 10)
    parts.append(f'<path class="cl" d="M0,{low - 70:.1f}V{high + 30:.1f}"/>')
    parts.append(_detent_shape(detent, s, scale))
    r, beside = seat["contact_diameter_mm"] / 2, seat["contact_beside_mm"]
    y = (r * r - beside * beside) ** 0.5
    sides = {"plus_flank": (1,), "minus_flank": (-1,)}.get(seat["touches"], (1, -1))
    for side in sides:
        at = place(beside if len(sides) == 1 else side * beside, y)
        parts.append(f'<circle class="cur" cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="5"/>')
    return sheet(seat["says"], "detent", (-215, top, 430, high + 34 - top), parts, style)


def _detent_shape(detent: Mapping[str, Any], s: int, scale: float) -> str:
    """The detent, its nose at the origin."""
    if detent["shape"] in ("ball", "pin"):
        r = detent["diameter_mm"] / 2 * scale
        return f'<circle class="tool" cx="0" cy="{-s * r:.2f}" r="{r:.2f}"/>'
    nose, run = (detent["nose_mm"] or 0.0) / 2 * scale, 190.0
    if detent["shape"] == "wedge":
        out = nose + run * tan(radians(detent["included_angle_deg"] / 2))
        return f'<path class="tool" d="{line_of([(nose, 0), (out, -s * run), (-out, -s * run), (-nose, 0)], True)}"/>'
    side = 1 if detent["bears_on"] == "plus" else -1
    out = nose + run * tan(radians(detent["face_angle_deg"]))
    points = [(side * nose, 0.0), (side * out, -s * run), (-side * 12, -s * run), (-side * 12, -s * 20), (0.0, 0.0)]
    return f'<path class="tool" d="{line_of(points, True)}"/>'
