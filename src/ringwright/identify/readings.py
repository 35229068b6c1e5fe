"""What was read on the ring, in core units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from ringwright.errors import Refusal, require

What = Literal[
    "tip_diameter",
    "root_diameter",
    "whole_depth",
    "span",
    "over_pins",
    "between_pins",
    "chordal_thickness",
    "centre_distance",
    "pitch",
    "helix_angle",
    "tip_caliper",
    "tip_girth",
    "tip_arc",
    "chord_over_teeth",
    "span_difference",
]
#: Every kind of reading.
WHATS: tuple[str, ...] = get_args(What)
#: Readings on the flanks, which thinning shortens (or, between pins of an internal ring, lengthens).
FLANK = frozenset({"span", "over_pins", "between_pins", "chordal_thickness"})
#: Readings that a topped or worn tip changes.
TIP = frozenset(
    {"tip_diameter", "whole_depth", "chordal_thickness", "tip_caliper", "tip_girth", "tip_arc", "chord_over_teeth"}
)
#: Kinds that an external or an internal ring cannot give.
NOT_ON = {
    1: frozenset({"between_pins"}),
    -1: frozenset({"span", "over_pins", "span_difference", "tip_caliper", "tip_girth", "tip_arc"}),
}
#: Kinds that count teeth between two ends, with the field that says how many.
_COUNTS = {"span": "k", "span_difference": "n", "tip_arc": "n", "chord_over_teeth": "n"}


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading: ``value`` and its standard uncertainty ``u`` [mm; rad for the helix angle].

    ``k`` teeth between the anvils (span), ``D_M`` pin diameter [mm] (pins), ``h`` tongue setting below the tip as
    found [mm] (chordal), ``z_mate`` teeth of the mate (centre distance), ``n`` pitches from end to end (arc and chord
    at the tips; between two spans), ``tape`` thickness of the tape [mm] (girth, arc). ``worn`` when taken where metal
    is lost.
    """

    what: str
    value: float
    u: float
    worn: bool = False
    k: int = 0
    D_M: float = 0.0
    h: float = 0.0
    z_mate: int = 0
    n: int = 0
    tape: float = 0.0

    @property
    def is_angle(self) -> bool:
        """Whether value and u are in radians."""
        return self.what == "helix_angle"


def check(readings: tuple[Reading, ...], s: int, z: int) -> None:
    """Refuse readings that this ring cannot give.

    Raises
    ------
    Refusal
        ``reading_not_on_this_ring``, ``no_reading``, ``span_teeth_impossible``, ``mate_not_inside``,
        ``reading_said_twice``.
    OutOfRange
        A value or the teeth spanned outside what is possible.
    """
    if not readings:
        raise Refusal("no_reading", "readings")
    require("z", z, 5, 1000)
    for n, reading in enumerate(readings):
        if reading.what in NOT_ON[s]:
            raise Refusal("reading_not_on_this_ring", "what", at=(n,))
        least, most = (2, z // 2) if reading.what == "span" else (1, z // 2)
        symbol = _COUNTS.get(reading.what)
        if symbol and not least <= getattr(reading, symbol) <= most:
            raise Refusal("span_teeth_impossible", symbol, getattr(reading, symbol), least, most, at=(n,))
        if reading.what == "centre_distance" and s < 0 and reading.z_mate >= z:
            raise Refusal("mate_not_inside", "z_mate", reading.z_mate, 5, z - 1, at=(n,))
    _not_twice(readings)


def _not_twice(readings: tuple[Reading, ...]) -> None:
    """A difference of spans that stand there themselves is no further evidence."""
    spans = [r for r in readings if r.what == "span"]
    for i, reading in enumerate(readings):
        pairs = ((a, b) for a in spans for b in spans if b.k - a.k == reading.n)
        if reading.what == "span_difference" and any(abs(b.value - a.value - reading.value) < 1e-6 for a, b in pairs):
            raise Refusal("reading_said_twice", "what", at=(i,))
