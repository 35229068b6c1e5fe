"""How sure the ring is: the odds as each reading moved them, and the likely teeth laid over each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup
from pydantic import ValidationError

from ringwright.errors import Refusal
from ringwright.job.document import FindOut
from ringwright.paper import odds_drawing
from ringwright.reckon import answers, asking
from ringwright.reckon.base import Problems
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.ring import Ring
from ringwright.web.pages import in_hundred, number
from ringwright.words import _

#: Readings that the drawing of the odds goes back; each is one more answer to reckon the first time.
_BACK = 10
_LEAST = 0.005


@dataclass(frozen=True, slots=True)
class LaidLine:
    """One ring of the drawing: a piece of its line, its name, how far it is from the likeliest."""

    sample: Markup
    label: str
    odds: str
    differs: str


@dataclass(frozen=True, slots=True)
class Odds:
    """The two drawings, and what the last reading did."""

    overlay: Markup
    trail: Markup
    lines: tuple[LaidLine, ...]
    moved: str
    apart: bool


def odds(found: FindOut, answer: Any, unit: str, can_read: list[str] | None = None) -> Odds | None:
    """Both drawings for the rings that fit; None while none does."""
    likely = [c for i, c in enumerate(answer.candidates) if i == 0 or c.probability >= _LEAST][
        : len(odds_drawing.STYLES)
    ]
    if not likely:
        return None
    laid = odds_drawing.overlay([(c.label, ring) for c in likely if (ring := _geometry(c)) is not None])
    trails = _trails(found, likely, can_read)
    differs = {line.label: line.differs for line in laid.lines} if laid is not None else {}
    lines = tuple(
        LaidLine(
            Markup(odds_drawing.sample_svg(style)),
            c.label,
            in_hundred(c.probability),
            _apart(differs.get(c.label), unit),
        )
        for style, c in zip(odds_drawing.STYLES, likely, strict=False)
    )
    return Odds(
        overlay=Markup(laid.svg if laid is not None else ""),
        trail=Markup(
            odds_drawing.trail_svg(trails, first=len(found.readings) - len(trails[0].odds) + 1) if trails else ""
        ),
        lines=lines,
        moved=_moved(trails, len(found.readings)),
        apart=all(told for trail in trails for told in trail.told),
    )


def _geometry(candidate: Any) -> Any:
    try:
        return core_ring(Ring.model_validate(candidate.ring.model_dump(exclude_none=True)))
    except (Refusal, ValidationError):  # a ring that cannot be drawn still has its odds
        return None


def _apart(differs: float | None, unit: str) -> str:
    if differs is None:
        return ""
    if differs < 0.005:
        return _("the same flank, another root")
    shown = number(differs / (25.4 if unit == "in" else 1), 4 if unit == "in" else 2)
    return _("flank up to {amount} {unit} away from the first", amount=shown, unit=unit)


def _trails(found: FindOut, likely: list[Any], can_read: list[str] | None) -> list[odds_drawing.Trail]:
    """The odds of the likely rings after each of the last readings."""
    n = len(found.readings)
    if n < 2:
        return []
    try:
        steps = [_after(found, k, can_read) for k in range(max(1, n - _BACK + 1), n + 1)]
    except Problems:
        return []
    return [_trail(c, steps) for c in likely]


def _after(found: FindOut, k: int, can_read: list[str] | None) -> Any:
    until = found.model_copy(update={"readings": found.readings[:k]})
    return answers.answer("identify", asking.identify_of(until, can_read))


def _trail(candidate: Any, steps: list[Any]) -> odds_drawing.Trail:
    """A ring that was one of several names then carries their joint odds, marked as not told apart."""
    known = [next((c for c in step.candidates if candidate.label in c.names), None) for step in steps]
    return odds_drawing.Trail(
        candidate.label,
        tuple(0.0 if c is None else c.probability for c in known),
        tuple(c is None or len(c.names) == 1 for c in known),
    )


def _moved(trails: list[odds_drawing.Trail], n: int) -> str:
    """What the last reading did, in a sentence."""
    if not trails:
        return ""
    first = trails[0]
    before, now = in_hundred(first.odds[-2]), in_hundred(first.odds[-1])
    if before == now:
        return _("Reading {n} left {label} at {now}.", n=n, label=first.label, now=now)
    return _("Reading {n} moved {label} from {before} to {now}.", n=n, label=first.label, before=before, now=now)
