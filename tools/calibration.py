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


INK, PAPER, FAINT = "#16181B", "#F6F4EE", "#8A8780"


def _svg(width: int, height: int, title: str, body: list[str]) -> str:
    style = f"text{{font:15px B612,sans-serif;fill:{INK};font-variant-numeric:tabular-nums}}"
    start = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img">'
    back = f'<rect width="{width}" height="{height}" fill="{PAPER}"/>'
    return "\n".join([start, f"<title>{title}</title>", f"<style>{style}</style>", back, *body, "</svg>", ""])


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{words}</text>'


def reliability(bins: dict[str, list[tuple[float, ...]]], rings: dict[str, int]) -> str:
    """Said against seen, one panel for each uncertainty, with bars of three binomial standard errors."""
    body = [_text(20, 30, "What came true of what was said. Bars: three binomial standard errors about what was said.")]
    for n, (name, rows) in enumerate(bins.items()):
        body += _panel(70 + 300 * n, 90, f"readings to {name}, {rings[name]} rings", rows, n == 0)
    return _svg(940, 400, "Said probabilities against what came true", body)


def _panel(left: float, top: float, head: str, rows: list[tuple[float, ...]], first: bool) -> list[str]:
    size = 240
    foot = top + size
    body = [_text(left, top - 16, head)]
    body.append(f'<path d="M{left} {foot}L{left + size} {top}" stroke="{FAINT}" fill="none"/>')
    body.append(f'<path d="M{left} {top}V{foot}H{left + size}" stroke="{INK}" fill="none"/>')
    for tick in (0, 50, 100):
        x, y = left + size * tick / 100, foot - size * tick / 100
        body += [_text(x, foot + 20, f"{tick}", "middle"), _text(left - 8, y + 5, f"{tick}", "end")]
    body.append(_text(left + size / 2, foot + 44, "said, %", "middle"))
    if first:
        body.append(_text(left + 8, top + 14, "came true, %"))
        body.append(_text(left + 0.6 * size, foot - 0.50 * size, "as said"))
    for _, _, _, said, seen, off in rows:
        error = abs(seen - said) / abs(off) if off else 0.0
        x, y = left + size * said, foot - size * seen
        low, high = (foot - size * min(max(said + way * 3 * error, 0.0), 1.0) for way in (-1, 1))
        body.append(f'<path d="M{x:.1f} {low:.1f}V{high:.1f}" stroke="{INK}" stroke-width="1.5"/>')
        body.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{INK}"/>')
    return body


def readings(counts: np.ndarray) -> str:
    """How many readings it took, both ways."""
    share = np.array([[np.mean(counts[:, way] == n) for n in range(1, 9)] for way in (0, 1)])
    scale, foot = 230 / max(float(share.max()), 0.1), 350
    body = [_text(20, 30, f"Readings until pitch and angle are 95 % sure: of {len(counts)} rings so many in a hundred")]
    for n in range(8):
        for way, fill in ((0, INK), (1, PAPER)):
            h, x = scale * share[way, n], 40 + 78 * n + 31 * way
            if share[way, n] > 0:
                box = f'x="{x}" y="{foot - h:.1f}" width="28" height="{h:.1f}"'
                body.append(f'<rect {box} fill="{fill}" stroke="{INK}" stroke-width="1.5"/>')
                body.append(_text(x + 14, foot - 7 - h, f"{100 * share[way, n]:.0f}", "middle"))
        body.append(_text(40 + 78 * n + 30, foot + 24, "8, or not yet" if n == 7 else str(n + 1), "middle"))
    body.append(f'<path d="M30 {foot}H670" stroke="{INK}"/>')
    body += _named(share, counts.mean(axis=0), scale, foot)
    return _svg(700, 400, "Readings needed, as proposed and in a fixed order", body)


def _named(share: np.ndarray, mean: np.ndarray, scale: float, foot: float) -> list[str]:
    """The words at the tallest bar of each way: above the one, beside the other."""
    (x, h), (at, tall) = (
        (40 + 78 * int(np.argmax(row)) + 31 * way, scale * float(row.max())) for way, row in enumerate(share)
    )
    return [
        _text(x, foot - h - 32, f"the next reading as proposed: {mean[0]:.2f} on average"),
        _text(at + 38, foot - tall + 20, f"a fixed order: {mean[1]:.2f} on average"),
    ]


def main() -> None:
    """Run what is missing, draw, print."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "build" / "calibration"
    folder.mkdir(parents=True, exist_ok=True)
    world, bins, rings = simulated(), {}, {}
    heads = ("world", "readings to", "rings", "worst bin", "ring first", "or tied", "pitch and angle first", "or tied")
    print("| " + " | ".join([*heads, "ties said", "names in one", "run"]) + " |")
    print("|---" * 11 + "|")
    for run in RUNS:
        seen, seconds = pooled(world, run, folder)
        found = world.bins(seen.said, seen.true)
        if run.world == "as assumed":
            bins[f"{run.u:g} mm"], rings[f"{run.u:g} mm"] = found, seen.other_said.size
        shares = " | ".join(f"{100 * v:.1f} %" for v in seen.shares())
        start = f"| {run.world} | {run.u:g} mm | {seen.other_said.size} | {world.worst(found):.1f} | "
        names = seen.tied_names
        ties = f"{100 * (names > 1).mean():.0f} % | {names[names > 1].mean():.1f} (most {names.max()})"
        print(f"{start}{shares} | {ties} | {seconds:.0f} s |")
    print("\n| said from | to | candidates | said on average | came true | standard errors |")
    print("|---" * 6 + "|")
    for low, high, count, said, true, off in bins["0.02 mm"]:
        print(f"| {low:g} | {high:g} | {count} | {said:.4f} | {true:.4f} | {off:+.1f} |")
    counts = needed(world, folder)
    print(f"\nreadings needed: {counts.mean(axis=0)}, over {len(counts)} rings")
    (OUT / "identify-reliability.svg").write_text(reliability(dict(sorted(bins.items())), rings), encoding="utf-8")
    (OUT / "identify-readings.svg").write_text(readings(counts), encoding="utf-8")


if __name__ == "__main__":
    main()
