"""Run every suite in turn, print the time of each and what was counted; exit 1 when anything failed.

A suite whose system package is missing is skipped with a word; with CI=true that is a failure.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BIN = ROOT / ".venv" / "bin"
CI = os.environ.get("CI") == "true"


@dataclass
class Suite:
    """One suite: what to run, and what must be on the machine for it."""

    name: str
    command: list[str]
    needs: str = ""


def has(what: str) -> bool:
    """Whether the machine has what a suite needs."""
    if what == "postgres":
        return bool(shutil.which("initdb") or list(Path("/usr/lib/postgresql").glob("*/bin/initdb")))
    return not what or shutil.which(what) is not None


def suites(long: bool) -> list[Suite]:
    """All suites, quick ones first."""
    pytest = [str(BIN / "pytest"), "--durations=8", "--durations-min=1"]
    keep = "" if long else " and not long"
    return [
        Suite("style", [str(BIN / "ruff"), "check"]),
        Suite("layout", [str(BIN / "ruff"), "format", "--check", "-q"]),
        Suite("types", [str(BIN / "mypy")]),
        Suite("arrows", [str(BIN / "lint-imports"), "--no-logo"]),
        Suite("client", [str(BIN / "python"), "tools/client.py", "test"]),
        Suite("core", [*pytest, "-n", "2", "-m", f"not browser and not postgres and not wheel{keep}"]),
        Suite("database", [*pytest, "-m", f"postgres{keep}", "tests"], needs="postgres"),
        Suite("browser", [*pytest, "-m", f"browser{keep}", "tests"], needs="chromium"),
        Suite("wheel", [*pytest, "-m", f"wheel{keep}", "tests"]),
    ]


def main() -> int:
    """Run them."""
    if os.geteuid() == 0 and not CI:
        subprocess.run(["bash", "tools/system_packages.sh"], cwd=ROOT, check=False)
    passed = failed = skipped = 0
    lines = []
    for suite in suites("--long" in sys.argv):
        print(f"== {suite.name}", flush=True)
        if not has(suite.needs):
            word = f"{suite.name}: {suite.needs} is not on this machine"
            print(word, flush=True)
            failed, skipped = failed + CI, skipped + (not CI)
            lines.append(f"{suite.name:10} {'FAILED' if CI else 'skipped'}: no {suite.needs}")
            continue
        start = time.monotonic()
        # Two workers on two cores: libraries that start a thread per core would only get in each other's way.
        env = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
        done = subprocess.run(suite.command, cwd=ROOT, env=env, capture_output=True, text=True, check=False)
        took = time.monotonic() - start
        print(done.stdout[-20_000:], done.stderr[-20_000:], flush=True)
        counts = {k: int(n) for n, k in re.findall(r"(\d+) (passed|failed|skipped|error)", done.stdout.strip()[-400:])}
        passed += counts.get("passed", 0 if "pytest" in suite.command[0] else int(done.returncode == 0))
        failed += counts.get("failed", 0) + counts.get("error", 0)
        if done.returncode != 0 and not counts.get("failed") and not counts.get("error"):
            failed += 1
        skipped += counts.get("skipped", 0)
        lines.append(f"{suite.name:10} {'passed' if done.returncode == 0 else 'FAILED'} in {took:6.1f} s")
    print("\n".join(lines))
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main())
