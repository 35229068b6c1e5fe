"""Extract every sentence into the message catalogue's template."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OUT = "src/ringwright/words/ringwright.pot"


def main() -> int:
    """Write the template with Babel."""
    command = [
        sys.executable, "-m", "babel.messages.frontend", "extract", "-F", "tools/babel.cfg", "-k", "_:1", "-k", "N_:1",
        "-k", "ngettext_:1,2", "--no-location", "--sort-output", "--omit-header", "-o", OUT, "src", "web/client/src",
    ]  # fmt: skip
    return subprocess.run(command, cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    raise SystemExit(main())
