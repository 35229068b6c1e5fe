"""Hours of each way to save a ring, with their spread."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

from ringwright import tables
from ringwright.errors import require
from ringwright.estimating.spread import Spread, from_two

WayName = Literal["dress_and_lead_in", "reclock", "turn_over", "weld_and_recut", "new_ring"]
WAYS: tuple[WayName, ...] = get_args(WayName)


def elements() -> frozenset[str]:
    """Names of the parts that a way's time is made of."""
    return frozenset(row["element"] for row in tables.load("way_times"))


def hours(way: WayName, N: int, damaged: int, own: Mapping[str, tuple[float, float]] | None = None) -> Spread:
    """Hours of a way: its parts added up as independent, the teeth of one part slow or quick together.

    Parameters
    ----------
    way : str
        One of `WAYS`
    N : int
        Teeth of the ring, 5 to 1000 [-]
    damaged : int
        Damaged teeth, 0 to N [-]
    own : mapping
        The shop's own minutes by part: fiftieth and eightieth in a hundred

    Returns
    -------
    Spread
        Mean [h] and variance [h^2]

    Raises
    ------
    OutOfRange
        More damaged teeth than the ring has.
    """
    require("N", N, 5, 1000)
    require("damaged", damaged, 0, N)
    total = Spread(0.0, 0.0)
    for row in tables.load("way_times"):
        if row["way"] != way:
            continue
        times = {"job": 1, "tooth": N, "damaged": damaged}[row["per"]]
        printed = float(row["p50_minutes"]), float(row["p80_minutes"])
        p50, p80 = (own or {}).get(row["element"], printed)
        total = total + from_two(p50 / 60, p80 / 60).times(times)
    return total
