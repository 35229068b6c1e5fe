"""A way of dividing on a page: its drawings, and the place of every tooth with a box to tick."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from ringwright.paper.way_drawings import drawings_of
from ringwright.web.pages import number


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing and what it shows in words."""

    svg: Markup
    words: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where the device stands at one tooth, as it is set."""

    tooth: int
    turns: str
    setting: str
    spindle: str


def pictures(way: Any) -> tuple[Picture, ...]:
    """The drawings of a way that `divide` gave."""
    return tuple(Picture(Markup(d.svg), d.caption) for d in drawings_of(way, style=""))


def places(rows: Iterable[Any] | None) -> tuple[Place, ...]:
    """The rows of a way's table."""
    found = []
    for row in rows or ():
        setting = str(row.dial) if row.dial is not None else "–" if row.hole is None else str(row.hole)
        found.append(Place(row.tooth, str(row.turns), setting, number(row.spindle_deg, 3)))
    return tuple(found)
