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
from ringwright.dividing.compounds import near_moves
from ringwright.dividing.devices import Device
from ringwright.dividing.trains import compound_settings
from ringwright.reckon.indexing_chart import chart_of

PLATES = [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33], [37, 39, 41, 43, 47, 49]]
CIRCLES = [c for side in PLATES for c in side]
GEARS = [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100]
HEAD = {"name": "head", "ratio": 40, "circles": PLATES, "change_gears": GEARS}
CORE = Device("head", Fraction(40), tuple(map(tuple, PLATES)), tuple(GEARS))
COUNTS = (51, 63, 96, 115, 127, 131, 139, 151, 173, 197, 233, 241, 263)


def ours(K: int, N: int) -> tuple[set[int], Fraction | None, Fraction | None]:
    """Exact circles, the nearest plain move's worst error where none is exact, the slowest simple train."""
    request = {
        "divisions": N,
        "device": {**HEAD, "ratio": K},
        "methods": ["plain", "differential"],
    }
    ways = reckon.divide(request).ways
    flat = [w for w in ways if w.method == "plain"]
    exact = {w.move.circle for w in flat if w.exact}
    errors = [(N - 1) * abs(Fraction(w.ratio_error)) / N for w in flat]
    trains = [Fraction(w.gears.spindle, w.gears.worm) for w in ways if w.gears and w.gears.stud_meshing_worm is None]
    return exact, None if exact or not errors else min(errors), min(trains, default=None)


def single(N: int) -> float:
    """Seconds for one count, median of seven, with every method, compound trains and near moves."""
    took = []
    for _ in range(7):
        start = time.perf_counter()
        reckon.divide({"divisions": N, "radius_mm": 317.5, "device": HEAD})
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def same_as_trying_everything(N: int) -> tuple[bool, float]:
    """Whether circles, nearest move, slowest simple and compound trains are those that a plain search finds."""
    answer = ours(40, N)
    compound = next((abs(train.R) for _, train in compound_settings(CORE, N)), None)
    start = time.perf_counter()
    exact = plain.exact_plain(40, N, CIRCLES)
    worst, move = plain.nearest_plain(40, N, CIRCLES)
    slowest = plain.slowest_train(40, N, CIRCLES, GEARS)
    stud = plain.slowest_compound_train(40, N, CIRCLES, GEARS)
    took = time.perf_counter() - start
    meant = 2 * N * abs(N * move / 40 - 1) < 1
    return answer == (exact, None if exact or not meant else worst, slowest) and compound == stud, took


def near_moves_the_same(N: int) -> tuple[bool, float]:
    """Whether the nearest pair of circles is the one that a plain search finds; one plate side, for its sake."""
    device = Device("h", Fraction(40), (tuple(PLATES[2]),))
    start = time.perf_counter()
    by_hand = plain.nearest_two_circles(40, N, PLATES[2:], 5)
    took = time.perf_counter() - start
    upto = [(N - 1) * abs(move.worm / 40 - Fraction(p, N)) for p, move in near_moves(device, N) if p <= 5]
    return min(upto, default=None) == by_hand, took


def chart_seconds() -> float:
    """Seconds for the best way of every count from 2 to 500."""
    start = time.perf_counter()
    done = []
    lines = list(chart_of({"divisions": 2, "radius_mm": 317.5, "device": HEAD}, 500, lambda n, of: done.append(n)))
    took = time.perf_counter() - start
    assert len(lines) == len(done) == 499
    return took


def main() -> int:
    """Print one line per count; 1 when any answer differs."""
    different = 0
    start = time.perf_counter()
    single(127)  # loads the module and the drawer's trains
    print(f"cold, with loading: {1e3 * (time.perf_counter() - start):.0f} ms for the first seven")
    for N in COUNTS:
        took = single(N)
        same, by_hand = same_as_trying_everything(N)
        different += not same
        print(
            f"{N:4d} on 40:1, 18 circles, 12 gears, all methods: {1e3 * took:6.2f} ms (aim 20 ms), "
            f"trying everything {1e3 * by_hand:8.1f} ms, answers {'the same' if same else 'DIFFERENT'}"
        )
    for N in (127, 97):
        same, by_hand = near_moves_the_same(N)
        different += not same
        said = "the same" if same else "DIFFERENT"
        print(f"{N:4d} near two-circle moves, one side: trying everything {1e3 * by_hand:.0f} ms, answers {said}")
    print(f"every count from 2 to 500: {chart_seconds():.2f} s (aim 3 s), with progress")
    return min(1, different)


if __name__ == "__main__":
    raise SystemExit(main())
