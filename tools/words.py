"""Extract every sentence into the message catalogue's template.

python tools/words.py [FILE]
"""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, BinaryIO

ROOT = Path(__file__).resolve().parent.parent
OUT = ROOT / "src" / "ringwright" / "words" / "ringwright.pot"

Found = Iterator[tuple[int, str, Any, list[str]]]

# Babel's own readers skip in silence: the JavaScript one is thrown off by TypeScript's types, the Python one passes
# over calls inside f-strings and inside other calls. These two look everywhere, and refuse what cannot be extracted.
_COUNTS = {"_": 1, "N_": 1, "ngettext_": 2}
_CALL = re.compile(r"(?<![\w.$])_\(")
_LITERAL = re.compile(r'\s*("(?:[^"\\\n]|\\.)*")\s*(\+)?')


def _choices(argument: ast.expr) -> Iterator[str]:
    """Every text that the argument can be; a variable brings none, since its text was marked where it was written."""
    if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
        yield argument.value
    elif isinstance(argument, ast.IfExp):
        yield from _choices(argument.body)
        yield from _choices(argument.orelse)
    elif isinstance(argument, ast.JoinedStr | ast.BinOp):
        raise ValueError(f"line {argument.lineno}: a text put together here cannot be extracted; use {{places}}")


def python(
    fileobj: BinaryIO, keywords: Mapping[str, Any], comment_tags: Iterable[str], options: Mapping[str, Any]
) -> Found:
    """Messages of a Python file, from its syntax tree: line, function, message, comments, as Babel asks."""
    for call in ast.walk(ast.parse(fileobj.read())):
        if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in _COUNTS):
            continue
        said = [list(_choices(argument)) for argument in call.args[: _COUNTS[call.func.id]]]
        if call.func.id == "ngettext_":
            if all(len(one) == 1 for one in said):
                yield call.lineno, "ngettext_", (said[0][0], said[1][0]), []
        elif said:
            for text in said[0]:
                yield call.lineno, call.func.id, text, []


def typescript(
    fileobj: BinaryIO, keywords: Mapping[str, Any], comment_tags: Iterable[str], options: Mapping[str, Any]
) -> Found:
    """Messages of a TypeScript file: ``_("...")``, also in pieces joined with +; nothing else may follow ``_(``."""
    text = fileobj.read().decode("utf-8")
    for call in _CALL.finditer(text):
        if text[: call.start()].endswith("function "):
            continue
        line = text.count("\n", 0, call.start()) + 1
        said, at, more = "", call.end(), True
        while more:
            piece = _LITERAL.match(text, at)
            if piece is None:
                raise ValueError(f"line {line}: after _( there must stand a text in double quotes")
            said += json.loads(piece[1])
            at, more = piece.end(), piece[2] is not None
        yield line, "_", said, []


def main(arguments: list[str]) -> int:
    """Write the template with Babel."""
    out = Path(arguments[0]).resolve() if arguments else OUT
    command = [
        sys.executable, "-m", "babel.messages.frontend", "extract", "-F", "tools/babel.cfg", "-k", "_:1", "-k", "N_:1",
        "-k", "ngettext_:1,2", "--no-location", "--sort-output", "--omit-header", "-o", str(out), "src",
        "web/client/src",
    ]  # fmt: skip
    return subprocess.run(command, cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
