"""The drawings of one way of dividing, the same for page and paper: its plate or its dial, its train."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ringwright.job.document import JobDocument
from ringwright.job.sheet import RoundSheet
from ringwright.paper.blocks import Drawing
from ringwright.paper.dial_drawing import dial_svg, dial_words, has_dial
from ringwright.paper.dividing_drawing import STYLE, has_plate, plate_svg, plate_words, record
from ringwright.paper.train_drawing import train_svg, train_words


def drawings_of(way: Any, *, style: str = STYLE) -> tuple[Drawing, ...]:
    """Plate or dial, and train, of a way that `divide` gave; ``style`` "" for a page that has its own."""
    known: Mapping[str, Any] = record(way)
    found = []
    if has_plate(known):
        said = plate_words(known)
        found.append(Drawing(plate_svg(known, style=style), said, said))
    elif has_dial(known):
        said = dial_words(known)
        found.append(Drawing(dial_svg(known, style=style), said, said))
    if known.get("gears"):
        said = train_words(known["gears"], known.get("idler_gears"))
        found.append(Drawing(train_svg(known["gears"], known.get("idler_gears"), style=style), said, said))
    return tuple(found)


def drawings_of_round(job: JobDocument, sheet: RoundSheet) -> tuple[Drawing, ...]:
    """The drawings of a round's way, where its plan still is the one that was frozen into the sheet."""
    for plan in job.set_out.rounds:
        if (plan.round_id, plan.revision) == (sheet.round_id, sheet.revision) and plan.way:
            return drawings_of(plan.way)
    return ()
