"""The few kinds of blocks that a paper is made of, as plain data for the frame, and the frame's compiler."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from importlib.resources import as_file, files
from typing import Any

import typst

from ringwright.words import _

Block = dict[str, Any]
#: Faces in the order in which a sign is looked for; the later ones come with the typesetter.
FACES = ("B612", "DejaVu Sans Mono", "Libertinus Serif", "New Computer Modern Math")

#: Letters of a large figure that find room across the sheet.
_LETTERS = 54


@dataclass(frozen=True, slots=True)
class Title:
    """The title block. ``digest`` and ``revision`` say exactly which plan is on the paper."""

    job: str
    part: str
    date: str
    units: str = "mm"
    revision: str = "1"
    digest: str = ""
    made_by: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure to set or to read: label, value, unit, and what to know about it."""

    label: str
    value: str
    unit: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing as SVG text of our own making; ``alt`` says in words what it shows."""

    svg: str
    alt: str
    caption: str = ""


def heading(text: str) -> Block:
    """A heading that stays with what follows."""
    return {"kind": "heading", "text": text}


def say(text: str, *, large: bool = False) -> Block:
    """A sentence."""
    return {"kind": "say", "text": text, "large": large}


def figures(given: Iterable[Figure], columns: int = 3) -> Block:
    """Large figures side by side; fewer columns where a value is long."""
    shown = [asdict(f) for f in given]
    longest = max((len(f["value"]) for f in shown), default=0)
    while columns > 1 and longest > _LETTERS // columns:
        columns -= 1
    return {"kind": "figures", "figures": shown, "columns": columns}


def notes(lines: Iterable[str], *, with_next: bool = False) -> Block:
    """Numbered notes; ``with_next`` keeps them on the page of what follows."""
    return {"kind": "notes", "lines": list(lines), "sticky": with_next}


def checks(lines: Iterable[str], columns: int = 1) -> Block:
    """Lines with a box to tick."""
    return {"kind": "checks", "lines": list(lines), "columns": columns}


def caution(word: str, lines: Iterable[str]) -> Block:
    """What can hurt: the word on a hatched edge."""
    return {"kind": "caution", "word": word, "lines": list(lines)}


def table(
    header: Sequence[str],
    rows: Sequence[Sequence[str | None]],
    *,
    widths: Sequence[float],
    align: str,
    row_mm: float = 0.0,
    size: float = 10,
    first: int = 1,
    bold_every: int = 0,
) -> Block:
    """A table; None in a cell is a box to tick; ``row_mm`` 0 lets rows grow; widths 0 are as wide as needed."""
    return {
        "kind": "table",
        "header": list(header),
        "rows": [list(row) for row in rows],
        "widths": list(widths),
        "align": list(align),
        "row_mm": row_mm,
        "size": size,
        "first": first,
        "bold_every": bold_every,
    }


def drawings(given: Iterable[Drawing], height_mm: float) -> Block:
    """Drawings side by side."""
    return {"kind": "drawings", "drawings": [asdict(d) for d in given], "height_mm": height_mm}


def boxes(given: Iterable[tuple[int, str, str]]) -> Block:
    """Boxes to tick, ten a row: tooth, zone, letter of the zone."""
    return {"kind": "boxes", "boxes": [{"tooth": str(n), "zone": zone, "mark": mark} for n, zone, mark in given]}


def legend(entries: Iterable[tuple[str, str, str]]) -> Block:
    """What the fillings of the boxes mean: zone, letter, words."""
    return {"kind": "legend", "entries": [{"zone": z, "mark": m, "text": t} for z, m, t in entries]}


def signatures(lines: Iterable[tuple[str, str]]) -> Block:
    """Lines to sign on: label, name already known."""
    return {"kind": "signatures", "lines": [{"label": label, "name": name} for label, name in lines]}


NEW_PAGE: Block = {"kind": "new_page"}


def typeset(name: str, title: Title, blocks: Iterable[Block], *, language: str = "en") -> bytes:
    """The paper as PDF, tagged, with every picture described.

    Raises
    ------
    typst.TypstError
        A block that the frame does not know; never because of what a user typed.
    """
    return typeset_with_warnings(name, title, blocks, language=language)[0]


def typeset_with_warnings(
    name: str, title: Title, blocks: Iterable[Block], *, language: str = "en"
) -> tuple[bytes, list[str]]:
    """As `typeset`, with what the typesetter complained of."""
    paper = {
        "name": name,
        "title": asdict(title),
        "blocks": list(blocks),
        "words": _title_words(),
        "language": language,
        "faces": _faces(),
    }
    root = files("ringwright.paper")
    with as_file(root / "frame.typ") as frame, as_file(root / "fonts") as fonts:
        pdf, warnings = typst.compile_with_warnings(
            frame,
            font_paths=[fonts] if fonts.is_dir() else [],
            ignore_system_fonts=True,
            sys_inputs={"paper": json.dumps(paper, allow_nan=False)},
            pdf_standards=["ua-1"],
        )
    assert isinstance(pdf, bytes)
    return pdf, [str(w) for w in warnings]


@cache
def _faces() -> list[str]:
    """The faces that are there: a checkout without built fonts sets its papers in the typesetter's own."""
    fonts = files("ringwright.paper") / "fonts"
    ours = fonts.is_dir() and any(f.name.endswith(".ttf") for f in fonts.iterdir())
    return list(FACES if ours else FACES[1:])


def _title_words() -> dict[str, str]:
    return {
        "paper": _("Paper"),
        "job": _("Job"),
        "date": _("Date"),
        "sheet": _("Sheet"),
        "of": _("of"),
        "part": _("Part"),
        "made_by": _("Made by, digest of the plan"),
        "units": _("Units"),
        "revision": _("Revision"),
    }
