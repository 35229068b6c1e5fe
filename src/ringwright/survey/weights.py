"""How much each condition of a tooth counts when positions of a ring are compared."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ringwright import tables
from ringwright.errors import require


@cache
def condition_weights() -> dict[str, float]:
    """Weight of each condition, 1 for a tooth that cannot carry (common practice, no source)."""
    return {row["condition"]: float(row["weight"]) for row in tables.load("damage_weights")}


def damage_round(N: int, weighed: Iterable[tuple[int, float]]) -> NDArray[np.float64]:
    """Damage of every tooth: the greatest weight of its marks, 0 for a tooth without any.

    Parameters
    ----------
    N : int
        Teeth of the ring, 5 to 1000 [-]
    weighed : pairs
        Tooth (1 to N) and weight [-]

    Returns
    -------
    array, shape (N,)
        Tooth 1 first

    Raises
    ------
    OutOfRange
        A tooth that the ring has not; ``at`` is the place of the pair.

    Examples
    --------
    >>> damage_round(5, [(2, 0.3), (2, 1.0)])
    array([0., 1., 0., 0., 0.])
    """
    pairs = list(weighed)
    require("N", N, 5, 1000)
    require("tooth", np.array([t for t, _ in pairs]), 1, N)
    found = np.zeros(N)
    for tooth, weight in pairs:
        found[tooth - 1] = max(found[tooth - 1], weight)
    return found
