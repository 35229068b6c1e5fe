"""Seconds to name a worn ring from six readings: all hypotheses at once, beside one fit after another."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from ringwright.identify import SYSTEMS, Reading, identify, next_reading
from ringwright.identify.hypotheses import Prior, hypotheses

sys.path.insert(0, str(Path(__file__).parent))
from plain.identify_least_squares import fit_every_ring

#: Invented: the demo's ring, 127 teeth of module 5, tips 2.9 mm and flanks 0.17 mm worn.
READINGS = (
    Reading("tip_diameter", 642.1, 0.1, True),
    Reading("root_diameter", 622.4, 0.2),
    Reading("whole_depth", 9.8, 0.1, True),
    Reading("span", 208.0, 0.03, True, k=14),
    Reading("span", 222.761, 0.03, True, k=15),
    Reading("over_pins", 646.95, 0.03, True, D_M=8.64),
)

#: The most that may be asked: sixteen coarse readings of a small ring, its count in doubt, with a helix.
WORST = (
    Reading("tip_diameter", 110.0, 3.0, True),
    Reading("root_diameter", 87.5, 3.0, True),
    Reading("whole_depth", 11.25, 3.0, True),
    Reading("pitch", 15.7, 3.0, True),
    Reading("helix_angle", 0.2, 0.01),
    Reading("over_pins", 112.0, 3.0, True, D_M=8.64),
    Reading("chordal_thickness", 7.8, 3.0, True, h=5.0),
    *(Reading("span", 38.1 + 14.76 * (k - 3), 3.0, True, k=k) for k in range(2, 11)),
)


def seconds(do: Callable[[], object], times: int) -> float:
    """Median of some runs."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        do()
        found.append(time.perf_counter() - start)
    return float(np.median(found))


def main() -> None:
    identify(1, 127, READINGS)  # tables read once
    ours = seconds(lambda: identify(1, 127, READINGS), 9)
    ranked = identify(1, 127, READINGS)
    following = seconds(lambda: next_reading(ranked), 9)
    worst = seconds(lambda: identify(1, 20, WORST, z_sure=False), 3)
    best = ranked.candidates[0].names[0]
    start = time.perf_counter()
    fits, count = fit_every_ring(1, 127, READINGS)
    plain, rows = time.perf_counter() - start, hypotheses(Prior())
    i = fits[0][1]
    same = (best.m, best.alpha) == (float(rows.m[i]), float(rows.alpha[i]))
    print(f"hypotheses                    {count}")
    print(f"all at once, with integrals   {ours:.4f} s (median of 9)")
    print(f"the next reading besides      {following:.4f} s (median of 9)")
    print(f"sixteen coarse readings       {worst:.2f} s (median of 3), count in doubt, helix read")
    print(f"one fit after another         {plain:.2f} s")
    print(f"times faster                  {plain / ours:.0f}")
    print(f"winner                        {SYSTEMS[best.system]} {best.size}, {np.degrees(best.alpha):g} degrees")
    print(f"same pitch and angle          {same}")
    if not same:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
