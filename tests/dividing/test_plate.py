"""A plate to make: laws that hold whatever the formulae, limits, and the files read back."""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction
from math import atan2, cos, hypot, pi, radians, sin
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.dividing.plate import (
    HoleCircle,
    at_the_teeth,
    chord,
    counts_that_serve,
    holes_met,
    next_step_up,
    rounded,
    smallest_radius,
)
from ringwright.errors import OutOfRange, Refusal
from ringwright.reckon import Problems

SVG = "{http://www.w3.org/2000/svg}"
ASKED = {"divisions": 127, "ratio": 40, "hole_diameter_mm": 2.5}


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    C=st.integers(2, 400), R=st.floats(20, 400), start=st.floats(-6, 6), sense=st.sampled_from([1, -1]),
    x=st.floats(-900, 900), y=st.floats(-900, 900),
)  # fmt: skip
def test_holes_stand_on_their_circle_equally_spaced_and_in_sense(C, R, start, sense, x, y):
    centres = HoleCircle(C, R, 0.05, start, sense, x, y).centres() - (x, y)

    assert np.hypot(*centres.T) == pytest.approx(R, rel=1e-9)
    chords = np.hypot(*(np.roll(centres, -1, axis=0) - centres).T)
    assert chords == pytest.approx(chord(C, R), abs=1e-8 * R)
    area = np.sum(centres[:, 0] * np.roll(centres[:, 1], -1) - centres[:, 1] * np.roll(centres[:, 0], -1)) / 2
    if C > 2:
        assert area * sense > 0  # the shoelace: counter-clockwise is positive
    assert atan2(centres[0, 1], centres[0, 0]) == pytest.approx(atan2(sin(start), cos(start)), abs=1e-6)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(C=st.integers(3, 300), D=st.floats(2, 20), web=st.floats(0.1, 10))
def test_on_the_smallest_radius_exactly_the_web_is_left(C, D, web):
    assert HoleCircle(C, smallest_radius(C, D, web), D).web == pytest.approx(web, rel=1e-9)


def test_holes_that_run_together_are_refused_with_the_radius_that_would_just_touch():
    with pytest.raises(Refusal) as caught:
        HoleCircle(127, 60, 3)

    assert caught.value.code == "holes_run_together"
    assert chord(127, caught.value.low) == pytest.approx(3)


@pytest.mark.parametrize(("field", "value"), [("C", 1), ("R", 0.1), ("D", 0.0)])
def test_limits(field, value):
    with pytest.raises(OutOfRange):
        HoleCircle(**{"C": 20, "R": 50, "D": 3, field: value})


@settings(derandomize=True, deadline=None, max_examples=60)
@given(K=st.sampled_from([1, 40, 60, 72, 80, 90, 120]), N=st.integers(2, 400))
def test_every_count_that_is_offered_closes_and_every_one_left_out_does_not(K, N):
    offered = counts_that_serve(Fraction(K), N, least=2)
    for C in range(2, 401):
        assert (C in offered) == ((K * C) % N == 0)


def test_holes_met_are_the_crank_walked_by_hand():
    # 40:1, 127 holes, 127 divisions: 40 spaces each move, started at hole 0
    at, walked = 0, []
    for _move in range(127):
        walked.append(at)
        at = (at + 40) % 127
    assert list(holes_met(Fraction(40), 127, 127)) == walked
    assert at == 0


@settings(derandomize=True, deadline=None, max_examples=40)
@given(C=st.integers(5, 200), step=st.sampled_from([0.01, 0.005, 0.02, 0.0127]), x=st.floats(-300, 300))
def test_rounding_moves_no_hole_by_more_than_half_a_step_each_way(C, step, x):
    circle = HoleCircle(C, 75, 0.1, 0.3, -1, x, 20)
    off = rounded(circle, step)

    assert np.abs(off.places - circle.centres()).max() <= step / 2 * (1 + 1e-9)
    assert off.places / step == pytest.approx(np.round(off.places / step), abs=1e-6)
    # along and out are one vector in another frame
    assert np.hypot(off.along, off.out) == pytest.approx(np.hypot(*(off.places - circle.centres()).T), abs=1e-12)


def test_a_hole_drilled_further_on_turns_the_spindle_further_on():
    """The crank comes later to a hole that lies further on: counted by hand for one hole of a 23 circle at 90:1."""
    along = np.zeros(23)
    along[18] = 0.06
    total, neighbour = at_the_teeth(along, 60.0, Fraction(90), holes_met(Fraction(90), 115, 23))

    assert total == pytest.approx(0.06 / 60 / 90)
    assert neighbour == pytest.approx(0.06 / 60 / 90)


def test_next_step_up_does_not_lose_a_step_to_the_last_bits():
    assert next_step_up(0.1 + 0.2, 0.1) == pytest.approx(0.3)
    assert next_step_up(0.31, 0.1) == pytest.approx(0.4)


def test_the_list_for_the_readout_reads_back():
    answer = reckon.plate_layout({**ASKED, "readout_step_mm": 0.005, "centre_x_mm": 100, "files": ["csv"]})
    rows = list(csv.DictReader(io.StringIO(answer.files.csv)))

    assert len(rows) == 127
    for i in (0, 1, 31, 126):
        angle = -2 * pi * i / 127
        assert float(rows[i]["x_mm"]) == pytest.approx(100 + 81 * cos(angle), abs=1e-6)
        assert float(rows[i]["y_mm"]) == pytest.approx(81 * sin(angle), abs=1e-6)
        assert abs(float(rows[i]["set_x_mm"]) - float(rows[i]["x_mm"])) <= 0.0025001
    assert [r["mark"] for r in rows[:11]] == ["0", "", "", "", "", "5", "", "", "", "", "10"]


def test_the_template_is_to_scale_and_has_every_hole():
    answer = reckon.plate_layout({**ASKED, "files": ["svg"]})
    root = ElementTree.fromstring(answer.files.svg)

    side = float(root.get("width").removesuffix("mm"))
    assert root.get("viewBox").split()[2] == pytest.approx(f"{side:.3f}")
    holes = [c for c in root.iter(f"{SVG}circle") if c.get("class") == "vis" and c.get("cx")]
    assert len(holes) == 127
    assert all(hypot(float(c.get("cx")), float(c.get("cy"))) == pytest.approx(81, abs=1e-3) for c in holes)
    # y runs down on a sheet, up at the machine: hole 1, clockwise from +x, lies below the axis
    assert float(holes[1].get("cy")) == pytest.approx(81 * sin(2 * pi / 127), abs=1e-3)


def test_the_drawing_file_opens_with_holes_in_mm_where_they_belong():
    import ezdxf

    answer = reckon.plate_layout({**ASKED, "first_hole_deg": 90, "counts": "anticlockwise", "files": ["dxf"]})
    document = ezdxf.read(io.StringIO(answer.files.dxf))
    holes = list(document.modelspace().query('CIRCLE[layer=="HOLES"]'))

    assert document.units == ezdxf.units.MM
    assert len(holes) == 127
    assert {round(h.dxf.radius, 6) for h in holes} == {1.25}
    for i in (0, 1, 50):
        angle = radians(90) + 2 * pi * i / 127
        assert (holes[i].dxf.center.x, holes[i].dxf.center.y) == pytest.approx((81 * cos(angle), 81 * sin(angle)))
    assert not document.audit().errors


def test_no_file_is_made_that_was_not_asked_for():
    files = reckon.plate_layout(ASKED).files
    assert (files.csv, files.svg, files.dxf) == (None, None, None)


def test_the_start_hole_is_not_counted():
    answer = reckon.plate_layout({"divisions": 115, "ratio": 90, "holes": 23, "hole_diameter_mm": 5})

    assert (answer.move.turns, answer.move.holes, answer.move.circle) == (0, 18, 23)
    assert answer.move.between_arms == 19
    assert "18 spaces on the 23 circle" in answer.says
    assert "not counted" in answer.says


def test_a_thin_web_is_a_caution_and_none_is_a_refusal():
    thin = reckon.plate_layout({**ASKED, "circle_radius_mm": 75, "web_mm": 1.5})
    assert "thin_web" in [n.code for n in thin.notes]
    assert thin.web_left_mm == pytest.approx(3.7102 - 2.5, abs=5e-5)

    with pytest.raises(Problems) as caught:
        reckon.plate_layout({**ASKED, "circle_radius_mm": 40})
    (problem,) = caught.value.problems
    assert (problem.code, problem.where) == ("holes_run_together", "circle_radius_mm")


@pytest.mark.parametrize("sent", [{"divisions": 13, "hole_diameter_mm": 6}, {"divisions": 13, "ratio": 1,
                                                                            "hole_diameter_mm": 6}])  # fmt: skip
def test_straight_on_the_nose_there_are_as_many_holes_as_divisions(sent):
    answer = reckon.plate_layout({**sent, "ring_radius_mm": 200, "hole_error_mm": 0.02, "circle_radius_mm": 50})

    assert answer.hole_count == 13
    assert answer.errors.one_hole_um == pytest.approx(0.02 * 200 / 50 * 1000)  # nothing divides it


def test_every_default_is_a_note():
    codes = {n.code for n in reckon.plate_layout({"holes": 23, "hole_diameter_mm": 5}).notes}
    assert {"default_direct", "default_web", "default_radius", "default_readout", "default_hole_error",
            "default_counts", "default_first_hole", "no_radius"} <= codes  # fmt: skip


def test_working_puts_real_numbers_in():
    lines = reckon.plate_layout({**ASKED, "working": True}).working
    put = {line.symbol: line.put_in for line in lines}
    assert put["R_min"] == "(2.5 + 1.5)/(2 sin(π/127))"
    assert not any(re.search(r"[{}]", text) for text in put.values())


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("C", [23, 49])
def test_along_is_counted_with_the_numbering_and_out_away_from_the_middle(C, sense):
    circle = HoleCircle(C, 61.3, 4.0, 0.4, sense, 3.0, -7.0)
    off = rounded(circle, 0.5)
    for i, (x, y) in enumerate(off.places):
        r, angle = np.hypot(x - 3.0, y + 7.0), np.arctan2(y + 7.0, x - 3.0)
        further_on = sense * (angle - 0.4) - 2 * np.pi * i / C
        further_on = (further_on + np.pi) % (2 * np.pi) - np.pi
        # half a millimetre of rounding bends the frame a little: second order in 0.35 / 61
        assert off.along[i] == pytest.approx(further_on * 61.3, abs=0.005)
        assert off.out[i] == pytest.approx(r - 61.3, abs=0.005)
    assert np.abs(off.along).max() > 0.1
