"""The absolute place of every tooth on a way of dividing: what a round sheet's rows are made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from ringwright.dividing.places import Place, by_counts, by_dial, by_moves
from ringwright.dividing.settings import Move
from ringwright.errors import Refusal
from ringwright.reckon import phrases
from ringwright.reckon.base import Given, exact
from ringwright.reckon.crank import DeviceAsked, DialReading, WayBack, decimal, dial_reading
from ringwright.words import N_, _

phrases.learn(
    "ratio_needed",
    N_("Without the ratio of the worm this cannot be placed."),
    N_("The way as divide gave it, with ratio, dial_step_arcsec for a dial, counts_per_turn for a readout."),
    N_("Send the way back whole."),
)
phrases.learn(
    "way_of_another_count",
    N_("This way does not divide {value}."),
    N_("A way that divide gave for this number of divisions."),
    N_("Look at the number of divisions, or ask for the ways again."),
)


def places(way: WayBack, K: Fraction | None, dial_step: Fraction | None, N: int) -> tuple[Place, ...]:
    """Places of all teeth of a way.

    Raises
    ------
    Refusal
        ``ratio_needed``, ``way_of_another_count``, ``no_move``.
    """
    move, p = way.move.core(), way.spaces_per_move
    if way.method == "from_teeth":
        return by_moves(N, Move(0, 1, N), Fraction(1, N))
    if way.method == "dial":
        if K is None or dial_step is None:
            raise Refusal("ratio_needed", "ratio")
        return by_dial(N, K, dial_step)
    if way.method == "counts":
        if way.counts_per_turn is None:
            raise Refusal("ratio_needed", "ratio")
        return by_counts(N, K or Fraction(1), way.counts_per_turn)
    R = way.gears.core().R if way.gears else Fraction(0)
    if move.worm == 0:
        raise Refusal("no_move", "x", 0.0)
    if way.method == "direct":
        step = move.x
    elif K is not None and K != R:
        step = move.worm / (K - R)
    elif way.ratio_error is not None:
        step = (1 + way.ratio_error) * Fraction(p, N)
    else:
        raise Refusal("ratio_needed", "ratio")
    try:
        pow(p, -1, N)
    except ValueError:
        raise Refusal("way_of_another_count", "divisions", N) from None
    if abs(N * step - p) * N >= 1:
        raise Refusal("way_of_another_count", "divisions", N)
    return by_moves(N, move, step, p)


@dataclass(frozen=True, slots=True)
class SettingRow:
    """The absolute setting of one tooth, with what its words need.

    ``turns_total`` is exact, "p/q" turns of the crank against the plate as set (of the nose plate for ``direct``);
    ``hole`` counts from 0, the hole the pin is in at tooth 1; ``dial`` is the reading within the turn, ``counts`` what
    a readout set to 0 at tooth 1 shows, ``reading`` what is read, in words.
    """

    tooth: int
    turns_total: str
    turns: int
    hole: int | None
    dial: DialReading | None
    spindle_deg: float
    total: Fraction
    method: str
    circle: int | None
    second_total: int
    second_circle: int | None
    counts: int | None = None
    reading: str | None = None

    @property
    def shown(self) -> str | None:
        """What stands on a sheet: degrees as the dial has them, without the vernier's line, or the counts."""
        decimal_dial = self.reading is not None and self.reading.endswith("°")
        return self.reading if self.dial is None or decimal_dial else str(self.dial)

    def as_record(self) -> Row:
        """The row of the contract."""
        return Row(
            tooth=self.tooth,
            turns_total=self.turns_total,
            turns=self.turns,
            hole=self.hole,
            dial=self.dial,
            spindle_deg=self.spindle_deg,
            counts=self.counts,
            reading=self.reading,
        )


class Row(Given):
    """One tooth of the table; ``move`` is the move from the row before, where only chosen teeth are cut."""

    tooth: int
    turns_total: str
    turns: int
    hole: int | None
    dial: DialReading | None
    spindle_deg: float
    counts: int | None = None
    reading: str | None = None
    move: str | None = None


def table_rows(
    way: WayBack | Given | Mapping[str, Any], device: DeviceAsked | Mapping[str, Any], divisions: int
) -> tuple[SettingRow, ...]:
    """The absolute setting of every tooth, 1 to ``divisions``, in order.

    ``way`` is one of the ways of `divide` on that device; a mapping is read as the contract's JSON.

    Raises
    ------
    Refusal
        The way is not one of this number of divisions.
    pydantic.ValidationError
        A mapping is no way or no device.
    """
    back = way if isinstance(way, WayBack) else read_way(way)
    shelf = device if isinstance(device, DeviceAsked) else DeviceAsked.model_validate(device, strict=False)
    step = shelf.dial.step if shelf.dial else None
    if shelf.counts is not None and back.counts_per_turn is None:
        back = back.model_copy(update={"counts_per_turn": shelf.counts})
    return _rows(back, places(back, shelf.ratio, step, divisions), shelf.ratio)


def read_way(way: Given | Mapping[str, Any]) -> WayBack:
    """A way of an answer as a way sent back."""
    sent = way.model_dump(mode="json") if isinstance(way, Given) else dict(way)
    return WayBack.model_validate({**sent, "table": None}, strict=False)


def _rows(way: WayBack, there: tuple[Place, ...], K: Fraction) -> tuple[SettingRow, ...]:
    circle = len(there) if way.method == "from_teeth" else (None if way.method == "dial" else way.move.circle)
    return tuple(_row(way, place, K, circle) for place in there)


def _row(way: WayBack, place: Place, K: Fraction, circle: int | None) -> SettingRow:
    move = way.move.core()
    second = move.second
    done = int(place.total / move.x) if second and move.x else 0
    dial = dial_reading(place.part / K) if way.method == "dial" else None
    counts = round(place.total / K * way.counts_per_turn) if way.method == "counts" and way.counts_per_turn else None
    return SettingRow(
        tooth=place.tooth,
        turns_total=exact(place.total),
        turns=place.turns,
        hole=place.hole(circle) if circle else None,
        dial=dial,
        spindle_deg=float(place.spindle * 360),
        total=place.total,
        method=way.method,
        circle=circle,
        second_total=done * second[1] if second else 0,
        second_circle=second[0] if second else None,
        counts=counts,
        reading=_reading(way, dial, counts),
    )


def _reading(way: WayBack, dial: DialReading | None, counts: int | None) -> str | None:
    if counts is not None:
        return _("{n} counts", n=counts)
    if dial is None:
        return None
    if way.dial_shows == "decimal":
        return f"{float(dial.turns * 360):.4f}".rstrip("0").rstrip(".") + "°"
    return _with_vernier(way, dial)


def _with_vernier(way: WayBack, dial: DialReading) -> str:
    """The reading, and with a vernier which of its lines stands against a line of the dial."""
    fine, coarse = way.dial_step_arcsec, way.dial_smallest_arcsec
    if fine is None or coarse is None or fine >= coarse:
        return str(dial)
    beyond = dial.turns * 1_296_000 % decimal(coarse)
    line = round(beyond / decimal(fine))
    return _("{dial} (vernier line {line})", dial=dial, line=line)
