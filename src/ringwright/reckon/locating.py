"""Which tooth this is, from the hole, the spindle's degrees, the dial or the counts."""

from __future__ import annotations

from fractions import Fraction

from pydantic import Field

from ringwright.dividing.accuracy import arcsec
from ringwright.dividing.devices import ARCSEC
from ringwright.dividing.places import Place, Seen, locate
from ringwright.errors import Refusal
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Note, Operation, WorkingLine, exact
from ringwright.reckon.crank import SpindleSeen, WayBack, decimal
from ringwright.reckon.crank_rows import places
from ringwright.words import N_, _

phrases.learn(
    "nothing_seen",
    N_("Nothing that was seen is given."),
    N_("At least one of hole, spindle_deg, dial, counts."),
    N_("Read the hole the pin is in, the spindle's degrees, the dial or the readout."),
)
phrases.learn(
    "not_on_this_way",
    N_("This way of dividing has no such reading."),
    N_("A hole where a plate is used, the dial or counts where these are used, the spindle's degrees always."),
    N_("Take the reading out, or give the way that is really in use."),
)
phrases.learn(
    "no_such_hole",
    N_("Hole {value} is not on this circle."),
    N_("{low} to {high}, counted from 0 = the hole at tooth 1."),
    N_("Count again from the hole the pin was in at tooth 1."),
)

#: One standard deviation of a spindle's degree ring read by eye (common practice, no source) [deg].
BY_EYE_DEG = 0.1


class WhereAsked(Asked):
    """A way of dividing, and what can be seen at the head."""

    divisions: int = Field(ge=2, le=1000)
    way: WayBack
    seen: SpindleSeen


class WhereAnswer(Answered):
    """The tooth, or that it cannot be told.

    ``position_turns`` are the crank's turns against the plate from tooth 1, exact; ``off_by_arcsec`` is seen minus
    expected at the spindle.
    """

    tooth: int | None
    position_turns: str | None
    off_by_arcsec: float | None
    candidates: tuple[int, ...]
    cannot_tell: bool


_REASONS = {
    "none": N_("No tooth of this division has the pin in that hole: another circle, or the pin was moved."),
    "several": N_("Several teeth fit what was seen: read the spindle's degrees as well, or the painted number."),
    "halfway": N_("The reading is nearer to halfway between two teeth than to either: look at the teeth themselves."),
    "disagree": N_(
        "The readings do not belong to one tooth: was the count or the pin moved? Check on a finished space."
    ),
}


def where_am_i(asked: WhereAsked) -> WhereAnswer:
    """Which tooth this is, from the hole, the spindle's degrees or the dial; refused rather than guessed."""
    way, seen = asked.way, asked.seen
    circle = asked.divisions if way.method == "from_teeth" else way.move.circle
    _readable(seen, way, circle)
    step = None if way.dial_step_arcsec is None else decimal(way.dial_step_arcsec) / ARCSEC
    there = places(way, way.ratio, step, asked.divisions)
    K = way.ratio if way.ratio is not None else Fraction(1)
    found = locate(there, circle, K, _seen(seen, way, K, step))
    notes = [] if found.reason is None else [Note(code=found.reason, text=_(_REASONS[found.reason]))]
    if seen.spindle_deg is not None and seen.spindle_uncertainty_deg is None:
        text = _("Spindle read by eye: taken as good for {u}° (one standard deviation).", u=BY_EYE_DEG)
        notes.append(Note(code="default_uncertainty", text=text))
    return WhereAnswer(
        tooth=found.tooth,
        position_turns=None if found.tooth is None else exact(there[found.tooth - 1].total),
        off_by_arcsec=None if found.tooth is None else arcsec(found.off),
        candidates=found.candidates,
        cannot_tell=found.tooth is None,
        notes=tuple(notes),
        sources=("common-practice", "own-arithmetic"),
        working=_where_working(found.tooth, there, asked.divisions) if asked.working else None,
    )


def _readable(seen: SpindleSeen, way: WayBack, circle: int | None) -> None:
    """Refuse what cannot be read on this way of dividing."""
    read = (seen.hole, seen.spindle_deg, seen.part, seen.counts)
    if all(value is None for value in read):
        raise Refusal("nothing_seen", "seen")
    if seen.hole is not None and (way.method == "dial" or circle is None):
        raise Refusal("not_on_this_way", "hole")
    if seen.hole is not None and circle is not None and seen.hole >= circle:
        raise Refusal("no_such_hole", "hole", seen.hole, 0, circle - 1)
    if seen.part is not None and way.method != "dial":
        raise Refusal("not_on_this_way", "dial" if seen.dial is not None else "decimal")
    if seen.counts is not None and way.method != "counts":
        raise Refusal("not_on_this_way", "counts")


def _seen(seen: SpindleSeen, way: WayBack, K: Fraction, step: Fraction | None) -> Seen:
    u_deg = seen.spindle_uncertainty_deg if seen.spindle_uncertainty_deg is not None else BY_EYE_DEG
    per_turn = way.counts_per_turn
    return Seen(
        hole=seen.hole,
        spindle=None if seen.spindle_deg is None else decimal(seen.spindle_deg) / 360,
        u_spindle=decimal(u_deg) / 360,
        part=None if seen.part is None else seen.part * K,
        u_part=step or Fraction(0),
        counted=None if seen.counts is None or per_turn is None else seen.counts / per_turn,
        u_counted=1 / per_turn if per_turn else Fraction(0),
    )


def _where_working(tooth: int | None, there: tuple[Place, ...], N: int) -> tuple[WorkingLine, ...]:
    if tooth is None:
        return ()
    return (
        WorkingLine(
            symbol="θ",
            name=_("spindle at this tooth, as set"),
            formula="360 (k - 1)/N",
            put_in=f"360·({tooth} - 1)/{N}",
            value=float(there[tooth - 1].spindle * 360),
            unit="°",
            source="own-arithmetic",
        ),
    )


WHERE_AM_I = Operation(
    "where_am_i",
    N_("Which tooth this is, from hole, degrees, dial or counts"),
    WhereAsked,
    WhereAnswer,
    where_am_i,
    {
        "seen": Came("seen"),
        "hole": Came("seen.hole"),
        "dial": Came("seen.dial"),
        "decimal": Came("seen.dial_decimal_deg"),
        "counts": Came("seen.counts"),
        "ratio": Came("way"),
        "x": Came("way.move"),
        "divisions": Came("divisions"),
        "gears": Came("way.gears"),
    },
)
