"""A plate to make as files: a list for the readout (CSV), a drilling template to scale (SVG), a drawing (DXF)."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import pi
from typing import Protocol

from ringwright.words import _


class Hole(Protocol):
    """One hole as the answer has it."""

    @property
    def hole(self) -> int: ...
    @property
    def angle_deg(self) -> float: ...
    @property
    def x_mm(self) -> float: ...
    @property
    def y_mm(self) -> float: ...
    @property
    def set_x_mm(self) -> float: ...
    @property
    def set_y_mm(self) -> float: ...
    @property
    def mark(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Plate:
    """What the files need: the holes, the circle, the title; lengths in mm."""

    holes: Sequence[Hole]
    radius: float
    diameter: float
    centre: tuple[float, float]
    notches: bool
    decimals: int
    title: str

    @property
    def rim(self) -> float:
        """Radius of the plate as drawn: beyond the holes by their diameter, or through the notches' middles."""
        return self.radius if self.notches else self.radius + self.diameter + 2.0

    @property
    def letter(self) -> float:
        """Height of the stamped numbers: as large as fits beside the next one, 8 mm at most."""
        marked = [h.hole for h in self.holes if h.mark]
        apart = 2 * pi * self.radius / max(1, len(marked))
        return max(1.5, min(8.0, self.radius / 13, 0.36 * apart))


def csv_text(plate: Plate) -> str:
    """One line a hole: number, angle, place exact and as set, mark."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["hole", "angle_deg", "x_mm", "y_mm", "set_x_mm", "set_y_mm", "mark"])
    for h in plate.holes:
        exact = [f"{v:.6f}" for v in (h.angle_deg, h.x_mm, h.y_mm)]
        as_set = [f"{v:.{plate.decimals}f}" for v in (h.set_x_mm, h.set_y_mm)]
        writer.writerow([h.hole, *exact, *as_set, h.mark])
    return out.getvalue()


#: Of a template that stands alone: black on white.
STYLE = (
    ".vis{fill:none;stroke:#000;stroke-width:.35}.cl{fill:none;stroke:#000;stroke-width:.13;"
    "stroke-dasharray:4 .8 .6 .8}.thin{fill:none;stroke:#000;stroke-width:.18}"
    "text{font-family:B612,sans-serif;text-anchor:middle;fill:#000}"
)


def svg_text(plate: Plate, *, style: str = STYLE) -> str:
    """The plate as drilled, 1 : 1 in mm, seen on the face that is drilled; +x to the right, +y up.

    Every centre has its cross; marked holes carry their number, hole 0 a second ring.
    """
    (cx, cy), r, size = plate.centre, plate.diameter / 2, plate.rim + 9.0
    letter = plate.letter
    parts = [f'<circle class="cl" r="{plate.radius:.4f}"/>']
    parts.append(f'<circle class="{"thin" if plate.notches else "vis"}" r="{plate.rim:.4f}"/>')
    parts.append(f'<path class="cl" d="M{-size:.2f},0H{size:.2f}M0,{-size:.2f}V{size:.2f}"/>')
    inside = plate.radius - r - 1.0 - letter
    for h in plate.holes:
        x, y = h.x_mm - cx, cy - h.y_mm
        parts.append(f'<circle class="vis" cx="{x:.4f}" cy="{y:.4f}" r="{r:.4f}"/>')
        parts.append(f'<path class="thin" d="M{x - r / 2:.4f},{y:.4f}h{r:.4f}M{x:.4f},{y - r / 2:.4f}v{r:.4f}"/>')
        if h.hole == 0:
            parts.append(f'<circle class="thin" cx="{x:.4f}" cy="{y:.4f}" r="{r + 0.8:.4f}"/>')
        if h.mark:
            k = inside / plate.radius
            place = f'x="{x * k:.3f}" y="{y * k + letter * 0.36:.3f}" font-size="{letter:.2f}"'
            parts.append(f"<text {place}>{escape(h.mark)}</text>")
    box = f"{-size:.3f} {-size:.3f} {2 * size:.3f} {2 * size:.3f}"
    inner = f"<style>{style}</style>" if style else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="template" width="{2 * size:.3f}mm" height="{2 * size:.3f}mm" '
        f'viewBox="{box}" role="img" aria-label="{escape(plate.title, quote=True)}">{inner}{"".join(parts)}</svg>'
    )


def dxf_text(plate: Plate) -> str:
    """The plate as DXF in mm, exact places in the readout's frame: circles, centre points, marks, the hole circle."""
    from ezdxf import units
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.filemanagement import new

    document = new("R2010", units=units.MM)
    for name, line in (("OUTLINE", "CONTINUOUS"), ("HOLES", "CONTINUOUS"), ("CENTRES", "CONTINUOUS")):
        document.layers.add(name, linetype=line)
    document.layers.add("HOLE_CIRCLE")
    document.layers.add("MARKS")
    space = document.modelspace()
    (cx, cy), letter = plate.centre, plate.letter
    space.add_circle((cx, cy), plate.radius, dxfattribs={"layer": "HOLE_CIRCLE"})
    space.add_circle((cx, cy), plate.rim, dxfattribs={"layer": "OUTLINE"})
    inside = (plate.radius - plate.diameter / 2 - 1.0 - letter) / plate.radius
    for h in plate.holes:
        space.add_circle((h.x_mm, h.y_mm), plate.diameter / 2, dxfattribs={"layer": "HOLES"})
        space.add_point((h.x_mm, h.y_mm), dxfattribs={"layer": "CENTRES"})
        if h.mark:
            at = (cx + (h.x_mm - cx) * inside, cy + (h.y_mm - cy) * inside)
            text = space.add_text(h.mark, height=letter, dxfattribs={"layer": "MARKS"})
            text.set_placement(at, align=TextEntityAlignment.MIDDLE_CENTER)
    out = io.StringIO()
    document.write(out)
    return out.getvalue()


def title(count: int, radius: float, diameter: float) -> str:
    """What the files show, in words."""
    return _("{n} holes of {d:g} mm on a radius of {r:g} mm, hole 0 ringed", n=count, d=diameter, r=round(radius, 4))
