"""Try the odds of `identify` on simulated worn rings and draw what came of it.

    python tools/calibration.py [FOLDER]

Lots of rings that lie in FOLDER already (build/calibration) are used as they are; missing ones are run, which takes
hours on a slow machine. Writes docs/explanation/identify-*.svg and prints the tables of docs/reference/long-runs.md.
"""

from __future__ import annotations

import importlib.util
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "docs" / "explanation"


@dataclass(frozen=True)
class Run:
    """Lots of rings in one world, each lot with its own number from ``first`` on."""

    name: str
    world: str
    u: float
    first: int
    lots: int
    rings: int


RUNS = (
    Run("u02", "as assumed", 0.02, 100, 10, 1000),
    Run("u01", "as assumed", 0.01, 200, 4, 500),
    Run("u05", "as assumed", 0.05, 300, 4, 500),
    Run("six01", "six readings", 0.01, 400, 2, 250),
    Run("six02", "six readings", 0.02, 400, 2, 250),
    Run("six05", "six readings", 0.05, 400, 2, 250),
    Run("noise", "noise 1.5 times what is said", 0.05, 700, 1, 400),
    Run("bad", "one bad reading in every ring", 0.05, 700, 1, 400),
    Run("step", "stepped flanks", 0.05, 700, 1, 400),
    Run("prior", "another prior", 0.05, 700, 1, 400),
)
NEEDED = (600, 12, 10)  # first number, lots, rings: readings until settled


def simulated() -> ModuleType:
    """The simulated world of the tests."""
    spec = importlib.util.spec_from_file_location("simulated", ROOT / "tests" / "identify" / "simulated.py")
    assert spec is not None
    assert spec.loader is not None
    module = sys.modules["simulated"] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def pooled(world: Any, run: Run, folder: Path) -> tuple[Any, float]:
    """All lots of a run as one, and its seconds; what lies in the folder is not run again."""
    lots, seconds = [], 0.0
    for n in range(run.lots):
        path = folder / f"{run.name}_{n}.npz"
        if not path.exists():
            start = time.perf_counter()
            seen = world.run(run.rings, run.u, number=run.first + n, world=world.WORLDS[run.world])
            np.savez(path, seconds=time.perf_counter() - start, **vars(seen))
        with np.load(path) as lot:
            lots.append({name: lot[name] for name in lot.files})
        seconds += float(lots[-1].pop("seconds"))
    names = world.Seen.__dataclass_fields__
    return world.Seen(**{n: np.concatenate([lot[n] for lot in lots if n in lot]) for n in names}), seconds


def needed(world: Any, folder: Path) -> np.ndarray:
    """Readings until settled, (rings, 2): following the next reading, in a fixed order."""
    first, lots, rings = NEEDED
    found = []
    for n in range(lots):
        path = folder / f"need_{n}.npz"
        if not path.exists():
            np.savez(path, n=world.readings_needed(rings, first + n))
        with np.load(path) as lot:
            found.append(lot["n"])
    return np.concatenate(found)


def _svg(width: int, height: int, title: str, body: list[str]) -> str:
    style = "text{font:14px sans-serif;fill:#222}line,path,rect,circle{vector-effect:non-scaling-stroke}"
    start = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img">'
    back = f'<rect width="{width}" height="{height}" fill="#fff"/>'
    return "\n".join([start, f"<title>{title}</title>", f"<style>{style}</style>", back, *body, "</svg>", ""])


def reliability(bins: dict[str, list[tuple[float, ...]]]) -> str:
    """Said against seen, with bars of three binomial standard errors."""
    size, at = 480, 60
    shapes = {"0.02 mm": ("#000", 0), "0.01 mm": ("#777", -4), "0.05 mm": ("#777", 4)}
    body = [f'<path d="M{at} {at + size}L{at + size} {at}" stroke="#999" stroke-dasharray="6 4" fill="none"/>']
    body.append(f'<rect x="{at}" y="{at}" width="{size}" height="{size}" fill="none" stroke="#222"/>')
    for tick in (0, 25, 50, 75, 100):
        x, y = at + size * tick / 100, at + size - size * tick / 100
        body.append(f'<text x="{x}" y="{at + size + 22}" text-anchor="middle">{tick} %</text>')
        body.append(f'<text x="{at - 8}" y="{y + 5}" text-anchor="end">{tick}</text>')
    for name, rows in bins.items():
        colour, aside = shapes[name]
        for _, _, _, said, seen, off in rows:
            error = abs(seen - said) / abs(off) if off else 0.0
            x, y = at + size * said + aside, at + size - size * seen
            top, foot = y - 3 * error * size, y + 3 * error * size
            body.append(f'<path d="M{x:.1f} {top:.1f}V{foot:.1f}" stroke="{colour}"/>')
            fill = colour if name == "0.02 mm" else "#fff"
            body.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{fill}" stroke="{colour}"/>')
    body.append(f'<text x="{at + size / 2}" y="{at + size + 46}" text-anchor="middle">said</text>')
    body.append(f'<text x="{at}" y="{at - 14}">came true (%), bars: three binomial standard errors</text>')
    body.append(
        f'<text x="{at + 14}" y="{at + 26}">full: readings to 0.02 mm; open: 0.01 (left) and 0.05 mm (right)</text>'
    )
    return _svg(600, 620, "Said probabilities against what came true", body)


def readings(counts: np.ndarray) -> str:
    """How many readings it took, both ways."""
    share = np.array([[np.mean(counts[:, way] == n) for n in range(1, 9)] for way in (0, 1)])
    scale = 260 / max(float(share.max()), 0.1)
    body = []
    for n in range(8):
        for way, fill in ((0, "#222"), (1, "#bbb")):
            h, x = scale * share[way, n], 70 + 62 * n + 26 * way
            body.append(f'<rect x="{x}" y="{340 - h:.1f}" width="24" height="{h:.1f}" fill="{fill}"/>')
            if share[way, n] >= 0.005:
                body.append(
                    f'<text x="{x + 12}" y="{334 - h:.1f}" text-anchor="middle">{100 * share[way, n]:.0f}</text>'
                )
        last = "8 or more" if n == 7 else str(n + 1)
        body.append(f'<text x="{70 + 62 * n + 25}" y="362" text-anchor="middle">{last}</text>')
    mean = counts.mean(axis=0)
    body.append('<path d="M60 340H570" stroke="#222"/>')
    body.append('<text x="315" y="388" text-anchor="middle">readings until pitch and angle are 95 % sure</text>')
    body.append(f'<text x="60" y="30">% of rings; dark: the next reading as proposed, on average {mean[0]:.2f}</text>')
    body.append(f'<text x="60" y="52">light: a fixed order, on average {mean[1]:.2f}</text>')
    return _svg(600, 400, "Readings needed, as proposed and in a fixed order", body)


def main() -> None:
    """Run what is missing, draw, print."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "build" / "calibration"
    folder.mkdir(parents=True, exist_ok=True)
    world, bins = simulated(), {}
    print("| world | readings to | rings | worst bin | ring first | or tied | pitch and angle first | or tied | run |")
    print("|---" * 9 + "|")
    for run in RUNS:
        seen, seconds = pooled(world, run, folder)
        found = world.bins(seen.said, seen.true)
        if run.world == "as assumed":
            bins[f"{run.u:g} mm"] = found
        shares = " | ".join(f"{100 * v:.1f} %" for v in seen.shares())
        start = f"| {run.world} | {run.u:g} mm | {seen.other_said.size} | {world.worst(found):.1f} | "
        print(f"{start}{shares} | {seconds:.0f} s |")
    print("\n| said from | to | candidates | said on average | came true | standard errors |")
    print("|---" * 6 + "|")
    for low, high, count, said, true, off in bins["0.02 mm"]:
        print(f"| {low:g} | {high:g} | {count} | {said:.4f} | {true:.4f} | {off:+.1f} |")
    counts = needed(world, folder)
    print(f"\nreadings needed: {counts.mean(axis=0)}, over {len(counts)} rings")
    (OUT / "identify-reliability.svg").write_text(reliability(bins), encoding="utf-8")
    (OUT / "identify-readings.svg").write_text(readings(counts), encoding="utf-8")


if __name__ == "__main__":
    main()
