"""Every symbol that the package's public functions take stands in the list of symbols."""

import inspect
import re
from pathlib import Path

import pytest

from ringwright.gears import (
    caliper,
    cutters,
    form_cutter,
    involute,
    measures,
    outline,
    ring,
    root,
    shaper,
    systems,
    touch,
)

LISTED = set()
for _line in (Path(__file__).parents[2] / "docs/reference/symbols.md").read_text(encoding="utf-8").splitlines():
    if _line.startswith("| "):
        LISTED.update(re.split(r"[,\s]+", _line.split("|")[1].strip()))
#: Arguments that are words, no symbols.
WORDS = {"kind", "ring", "value", "points", "table", "tolerance", "cutter", "at", "own", "part"}
PUBLIC = [
    (module.__name__, name, function)
    for module in (caliper, cutters, form_cutter, involute, measures, outline, ring, root, shaper, systems, touch)
    for name, function in inspect.getmembers(module, inspect.isfunction)
    if function.__module__ == module.__name__ and not name.startswith("_")
]


@pytest.mark.parametrize(("module", "name", "function"), PUBLIC, ids=[f"{m}.{n}" for m, n, _f in PUBLIC])
def test_arguments_are_listed(module, name, function):
    unknown = set(inspect.signature(function).parameters) - WORDS - LISTED

    assert unknown == set()
    assert function.__doc__


def test_fields_of_a_ring_are_listed():
    assert set(ring.RingGeometry.__dataclass_fields__) - WORDS - LISTED == set()
