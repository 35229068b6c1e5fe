"""A map's CSV as spreadsheets and people write it: what cannot stand there is told by its line, never a fault here."""

from __future__ import annotations

import pytest

from ringwright.reckon.base import Problems
from ringwright.web.mapfile import read


@pytest.mark.parametrize(
    "lines",
    ["tooth,what\n\u00b2,worn\n", "tooth,what\n" + "9" * 5000 + ",worn\n", "tooth,what\n-1,worn\n"],
    ids=["raised two", "5000 digits", "minus"],
)
def test_a_tooth_that_is_no_number_is_told_by_its_line(lines):
    with pytest.raises(Problems) as refused:
        read(lines, 113)

    assert [p.code for p in refused.value.problems] == ["csv_line"]


@pytest.mark.parametrize("quote", ["", '"'])
def test_a_cell_without_an_end_is_told_by_its_line(quote):
    with pytest.raises(Problems) as refused:
        read(f"tooth,what,remark\n1,worn,{quote}{'a' * 200_000}\n", 113)

    assert [p.code for p in refused.value.problems] == ["csv_line"]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_may_end_as_any_system_ends_them(end):
    marks, readings = read(end.join(["tooth,what,remark", "7,worn,a", "3,chipped,b", ""]), 113)

    assert [(m.tooth, m.condition, m.remark) for m in marks] == [(3, "chipped", "b"), (7, "worn", "a")]
    assert readings == ()
