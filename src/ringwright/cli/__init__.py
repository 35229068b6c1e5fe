"""The command line.

Kept thin: every sum is an operation of ``reckon``; imports happen inside the commands, so that ``--help`` is quick.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from ringwright import __version__


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status is 0, or 2 when there are problems."""
    parser = _parser()
    asked = parser.parse_args(argv)
    if asked.command is None:
        asked = parser.parse_args(["serve", *(argv if argv is not None else sys.argv[1:])])
    from ringwright.cli import commands

    status: int = getattr(commands, asked.command)(asked)
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="ringwright", description="From a chewed-up toothed ring to a signed-off repair."
    )
    parser.add_argument("--version", action="version", version=f"ringwright {__version__}")
    sub = parser.add_subparsers(dest="command", metavar="COMMAND")

    reckon = sub.add_parser("reckon", help="ask one operation, JSON in and out")
    reckon.add_argument("name", nargs="?", help="the operation")
    reckon.add_argument("file", nargs="?", default="-", help="a file of JSON, or - for standard input")
    reckon.add_argument("--schema", action="store_true", help="print the schemas of request and answer")
    reckon.add_argument("--list", action="store_true", help="print the names of the operations")

    verify = sub.add_parser("verify", help="reckon every published check that ships, on this machine")
    verify.add_argument("--all", action="store_true", help="print every line, not only the count and what is off")
    return parser
