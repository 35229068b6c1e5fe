"""The dial of a dividing device as a drawing: where it stands at tooth 1 and where at tooth 2. SVG, page and paper."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import Any

from ringwright.paper.dividing_drawing import (
    HUB,
    PIN_R,
    arc_arrow,
    hub_words,
    line_of,
    place_at,
    record,
    sheet,
    text_at,
)
from ringwright.words import _

#: What a graduation may stand for [minutes of arc of the spindle], fine to coarse.
_GRADUATIONS = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1800, 3600)


def has_dial(way: Any) -> bool:
    """Whether this way is set by a dial."""
    known = record(way)
    return bool(known["move"].get("dial")) and known.get("ratio") is not None


def _turn_minutes(way: Any) -> Fraction:
    """What one turn of the crank turns the spindle [minutes of arc]."""
    return Fraction(21_600) / Fraction(str(way["ratio"]))


def _graduation(turn: Fraction, most: int) -> int:
    """The finest graduation of which no more than ``most`` go round."""
    return next((g for g in _GRADUATIONS if turn / g <= most), _GRADUATIONS[-1])


def _said(minutes: int) -> str:
    deg, rest = divmod(minutes, 60)
    return f"{deg}°" if rest == 0 else f"{deg}°{rest:02d}′" if deg else f"{rest}′"


def _reading(way: Any) -> Fraction:
    """The reading at tooth 2 within one turn [minutes of arc]."""
    dial = way["move"]["dial"]
    return Fraction(dial["deg"] * 60 + dial["min"]) + Fraction(str(dial["sec"])) / 60


def _scale(turn: Fraction) -> Iterator[str]:
    label, fine = _graduation(turn, 12), _graduation(turn, 130)
    marks = []
    for n in range(ceil(turn / fine)):
        at = float(n * fine / turn)
        long = (n * fine) % label == 0
        marks.append(line_of([place_at(at, PIN_R), place_at(at, PIN_R - (18 if long else 9))]))
        if long:
            yield text_at("s", place_at(at, PIN_R - 33), _said(n * fine))
    yield f'<path class="thin" d="{"".join(marks)}"/>'


def _needle(name: str, turn: float) -> str:
    half = 0.011
    corners = [place_at(turn, PIN_R + 2), place_at(turn - half, PIN_R + 19), place_at(turn + half, PIN_R + 19)]
    return f'<path class="{name}" d="{line_of(corners, True)}"/>'


def dial_svg(way: Any, *, style: str = "") -> str:
    """The dial of one turn of the crank, graduated; a full triangle at tooth 1, an open one at tooth 2."""
    way = record(way)
    turn = _turn_minutes(way)
    share = float(_reading(way) / turn)
    parts = [f'<circle class="vis" r="{PIN_R:.1f}"/>', *_scale(turn)]
    parts += [f'<circle class="face" r="{HUB:.1f}"/>', *hub_words(int(way["move"]["turns"]))]
    if share > 0:
        parts += [arc_arrow(PIN_R - 74, 0.0, share), _needle("cur", share)]
        parts.append(text_at("nb", place_at(share, PIN_R + 31), "2"))
    parts += [_needle("scr", 0.0), text_at("nb", place_at(0.0, PIN_R + 31), "1")]
    side = PIN_R + 44
    return sheet(dial_words(way), "plate", (-side, -side, 2 * side, 2 * side), parts, style)


def dial_words(way: Any) -> str:
    """What it shows, in words."""
    way = record(way)
    dial = way["move"]["dial"]
    reading = f"{dial['deg']}° {dial['min']:02d}′ {dial['sec']:g}″"
    return _(
        "Dial at nought for tooth 1, at {reading} for tooth 2; then by the list, each reading by itself.",
        reading=reading,
    )
