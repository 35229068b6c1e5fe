"""The removal field beside real solids cut by booleans: the same touch-off, lead and land, and how long each takes."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.field import infeed_field
from ringwright.cutting.lead_in import touched
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.gears.ring import RingGeometry

sys.path.insert(0, str(Path(__file__).resolve().parent / "plain"))
from field_boolean import Plain

AXIS, FEED, TIP = [1, 0, -1], [-1, 0, 0], [337.5, 0, -1]
POINTS = 10_000
LEAD = 1.0


def milliseconds(act: Callable[[], object], times: int) -> float:
    """Median of ``times`` runs."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        took.append(time.perf_counter() - start)
    return 1e3 * statistics.median(took)


def main() -> int:
    """Print the lines; 1 when the two ways differ by more than 20 um."""
    body, mill, how = ToothedRing(RingGeometry("external", 127, 5.0), 60.0), EndMill(6.0), pose(AXIS, FEED, TIP)
    plain = Plain(127, 5.0, 20.0, 60.0, 12.0, AXIS, FEED, TIP)
    points = np.random.default_rng(1).uniform([310, -8, 0], [323, 8, 6], (POINTS, 3))
    for name, cutter in (("flat", mill), ("ball", EndMill(6.0, 6.0)), ("corner radius 1", EndMill(6.0, 1.0))):
        spent = milliseconds(lambda: infeed_field(points, cutter, how), 21)  # noqa: B023
        print(f"field of {POINTS} points, {name}: {spent:.2f} ms")
    few = points[:500]
    print(f"the same by planes of a facetted cutter: {20 * milliseconds(lambda: plain.first_reach(few), 3):.0f} ms")

    at = touched(body, mill, how, shift=False)
    cut = at.aim_lead(LEAD).cut
    assert cut is not None
    ours = milliseconds(lambda: touched(body, mill, how, shift=False).aim_lead(LEAD), 5)

    def by_solids() -> tuple[float, float, float]:
        """Touch-off by halving, then infeed for the lead by halving; one boolean each step."""
        zero = plain.touch_off(0.0, 40.0)
        low, high = 0.0, 8.0
        while high - low > 1e-3:
            middle = (low + high) / 2
            low, high = (low, middle) if plain.lead(plain.left(zero + middle), 0, -1) >= LEAD else (middle, high)
        return zero, high, plain.reference_arc_left(plain.left(zero + high), 1e-4, 0)

    zero, infeed, land = by_solids()
    theirs = milliseconds(by_solids, 1)
    print(f"touch-off and infeed for a lead of {LEAD:g} mm: field {ours:.0f} ms, booleans {theirs:.0f} ms")
    apart = np.array([at.zero - zero, cut.infeed - infeed, cut.land_plus - land])
    print("apart: touch-off {:+.1f} um, infeed {:+.1f} um, land {:+.1f} um".format(*(1e3 * apart)))
    return int(abs(apart).max() > 0.02)


if __name__ == "__main__":
    raise SystemExit(main())
