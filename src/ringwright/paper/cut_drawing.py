"""Sections of a tooth before and after the cut: what is left hatched, what went dashed, after ISO 128 (from memory)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from typing import Protocol

from ringwright.paper.blocks import Drawing
from ringwright.paper.drawing import PAPER_STYLE
from ringwright.paper.length_bar import length_bar
from ringwright.words import N_, _

_WIDE, _TALL, _EDGE = 420.0, 300.0, 46.0
_HATCH = 9.0
Point = tuple[float, float]

TITLES: dict[str, str] = {
    "reference": N_("Unrolled at the reference circle, entry face below"),
    "flank": N_("The flank seen square on, entry face left, tip on top"),
    "end": N_("The entry face"),
}
#: How deep into the face the drawing goes, as a multiple of the deepest cut; at least so many millimetres.
_DEEPER, _LEAST = 3.0, 3.0


class Columns(Protocol):
    """A section of `cut_shape`, lengths in mm."""

    @property
    def plane(self) -> str: ...
    @property
    def x_mm(self) -> Sequence[float]: ...
    @property
    def low_mm(self) -> Sequence[float]: ...
    @property
    def high_mm(self) -> Sequence[float]: ...
    @property
    def left_low_mm(self) -> Sequence[float]: ...
    @property
    def left_high_mm(self) -> Sequence[float]: ...


def section_svg(of: Columns, name: str, *, style: str = "") -> str:
    """One section to scale, with a length to compare; ``name`` keeps the hatch of several on a page apart.

    ``style``: for a drawing that stands alone on a paper; a page has the classes in its own style sheet.
    """
    before = _loop(of.x_mm, of.low_mm, of.high_mm)
    after = _loop(of.x_mm, of.left_low_mm, of.left_high_mm)
    if of.plane != "end":  # only the stretch that the cut can be seen in; the rest of the face goes on
        deep = min(max(of.high_mm), max(_DEEPER * max(of.left_low_mm), _LEAST))
        before, after = _cut_off(before, deep), _cut_off(after, deep)
    place, scale = _fit(of.plane, before)
    title = _(TITLES[of.plane])
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE:.0f} {_TALL:.0f}" role="img" '
        f'aria-label="{escape(title)}">{f"<style>{style}</style>" if style else ""}'
        f'<clipPath id="{name}"><path d="{_path(after, place)}Z"/></clipPath>'
        f'<path class="hid" d="{_path(before, place)}Z"/>'
        f'<path class="hatch" clip-path="url(#{name})" d="{_lines()}"/>'
        f'<path class="vis" d="{_path(after, place)}Z"/>{length_bar(scale, _WIDE, 10, _TALL - 12, 10)}</svg>'
    )


#: Lines of a section that stands alone.
STYLE = (
    PAPER_STYLE
    + ".vis{stroke-width:2}.hid{stroke-width:1.1;stroke-dasharray:6 3}.s{font-size:21px}.from{text-anchor:start}"
)


def section_drawings(sections: Sequence[Columns]) -> tuple[Drawing, ...]:
    """The sections as drawings of a paper."""
    return tuple(
        Drawing(section_svg(one, f"cut-{one.plane}", style=STYLE), _(TITLES[one.plane]), _(TITLES[one.plane]))
        for one in sections
    )


def _loop(x: Sequence[float], low: Sequence[float], high: Sequence[float]) -> list[Point]:
    kept = [(a, lo, hi) for a, lo, hi in zip(x, low, high, strict=True) if hi > lo]
    return [(a, lo) for a, lo, _hi in kept] + [(a, hi) for a, _lo, hi in reversed(kept)]


def _cut_off(loop: list[Point], deep: float) -> list[Point]:
    return [(x, min(y, deep)) for x, y in loop]


def _fit(plane: str, loop: list[Point]) -> tuple[Callable[[Point], Point], float]:
    """Where a point of the section lies on the sheet, and the scale."""

    def turned(p: Point) -> Point:
        if plane == "reference":
            return p[0], -p[1]
        return p[1], -p[0]

    points = [turned(p) for p in loop]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    scale = min((_WIDE - 2 * _EDGE) / (max(xs) - min(xs)), (_TALL - 2 * _EDGE) / (max(ys) - min(ys)))
    x0 = _WIDE / 2 - scale * (max(xs) + min(xs)) / 2
    y0 = (_TALL - 20) / 2 - scale * (max(ys) + min(ys)) / 2

    def place(p: Point) -> Point:
        x, y = turned(p)
        return x0 + scale * x, y0 + scale * y

    return place, scale


def _path(loop: list[Point], place: Callable[[Point], Point]) -> str:
    return "M" + "L".join(f"{x:.1f},{y:.1f}" for x, y in map(place, loop)) if loop else "M0,0"


def _lines() -> str:
    steps = int((_WIDE + _TALL) / _HATCH)
    return "".join(f"M{i * _HATCH:.0f},0l-{_TALL:.0f},{_TALL:.0f}" for i in range(1, steps + 1))
