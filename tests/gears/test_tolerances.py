"""Flank tolerances: laws, rounding, steps, validity, and the grade that a reading reaches."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.errors import OutOfRange
from ringwright.gears import flank_classes, tolerances
from ringwright.gears.flank_classes import Sizes
from ringwright.tables import load

DEMO = Sizes(d=635, m_n=5, z=127, k=16, b=60)


def test_run_out_is_eight_tenths_of_the_total_pitch_in_1995():
    for d in (8.0, 79.06, 748.33, 8944.0):
        for m_n in (1.0, 4.58, 52.9):
            expected = pytest.approx(0.8 * tolerances.total_pitch_1995(d, m_n), rel=1e-12)

            assert tolerances.runout_1995(d, m_n) == expected


def test_a_sector_of_a_quarter_ring_reaches_the_total_pitch_in_2013():
    for d, m_n, z in ((635, 5, 128), (84, 1.5, 56)):
        got = tolerances.sector_pitch_2013(d, m_n, z, z // 4)

        assert got == pytest.approx(tolerances.total_pitch_2013(d, m_n), rel=1e-12)


def test_the_total_is_no_more_than_slope_and_form_together():
    found = flank_classes.at_grade("2013", 7, DEMO)

    for part in ("profile", "helix"):
        slope, form, total = (found[f"{part}_{name}"] for name in ("slope", "form", "total"))
        assert max(slope, form) < total < slope + form
        assert total**2 == pytest.approx(slope**2 + form**2)


@pytest.mark.parametrize("edition", ["1995", "2013"])
def test_two_grades_coarser_is_twice_as_much(edition):
    fine, coarse = (flank_classes.at_grade(edition, grade, DEMO) for grade in (6, 8))

    assert coarse == pytest.approx({name: 2 * f for name, f in fine.items()}, rel=1e-12)


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.floats(0.5, 500))
def test_rounding_as_by_decimals(f):
    step = Decimal("1") if f >= 10 else Decimal("0.5") if f >= 5 else Decimal("0.1")
    written = Decimal(f).quantize(Decimal("1e-9"))  # 0.85 as a double lies a little below itself
    expected = (written / step).quantize(Decimal("1"), ROUND_HALF_UP) * step

    assert tolerances.rounded(f) == pytest.approx(float(expected), abs=1e-9)


@pytest.mark.parametrize(
    ("f", "printed"),
    [(4.94, 4.9), (4.96, 5.0), (5.24, 5.0), (5.26, 5.5), (9.7, 9.5), (9.8, 10), (10.3, 10), (10.7, 11)],
)
def test_rounding_across_its_steps(f, printed):
    assert tolerances.rounded(f) == printed


def test_steps_touch_and_leave_no_gap():
    for of in ("d", "m_n", "b"):
        rows = [row for row in load("tolerance_steps") if row["of"] == of]
        for one, after in pairwise(rows):
            assert one["to"] == after["from"]
        low, high = float(rows[0]["from"]), float(rows[-1]["to"])
        assert tolerances.step_mean(of, low) == pytest.approx(sqrt(low * float(rows[0]["to"])))
        assert tolerances.step_mean(of, high) == pytest.approx(sqrt(float(rows[-1]["from"]) * high))
        assert tolerances.step_mean(of, low * 0.999) is None
        assert tolerances.step_mean(of, high * 1.001) is None


def test_within_a_step_1995_does_not_change_and_2013_does():
    a, b = (Sizes(d=d, m_n=4, z=100, k=12) for d in (600, 900))

    assert flank_classes.grade_5("1995", a) == flank_classes.grade_5("1995", b)
    assert flank_classes.grade_5("2013", a)["total_pitch"] < flank_classes.grade_5("2013", b)["total_pitch"]


@pytest.mark.parametrize(
    ("edition", "sizes", "symbols"),
    [
        ("1995", Sizes(10_001, 5, 100, 12, 60), ["d"]),
        ("1995", Sizes(10_000, 5, 100, 12, 1000), []),
        ("1995", Sizes(50, 0.4, 100, 12, 3), ["m_n", "b"]),
        ("2013", Sizes(10_001, 5, 100, 12, 1201), ["b"]),
        ("2013", Sizes(600, 71, 100, 12, 60, 0.79), ["m_n", "beta"]),
        ("2013", Sizes(600, 5, 100, 12, None, -0.78), []),
    ],
)
def test_what_an_edition_does_not_cover_is_named(edition, sizes, symbols):
    assert [one.symbol for one in flank_classes.outside(edition, sizes)] == symbols
    assert flank_classes.grade_5(edition, sizes)["single_pitch"] > 0  # still answered, and marked


@pytest.mark.parametrize(("edition", "grade"), [("1995", 13), ("1995", -1), ("2013", 0), ("2013", 12)])
def test_grades_that_an_edition_does_not_have(edition, grade):
    with pytest.raises(OutOfRange, match="grade"):
        flank_classes.at_grade(edition, grade, DEMO)


def test_the_grade_reached_is_the_finest_one_that_is_kept():
    for edition in ("1995", "2013"):
        low, high = flank_classes.GRADES[edition]
        for grade in range(low, high + 1):
            limit = tolerances.rounded(flank_classes.at_grade(edition, grade, DEMO)["total_pitch"])
            assert flank_classes.reached(edition, "total_pitch", limit, DEMO) == grade
            coarser = flank_classes.reached(edition, "total_pitch", limit * 1.001, DEMO)
            assert coarser == (grade + 1 if grade < high else None)


def test_negative_readings_are_refused():
    with pytest.raises(OutOfRange):
        flank_classes.reached("2013", "runout", -1.0, DEMO)


def _codes(**request):
    ring = {"kind": "external", "teeth": 127, "module_mm": 5, **request.pop("ring", {})}
    return [note.code for note in reckon.tolerance({"ring": ring, "grade": 9, **request}).notes]


def test_notes_say_what_was_taken_and_what_is_doubtful():
    assert {"edition_matters", "no_face_width", "from_memory", "default_used"} <= set(_codes())
    assert "outside_validity" not in _codes()
    assert "class_one_doubtful" in _codes(grade=1)
    assert "class_one_doubtful" not in _codes(grade=1, edition="1995")
    assert _codes(ring={"module_mm": 0.3}, edition="1995").count("outside_validity") == 1
    assert "no_face_width" not in _codes(ring={"face_width_mm": 60})


def test_the_working_shows_the_same_figures():
    answer = reckon.tolerance(
        {"ring": {"kind": "external", "teeth": 127, "module_mm": 5}, "grade": 9, "edition": "1995", "working": True}
    )
    shown = {line.symbol: line.value for line in answer.working}  # the last of a symbol is the rounded one

    assert shown == {"f_pt": answer.single_pitch_um, "F_p": answer.total_pitch_um, "F_r": answer.runout_um}
    assert "748.331" in answer.working[0].put_in
