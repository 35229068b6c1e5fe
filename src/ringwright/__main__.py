"""The program's front door: the command line, and the app that it can start. Also ``python -m ringwright``."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from ringwright import cli


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status is 0, or 2 when there are problems."""
    try:
        return cli.main(argv, serve=_serve)
    except BrokenPipeError:  # `ringwright verify --all | head`: whoever reads has had enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _serve(asked: argparse.Namespace) -> int:
    from ringwright.web.serving import serve

    return serve(asked)


if __name__ == "__main__":
    raise SystemExit(main())
