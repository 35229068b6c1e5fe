"""Change gears as a drawing: pitch circles to one scale, tooth counts, who meshes with whom, which turns which way.

SVG, shared by pages and papers, made from the ``gears`` of a way that `divide` answers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import Any

from ringwright.paper.dividing_drawing import Point, arc_arrow, line_of, place_at, record, sheet, text_at
from ringwright.words import _

#: Teeth with which an idler is drawn that only fills the gap.
_IDLER = 40
#: Width of a letter of the labels, about, in drawing units.
_LETTER = 10.2


@dataclass(frozen=True, slots=True)
class _Gear:
    """A gear of the train: teeth, its shaft's place in the row, what it is called, whether any size serves."""

    teeth: int
    shaft: int
    word: str
    any_size: bool = False
    front: bool = True


def _row(gears: Mapping[str, Any], idlers: Sequence[int] | None) -> list[_Gear]:
    """The gears from the spindle to the worm shaft."""
    count = int(gears.get("idlers") or 0)
    sizes = list(idlers or ())[:count]
    between = [(n, False) for n in sizes] + [(_IDLER, True)] * (count - len(sizes))
    row = [_Gear(int(gears["spindle"]), 0, _("spindle"))]
    shaft = 1
    if gears.get("stud_meshing_spindle"):
        row[0] = _Gear(row[0].teeth, 0, row[0].word, front=False)
        row.append(_Gear(int(gears["stud_meshing_spindle"]), 1, _("stud"), front=False))
        row.append(_Gear(int(gears["stud_meshing_worm"]), 1, _("stud")))
        shaft = 2
    for n, any_size in between:
        row.append(_Gear(n, shaft, _("idler"), any_size))
        shaft += 1
    row.append(_Gear(int(gears["worm"]), shaft, _("worm shaft")))
    return row


def _places(row: Sequence[_Gear]) -> list[float]:
    """How far each shaft stands from the spindle, in modules, the gears in mesh touching at their pitch circles."""
    at = [0.0]
    for one, next_ in pairwise(row):
        if next_.shaft > one.shaft:
            at.append(at[-1] + (one.teeth + next_.teeth) / 2)
    return at


def _toothed(teeth: int, centre: Point, k: float, phase: float) -> list[Point]:
    """The outline of a gear drawn to scale, k drawing units a module, a tooth's middle at ``phase`` [turns]."""
    r, points = teeth * k / 2, []
    for n in range(teeth):
        for off, high in ((-0.32, -1.1), (-0.13, 0.95), (0.13, 0.95), (0.32, -1.1)):
            x, y = place_at(phase + (n + off) / teeth, r + high * k)
            points.append((centre[0] + x, centre[1] + y))
    return points


def train_svg(gears: Any, idlers: Sequence[int] | None = None, *, style: str = "", width: float = 400.0) -> str:
    """The train from spindle to worm shaft, pitch circles to one scale, every gear's teeth, sense and neighbours.

    The gear that the spindle's meshes with lies in the back plane of the stud, the one that drives the worm in front.
    """
    gears = record(gears)
    row = _row(gears, idlers)
    shafts = _places(row)
    left = max(row[0].teeth / 2, *(g.teeth / 2 - shafts[g.shaft] for g in row))
    right = max(shafts[g.shaft] + g.teeth / 2 for g in row)
    tall = max(g.teeth for g in row)
    k = min(width / (left + right + 3), 240 / (tall + 3))
    parts: list[str] = []
    words: list[str] = []
    phase = 0.25
    drawn = []
    for n, g in enumerate(row):
        if n and g.shaft > row[n - 1].shaft:  # a tooth of one in a gap of the other on the line of centres
            phase = 0.75 + (0.5 + (0.25 - phase) * row[n - 1].teeth) / g.teeth
        centre = ((left + shafts[g.shaft]) * k, 0.0)
        drawn.append((g, centre, phase))
        if n + 1 < len(row) and row[n + 1].shaft == g.shaft:
            phase = 0.25
    for g, centre, turned in sorted(drawn, key=lambda d: d[0].front):
        parts.append(_gear(g, centre, k, turned))
    middles = [(left + x) * k for x in shafts]
    reach, ends = 0.0, [0.0, (left + right) * k]
    for shaft, x in enumerate(middles):
        on = [g for g in row if g.shaft == shaft]
        said = [f"{_('any') if g.any_size else g.teeth} {g.word}" for g in on]
        half = max(len(text) for text in said) * _LETTER / 2
        off = _clear_of([(middles[g.shaft], (g.teeth / 2 + 1) * k) for g in row], x, half) + 15
        words += _labels(said, x, off, shaft % 2 == 1)
        reach, ends = max(reach, off + 19 * len(on)), [min(ends[0], x - half), max(ends[1], x + half)]
    middle, wide = sum(ends) / 2, max(width, ends[1] - ends[0]) + 12
    return sheet(
        train_words(gears, idlers), "train", (middle - wide / 2, -reach, wide, 2 * reach), [*parts, *words], style
    )


def _clear_of(circles: Sequence[tuple[float, float]], x: float, half: float) -> float:
    """How far from the line of centres a word at x, ``half`` wide to each side, is clear of every gear."""
    return max(sqrt(max(0.0, r * r - max(0.0, abs(x - at) - half) ** 2)) for at, r in circles)


def _labels(said: Sequence[str], x: float, off: float, up: bool) -> list[str]:
    """Teeth and place of the gears on one shaft, above or below them, one line each."""
    lines = list(reversed(said)) if up else list(said)
    return [text_at("nb", (x, (-1 if up else 1) * (off + 19 * n)), text) for n, text in enumerate(lines)]


def _gear(g: _Gear, centre: Point, k: float, phase: float) -> str:
    x, y = centre
    r = g.teeth * k / 2
    sense = 1 if g.shaft % 2 == 0 else -1
    name = "face loose" if g.any_size else "face"
    arrow = arc_arrow(max(11.0, r * 0.72), -0.11 * sense, 0.11 * sense) if g.front or r > 40 else ""
    return (
        f'<path class="{name}" d="{line_of(_toothed(g.teeth, centre, k, phase), True)}"/>'
        f'<circle class="cl" cx="{x:.1f}" cy="{y:.1f}" r="{r:.2f}"/>'
        f'<circle class="thin" cx="{x:.1f}" cy="{y:.1f}" r="{min(5.0, r / 5):.1f}"/>'
        f'<g transform="translate({x:.1f} {y:.1f})">{arrow}</g>'
    )


def train_words(gears: Any, idlers: Sequence[int] | None = None) -> str:
    """Who meshes with whom and what turns which way, in words."""
    gears = record(gears)
    row = _row(gears, idlers)
    said = []
    for one, next_ in pairwise(row):
        names = [_("idler, any size") if g.any_size else f"{g.teeth} ({g.word})" for g in (one, next_)]
        if one.shaft == next_.shaft:
            said.append(_("{a} turns with {b} on one stud.", a=names[0], b=names[1]))
        else:
            said.append(_("{a} meshes with {b}.", a=names[0], b=names[1]))
    with_it = gears["plate_turns"] == "with"
    said.append(_("The plate turns with the crank.") if with_it else _("The plate turns against the crank."))
    return " ".join(said)
