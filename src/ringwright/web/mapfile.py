"""The map as a CSV file, out and in: one line a mark or a hardness reading.

Columns: ``tooth, what, flank, end, amount_mm, thickness_mm, thickness_tip_mm, thickness_root_mm, hardness, scale,
place, remark``. ``what`` is a condition or "hardness". Comma, semicolon or tab; a decimal comma is read too.
"""

from __future__ import annotations

import csv
import io
from typing import Any, get_args

from pydantic import ValidationError

from ringwright.job.document import Condition, Hardness, Map, Mark
from ringwright.reckon import phrases
from ringwright.reckon.base import Problem, Problems
from ringwright.web.guard import MOST_FORM_BYTES
from ringwright.words import N_

csv.field_size_limit(MOST_FORM_BYTES)  # a cell without an end is refused as a cell of its line, not by the reader

_SIZES = ("amount_mm", "thickness_mm", "thickness_tip_mm", "thickness_root_mm")
COLUMNS = ("tooth", "what", "flank", "end", *_SIZES, "hardness", "scale", "place", "remark")
_MOST_LINES = 6000

phrases.learn(
    "csv_columns",
    N_("The file does not begin with a line that names its columns."),
    N_("At least the columns tooth and what: {columns}."),
    N_("Take a map out as CSV first and write into that."),
)
phrases.learn(
    "csv_line",
    N_("Line {line}: “{value}” cannot stand in column {column}."),
    N_("What a map taken out as CSV shows there; teeth 1 to {teeth}."),
    N_("Put that line right and take the file in again; nothing of it was taken so far."),
)
phrases.learn(
    "csv_long",
    N_("The file has too many lines."),
    N_("At most {most}."),
    N_("Leave out lines for sound teeth."),
)


def written(of: Map) -> str:
    """The map as CSV with all its columns."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for mark in of.marks:
        kept = mark.model_dump(mode="json", exclude_none=True)
        writer.writerow({**{k: _safe(v) for k, v in kept.items() if k != "condition"}, "what": mark.condition})
    for reading in of.hardness:
        row = {"tooth": reading.tooth, "what": "hardness", "hardness": reading.value, "scale": reading.scale}
        writer.writerow({**row, "place": reading.place, "remark": _safe(reading.method)})
    return out.getvalue()


def _safe(value: object) -> object:
    """A remark that begins like a formula is not one: a spreadsheet shows it as text."""
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def read(text: str, teeth: int) -> tuple[tuple[Mark, ...], tuple[Hardness, ...]]:
    """Marks and hardness readings of a CSV; `Problems` with every faulty line, and then nothing is taken."""
    head = text.split("\n", 1)[0]
    delimiter = max((";", "\t", ","), key=head.count)
    rows = csv.DictReader(io.StringIO(text, newline=None), delimiter=delimiter)
    names = [n.strip() for n in rows.fieldnames or ()]
    if not {"tooth", "what"} <= set(names):
        raise Problems([phrases.problem("csv_columns", "csv", {"columns": ", ".join(COLUMNS)})])
    marks: list[Mark] = []
    readings: list[Hardness] = []
    wrong: list[Problem] = []
    for count, row in enumerate(rows):
        if count >= _MOST_LINES:
            raise Problems([phrases.problem("csv_long", "csv", {"most": _MOST_LINES})])
        cells = {str(k).strip(): str(v or "").strip() for k, v in row.items() if k is not None}
        if not any(cells.values()):
            continue
        try:
            record = _record(cells, teeth)
        except _Cell as fault:
            facts = {"line": rows.line_num, "column": fault.column, "value": fault.value[:40], "teeth": teeth}
            wrong.append(phrases.problem("csv_line", "csv", facts))
            continue
        if isinstance(record, Mark):
            marks.append(record)
        else:
            readings.append(record)
    if wrong:
        raise Problems(wrong[:50])
    return tuple(sorted(marks, key=lambda m: m.tooth)), tuple(readings)


class _Cell(ValueError):
    def __init__(self, column: str, value: str) -> None:
        super().__init__(column)
        self.column, self.value = column, value


def _record(cells: dict[str, str], teeth: int) -> Mark | Hardness:
    tooth = cells["tooth"]
    if not tooth.isdecimal() or len(tooth) > 4 or not 1 <= int(tooth) <= teeth:
        raise _Cell("tooth", tooth)
    what = cells["what"]
    fields: dict[str, Any]
    if what == "hardness":
        fields = {"tooth": int(tooth), "value": _figure(cells, "hardness"), "scale": cells.get("scale", "")}
        fields |= {"place": cells.get("place") or "flank", "method": cells.get("remark", "")}
        return _made(Hardness, fields, cells)
    if what not in get_args(Condition):
        raise _Cell("what", what)
    fields = {"tooth": int(tooth), "condition": what, "remark": cells.get("remark", "")}
    fields |= {name: cells[name] for name in ("flank", "end") if cells.get(name)}
    fields |= {name: _figure(cells, name) for name in _SIZES if cells.get(name)}
    return _made(Mark, fields, cells)


def _figure(cells: dict[str, str], column: str) -> float:
    try:
        return float(cells.get(column, "").replace(",", "."))
    except ValueError:
        raise _Cell(column, cells.get(column, "")) from None


def _made(model: type[Mark] | type[Hardness], fields: dict[str, Any], cells: dict[str, str]) -> Mark | Hardness:
    try:
        return model.model_validate(fields)
    except ValidationError as faults:
        column = str(faults.errors()[0]["loc"][0])
        column = {"value": "hardness", "method": "remark", "condition": "what"}.get(column, column)
        raise _Cell(column, cells.get(column, "")) from None
