"""The crank, the plate and the dial at the edge: devices and ways as the contract writes them, and the words of a move.

`table_rows` and `move_words` are what a round sheet is made of: the absolute place of every tooth, and the move from
one tooth to another, however far apart they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field

from ringwright.dividing.devices import ARCSEC, Device, Train
from ringwright.dividing.places import Place, by_dial, by_moves
from ringwright.dividing.settings import Move
from ringwright.errors import Refusal
from ringwright.quantities import degrees_minutes_seconds
from ringwright.reckon.base import Degrees, Given, Ratio, Record, exact
from ringwright.words import _, ngettext_

Method = Literal["direct", "plain", "compound", "differential", "dial", "step_over", "from_teeth", "plate_to_make"]
Holes = Annotated[int, Field(ge=2, le=1000)]
Gear = Annotated[int, Field(ge=8, le=400)]
Number = int | float


def plain_number(value: Fraction) -> Number:
    """A whole number where it is one, else a decimal."""
    return int(value) if value.denominator == 1 else float(value)


def decimal(value: Number) -> Fraction:
    """A typed decimal as it was typed, not as the binary number next to it."""
    return Fraction(str(value))


class DialAsked(Record):
    """The dial on the worm shaft."""

    smallest_arcsec: float = Field(gt=0, le=36_000)
    vernier_arcsec: float | None = Field(None, gt=0, le=36_000)

    @property
    def step(self) -> Fraction:
        """Finest reading [spindle turn]."""
        return decimal(self.smallest_arcsec if self.vernier_arcsec is None else self.vernier_arcsec) / ARCSEC


class DeviceAsked(Record):
    """DEVICE of the contract."""

    name: str = Field("", max_length=80)
    ratio: Ratio = Field(gt=0, le=4000)
    circles: tuple[Annotated[tuple[Holes, ...], Field(max_length=24)], ...] = Field((), max_length=8)
    change_gears: tuple[Gear, ...] = Field((), max_length=24)
    direct_circles: tuple[Holes, ...] = Field((), max_length=12)
    dial: DialAsked | None = None
    backlash_arcsec: float | None = Field(None, ge=0, le=36_000)

    def core(self) -> Device:
        """The device as the core takes it."""
        return Device(
            self.name,
            self.ratio,
            self.circles,
            tuple(sorted(self.change_gears)),
            self.direct_circles,
            self.dial.step if self.dial else None,
        )


class DialReading(Given):
    """A reading of the dial, within one turn of the crank."""

    deg: int = Field(ge=0, le=360)
    min: int = Field(0, ge=0, le=59)
    sec: Number = Field(0, ge=0, lt=60)

    @property
    def turns(self) -> Fraction:
        """The reading [spindle turn]."""
        return (self.deg + Fraction(self.min, 60) + decimal(self.sec) / 3600) / 360

    def __str__(self) -> str:
        return f"{self.deg}° {self.min:02d}′ {self.sec:0{2 if isinstance(self.sec, int) else 4}}″"

    def __format__(self, spec: str) -> str:
        return format(str(self), spec)


def dial_reading(place: Fraction) -> DialReading:
    """A part of a spindle turn as degrees, minutes, seconds."""
    deg, minutes, sec = degrees_minutes_seconds(place * 360)
    return DialReading(deg=deg, min=minutes, sec=plain_number(Fraction(round(sec * 1000), 1000)))


class SecondMove(Given):
    """Plate and crank together, spaces on a second circle; negative is against the crank."""

    circle: Holes
    holes: int = Field(ge=-10_000, le=10_000)


class MoveMade(Given):
    """One move: whole turns, spaces on a circle, or the dial."""

    turns: int = Field(0, ge=-10_000, le=10_000)
    circle: Holes | None = None
    holes: int = Field(0, ge=-10_000, le=10_000)
    second: SecondMove | None = None
    dial: DialReading | None = None

    def core(self) -> Move:
        """The move as the core takes it."""
        second = (self.second.circle, self.second.holes) if self.second else None
        return Move(self.turns, self.holes, self.circle, second)


class GearsHung(Given):
    """Change gears from the spindle to the plate."""

    spindle: Gear
    stud_meshing_spindle: Gear | None = None
    stud_meshing_worm: Gear | None = None
    worm: Gear
    idlers: int | None = Field(None, ge=0, le=3)
    plate_turns: Literal["with", "against"]

    def core(self) -> Train:
        """The train as the core takes it."""
        sense = 1 if self.plate_turns == "with" else -1
        if (self.stud_meshing_spindle is None) != (self.stud_meshing_worm is None):
            raise Refusal("one_stud_gear", "gears")
        return Train(self.spindle, self.worm, sense, self.stud_meshing_spindle, self.stud_meshing_worm)


class WayBack(Record):
    """A way as `divide` gave it, sent back; only what places the teeth is looked at."""

    method: Method
    device: str = ""
    exact: bool | None = None
    move: MoveMade
    gears: GearsHung | None = None
    ratio: Ratio | None = Field(None, gt=0, le=4000)
    spaces_per_move: int = Field(1, ge=1, le=1000)
    dial_step_arcsec: float | None = Field(None, gt=0, le=36_000)
    ratio_error: Ratio | None = None
    error_per_tooth_arcsec: float | None = None
    worst_error_arcsec: float | None = None
    worst_neighbour_arcsec: float | None = None
    closing_error_arcsec: float | None = None
    worst_error_um: float | None = None
    one_space_um: float | None = None
    within_tolerance: bool | None = None
    arms: dict[str, int] | None = None
    steps_note: str = ""
    effort: dict[str, int] | None = None
    why: str = ""
    table: list[Any] | None = None


class SpindleSeen(Record):
    """What can be seen at the head."""

    hole: int | None = Field(None, ge=0, le=1000)
    spindle_deg: Degrees | None = Field(None, ge=-360, le=720)
    spindle_uncertainty_deg: Degrees | None = Field(None, gt=0, le=30)
    dial: DialReading | None = None


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
    ``hole`` counts from 0, the hole the pin is in at tooth 1; ``dial`` is the reading within the turn.
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

    def as_record(self) -> Row:
        """The row of the contract."""
        return Row(
            tooth=self.tooth,
            turns_total=self.turns_total,
            turns=self.turns,
            hole=self.hole,
            dial=self.dial,
            spindle_deg=self.spindle_deg,
        )


class Row(Given):
    """One tooth of the table."""

    tooth: int
    turns_total: str
    turns: int
    hole: int | None
    dial: DialReading | None
    spindle_deg: float


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
    return _rows(back, places(back, shelf.ratio, step, divisions), shelf.ratio)


def read_way(way: Given | Mapping[str, Any]) -> WayBack:
    """A way of an answer as a way sent back."""
    sent = way.model_dump(mode="json") if isinstance(way, Given) else dict(way)
    return WayBack.model_validate({**sent, "table": None}, strict=False)


def _rows(way: WayBack, there: tuple[Place, ...], K: Fraction) -> tuple[SettingRow, ...]:
    by_reading = way.method == "dial"
    move = way.move.core()
    circle = len(there) if way.method == "from_teeth" else (None if by_reading else way.move.circle)
    second = move.second
    found = []
    for place in there:
        done = int(place.total / move.x) if second and move.x else 0
        found.append(
            SettingRow(
                tooth=place.tooth,
                turns_total=exact(place.total),
                turns=place.turns,
                hole=place.hole(circle) if circle else None,
                dial=dial_reading(place.part / K) if by_reading else None,
                spindle_deg=float(place.spindle * 360),
                total=place.total,
                method=way.method,
                circle=circle,
                second_total=done * second[1] if second else 0,
                second_circle=second[0] if second else None,
            )
        )
    return tuple(found)


def turns_words(turns: int) -> str:
    """Whole turns in words."""
    if turns == 0:
        return _("No full turn")
    return ngettext_("{n} full turn", "{n} full turns", turns)


def spaces_words(holes: int, circle: int) -> str:
    """Spaces on a circle in words."""
    if holes == 0:
        return _("the same hole of the {circle} circle", circle=circle)
    return ngettext_("{n} space on the {circle} circle", "{n} spaces on the {circle} circle", holes, circle=circle)


def move_words(from_row: SettingRow, to_row: SettingRow) -> str:
    """The move from one tooth to another in one go, always ending clockwise.

    >>> rows = table_rows({"method": "plain", "move": {"turns": 0, "circle": 23, "holes": 18}}, {"ratio": 90}, 115)
    >>> move_words(rows[0], rows[1])
    'No full turn, 18 spaces on the 23 circle. Come up clockwise. Lock.'
    """
    if to_row.method == "dial":
        return _dial_words(from_row, to_row)
    ahead = to_row.total - from_row.total
    if to_row.second_circle is not None:
        return _compound_words(from_row, to_row, ahead)
    lock = _("Lock.") if to_row.method not in ("from_teeth",) else _("Let the detent seat on both flanks. Lock.")
    if to_row.circle is None:
        return f"{turns_words(int(ahead))}. {lock}"
    if to_row.method == "from_teeth":
        n = int(ahead * to_row.circle)
        way_on = n if n >= 0 else -n
        said = ngettext_("{n} tooth of the ring", "{n} teeth of the ring", way_on)
        return f"{said if n >= 0 else _('Back') + ' ' + said}. {lock}"
    turns, part = divmod(abs(ahead), 1)
    go = f"{turns_words(int(turns))}, {spaces_words(int(part * to_row.circle), to_row.circle)}"
    if ahead >= 0:
        return _("{go}. Come up clockwise. Lock.", go=go)
    if to_row.method == "direct":
        return _("Back: {go}. Lock.", go=go)
    return _("Back: {go}, and half a turn further. Come up clockwise to hole {hole}. Lock.", go=go, hole=to_row.hole)


def _dial_words(from_row: SettingRow, to_row: SettingRow) -> str:
    ahead = to_row.total - from_row.total
    whole = int(abs(ahead))
    if ahead < 0:
        return _(
            "dial {dial}; back from {before}, half a turn too far, and come up clockwise; the counter then stands at "
            "{count}. Lock.",
            dial=to_row.dial,
            before=from_row.dial,
            count=counter_words(to_row.turns),
        )
    past = to_row.turns > from_row.turns
    passing = _("on past zero") if past and whole == 0 else _("on")
    how_far = (
        _("less than one turn")
        if whole == 0
        else ngettext_("{n} full turn and on to the mark", "{n} full turns and on to the mark", whole)
    )
    return _(
        "dial {dial}; from {before} {passing}: {how_far}; the counter then stands at {count}. Come up clockwise. Lock.",
        dial=to_row.dial,
        before=from_row.dial,
        passing=passing,
        how_far=how_far,
        count=counter_words(to_row.turns),
    )


def counter_words(turns: int) -> str:
    """What a counter of the crank's turns shows."""
    return ngettext_("{n} turn", "{n} turns", turns)


def _compound_words(from_row: SettingRow, to_row: SettingRow, ahead: Fraction) -> str:
    assert to_row.circle is not None  # only compound ways come here, and these have two circles
    assert to_row.second_circle is not None
    turns, part = divmod(abs(ahead), 1)
    plate = to_row.second_total - from_row.second_total
    plate_turns, plate_holes = divmod(abs(plate), to_row.second_circle)
    again = _(", half a turn too far and up again clockwise")
    return _(
        "{first}: {crank}{slack}. Then stop pin out, plate and crank together {second}: {plate}{plate_slack}; stop pin "
        "in. Lock.",
        first=_("Crank") if ahead >= 0 else _("Crank back"),
        crank=f"{turns_words(int(turns))}, {spaces_words(int(part * to_row.circle), to_row.circle)}",
        slack=again if ahead < 0 else "",
        second=_("clockwise") if plate >= 0 else _("anticlockwise"),
        plate=f"{turns_words(plate_turns)}, {spaces_words(plate_holes, to_row.second_circle)}",
        plate_slack=again if plate < 0 else "",
    )
