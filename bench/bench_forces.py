"""The forces of a cut beside the same added up in plain loops, and the edge's life; how long each takes."""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable

import numpy as np

from ringwright import reckon
from ringwright.cutting import chip, forces
from ringwright.cutting.cutter import EndMill
from ringwright.cutting.lead_in import touched
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.gears.ring import RingGeometry

R, DEEP, FEED, EDGES, WIDE = 6.0, 4.0, 0.05, 4, 6.0
LEAD = {
    "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
    "target": {"lead_length_mm": 1.0},
}
DATA = {
    "cutter": {"kind": "flat", "diameter_mm": 12, "flutes": 4, "material": "carbide"},
    "hardness": {"value": 250, "scale": "HB"},
    "cut": LEAD,
}
LIFE = {
    "stretches": [
        {"first": 1, "last": 80, "zone": "sound", "hardness_hb": 220},
        {"first": 81, "last": 90, "zone": "weld_start_stop", "hardness_hb": 260},
        {"first": 91, "last": 100, "zone": "hard", "hardness_hb": 420},
    ],
    "cutter": {"material": "carbide"},
    "speed_m_min": 60,
    "seconds_per_tooth": 12,
}


def shown(what: str, act: Callable[[], object], times: int = 5) -> None:
    """Median by the clock on the wall and by the processor's."""
    wall, busy = [], []
    for _ in range(times):
        start, began = time.perf_counter(), time.process_time()
        act()
        wall.append(time.perf_counter() - start)
        busy.append(time.process_time() - began)
    print(f"{what}: {1e3 * statistics.median(wall):.1f} ms ({1e3 * statistics.median(busy):.1f} of the processor)")


def plain_side_cut(steel: forces.Steel) -> float:
    """Mean torque [N mm] of a side cut, angle by angle and edge by edge: chip f_z sin(phi), no array in sight."""
    steps, total = 3600, 0.0
    first = math.pi - math.acos(1 - WIDE / R)
    for k in range(steps):
        for edge in range(EDGES):
            phi = (2 * math.pi * (k / steps + edge / EDGES)) % (2 * math.pi)
            if first <= phi <= math.pi:
                h = FEED * math.sin(phi)
                total += steel.k_c11 * max(h, forces.THINNEST_CHIP) ** -steel.m_c * h * DEEP * R
    return total / steps


def block(p: np.ndarray) -> np.ndarray:
    """Metal ahead of the cutter along +t: a wall ``WIDE`` into its path and ``DEEP`` high."""
    return np.asarray((p[..., 0] > R - WIDE) & (p[..., 2] < DEEP) & (p[..., 2] > 0))


def main() -> None:
    steel = forces.steel_of_hardness(250)
    mill, stand = EndMill(R), pose([0, 0, 1], [0, 1, 0], [0, 0, 0])
    law, running = chip.Law(steel, 1.0, 0.6), chip.Running(EDGES, FEED, 1000.0)

    def ours() -> chip.Load | None:
        return chip.load(block, mill, stand, np.zeros(3), running, law, 2 * DEEP, fine=3)

    load = ours()
    assert load is not None
    plain = plain_side_cut(steel)
    print(f"mean torque of a side cut {WIDE} wide, {DEEP} deep: {load.torque:.1f} N mm, in plain loops {plain:.1f}")
    shown("  one place, chip by chip", ours)
    shown("  the same in plain loops", lambda: plain_side_cut(steel))
    body = ToothedRing(RingGeometry("external", 127, 5.0), 60.0)
    at = touched(body, mill, pose([1, 0, -1], [-1, 0, 0], [337.5, 0, -1]))
    shown("the heaviest place of a lead-in", lambda: chip.heaviest(at, 5.7, running, law), 3)
    shown("cutting_data with forces, whole", lambda: reckon.cutting_data(DATA), 3)
    seconds = iter(range(8, 30))  # never the same request twice: answers are kept
    shown(
        "cutter_life, a hundred teeth in three zones",
        lambda: reckon.cutter_life({**LIFE, "seconds_per_tooth": next(seconds)}),
        3,
    )


if __name__ == "__main__":
    main()
