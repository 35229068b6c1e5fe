"""The command line.

Kept thin: every sum is an operation of ``reckon``; imports happen inside the commands, so that ``--help`` is quick.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from ringwright import __version__
from ringwright.words import _

#: The app's port, chosen once, so that a tablet's page keeps its address.
PORT = 8427
_COMMANDS = ("serve", "reckon", "divide", "gear", "mesh", "tolerance", "demo", "verify", "backup", "restore", "doctor")


def main(argv: Sequence[str] | None, serve: Callable[[argparse.Namespace], int]) -> int:
    """Run one command; the exit status is 0, or 2 when there are problems. ``serve`` starts the app."""
    words = list(sys.argv[1:] if argv is None else argv)
    if not any(w in _COMMANDS for w in words) and not {"-h", "--help", "--version"} & set(words):
        if words and not words[0].startswith("-"):
            print(
                _(
                    "There is no command “{word}”. There are: {commands}. What each does: ringwright --help.",
                    word=words[0],
                    commands=", ".join(_COMMANDS),
                ),
                file=sys.stderr,
            )
            return 2
        words = ["serve", *words]
    asked = _parser().parse_args(words)
    if asked.command == "serve":
        if not _listens(asked.host, asked.port):
            return 2
        return serve(asked)
    from ringwright.cli import commands

    status: int = getattr(commands, asked.command)(asked)
    return status


def _listens(host: str, port: int) -> bool:
    """Whether the app can listen there; says in words why not."""
    import os
    import socket

    if not 0 < port < 65536:
        print(
            _(
                "There is no port {port}. Ports run from 1 to 65535; without --port it is {usual}.",
                port=port,
                usual=PORT,
            ),
            file=sys.stderr,
        )
        return False
    try:
        with socket.create_server((host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET):
            return True
    except OSError as fault:
        why = os.strerror(fault.errno) if fault.errno else str(fault)
        print(
            _(
                "Cannot listen on {host}, port {port}: {why}. If Ringwright runs there already, open "
                "http://{host}:{port}/ in the browser; otherwise name another port with --port.",
                host=host,
                port=port,
                why=why,
            ),
            file=sys.stderr,
        )
        return False


def _help(said: str) -> str:
    """A text as argparse wants it: a per cent sign stands twice, whoever translated it."""
    return said.replace("%", "%%")


def _length(text: str) -> float | str:
    """Millimetres, or text with its own unit ("12-1/2 in") for the operation to read."""
    try:
        return float(text)
    except ValueError:
        return text


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="ringwright",
        description=_help(
            _("From a chewed-up toothed ring to a signed-off repair. Without a command it opens the app.")
        ),
    )
    parser.add_argument("--version", action="version", version=f"ringwright {__version__}")
    sub = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    _serving(sub)
    _reckoning(sub)

    demo = sub.add_parser("demo", help=_help(_("run the whole demo job without a browser: its papers and data")))
    demo.add_argument("folder", metavar="DIR", help=_help(_("where to write; made when it is not there")))

    verify = sub.add_parser("verify", help=_help(_("reckon every published check that ships, on this machine")))
    verify.add_argument(
        "--all", action="store_true", help=_help(_("print every line, not only the count and what is off"))
    )
    return parser


def _serving(sub: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    serve = sub.add_parser("serve", help=_help(_("open the app (this is also what happens without a command)")))
    serve.add_argument("--port", type=int, default=PORT, help=_help(_("the port ({port})", port=PORT)))
    serve.add_argument("--data", metavar="DIR", help=_help(_("the data folder, or a postgresql:// address")))
    serve.add_argument("--demo", action="store_true", help=_help(_("put the demo job in, if it is not there")))
    serve.add_argument("--no-browser", action="store_true", help=_help(_("do not open a browser")))
    serve.add_argument(
        "--host", default="127.0.0.1", help=_help(_("the address to listen on; by default this machine only"))
    )

    backup = sub.add_parser("backup", help=_help(_("copy everything into one file while the app runs")))
    backup.add_argument("file", metavar="FILE")
    backup.add_argument("--data", metavar="DIR")
    restore = sub.add_parser("restore", help=_help(_("put a backup back; what is there now is kept beside it")))
    restore.add_argument("file", metavar="FILE")
    restore.add_argument("--data", metavar="DIR")
    doctor = sub.add_parser("doctor", help=_help(_("look whether the data and this machine are sound")))
    doctor.add_argument("--data", metavar="DIR")


def _reckoning(sub: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    reckon = sub.add_parser("reckon", help=_help(_("ask one operation, JSON in and out")))
    reckon.add_argument("name", nargs="?", help=_help(_("the operation")))
    reckon.add_argument("file", nargs="?", default="-", help=_help(_("a file of JSON, or - for standard input")))
    reckon.add_argument("--schema", action="store_true", help=_help(_("print the schemas of request and answer")))
    reckon.add_argument("--list", action="store_true", help=_help(_("print the names of the operations")))

    divide = sub.add_parser("divide", help=_help(_("how to divide a circle, with the kit or with what you name")))
    which = divide.add_mutually_exclusive_group(required=True)
    which.add_argument("divisions", type=int, nargs="?", help=_help(_("how many; or a chart: --from 2 --to 500")))
    which.add_argument("--from", dest="first", type=int, metavar="N", help=_help(_("first count of a chart")))
    divide.add_argument("--to", dest="last", type=int, metavar="N", help=_help(_("last count of a chart (500)")))
    divide.add_argument("--ratio", help=_help(_("crank turns per spindle turn: 40, 90, 2550/47")))
    divide.add_argument(
        "--circles", help=_help(_("hole counts of one plate side: 15,16,17; further sides after a slash"))
    )
    divide.add_argument("--gears", help=_help(_("change gears you own: 24,24,28,32")))
    divide.add_argument("--dial-arcsec", type=float, help=_help(_("smallest step of the dial, in seconds of arc")))
    divide.add_argument("--counts", type=int, help=_help(_("counts of a readout for one turn of the spindle")))
    divide.add_argument("--blanked", help=_help(_("circles not to be used: 17,33")))
    divide.add_argument(
        "--radius-mm", type=_length, help=_help(_("where the error counts; or with its unit: '12-1/2 in'"))
    )
    divide.add_argument("--tolerance-um", type=float, help=_help(_("how much error is all right there")))
    divide.add_argument(
        "--work",
        choices=("lead_in", "flank", "gash", "marks"),
        help=_help(_("what is cut; sets the tolerance if none is given")),
    )
    divide.add_argument("--set-up", choices=("flat", "upright"), help=_help(_("how the ring stands on the device")))
    divide.add_argument("--outside-diameter-mm", type=_length, help=_help(_("of the ring: does it swing?")))
    divide.add_argument("--mass-kg", type=float, help=_help(_("of the ring and what holds it")))
    divide.add_argument("--table", action="store_true", help=_help(_("print every tooth's place")))
    divide.add_argument("--data", metavar="DIR", help=_help(_("the data folder whose kit is used")))

    _geometry(sub)


def _geometry(sub: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    gear = sub.add_parser("gear", help=_help(_("the figures of one ring, and what it should measure")))
    _ring_options(gear)
    gear.add_argument("--span-teeth", type=int, help=_help(_("teeth to span; left out: the best number")))
    gear.add_argument("--pin-diameter-mm", type=_length, help=_help(_("pins to measure with; left out: the best")))

    mesh = sub.add_parser("mesh", help=_help(_("a ring and its mate at their centres: contact, backlash, clearances")))
    _ring_options(mesh)
    mesh.add_argument("mate_teeth", type=int, metavar="mate", help=_help(_("teeth of the mate, an external gear")))
    mesh.add_argument("--mate-profile-shift", type=float)
    mesh.add_argument("--mate-tip-diameter-mm", type=_length)
    centres = mesh.add_mutually_exclusive_group()
    centres.add_argument("--centre-distance-mm", type=_length, help=_help(_("left out: without backlash")))
    centres.add_argument("--backlash-mm", type=_length, help=_help(_("backlash wanted; --backlash-kind says which")))
    mesh.add_argument(
        "--backlash-kind",
        choices=("circumferential", "normal", "radial"),
        help=_help(_("which backlash --backlash-mm is (normal, as a feeler shows it)")),
    )
    mesh.add_argument("--use", choices=("general", "girth", "starter"), help=_help(_("for the recommended backlash")))

    tolerance = sub.add_parser("tolerance", help=_help(_("how true a ring has to be at a grade of ISO 1328-1")))
    _ring_options(tolerance)
    tolerance.add_argument("--grade", type=int, required=True)
    tolerance.add_argument("--edition", choices=("1995", "2013"), help=_help(_("of the standard (2013)")))
    tolerance.add_argument("--sector-pitches", type=int)


def _ring_options(parser: argparse.ArgumentParser) -> None:
    """One ring by plain options."""
    parser.add_argument("teeth", type=int, help=_help(_("teeth of the ring")))
    parser.add_argument("--internal", action="store_true", help=_help(_("teeth inside")))
    parser.add_argument("--module-mm", type=_length)
    parser.add_argument("--diametral-pitch", type=float)
    parser.add_argument("--circular-pitch-mm", type=_length, help=_help(_("or with its unit: '1-1/4 in'")))
    parser.add_argument("--pressure-angle-deg", type=float, help=_help(_("20 if left out")))
    parser.add_argument("--helix-angle-deg", type=float)
    parser.add_argument("--hand", choices=("right", "left"), help=_help(_("of the helix")))
    parser.add_argument("--profile-shift", type=float, help=_help(_("in modules; more makes the tooth thicker")))
    parser.add_argument("--tip-diameter-mm", type=_length, help=_help(_("the real one, of a ring turned down")))
    parser.add_argument("--thickness-allowance-mm", type=_length, help=_help(_("taken off the tooth for backlash")))
    parser.add_argument("--face-width-mm", type=_length)
