"""What has to be looked at again before a paused round goes on, in order; codes only, the words are in ``reckon``.

What is looked at follows from the division and from the zero: nobody with a dial is asked for holes. The witness that
the screen asks for after every pause comes last and is no part of this list.
"""

from __future__ import annotations

from typing import Literal

Zero = Literal["readout", "handwheel", "felt"]

#: Every code, in the order in which they are asked.
CODES: tuple[str, ...] = (
    "head_at_angle",
    "ring_clocked",
    "spaces_picked_up",
    "stop_pin_in",
    "gears_and_plate",
    "pin_in_hole",
    "nose_plate_pin",
    "dial_and_counter",
    "detent_seats",
    "come_up_clockwise",
    "lock_holds",
    "cutter_edge",
    "readout_zero",
    "handwheel_zero",
    "touch_off_again",
)

_OF_METHOD: dict[str, frozenset[str]] = {
    "plain": frozenset({"stop_pin_in", "pin_in_hole", "come_up_clockwise"}),
    "step_over": frozenset({"stop_pin_in", "pin_in_hole", "come_up_clockwise"}),
    "plate_to_make": frozenset({"stop_pin_in", "pin_in_hole", "come_up_clockwise"}),
    "compound": frozenset({"stop_pin_in", "pin_in_hole", "come_up_clockwise"}),
    "differential": frozenset({"gears_and_plate", "pin_in_hole", "come_up_clockwise"}),
    "direct": frozenset({"nose_plate_pin"}),
    "dial": frozenset({"dial_and_counter", "come_up_clockwise"}),
    "counts": frozenset({"come_up_clockwise"}),
    "from_teeth": frozenset({"detent_seats"}),
}
_OF_ZERO: dict[str, frozenset[str]] = {
    "readout": frozenset({"readout_zero", "touch_off_again"}),
    "handwheel": frozenset({"handwheel_zero", "touch_off_again"}),
    "felt": frozenset({"touch_off_again"}),
}


def rechecks(method: str, zero: Zero, *, has_lock: bool = True) -> tuple[str, ...]:
    """Codes of what this way of dividing and this zero of the infeed need.

    >>> rechecks("dial", "felt")[3:]
    ('dial_and_counter', 'come_up_clockwise', 'lock_holds', 'cutter_edge', 'touch_off_again')
    """
    wanted = {"head_at_angle", "ring_clocked", "spaces_picked_up", "cutter_edge"} | _OF_METHOD[method] | _OF_ZERO[zero]
    if has_lock:
        wanted.add("lock_holds")
    return tuple(code for code in CODES if code in wanted)
