"""A lead-in solved and answered whole, beside the same by booleans on solids; how far apart the two are."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from ringwright import reckon
from ringwright.cutting.cutter import EndMill
from ringwright.cutting.lead_in import LeadIn, touched
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.what_if import effects
from ringwright.gears.ring import RingGeometry
from ringwright.reckon import leading

sys.path.insert(0, str(Path(__file__).resolve().parent / "plain"))
from field_boolean import Plain

AXIS, FEED, TIP, LEAD = [1, 0, -1], [-1, 0, 0], [337.5, 0, -1], 1.0
REQUEST = {
    "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"tool_axis": AXIS, "feed": FEED, "tip": TIP},
    "target": {"lead_length_mm": LEAD},
}


def milliseconds(act: Callable[[], object], times: int) -> tuple[float, float]:
    """Median by the clock on the wall and by the processor's, of ``times`` runs."""
    wall, busy = [], []
    for _ in range(times):
        start, began = time.perf_counter(), time.process_time()
        act()
        wall.append(time.perf_counter() - start)
        busy.append(time.process_time() - began)
    return 1e3 * statistics.median(wall), 1e3 * statistics.median(busy)


def shown(what: str, act: Callable[[], object], times: int = 9) -> None:
    """One line."""
    wall, busy = milliseconds(act, times)
    print(f"{what}: {wall:.1f} ms ({busy:.1f} of the processor)")


def forget() -> None:
    """As after starting up: no ring's points and no answers kept."""
    leading._reckoned.cache_clear()
    leading._grids.cache_clear()


def whole(**more: object) -> object:
    """The whole answer with nothing kept."""
    forget()
    return reckon.lead_in({**REQUEST, **more})


def same_ring(n: list[float]) -> object:
    """The whole answer for another pose on a ring that was asked before."""
    n[0] += 1e-3
    return reckon.lead_in({**REQUEST, "pose": {**REQUEST["pose"], "tip": [337.5 + n[0], 0, -1]}})  # type: ignore[dict-item]


def by_solids(plain: Plain) -> tuple[float, float, float]:
    """Touch-off, infeed for the lead and land left by halving; one boolean each step."""
    zero = plain.touch_off(0.0, 40.0)
    low, high = 0.0, 8.0
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (low, middle) if plain.lead(plain.left(zero + middle), 0, -1) >= LEAD else (middle, high)
    return zero, high, plain.reference_arc_left(plain.left(zero + high), 1e-4, 0)


def main() -> int:
    """Print the lines; 1 when the two ways differ by more than 20 um."""
    how, mill = pose(AXIS, FEED, TIP), EndMill(6.0)

    def body() -> ToothedRing:
        return ToothedRing(RingGeometry("external", 127, 5.0), 60.0)

    def set_up() -> LeadIn:
        return touched(body(), mill, how, shift=False)

    at = set_up()
    cut = at.aim_lead(LEAD).cut
    assert cut is not None
    reckon.lead_in(REQUEST)
    shown("touch-off", set_up)
    shown(f"full solve, touch-off and infeed for a lead of {LEAD:g} mm", lambda: set_up().aim_lead(LEAD))
    shown("full solve for a land of 5 mm", lambda: set_up().aim_land(5.0))
    shown("touch-off with its shift and its alternatives", lambda: touched(body(), mill, how))
    shown("face left untouched", lambda: set_up().full_face(cut.infeed))
    shown("what seven small errors do", lambda: effects(at, cut))
    shown("the whole answer, first time", whole)
    count = [0.0]
    shown("the whole answer, another pose of the same ring", lambda: same_ring(count))
    shown("a target out of reach, and what would reach it", lambda: whole(target={"lead_length_mm": 2.5}), 5)
    words = {"entry_face_looks": "-y", "work_at": "+z", "nod_deg": 45, "feed_by": "-knee", "tip": TIP}
    nod = {"pose": words, "solve_for": "nod_deg", "also": {"end_land_finished_mm": 4.3}}
    shown("nod and infeed for a lead and a land", lambda: whole(**nod), 3)

    plain = Plain(127, 5.0, 20.0, 60.0, 12.0, AXIS, FEED, TIP)
    shown("touch-off, infeed and land by booleans", lambda: by_solids(plain), 1)
    zero, infeed, land = by_solids(plain)
    apart = np.array([at.zero - zero, cut.infeed - infeed, cut.land_plus - land])
    print("apart: touch-off {:+.1f} um, infeed {:+.1f} um, land {:+.1f} um".format(*(1e3 * apart)))
    return int(abs(apart).max() > 0.02)


if __name__ == "__main__":
    raise SystemExit(main())
