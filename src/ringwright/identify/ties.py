"""Which candidates are said to be tied: those that the readings do not tell apart."""

from __future__ import annotations

from math import log

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Two candidates are tied when their odds are below this;
TIE_ODDS = 3.0
#: or below this, where the readings alone speak for the likelier by less than `TIE_ODDS`: only the weights decide.
TIE_BY_WEIGHTS = 10.0


def tied(p: Array, before: Array) -> NDArray[np.bool_]:
    """Which of the candidates are tied with which, (n, n), from their weights after and before the readings, (n,).

    Two are tied when their odds are below `TIE_ODDS`; and when they are below `TIE_BY_WEIGHTS` and the readings alone
    speak for the likelier by less than `TIE_ODDS`. The weights are common practice without a source: a lead that
    only they give is not called a lead.

    >>> tied(np.array([0.6, 0.3]), np.array([0.5, 0.5]))[0, 1].item()  # odds 2
    True
    >>> tied(np.array([0.8, 0.1]), np.array([0.5, 0.5]))[0, 1].item()  # odds 8, all of it from the readings
    False
    >>> tied(np.array([0.8, 0.1]), np.array([0.4, 0.1]))[0, 1].item()  # odds 8, the readings alone 2
    True
    """
    with np.errstate(divide="ignore"):
        odds, weights = (np.log(w)[:, None] - np.log(w) for w in (p, before))
    close = np.abs(odds) < log(TIE_ODDS)
    by_weights = (np.abs(odds) < log(TIE_BY_WEIGHTS)) & (np.sign(odds) * (odds - weights) < log(TIE_ODDS))
    return np.asarray((close | by_weights) & ~np.eye(p.size, dtype=bool))
