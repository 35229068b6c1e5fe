"""What is left to be finished by hand after a cut, the same on page and paper."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ringwright.quantities import show_length
from ringwright.words import _

#: Shorter than this counts as nothing [mm].
_NOTHING = 0.005


def by_hand(cut: Any, unit: str = "mm") -> Iterable[str]:
    """What a lead-in leaves to be finished by hand, from its answer; lengths in the unit shown."""
    sharp = cut.sharp_edge_mm
    if sharp is not None and max(sharp.plus, sharp.minus) > _NOTHING:
        plus, minus = show_length(sharp.plus, unit, 1 if unit == "mm" else 3), show_length(sharp.minus, unit, 1)
        which = plus if abs(sharp.plus - sharp.minus) < _NOTHING else f"{plus} / {minus}"
        yield _("{mm} {unit} of each flank’s edge stay sharp at the face: break them by hand.", mm=which, unit=unit)
    if (cut.end_land_finished_mm or 0) > _NOTHING:
        yield _("The edges between flat and cut are new and sharp: draw a file over them.")
    if (cut.root_nick_mm or 0) > _NOTHING:
        deep = show_length(cut.root_nick_mm, unit)
        yield _("The cutter goes {mm} {unit} below the root: blend the nick, a crack begins there.", mm=deep, unit=unit)
    if (cut.neighbour_cut_mm or 0) > _NOTHING:
        deep = show_length(cut.neighbour_cut_mm, unit)
        yield _("A flank of another space is cut {mm} {unit} deep: a smaller cutter, or less.", mm=deep, unit=unit)
