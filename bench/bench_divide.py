"""Three plates and twelve change gears, beside trying everything in turn; the answers must be the same."""

from __future__ import annotations

import statistics
import sys
import time
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.plain import divide_search as plain
from ringwright import reckon

PLATES = [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33], [37, 39, 41, 43, 47, 49]]
CIRCLES = [c for side in PLATES for c in side]
GEARS = [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100]
COUNTS = (51, 63, 96, 115, 127, 131, 139, 151, 197, 233)


def ours(K: int, N: int) -> tuple[set[int], Fraction | None, Fraction | None]:
    """Exact circles, the nearest plain move's worst error where none is exact, the slowest simple train."""
    request = {
        "divisions": N,
        "device": {"name": "head", "ratio": K, "circles": PLATES, "change_gears": GEARS},
        "methods": ["plain", "differential"],
    }
    ways = reckon.divide(request).ways
    flat = [w for w in ways if w.method == "plain"]
    exact = {w.move.circle for w in flat if w.exact}
    errors = [(N - 1) * abs(Fraction(w.ratio_error)) / N for w in flat]
    trains = [Fraction(w.gears.spindle, w.gears.worm) for w in ways if w.gears and w.gears.stud_meshing_worm is None]
    return exact, None if exact or not errors else min(errors), min(trains, default=None)


def main() -> int:
    """Print one line per count; 1 when any answer differs."""
    different = 0
    ours(40, 127)  # loads the module
    for N in COUNTS:
        took = []
        for _ in range(7):
            start = time.perf_counter()
            answer = ours(40, N)
            took.append(time.perf_counter() - start)
        start = time.perf_counter()
        exact = plain.exact_plain(40, N, CIRCLES)
        worst, move = plain.nearest_plain(40, N, CIRCLES)
        slowest = plain.slowest_train(40, N, CIRCLES, GEARS)
        by_hand = time.perf_counter() - start
        meant = 2 * N * abs(N * move / 40 - 1) < 1
        same = answer == (exact, None if exact or not meant else worst, slowest)
        different += not same
        print(
            f"{N:4d} on 40:1, 18 circles, 12 gears: {1e3 * statistics.median(took):6.2f} ms, "
            f"trying everything {1e3 * by_hand:8.1f} ms, answers {'the same' if same else 'DIFFERENT'}"
        )
    whole = []
    request = {
        "divisions": 127,
        "radius_mm": 317.5,
        "device": {"name": "head", "ratio": 40, "circles": PLATES, "change_gears": GEARS},
    }
    for _ in range(15):
        start = time.perf_counter()
        reckon.divide(request)
        whole.append(time.perf_counter() - start)
    print(f" 127, every method: {1e3 * statistics.median(whole):.2f} ms (aim 20 ms)")
    return min(1, different)


if __name__ == "__main__":
    raise SystemExit(main())
