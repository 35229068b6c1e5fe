"""Lengths and angles as people write them, read exactly; and the same shown in mm or inch.

``12 mm``, ``1-1/4 in``, ``32 thou``, ``25,4 mm``, ``14°30'``, ``14d30m``, ``16 deg 42 min 20 s``. Every reading is an
exact fraction. A text that can be understood in two ways is refused, never guessed: a bare number has no unit, and
``1,250 mm`` may be one and a quarter or twelve hundred and fifty.
"""

from __future__ import annotations

import re
from fractions import Fraction

from ringwright.errors import Unreadable

#: Length units in mm. The inch is exact by the agreement of 1959 (common knowledge, no page read).
LENGTH_UNITS: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "um": Fraction(1, 1000),
    "µm": Fraction(1, 1000),
    "μm": Fraction(1, 1000),
    "in": Fraction(254, 10),
    "inch": Fraction(254, 10),
    '"': Fraction(254, 10),
    "″": Fraction(254, 10),
    "thou": Fraction(254, 10000),
    "ft": Fraction(3048, 10),
}

_NUMBER = (
    r"(?:(?P<whole>\d+)(?:\s+|\s*-\s*)(?P<top>\d+)\s*/\s*(?P<bottom>\d+)"
    r"|(?P<top2>\d+)\s*/\s*(?P<bottom2>\d+)|(?P<decimal>\d+(?:[.,]\d+)?|[.,]\d+))"
)
_LENGTH = re.compile(rf"\s*(?P<sign>[+\-−]?)\s*{_NUMBER}\s*(?P<unit>[A-Za-zµμ\"″]*)\s*\Z")
_ANGLE = re.compile(
    r"""\s*(?P<sign>[+\-−]?)\s*
    (?:(?P<deg>\d+(?:[.,]\d+)?)\s*(?:°|deg(?:rees?)?|d)\s*)?
    (?:(?P<min>\d+(?:[.,]\d+)?)\s*(?:['′’]|min(?:utes?)?|m)\s*)?
    (?:(?P<sec>\d+(?:[.,]\d+)?)\s*(?:["″”]|sec(?:onds?)?|s|'')\s*)?\Z""",
    re.VERBOSE,
)
_MAX_TEXT = 60


def _decimal(text: str) -> Fraction:
    """Read ``12``, ``12.5`` or ``12,5``; a comma before exactly three digits can be a thousands mark and is refused."""
    if re.fullmatch(r"\d+,\d{3}", text) and not text.startswith("0,"):
        raise Unreadable("ambiguous_comma", text)
    return Fraction(text.replace(",", "."))


def read_length(text: str) -> Fraction:
    """Read a length with its own unit, exact, in mm.

    Raises
    ------
    Unreadable
        ``no_unit``, ``unknown_unit``, ``ambiguous_comma``, ``zero_denominator`` or ``not_a_length``.

    Examples
    --------
    >>> read_length("1-1/4 in"), read_length("32 thou"), read_length("25,4 mm")
    (Fraction(127, 4), Fraction(508, 625), Fraction(127, 5))
    """
    found = _LENGTH.match(text) if len(text) <= _MAX_TEXT else None
    if found is None:
        raise Unreadable("not_a_length", text[:_MAX_TEXT])
    unit = found["unit"]
    if not unit:
        raise Unreadable("no_unit", text)
    scale = LENGTH_UNITS.get(unit) or LENGTH_UNITS.get(unit.lower())
    if scale is None:
        raise Unreadable("unknown_unit", text)
    try:
        if found["decimal"] is not None:
            size = _decimal(found["decimal"])
        elif found["whole"] is not None:
            size = int(found["whole"]) + Fraction(int(found["top"]), int(found["bottom"]))
        else:
            size = Fraction(int(found["top2"]), int(found["bottom2"]))
    except ZeroDivisionError:
        raise Unreadable("zero_denominator", text) from None
    return (-size if found["sign"] in ("-", "−") else size) * scale


def read_angle(text: str) -> Fraction:
    """Read an angle with its own units, exact, in degrees.

    Raises
    ------
    Unreadable
        ``no_unit``, ``ambiguous_comma`` or ``not_an_angle``.

    Examples
    --------
    >>> read_angle("14°30′"), read_angle("14d30m"), read_angle("16 deg 42 min 20 s")
    (Fraction(29, 2), Fraction(29, 2), Fraction(3007, 180))
    """
    if len(text) > _MAX_TEXT:
        raise Unreadable("not_an_angle", text[:_MAX_TEXT])
    if re.fullmatch(r"\s*[+\-−]?\d+(?:[.,]\d+)?\s*", text):
        raise Unreadable("no_unit", text)
    found = _ANGLE.match(text)
    if found is None or not (found["deg"] or found["min"] or found["sec"]):
        raise Unreadable("not_an_angle", text)
    parts = [_decimal(found[name]) if found[name] else Fraction(0) for name in ("deg", "min", "sec")]
    size = parts[0] + parts[1] / 60 + parts[2] / 3600
    return -size if found["sign"] in ("-", "−") else size


def read_ratio(text: str) -> Fraction:
    """Read ``40`` or ``2550/47``, exact.

    Raises
    ------
    Unreadable
        ``not_a_ratio`` or ``zero_denominator``.
    """
    found = re.fullmatch(r"\s*([+\-−]?)(\d{1,12})(?:\s*/\s*(\d{1,12}))?\s*", text)
    if found is None:
        raise Unreadable("not_a_ratio", text[:_MAX_TEXT])
    if found[3] is not None and int(found[3]) == 0:
        raise Unreadable("zero_denominator", text)
    size = Fraction(int(found[2]), int(found[3] or 1))
    return -size if found[1] in ("-", "−") else size


def degrees_minutes_seconds(angle_deg: Fraction) -> tuple[int, int, Fraction]:
    """Split a non-negative angle in degrees into whole degrees, whole minutes and exact seconds.

    >>> degrees_minutes_seconds(Fraction(3007, 180))
    (16, 42, Fraction(20, 1))
    """
    whole, rest = divmod(angle_deg, 1)
    minutes, rest = divmod(rest * 60, 1)
    return int(whole), int(minutes), rest * 60


def show_length(mm: float, unit: str = "mm", digits: int | None = None) -> str:
    """Show a length in ``"mm"`` (2 digits unless told) or ``"in"`` (4 digits unless told), without the unit's name.

    >>> show_length(25.4), show_length(25.4, "in"), show_length(5.7128, "mm", 3)
    ('25.40', '1.0000', '5.713')
    """
    if unit == "in":
        return f"{mm / 25.4:.{4 if digits is None else digits}f}"
    return f"{mm:.{2 if digits is None else digits}f}"
