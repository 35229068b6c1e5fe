"""The dividing plate as a drawing: the pin in its hole, the arms set, the next hole, the spaces between.

SVG, shared by pages and papers, made from what `divide` answers (as a record or as the JSON kept in a job). Seen from
the front of the head, the crank turning clockwise. The hole the pin is in is hole 0 and is not counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from math import cos, pi, sin
from typing import Any

from ringwright.paper.drawing import PAPER_STYLE
from ringwright.words import _, ngettext_

#: Radius of the pin's circle, of the stop pin's circle inside or outside it, and of the hub, in drawing units.
PIN_R, STOP_R, HUB = 150.0, 92.0, 45.0
#: Circles of more holes get pointers at the pin's hole and the next one.
_FINE = 60
#: For a drawing that stands alone on paper.
STYLE = (
    PAPER_STYLE + ".face{fill:#fff;stroke:#000;stroke-width:1.3;stroke-linejoin:round}.loose{stroke-dasharray:4 2.5}"
    ".metal{fill:none;stroke:#000;stroke-width:1.6}.tool{fill:none;stroke:#000;stroke-width:1.2}"
    ".way{fill:none;stroke:#000;stroke-width:1.6}.tip{fill:#000}.big{font-size:22px;font-weight:700}"
    ".nb{font-size:18px;font-weight:700}.s{font-size:16px}"
)
Point = tuple[float, float]


def record(given: Any) -> Mapping[str, Any]:
    """An answer's part as plain data, whichever way it came."""
    return given if isinstance(given, Mapping) else given.model_dump(mode="json")


def place_at(turn: float, r: float) -> Point:
    """A place at so many turns clockwise from the top."""
    return r * sin(2 * pi * turn), -r * cos(2 * pi * turn)


def line_of(points: Iterable[Point], close: bool = False) -> str:
    return "M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in points) + ("Z" if close else "")


def sheet(label: str, name: str, box: Sequence[float], parts: Iterable[str], style: str) -> str:
    view = " ".join(f"{v:.1f}" for v in box)
    inside = f"<style>{style}</style>" if style else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="{view}" role="img" '
        f'aria-label="{escape(label, quote=True)}">{inside}{"".join(parts)}</svg>'
    )


def text_at(name: str, at: Point, said: str) -> str:
    return f'<text class="{name}" x="{at[0]:.1f}" y="{at[1] + 5:.1f}">{escape(said)}</text>'


def arc_arrow(r: float, start: float, end: float, name: str = "way") -> str:
    """An arc with an arrow head at its end, from one place to another in turns; against the clock when end < start."""
    sense = 1 if end >= start else -1
    head = min(0.024 * 150 / r, abs(end - start) * 0.45)
    stop = end - sense * head
    steps = max(2, int(abs(stop - start) * 120))
    body = [place_at(start + (stop - start) * i / steps, r) for i in range(steps + 1)]
    half = 5.5 if abs(end - start) * 2 * pi * r > 16 else 3.5
    tip = [place_at(end, r), place_at(stop, r + half), place_at(stop, r - half)]
    return f'<path class="{name}" d="{line_of(body)}"/><path class="tip" d="{line_of(tip, True)}"/>'


# -- the plate --------------------------------------------------------------------------------------------------------


def has_plate(way: Any) -> bool:
    """Whether this way uses a circle of holes."""
    move = record(way)["move"]
    return bool(move.get("circle")) and record(way)["method"] != "from_teeth"


def _hole_radius(C: int, r: float) -> float:
    return max(0.9, min(7.0, 0.3 * 2 * pi * r / C))


def _numbers(C: int, marked: set[int]) -> list[int]:
    """Which holes get their number: the marked ones, and every fifth (tenth, fiftieth) that stays clear of them."""
    step = 5 if C <= 72 else 10 if C <= 160 else 50
    room = max(1, round(C * 0.05))
    clear = [n for n in range(0, C, step) if all(min((n - m) % C, (m - n) % C) > room for m in marked)]
    return sorted(marked) + clear


def _circle(C: int, r: float, start: float, marked: set[int], label_r: float) -> list[str]:
    """One circle of holes, hole 0 at ``start`` turns, numbers at ``label_r``; marked holes are left to the caller."""
    hole = _hole_radius(C, r)
    parts = [f'<circle class="cl" r="{r:.1f}"/>']
    for n in range(C):
        if n not in marked:
            x, y = place_at(start + n / C, r)
            parts.append(f'<circle class="face" cx="{x:.2f}" cy="{y:.2f}" r="{hole:.2f}"/>')
    aside = _aside(C, max(marked), label_r)
    for n in _numbers(C, marked):
        at = start + n / C + (aside if n == max(marked) else -aside if n in marked else 0.0)
        room = label_r + 4.5 * (len(str(n)) - 1) * abs(
            sin(2 * pi * at)
        )  # a wide number beside the rim stands further out
        parts.append(text_at("nb" if n in marked else "s", place_at(at, room), str(n)))
    return parts


def _aside(C: int, h: int, r: float) -> float:
    """Turns by which the numbers of hole 0 and hole h give way to each other on a fine circle."""
    if h == 0:
        return 0.0
    wanted = 6 * (1 + len(str(h))) + 6
    lack = wanted - 2 * pi * r * min(h, C - h) / C
    return (1 if 2 * h <= C else -1) * max(0.0, lack) / 2 / (2 * pi * r)


def _arm(turn: float, far: bool, reach: float) -> str:
    """One sector arm: a blade whose bevelled edge lies at ``turn``; the body behind it, away from the other arm."""
    back = 0.022 if far else -0.022
    edge, heel = place_at(turn, reach), place_at(turn + back * 0.35, reach)
    near = [place_at(turn + back * HUB * 0.0, HUB), place_at(turn + back * 2.6, HUB)]
    return f'<path class="face" d="{line_of([near[0], edge, heel, near[1]], True)}"/>'


def _marked_hole(name: str, C: int, n: int, r: float, start: float, grow: float) -> str:
    x, y = place_at(start + n / C, r)
    size = min(_hole_radius(C, r) * grow + 1.4, max(2.2, 2.6 * r / C))  # never into the neighbour or the arm
    return f'<circle class="{name}" cx="{x:.2f}" cy="{y:.2f}" r="{size:.2f}"/>'


def plate_svg(way: Any, *, style: str = "") -> str:
    """The plate as set: the pin in hole 0 on top, the next hole ringed, the arms round both, the spaces between.

    With two circles the stop pin's hole and its next one are shown too, at the bottom.
    """
    way = record(way)
    move = way["move"]
    C, h, turns = int(move["circle"]), int(move["holes"]), int(move["turns"])
    second = move.get("second")
    marked = {0, h % C}
    rim = PIN_R + 14
    parts = [f'<circle class="vis" r="{rim:.1f}"/>']
    parts += _circle(C, PIN_R, 0.0, marked, rim + 19)
    if second:
        parts += _stop_pin(int(second["circle"]), int(second["holes"]))
    if h and way.get("arms"):
        gap = 0.5 / C
        parts += [_arm(-gap, False, PIN_R + 6), _arm(h / C + gap, True, PIN_R + 6)]
    parts.append(f'<circle class="face" r="{HUB:.1f}"/>')
    if h:
        inner = PIN_R - _hole_radius(C, PIN_R) - 11
        parts.append(arc_arrow(inner, 0.0, h / C))
        parts.append(_spaces(h, C, inner - (17 if second else 11 + 5 * len(str(h))), "nb" if second else "big"))
        parts.append(_marked_hole("cur", C, h % C, PIN_R, 0.0, 1.25))
    parts.append(_marked_hole("scr", C, 0, PIN_R, 0.0, 1.0))
    if C > _FINE:
        parts += [_pointer("scr", 0.0, rim), *([_pointer("cur", h / C, rim)] if h else [])]
    parts += hub_words(turns)
    side = rim + 42
    return sheet(plate_words(way), "plate", (-side, -side, 2 * side, 2 * side), parts, style)


def _pointer(name: str, turn: float, rim: float) -> str:
    """A triangle on the rim that points at a hole too small to be seen from two metres."""
    half = 6 / (2 * pi * rim)
    corners = [place_at(turn, rim - 7), place_at(turn - half, rim + 4), place_at(turn + half, rim + 4)]
    return f'<path class="{name}" d="{line_of(corners, True)}"/>'


def _spaces(h: int, C: int, r: float, name: str) -> str:
    """The number of spaces inside the arrow's middle."""
    return text_at(name, place_at(max(h / C / 2, 0.045), r), str(h))


def hub_words(turns: int) -> list[str]:
    """How many full turns go first, in the middle."""
    if turns == 0:
        return [text_at("s", (0, -8), _("no full")), text_at("s", (0, 9), _("turn"))]
    word = ngettext_("{n} full turn", "{n} full turns", turns).split(" ", 1)
    return [text_at("big", (0, -7), word[0]), *(text_at("s", (0, 12), part) for part in word[1:])]


def _stop_pin(C: int, b: int) -> list[str]:
    """The second circle: the stop pin's hole at the bottom and where plate and pin go together."""
    marked = {0, b % C}
    parts = [f'<circle class="cl" r="{STOP_R:.1f}"/>']
    hole = min(4.2, _hole_radius(C, STOP_R))
    for n in range(C):
        if n not in marked:
            x, y = place_at(0.5 + n / C, STOP_R)
            parts.append(f'<circle class="face" cx="{x:.2f}" cy="{y:.2f}" r="{hole:.2f}"/>')
    parts.append(_marked_hole("cur", C, b % C, STOP_R, 0.5, 1.0))
    parts.append(_marked_hole("tip", C, 0, STOP_R, 0.5, 0.7))
    parts.append(arc_arrow(STOP_R - 15, 0.5, 0.5 + b / C))
    middle = 0.5 + b / C / 2
    parts.append(text_at("nb", place_at(middle, STOP_R - 31), str(abs(b))))
    return parts


def plate_words(way: Any) -> str:
    """What the drawing shows, in words, for those who cannot see it and as the caption."""
    way = record(way)
    move = way["move"]
    C, h, second, arms = int(move["circle"]), int(move["holes"]), move.get("second"), way.get("arms")
    said = [_("{circle} circle: pin in hole 0, which is not counted.", circle=C)]
    if way.get("start_hole") is not None:
        said.append(_("Hole 0 is the plate’s own hole {n}.", n=way["start_hole"]))
    if h and arms:
        facts = {"spaces": _count(h), "to": h % C, "holes": arms["holes"]}
        said.append(_("{spaces} on is hole {to}; the arms hold {holes} holes.", **facts))
    elif h:
        said.append(_("{spaces} on is hole {to}.", spaces=_count(h), to=h % C))
    else:
        said.append(_("Whole turns: always the same hole."))
    if second:
        sense = _("clockwise") if second["holes"] > 0 else _("anticlockwise")
        facts = {"spaces": _count(abs(int(second["holes"]))), "sense": sense, "circle": second["circle"]}
        said.append(_("Then stop pin out, plate and crank together {spaces} {sense} on the {circle} circle.", **facts))
        if way.get("second_start_hole") is not None:
            said.append(_("The stop pin begins in that circle’s own hole {n}.", n=way["second_start_hole"]))
    return " ".join(said)


def _count(h: int) -> str:
    return ngettext_("{n} space", "{n} spaces", h)
