"""The reference: generated pages are what the code says today, and every symbol of the core is explained."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import subprocess
import sys
from importlib import util
from pathlib import Path

import pytest

from ringwright import reckon, tables

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "docs" / "reference"
PACKAGES = ("gears", "identify", "survey", "strength", "dividing", "cutting", "rigging", "estimating", "repair")
GREEK = {
    "alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "iota", "kappa", "lambda", "mu", "nu", "xi",
    "omicron", "pi", "rho", "sigma", "tau", "upsilon", "phi", "chi", "psi", "omega", "inv",
}  # fmt: skip
NO_NUMBERS = ("bool", "Vector")


def _tool():
    spec = util.spec_from_file_location("reference_tool", ROOT / "tools" / "reference.py")
    tool = util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


TOOL = _tool()


@pytest.fixture(scope="module")
def pages():
    return TOOL.pages()


def test_the_generated_pages_are_up_to_date():
    # In a process of its own: the pages of the app teach the catalogue further problems as they are imported.
    command = [sys.executable, str(ROOT / "tools" / "reference.py"), "--check"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)

    assert done.returncode == 0, f"run `make reference`\n{done.stdout}{done.stderr}"


def test_every_operation_stands_with_all_its_fields(pages):
    sections = re.split(r"(?m)^## ", pages[REFERENCE / "operations.md"])
    by_name = {section.partition("\n")[0]: section for section in sections}

    for operation in reckon.operations():
        section = by_name[operation.name]
        fields = [*operation.asked.model_fields, *operation.answered.model_fields]
        wanted = [f for f in fields if f not in {"working", "contract", "made_by", "notes", "sources"}]
        assert [f for f in wanted if f"`{f}`" not in section] == []
        assert "Example" in section


def test_every_check_and_each_fault_in_print_stands(pages):
    page = pages[REFERENCE / "validation.md"]

    for name in tables.case_names():
        assert f"`{name.partition('.')[2]}`" in page
        for case in tables.published(name):
            assert TOOL.cell(case.wrong_in_print) in page
    assert "Long runs" in page


def test_every_source_stands(pages):
    assert [key for key in tables.sources() if f"| `{key}` |" not in pages[REFERENCE / "sources.md"]] == []


def test_no_page_leaks_a_python_type(pages):
    for text in pages.values():
        assert not re.search(r"<class|typing\.|ForwardRef|NoneType|PydanticUndefined", text)


# --- symbols ---------------------------------------------------------------------------------------------------------


def is_symbol(name):
    """The rule that symbols.md states."""
    first = name.partition("_")[0]
    return bool(re.fullmatch(r"[A-Za-z]\d*", first)) or first in GREEK or name != name.lower()


@pytest.mark.parametrize("name", ["z", "m_n", "C1", "alpha_T", "W_k", "HB", "dT", "inv_alpha", "rho", "Mn"])
def test_these_are_symbols(name):
    assert is_symbol(name)


@pytest.mark.parametrize("name", ["width", "allowance", "land_ring", "divisions", "kind", "sd"])
def test_these_are_words(name):
    assert not is_symbol(name)


def _read(page):
    """Package -> symbol -> its units, and every row that says a symbol twice in one table."""
    found, twice, package = {}, [], ""
    for line in page.splitlines():
        if heading := re.match(r"## .*\(`(\w+)`\)", line):
            package = heading[1]
        elif line.startswith("| ") and not line.startswith("| symbol"):
            cells = [c.strip() for c in line.strip("|").split("|")]
            for symbol in re.sub(r"\([^)]*\)", "", cells[0]).split(","):
                rows = found.setdefault(package, {})
                if symbol.strip() in rows and "(" not in cells[0]:
                    twice.append((package, symbol.strip()))
                rows.setdefault(symbol.strip(), set()).update(u.strip() for u in cells[2].split(";") if u.strip())
    return found, twice


TABLE, TWICE = _read((REFERENCE / "symbols.md").read_text(encoding="utf-8"))


def _functions():
    for package in PACKAGES:
        home = importlib.import_module(f"ringwright.{package}")
        names = [home.__name__, *(f"{home.__name__}.{m.name}" for m in pkgutil.iter_modules(home.__path__))]
        for name in names:
            module = importlib.import_module(name)
            for label, function in vars(module).items():
                public = not label.startswith("_") and not name.rpartition(".")[2].startswith("_")
                if public and inspect.isfunction(function) and function.__module__ == name:
                    yield package, f"{name.removeprefix('ringwright.')}.{label}", module, function


def _documented_unit(function, argument):
    """The unit in square brackets behind an argument in the docstring, or nothing."""
    said = re.search(
        rf"(?m)^(?:\w+, )*{argument}(?:, \w+)* : .*\n((?:(?: +.*)?\n)+)", (inspect.getdoc(function) or "") + "\n"
    )
    units = re.findall(r"\[([^\]\d][^\]]*)\]", said[1].split("\n\n")[0]) if said else []
    return units[-1] if units else ""


def _arguments():
    for package, label, module, function in _functions():
        for argument, parameter in inspect.signature(function).parameters.items():
            kind = str(parameter.annotation).removesuffix(" | None")
            record = inspect.isclass(getattr(module, kind, None))
            if is_symbol(argument) and kind not in NO_NUMBERS and not record:
                yield pytest.param(package, argument, _documented_unit(function, argument), id=f"{label}({argument})")


def test_there_is_something_to_hold():
    arguments = list(_arguments())

    assert len(arguments) > 150
    assert sum(bool(p.values[2]) for p in arguments) > 50


@pytest.mark.parametrize(("package", "symbol", "unit"), list(_arguments()))
def test_a_symbol_stands_in_the_table_with_its_unit(package, symbol, unit):
    units = TABLE.get(package, {}).get(symbol) or TABLE["gears"].get(symbol)

    assert units, f"{symbol} of {package} is not in symbols.md"
    if unit:
        assert unit in units


def test_no_symbol_stands_twice_in_one_table():
    assert TWICE == []


def test_every_row_has_a_name_and_a_unit():
    rows = [
        [c.strip() for c in line.strip("|").split("|")]
        for line in (REFERENCE / "symbols.md").read_text(encoding="utf-8").splitlines()
        if line.startswith("| ")
    ]

    assert len(rows) > 80
    assert [row for row in rows if len(row) != 4 or not all(row)] == []


def test_a_symbol_twice_and_a_missing_one_are_seen():
    table, twice = _read("## Gears (`gears`)\n\n| z | teeth | - | teeth |\n| z, m | module | mm | module |\n")

    assert twice == [("gears", "z")]
    assert table == {"gears": {"z": {"-", "mm"}, "m": {"mm"}}}
