"""What a refusal carries: data, not sentences.

The core refuses with a code, the symbol at fault, its value and the limits. The edge (``reckon``) knows from which
field of the request the symbol came and in which unit, and the message catalogue has the words.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike


class Refusal(ValueError):
    """There is no answer for what was asked; ``str()`` is for developers only.

    Parameters
    ----------
    code : str
        Stable snake_case name of the kind of refusal; the message catalogue has the words for it.
    symbol : str
        The core's symbol at fault ("z", "D_M"); the operation says which request field it came from.
    value, low, high : float or None
        In core units (mm, rad, N, MPa, s).
    at : tuple of int
        Index of the element at fault where the symbol is an array over a list of the request.
    facts : mapping
        Further plain values for the words.
    """

    code: str = "refused"

    def __init__(
        self,
        code: str,
        symbol: str,
        value: float | None = None,
        low: float | None = None,
        high: float | None = None,
        *,
        at: tuple[int, ...] = (),
        facts: Mapping[str, object] | None = None,
    ) -> None:
        super().__init__(f"{code}: {symbol} = {value}")
        self.code, self.symbol, self.value, self.low, self.high = code, symbol, value, low, high
        self.at = at
        self.facts: dict[str, object] = dict(facts or {})


class OutOfRange(Refusal):
    """A value that no gear, machine or standard allows here; ``str()`` is for developers only."""

    code = "out_of_range"

    def __init__(self, symbol: str, value: float, low: float, high: float, *, at: tuple[int, ...] = ()) -> None:
        super().__init__("out_of_range", symbol, value, low, high, at=at)
        self.args = (f"{symbol} = {value:g} is outside {low:g} to {high:g}",)


class Unreadable(ValueError):
    """A text that is no length, angle, ratio or the like; ``code`` says why, ``text`` is what was typed."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(f"{code}: {text!r}")
        self.code, self.text = code, text


def require(symbol: str, value: ArrayLike, low: ArrayLike, high: ArrayLike) -> None:
    """Raise `OutOfRange` unless low <= value <= high everywhere (NaN never passes)."""
    v, lo, hi = np.broadcast_arrays(value, low, high)
    wrong = ~((v >= lo) & (v <= hi))
    if wrong.any():
        at = tuple(int(i) for i in np.argwhere(wrong)[0])
        raise OutOfRange(symbol, float(v[at]), float(lo[at]), float(hi[at]), at=at)
