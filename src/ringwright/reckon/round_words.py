"""The words of a round: the infeed as it is turned, what moves, the re-checks."""

from __future__ import annotations

from fractions import Fraction

from ringwright.job.kit import Axis
from ringwright.job.sheet import Zone
from ringwright.quantities import show_length
from ringwright.words import N_, _, ngettext_

#: Motion of the cutter against the work -> the axis and what is seen to move.
MOTIONS = {
    "+table": N_("table to the left"),
    "-table": N_("table to the right"),
    "+saddle": N_("saddle towards you"),
    "-saddle": N_("saddle away from you"),
    "+knee": N_("knee down"),
    "-knee": N_("knee up"),
    "+quill": N_("quill up"),
    "-quill": N_("quill down"),
}

#: Kinds of cutters of the kit, in words.
CUTTER_KINDS = {
    "flat": N_("flat end"),
    "bull": N_("rounded corner"),
    "ball": N_("ball end"),
    "dovetail": N_("dovetail"),
    "single_angle": N_("single angle"),
    "double_angle": N_("double angle"),
    "disc": N_("side and face"),
    "fly": N_("fly cutter"),
    "involute_form": N_("involute form"),
}


def infeed_words(axis: Axis, mm: float, motion: str = "") -> str:
    """An infeed as it is turned on that axis: by its readout, or as turns and divisions of its handwheel.

    ``motion`` is the slide of POSE ("-knee") and says what is seen to move. Rounded to the nearest step of the scale.

    >>> knee = Axis(name="knee", travel_mm=400, mm_per_turn=2.5, mm_per_division=0.02, clockwise="knee goes up")
    >>> infeed_words(knee, 5.713, "-knee")
    '2 turns + 36 divisions, knee up (5.72 mm)'
    >>> infeed_words(knee.model_copy(update={"readout": True, "readout_step_mm": 0.005}), 5.713)
    'readout 5.715 mm'
    """
    seen = _(MOTIONS[motion]) if motion in MOTIONS else ""
    if axis.readout:
        step = Fraction(str(axis.readout_step_mm or 0.01))
        said = _("readout {mm} mm", mm=decimal_mm(round(Fraction(mm) / step) * step))
        return f"{said}, {seen}" if seen else said
    division, turn = Fraction(str(axis.mm_per_division)), Fraction(str(axis.mm_per_turn))
    per_turn = round(turn / division)
    turns, divisions = divmod(round(Fraction(mm) / division), per_turn)
    parts = []
    if turns:
        parts.append(ngettext_("{n} turn", "{n} turns", turns))
    if divisions or not turns:
        parts.append(ngettext_("{n} division", "{n} divisions", divisions))
    dial = (turns * per_turn + divisions) * division
    return " + ".join(parts) + (f", {seen}" if seen else "") + _(" ({mm} mm)", mm=decimal_mm(dial))


def decimal_mm(mm: Fraction) -> str:
    """Millimetres without needless noughts."""
    return f"{float(mm):.4f}".rstrip("0").rstrip(".")


def zone_words(zone: Zone) -> str:
    """The zone as a heading."""
    said = {"sound": N_("Sound teeth"), "hard": N_("Hard teeth"), "weld": N_("Weld")}
    return _(said.get(zone, N_("Beside the weld")))


_RECHECKS = {
    "head_at_angle": N_("Head: still at its angle, or trammed again."),
    "ring_clocked": N_(
        "Ring: clocked true on its datum, the same face up, marks of ring and seat in line, clamps tight."
    ),
    "spaces_picked_up": N_("Two finished spaces at least a quarter turn apart: both pick up within 0.05 mm."),
    "stop_pin_in": N_("Stop pin in: the plate cannot turn."),
    "gears_and_plate": N_("Gears still hung as written, stop pin out; the plate turns the way it should."),
    "pin_in_hole": N_("Pin in the hole written for the last tooth, on the right circle; arms at their spaces."),
    "nose_plate_pin": N_("Pin in the hole of the nose plate written for the last tooth."),
    "dial_and_counter": N_("Dial and counter of turns stand as written for the last tooth."),
    "detent_seats": N_("Detent seats on both flanks of a sound space, the ring pushed the same way."),
    "come_up_clockwise": N_("Go back more than the lost motion and come up clockwise."),
    "lock_holds": N_("Lock on: the ring does not move when pushed by hand at the rim."),
    "cutter_edge": N_("Cutter: the same one, as far out of the holder, its edge looked at."),
    "readout_zero": N_("Readout: its nought is still there; after a power cut set it again."),
    "handwheel_zero": N_("Handwheel: its dial still stands at nought at touch-off."),
    "touch_off_again": N_("Touch off again on the tooth written; the infeed counts from there."),
}


def recheck_words(code: str) -> str:
    """The words of one re-check of ``ringwright.job.resume``.

    >>> recheck_words("stop_pin_in")
    'Stop pin in: the plate cannot turn.'
    """
    return _(_RECHECKS[code])


def head_says(angle: str, travel_mm: float, indicator_mm: float, per_tenth_mm: float, first: bool, unit: str) -> str:
    """How one angle of the head is set by indicator, in "mm" or "in"; ``first``: before the other angle.

    >>> print(head_says("tilt", 10, 4.226, 0.0175, True, "mm"))  # doctest: +ELLIPSIS
    Test bar in the spindle, indicator on the table, its plunger level ... Set the tilt first, while the nod stands ...
    """
    fine = 3 if unit == "mm" else 4
    said = _(
        "Test bar in the spindle, indicator on the table, its plunger level (not square to the bar) and in the "
        "plane of the {name}: over {travel} {unit} of knee it moves {reading} {unit}; {tenth} {unit} more is 0.1 "
        "degree more.",
        name=_("nod") if angle == "nod" else _("tilt"),
        travel=f"{travel_mm:g}" if unit == "mm" else show_length(travel_mm, unit, 3),
        unit=unit,
        reading=show_length(indicator_mm, unit, fine),
        tenth=show_length(per_tenth_mm, unit, fine),
    )
    return said + " " + _("Set the tilt first, while the nod stands at nought.") if first else said
