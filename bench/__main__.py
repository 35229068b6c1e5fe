"""Run every bench file in turn: ``python -m bench``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def main() -> int:
    """Each file prints its own lines."""
    worst = 0
    for path in sorted(HERE.glob("bench_*.py")):
        print(f"== {path.stem}", flush=True)
        worst = max(worst, subprocess.run([sys.executable, str(path)], cwd=HERE.parent, check=False).returncode)
    return worst


if __name__ == "__main__":
    raise SystemExit(main())
