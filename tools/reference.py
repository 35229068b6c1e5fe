"""Write the generated pages of docs/reference: operations, validation, sources.

python tools/reference.py          write them
python tools/reference.py --check  only say whether they are up to date (exit 1 when not)
"""

from __future__ import annotations

import ast
import inspect
import json
import sys
import types
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator
from pydantic.fields import FieldInfo

from ringwright import reckon, tables
from ringwright.reckon import base, contract, phrases, proofs

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "docs" / "reference"
MADE = "<!-- Written by tools/reference.py: change the sources and run it again. -->\n"

#: Endings of field names and the unit that each says; the longest that fits counts.
UNITS = {
    "mm": "mm", "um": "µm", "mm2": "mm²", "deg": "°", "arcsec": "″", "kg": "kg", "kg_m3": "kg/m³", "n": "N",
    "nm": "N m", "mpa": "MPa", "kw": "kW", "rpm": "1/min", "mm_min": "mm/min", "m_min": "m/min", "m_s": "m/s", "s": "s",
    "min": "min", "minutes": "min", "h": "h", "hours": "h", "days": "days", "weeks": "weeks", "seconds": "s", "c": "°C",
    "percent": "%", "bits": "bit", "hb": "HB", "hrc": "HRC", "turns": "turns", "coef": "modules",
    "seconds_per_tooth": "s", "n_mm2": "N/mm²",
}  # fmt: skip
_TAKEN_IN = {
    "_length": "length: a number of mm, or a text with its unit",
    "_angle": "angle: a number of degrees, or a text with its units",
    "_ratio": "exact number: whole, or a text p/q",
    "_number_or_text": "number, or text with its unit",
}
_PLAIN = {
    float: "number", int: "whole number", str: "text", bool: "true or false", type(None): "null", Any: "anything",
}  # fmt: skip
_SHARED = {"contract", "made_by", "notes", "sources", "working"}


# --- types and limits in words ---------------------------------------------------------------------------------------


def unit(name: str) -> str:
    """The unit that a field's name carries; empty when it carries none."""
    words = name.split("_")
    for start in range(1, len(words)):
        if "_".join(words[start:]) in UNITS:
            return UNITS["_".join(words[start:])]
    return UNITS.get(name, "") if name in ("minutes", "hours", "seconds", "weeks", "days") else ""


def models(annotation: Any) -> Iterator[type[BaseModel]]:
    """All record types inside an annotation."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from models(part)


def _from_metadata(metadata: Iterable[Any]) -> str:
    for one in metadata:
        if isinstance(one, BeforeValidator):
            known = _TAKEN_IN.get(getattr(one.func, "__name__", ""))
            if known:
                return known
    return ""


def kind(annotation: Any, metadata: Iterable[Any] = ()) -> str:
    """What a field takes, in words."""
    known = _from_metadata(metadata)
    if known and annotation is not types.NoneType:
        return known
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return kind(parts[0], parts[1:])
    if origin in (Union, types.UnionType):
        return " or ".join(dict.fromkeys(kind(p) for p in parts if p is not types.NoneType))
    if origin is Literal:
        return "one of " + ", ".join(json.dumps(p) for p in parts)
    if origin in (list, tuple):
        inner = [p for p in parts if p is not Ellipsis]
        if not inner:
            return "list"
        if origin is tuple and Ellipsis not in parts and len(inner) > 1:
            same = len({kind(p) for p in inner}) == 1
            return f"{len(inner)} × {kind(inner[0])}" if same else "(" + ", ".join(kind(p) for p in inner) + ")"
        return f"list of {kind(inner[0])}"
    if origin is dict or (isinstance(origin, type) and issubclass(origin, Mapping)):
        return f"object, {kind(parts[0])} to {kind(parts[1])}"
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation.__name__
    if annotation in _PLAIN:
        return _PLAIN[annotation]
    return _TAKEN_IN["_ratio"] if annotation is Fraction else str(annotation)


def _bounds(metadata: Iterable[Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for one in metadata:
        if isinstance(one, FieldInfo):
            found |= _bounds(one.metadata)
        for name in ("ge", "gt", "le", "lt", "min_length", "max_length"):
            value = getattr(one, name, None)
            if value is not None:
                found[name] = value
    return found


def _said(bounds: Mapping[str, Any]) -> str:
    low = f"≥ {bounds['ge']:g}" if "ge" in bounds else ""
    if "gt" in bounds and not ("ge" in bounds and bounds["ge"] > bounds["gt"]):
        low = f"> {bounds['gt']:g}"
    high = f"≤ {bounds['le']:g}" if "le" in bounds else f"< {bounds['lt']:g}" if "lt" in bounds else ""
    least, most = bounds.get("min_length"), bounds.get("max_length")
    length = f"{least or 0} to {most} long" if most is not None else f"at least {least} long" if least else ""
    return ", ".join(part for part in (low, high, length) if part)


def limits(annotation: Any, metadata: Iterable[Any] = ()) -> str:
    """The limits of a field and of what stands in it."""
    here, inside = [_said(_bounds(metadata))], annotation
    for part in get_args(inside):
        if get_origin(inside) is Literal or part is Ellipsis:
            break
        if get_origin(part) is Annotated or get_args(part):
            more = get_args(part)[1:] if get_origin(part) is Annotated else ()
            deeper = limits(get_args(part)[0] if get_origin(part) is Annotated else part, more)
            union = get_origin(inside) in (Union, types.UnionType)
            if deeper:
                here.append(deeper if union or deeper.startswith("each ") else f"each {deeper}")
    return "; ".join(dict.fromkeys(part for part in here if part))


def default(field: FieldInfo) -> str:
    """The default as JSON, or "required"."""
    if field.is_required():
        return "**required**"
    value = field.get_default(call_default_factory=True, validated_data={})
    if value is None:
        return "–"
    if isinstance(value, BaseModel):
        return "its own defaults"
    return f"`{json.dumps(value, default=str, ensure_ascii=False)}`"


# --- operations ------------------------------------------------------------------------------------------------------


def cell(text: str) -> str:
    """Text that stands safely in a table's cell."""
    return " ".join(text.split()).replace("|", "\\|")


def row(cells: Sequence[str]) -> str:
    """One line of a table."""
    return "| " + " | ".join(cell(c) for c in cells) + " |"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table, or a dash when it has no rows."""
    lines = [row(r) for r in rows]
    return "\n".join([row(head), "|" + "---|" * len(head), *lines]) + "\n" if lines else "–\n"


def asked_table(model: type[BaseModel]) -> str:
    """Fields of a request's record."""
    return table(
        ("field", "takes", "unit", "limits", "default"),
        (
            (
                f"`{name}`",
                kind(f.annotation, f.metadata) + (f": {f.description}" if f.description else ""),
                unit(name),
                limits(f.annotation, f.metadata),
                default(f),
            )
            for name, f in model.model_fields.items()
            if name != "working"
        ),
    )


def given_table(model: type[BaseModel]) -> str:
    """Fields of an answer's record."""
    return table(
        ("field", "is", "unit"),
        (
            (
                f"`{name}`",
                kind(f.annotation, f.metadata)
                + (", or null" if types.NoneType in get_args(f.annotation) else "")
                + (f": {f.description}" if f.description else ""),
                unit(name),
            )
            for name, f in model.model_fields.items()
            if not (name in _SHARED and issubclass(model, base.Answered))
        ),
    )


def parts_of(model: type[BaseModel], seen: dict[type[BaseModel], None] | None = None) -> list[type[BaseModel]]:
    """Every record type below a model, in the order met; the shared ones of answers left out."""
    seen = {} if seen is None else seen
    for field in model.model_fields.values():
        for part in models(field.annotation):
            if part not in seen and part not in (base.Note, base.WorkingLine):
                seen[part] = None
                parts_of(part, seen)
    return list(seen)


def _about(model: type[BaseModel]) -> str:
    return " ".join((inspect.getdoc(model) or "").split("\n\n")[0].split())


@cache
def _learned(module: str) -> tuple[str, ...]:
    """Codes that a module of reckon teaches the phrases."""
    tree = ast.parse(Path(__import__(module, fromlist=["x"]).__file__).read_text(encoding="utf-8"))
    return tuple(
        call.args[0].value
        for call in ast.walk(tree)
        if isinstance(call, ast.Call)
        and (getattr(call.func, "attr", "") or getattr(call.func, "id", "")) == "learn"
        and call.args
        and isinstance(call.args[0], ast.Constant)
    )


def _learned_anywhere() -> set[str]:
    loaded = [name for name in sys.modules if name.startswith("ringwright.reckon.")]
    return {code for name in loaded for code in _learned(name)}


def own_codes(operation: base.Operation[Any, Any]) -> list[str]:
    """Codes of problems of this operation: learned by its module or a helper of it, or seen in its cases."""
    main = operation.do.__module__
    entries = {f"ringwright.reckon.{entry.partition(':')[0]}" for entry in reckon.REGISTRY.values()}
    here = sys.modules[main]
    helpers = {getattr(v, "__module__", None) or getattr(v, "__name__", "") for v in vars(here).values()}
    helpers |= {v.__name__ for v in vars(here).values() if isinstance(v, types.ModuleType)}
    near = {main} | {h for h in helpers if h and h.startswith("ringwright.reckon.") and h not in entries}
    codes = {code for module in near for code in _learned(module)}
    everywhere = {
        code for name in list(sys.modules) if name.startswith("ringwright.reckon.") for code in _learned(name)
    }
    for case in contract.cases():
        if case.operation == operation.name:
            codes |= {p["code"] for p in case.problems or ()} & everywhere
    return sorted(codes)


def _long(case: contract.ContractCase) -> int:
    return len(json.dumps([case.request, case.answer]))


def _example(name: str) -> str:
    cases = [c for c in contract.cases() if c.operation == name and c.answer]
    if not cases:
        return "No worked case yet.\n"
    short = [c for c in cases if _long(c) < 2500]
    case = short[0] if short else min(cases, key=_long)
    show = [json.dumps(part, indent=1, ensure_ascii=False) for part in (case.request, case.answer)]
    return (
        f"Example, “{case.name}” ({' '.join(case.derived.split())}):\n\n```json\n{show[0]}\n```\n\n"
        f"The answer holds, among the rest:\n\n```json\n{show[1]}\n```\n"
    )


def _one(operation: base.Operation[Any, Any], shared: Sequence[type[BaseModel]]) -> str:
    own = [p for p in parts_of(operation.asked) if p not in shared]
    given = [p for p in parts_of(operation.answered) if p not in shared and p not in own]
    text = [f"## {operation.name}\n", f"{operation.purpose}\n", "**Request**\n", asked_table(operation.asked)]
    for part in own:
        text += [f"`{part.__name__}`: {_about(part)}\n", asked_table(part)]
    text += ["**Answer**\n", given_table(operation.answered)]
    for part in given:
        text += [f"`{part.__name__}`: {_about(part)}\n", given_table(part)]
    codes = own_codes(operation)
    text.append("**Problems of its own**" + ("\n" if codes else ": none.\n"))
    if codes:
        text.append(table(("code", "what", "allowed"), [(f"`{c}`", *phrases.PHRASES[c][:2]) for c in codes]))
    text.append(_example(operation.name))
    return "\n".join(text)


def operations_page() -> str:
    """docs/reference/operations.md."""
    every = list(reckon.operations())
    uses: dict[type[BaseModel], int] = {}
    for operation in every:
        for part in dict.fromkeys([*parts_of(operation.asked), *parts_of(operation.answered)]):
            uses[part] = uses.get(part, 0) + 1
    shared = [part for part, n in uses.items() if n > 1]
    learned = _learned_anywhere()
    common = [c for c in phrases.PHRASES if c not in learned]
    text = [
        "# Operations\n",
        MADE,
        "Every sum is an operation. Ask it from Python, `reckon.NAME({...})`; from the command line,\n"
        "`ringwright reckon NAME request.json`; or over HTTP, `POST /reckon/NAME`. One registry feeds all three.\n",
        "A request may hold `working: true`; then the answer shows its sums. Every answer has `contract`, `made_by`,\n"
        "`notes` (a code and a sentence: limits of validity, cautions, defaults that were used), `sources` (keys of\n"
        "[sources](sources.md)) and `working`. A request that has no answer gets\n"
        '`{"problems": [{"code", "where", "what", "allowed", "do"}]}` with every fault at once.\n',
        table(("operation", "what for"), [(f"[{o.name}](#{o.name})", o.purpose) for o in every]),
        *(_one(operation, shared) for operation in every),
        "## Parts that several operations share\n",
    ]
    for part in shared:
        asked = issubclass(part, base.Record) or part.model_config.get("strict")
        text += [f"### {part.__name__}\n", f"{_about(part)}\n", asked_table(part) if asked else given_table(part)]
    text += [
        "## Problems that any operation may have\n",
        table(("code", "what", "allowed"), [(f"`{c}`", *phrases.PHRASES[c][:2]) for c in common]),
    ]
    return "\n".join(text)


# --- what was checked against what -----------------------------------------------------------------------------------


def _tolerance(cases: Sequence[tables.Case]) -> str:
    wide = sorted({float(c.tolerance) for c in cases if c.tolerance})
    said = []
    if any(c.allowed is None for c in cases):
        said.append("the same text")
    if any(c.allowed is not None and not c.tolerance for c in cases):
        said.append("half the last printed digit")
    if wide:
        said.append(f"{wide[0]:g}" if len(wide) == 1 else f"{wide[0]:g} to {wide[-1]:g}, row by row")
    return "; ".join(said)


def validation_page() -> str:
    """docs/reference/validation.md."""
    found: dict[str, list[proofs.Proof]] = {}
    for proof in proofs.prove():
        found.setdefault(proof.case.check, []).append(proof)
    every = [p for rows in found.values() for p in rows]
    unexpected = [p for p in every if not p.as_expected]
    if unexpected:
        raise SystemExit(f"{len(unexpected)} published values are off; run ringwright verify")
    wrong = [p for p in every if p.case.wrong_in_print]
    held = {have: [p for p in every if tables.sources()[p.case.source].have == have] for have in tables.HAVE}
    rows_held = ", ".join(f"{have} {len(rows)}" for have, rows in held.items() if rows)
    text = [
        "# What was checked against what\n",
        MADE,
        f"{len(every)} values in {len(found)} checks are reckoned again by `ringwright verify` and in every test run.\n"
        f"{sum(p.agrees for p in every)} agree; {len(wrong)} are known not to recompute; below, with the reason.\n",
        f"How each source is held, in rows: {rows_held}.\n"
        "*Read*: the page was before our eyes. *Memory*: recalled, not seen again; trust such a row less. *Common\n"
        "practice*: the trade knows it, no source. *Own arithmetic*: worked by hand from definitions. Each source in\n"
        "full: [sources](sources.md).\n",
    ]
    for package in dict.fromkeys(name.partition(".")[0] for name in found):
        text.append(f"## {package}\n")
        lines = []
        for name, rows in found.items():
            if not name.startswith(f"{package}."):
                continue
            cases = [p.case for p in rows]
            keys = dict.fromkeys(c.source for c in cases)
            said = [f"{tables.sources()[k].title} ({tables.sources()[k].have})" for k in keys]
            lines.append(
                (
                    f"`{name.partition('.')[2]}`",
                    str(len(rows)),
                    str(sum(p.agrees for p in rows)),
                    _tolerance(cases),
                    "; ".join(said),
                )
            )
        text.append(table(("check", "rows", "agree", "allowed apart", "source (how held)"), lines))
    text += [
        "## Known not to recompute\n",
        "These rows stay, as failures that are expected: were one to agree one day, the run would say so.\n",
        table(
            ("check", "given", "printed", "here", "why", "source (how held)"),
            (
                (
                    f"`{p.case.check}`",
                    _short(", ".join(f"{k} {v}" for k, v in p.case.inputs.items())),
                    p.case.printed,
                    p.got if isinstance(p.got, str) else f"{p.got:.6g}",
                    p.case.wrong_in_print,
                    f"{tables.sources()[p.case.source].title} ({tables.sources()[p.case.source].have})",
                )
                for p in wrong
            ),
        ),
        (REFERENCE / "long-runs.md").read_text(encoding="utf-8").replace("# ", "## ", 1),
    ]
    return "\n".join(text)


def _short(text: str) -> str:
    return text if len(text) <= 80 else text[:79] + "…"


def sources_page() -> str:
    """docs/reference/sources.md."""
    cases: dict[str, int] = {}
    for name in tables.case_names():
        for case in tables.published(name):
            cases[case.source] = cases.get(case.source, 0) + 1
    in_tables: dict[str, set[str]] = {}
    for path in sorted((ROOT / "src" / "ringwright" / "tables").glob("*.csv")):
        for line in tables.load(path.stem):
            in_tables.setdefault(line["source"], set()).add(path.stem)
    text = [
        "# Sources\n",
        MADE,
        "Every number that is not ours, and where it comes from. The keys stand in answers, on papers, in tables.\n",
    ]
    words = {
        "read": "Read: the page was before our eyes",
        "memory": "From memory: recalled, not seen again",
        "common practice": "Common practice: the trade knows it, no source",
        "own arithmetic": "Own arithmetic: by hand, from definitions",
    }
    for have in tables.HAVE:
        rows = [s for s in tables.sources().values() if s.have == have]
        text += [
            f"## {words[have]}\n",
            table(
                ("key", "title", "edition, place", "checks", "tables"),
                (
                    (
                        f"`{s.key}`",
                        s.title,
                        ", ".join(p for p in (s.edition, s.place) if p),
                        str(cases.get(s.key, "")),
                        ", ".join(sorted(in_tables.get(s.key, ()))),
                    )
                    for s in sorted(rows, key=lambda s: s.key)
                ),
            ),
        ]
    return "\n".join(text)


def pages() -> dict[Path, str]:
    """Every generated page and its text."""
    return {
        REFERENCE / "operations.md": operations_page(),
        REFERENCE / "validation.md": validation_page(),
        REFERENCE / "sources.md": sources_page(),
    }


def main(arguments: list[str]) -> int:
    """Write the pages, or say which are behind."""
    behind = [
        (path, text) for path, text in pages().items() if not path.exists() or path.read_text(encoding="utf-8") != text
    ]
    for path, text in behind:
        print(("behind: " if "--check" in arguments else "written: ") + str(path.relative_to(ROOT)))
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
    return 1 if behind and "--check" in arguments else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
