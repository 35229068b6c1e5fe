"""The words of a move: from one tooth to another in one go, however far apart they are."""

from __future__ import annotations

from fractions import Fraction

from ringwright.reckon.crank import spaces_words, turns_words
from ringwright.reckon.crank_rows import SettingRow
from ringwright.words import _, ngettext_


def move_words(from_row: SettingRow, to_row: SettingRow) -> str:
    """The move from one tooth to another in one go, always ending clockwise.

    >>> from ringwright.reckon.crank_rows import table_rows
    >>> rows = table_rows({"method": "plain", "move": {"turns": 0, "circle": 23, "holes": 18}}, {"ratio": 90}, 115)
    >>> move_words(rows[0], rows[1])
    'No full turn, 18 spaces on the 23 circle. Come up clockwise. Lock.'
    """
    if to_row.method == "dial":
        return _dial_words(from_row, to_row)
    if to_row.method == "counts":
        return _count_words(from_row, to_row)
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
            dial=to_row.shown,
            before=from_row.shown,
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
        dial=to_row.shown,
        before=from_row.shown,
        passing=passing,
        how_far=how_far,
        count=counter_words(to_row.turns),
    )


def _count_words(from_row: SettingRow, to_row: SettingRow) -> str:
    on = (to_row.counts or 0) - (from_row.counts or 0)
    go = _("readout to {n} ({on:+d}).", n=to_row.counts, on=on)
    if on < 0:
        return _("{go} Half a turn of the crank too far back, and come up clockwise. Lock.", go=go)
    return _("{go} Come up clockwise. Lock.", go=go)


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
