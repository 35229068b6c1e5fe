"""The removal field beside real solids cut by booleans: the same touch-off, lead and land, and how long each takes."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from ringwright.cutting.cutter import Cutter, Disc, DoubleAngle, Dovetail, EndMill, FlyCutter, SingleAngle, Turned
from ringwright.cutting.field import infeed_field
from ringwright.cutting.form import involute_form
from ringwright.cutting.lead_in import touched
from ringwright.cutting.pose import Pose, pose
from ringwright.cutting.surface import ToothedRing
from ringwright.gears.ring import RingGeometry

sys.path.insert(0, str(Path(__file__).resolve().parent / "plain"))
import field_solids
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


def cutters() -> dict[str, Cutter]:
    """One of every kind."""
    outline = np.linspace(-6, 6, 25)
    return {
        "flat": EndMill(6.0),
        "bull": EndMill(6.0, 1.0),
        "ball": EndMill(6.0, 6.0),
        "dovetail": Dovetail(8.0, np.pi / 3, 6.0, 0.3),
        "single angle": SingleAngle(30.0, np.pi / 3, 10.0, 0.5),
        "double angle": DoubleAngle(30.0, np.pi / 4, np.pi / 4, 12.0, 0.5),
        "disc": Disc(30.0, 6.0, 0.5),
        "fly": FlyCutter(20.0, 5.0, 6.0, 0.8),
        "form": involute_form(45.0, RingGeometry("external", 55, 5.0)),
        "measured": Turned(tuple(outline), tuple(30 - 0.4 * abs(outline) ** 1.5)),
    }


def poses() -> dict[str, Pose]:
    """Plunges and complete passes, leaning and square."""
    return {
        "leaning": pose(AXIS, FEED, TIP),
        "leaning, locked": pose(AXIS, [-1, 0, 0.2], TIP, [0, 0.1, 1]),
        "across": pose([0, 1, 0], [-1, 0, 0], [360, 0, -1]),
        "across, locked": pose([0, 1, 0], [0, 0, 1], [350, 0, -1], [-1, 0, 0]),
    }


def every_kind() -> None:
    """Milliseconds for all points, one line for each kind, one column for each pose."""
    points = np.random.default_rng(1).uniform([310, -8, 0], [323, 8, 6], (POINTS, 3))
    how = poses()
    print(f"field of {POINTS} points, ms: " + "; ".join(how))
    for name, cutter in cutters().items():
        spent = [milliseconds(lambda: infeed_field(points, cutter, p), 21) for p in how.values()]  # noqa: B023
        print(f"  {name:13s}" + " ".join(f"{x:8.2f}" for x in spent))


def surface_by_solids() -> None:
    """One cut as a boolean of solids: the field answers for all points at once, the mesh for one infeed."""
    swept = field_solids.Swept(field_solids.end_mill(6.0, 1.0), AXIS, FEED, [137.5, 0, -1])
    ring = field_solids.piece_of_ring(field_solids.section())
    spent = milliseconds(lambda: field_solids.Skin(swept.cut_from(ring, 18.0)), 3)
    print(f"one boolean of a bull cutter, for one infeed: {spent:.0f} ms")


def main() -> int:
    """Print the lines; 1 when the two ways differ by more than 20 um."""
    every_kind()
    surface_by_solids()
    body, mill, how = ToothedRing(RingGeometry("external", 127, 5.0), 60.0), EndMill(6.0), pose(AXIS, FEED, TIP)
    plain = Plain(127, 5.0, 20.0, 60.0, 12.0, AXIS, FEED, TIP)
    few = np.random.default_rng(1).uniform([310, -8, 0], [323, 8, 6], (500, 3))
    spent = POINTS / len(few) * milliseconds(lambda: plain.first_reach(few), 3)
    print(f"{POINTS} points by planes of a facetted flat cutter: {spent:.0f} ms")

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
