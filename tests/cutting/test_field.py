"""The removal field against its own limits and against facetted solids that share no code with it."""

from __future__ import annotations

import runpy
from math import cos, pi, radians, sin, sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.field import infeed_field, infeed_run
from ringwright.cutting.pose import (
    frame_in_machine,
    machine_direction,
    pose,
    slide_direction,
    tool_axis_of,
)
from ringwright.errors import Refusal

Plain = runpy.run_path(str(Path(__file__).parents[2] / "bench" / "plain" / "field_boolean.py"))["Plain"]
FACET = 6e-5  # a 12 mm cutter of 720 facets lies within 0.06 um of the circle; a slope of 1000 : 60 um
EXAMPLE = ([1, 0, -1], [-1, 0, 0], [337.5, 0, -1])

directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: float(np.linalg.norm(v)) > 0.2)
lengths = st.floats(-20, 20)


def test_straight_under_the_end_face():
    """A cutter plunged along its own axis reaches what lies under its end face after just that way."""
    plunge = pose([0, 0, -1], [0, 0, 1], [317.5, 0, -5])

    got = infeed_field([[317.5, 0, 0], [317.5 + 5.999, 0, 2.5], [317.5 + 6.001, 0, 2.5]], EndMill(6.0), plunge)

    assert got == pytest.approx([5.0, 7.5, np.inf])


def test_side_milling_reaches_after_the_chord():
    """A cutter fed across its axis meets a point e off its middle at sqrt(R^2 - e^2) before its axis."""
    side = pose([0, 0, 1], [-1, 0, 0], [330, 0, 0])

    got = infeed_field([[300, 0, 1], [300, 3.6, 1], [300, 0, -1e-9]], EndMill(6.0), side)

    assert got == pytest.approx([24.0, 30 - 4.8, np.inf])


def test_a_ball_meets_a_point_at_its_radius():
    leaning = pose([1, 0, -1], [-1, 0, 0], [330, 0, 0])
    ball = EndMill(6.0, 6.0)
    centre = np.array([330, 0, 0]) + 6.0 * leaning.u
    point = np.array([300.0, 2.0, centre[2] + 3.0])

    assert infeed_field(point, ball, leaning) == pytest.approx(centre[0] - 300 - sqrt(36 - 4 - 9), abs=1e-9)


def test_a_rounded_corner_of_nought_is_the_sharp_one_and_rounding_only_delays():
    rng = np.random.default_rng(7)
    points = rng.uniform([310, -6, 0], [323, 6, 4], (2000, 3))
    p = pose(*EXAMPLE)

    sharp, hair, more = (infeed_field(points, EndMill(6.0, c), p) for c in (0.0, 1e-7, 1.5))

    both = np.isfinite(sharp) & np.isfinite(hair)
    assert both.sum() > 500
    assert (np.isfinite(hair) <= np.isfinite(sharp)).all()
    assert hair[both] == pytest.approx(sharp[both], abs=1e-3)
    assert (more >= sharp - 1e-9).all()


def test_on_a_rounded_corner_the_reached_point_lies_on_the_torus():
    rng = np.random.default_rng(8)
    points = rng.uniform([310, -5, 0], [323, 5, 4], (500, 3))
    p, mill = pose(*EXAMPLE), EndMill(6.0, 2.0)
    s = infeed_field(points, mill, p)
    met = np.isfinite(s)

    q = points[met] - p.tip - s[met, None] * p.f
    h = q @ p.u
    rho = np.linalg.norm(q - h[:, None] * p.u, axis=1)
    gap = np.hypot(np.maximum(rho - 4.0, 0), np.maximum(2.0 - h, 0)) - 2.0

    assert met.sum() > 100
    assert abs(gap).max() < 1e-9


@settings(derandomize=True, deadline=None, max_examples=40)
@given(directions, directions, st.tuples(lengths, lengths, lengths), st.floats(0.5, 10), st.sampled_from([0, 0.5, 1]))
def test_a_point_is_inside_between_reached_and_left(axis, feed, point, R, share):
    """Definition: halfway through the run the point is in the cutter; a little outside of the run it is not."""
    p, mill = pose(axis, feed, [0, 0, 0]), EndMill(R, share * R)
    first, last = (float(x) for x in infeed_run(point, mill, p))
    if first > last or not (np.isfinite(first) or np.isfinite(last)) or last - first < 0.1:
        return

    def inside(s):
        q = np.array(point) - s * p.f
        h = float(q @ p.u)
        rho = float(np.linalg.norm(q - h * p.u))
        flat = R - mill.c
        return h >= -1e-9 and rho <= R + 1e-9 and np.hypot(max(rho - flat, 0), max(mill.c - h, 0)) <= mill.c + 1e-9

    lo = first if np.isfinite(first) else last - 1e3
    hi = last if np.isfinite(last) else first + 1e3
    assert inside((lo + hi) / 2)
    if np.isfinite(first):
        assert not inside(first - 1e-3)
    if np.isfinite(last):
        assert not inside(last + 1e-3)


@settings(derandomize=True, deadline=None, max_examples=40)
@given(directions, directions, directions, st.tuples(lengths, lengths, lengths), st.floats(1, 8))
def test_a_complete_pass_is_the_soonest_over_all_places_of_the_pass(axis, feed, depth, point, R):
    """With a locked axis the field is the least over the pass of what a cutter standing there would reach."""
    try:
        p = pose(axis, feed, [0, 0, 0], depth)
    except Refusal:
        return
    if np.linalg.norm(np.cross(p.d, p.f)) < 0.1 or np.linalg.norm(np.cross(p.u, p.f)) < 0.05:
        return
    mill = EndMill(R)
    complete = float(infeed_field(point, mill, p))

    along = np.linspace(-300, 300, 6001)
    stood = infeed_field(np.array(point) - along[:, None] * p.f, mill, pose(axis, depth, [0, 0, 0]))
    least = float(stood.min())

    assert complete <= least + 1e-9
    if np.isfinite(least) and abs(along[int(np.argmin(stood))]) < 290 and abs(float(p.u @ p.d)) < 0.7:
        assert complete > least - 4.0  # a step of 0.1 mm along the pass, beside a wall as steep as 1 : 40


def test_ball_pass_in_closed_form():
    """A ball fed along r is a round bar along r: the depth meets it at sqrt(R^2 - t^2) below its centre."""
    p = pose([0, 0, -1], [-1, 0, 0], [300, 0, -20], [0, 0, 1])

    assert infeed_field([311.0, 3.6, 0.0], EndMill(6.0, 6.0), p) == pytest.approx(20 + 6.0 - 4.8)


@pytest.mark.parametrize("corner", [0.0, 0.5, 2.0, 5.9, 6.0])
@pytest.mark.parametrize("seed", range(4))
def test_a_pass_with_a_rounded_corner_is_the_soonest_over_all_its_places(seed, corner):
    """The shadow against standing cutters: the best place of the pass searched ever more finely."""
    rng = np.random.default_rng(seed)
    axis = [1, rng.uniform(-0.5, 0.5), -rng.uniform(0.3, 1)]
    feed = np.cross(axis, [0, 1, 0.3]) if seed == 3 else [-1, rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3)]
    depth = [rng.uniform(-0.2, 0.2), rng.uniform(-0.3, 0.3), 1]
    p, standing, mill = pose(axis, feed, [0, 0, 0], depth), pose(axis, depth, [0, 0, 0]), EndMill(6.0, corner)
    points = rng.uniform(-6, 6, (40, 3))

    place, step, side = np.zeros(40), 40.0, np.linspace(-1, 1, 2001)
    for _ in range(9):
        places = place[:, None] + step * side
        stood = infeed_field(points[:, None] - places[..., None] * p.f, mill, standing)
        best = stood.argmin(axis=1)
        place, step, side = places[np.arange(40), best], 3 * step * (side[1] - side[0]), np.linspace(-1, 1, 41)
    least = stood.min(axis=1)
    met = np.isfinite(least)

    assert met.sum() > 10
    assert infeed_field(points, mill, p)[met] == pytest.approx(least[met], abs=1e-4)


@pytest.mark.parametrize("seed", range(6))
def test_agrees_with_facetted_solids(seed):
    """Random poses: the ray against the planes of a real facetted cutter, or of its swept hull."""
    rng = np.random.default_rng(100 + seed)
    axis = np.array([rng.uniform(0.2, 1), rng.uniform(-0.3, 0.3), -rng.uniform(0.2, 1)])
    feed = np.array([-rng.uniform(0.3, 1), rng.uniform(-0.2, 0.2), rng.uniform(-0.2, 0.5)])
    depth = np.array([0.1, rng.uniform(-0.2, 0.2), 1.0]) if seed % 2 else None
    tip = np.array([320.0, rng.uniform(-1, 1), rng.uniform(-3, 0)])
    diameter = rng.uniform(6, 20)
    plain = Plain(127, 5.0, 20.0, 60.0, diameter, axis, feed, tip, depth)
    points = rng.uniform([312, -8, 0], [323, 8, 6], (250, 3))

    ours = infeed_field(points, EndMill(diameter / 2), pose(axis, feed, tip, depth))
    theirs = plain.first_reach(points)

    # rays that only just pass or just meet the outline may be told apart by a facet
    inner = infeed_field(points, EndMill(diameter / 2 - 0.01), pose(axis, feed, tip, depth))
    sure = np.isfinite(inner) & (abs(ours) < 120)
    assert sure.sum() > 60
    assert np.isfinite(theirs[sure]).all()
    assert abs(ours[sure] - theirs[sure]).max() < 0.005 + FACET


def test_machine_words():
    """Nod 45 leans the top to the operator, tilt 45 to the right; a knee going up is the cutter going down."""
    assert tool_axis_of(radians(45), 0) == pytest.approx([0, -sin(pi / 4), cos(pi / 4)])
    assert tool_axis_of(0, radians(45)) == pytest.approx([sin(pi / 4), 0, cos(pi / 4)])
    assert slide_direction("-knee", machine_direction("+z")) == pytest.approx([0, 0, -1])
    assert slide_direction("-quill", tool_axis_of(radians(45), 0)) == pytest.approx([0, sin(pi / 4), -cos(pi / 4)])


@pytest.mark.parametrize("looks", ["+x", "-x", "+y", "-y", "+z", "-z"])
@pytest.mark.parametrize("work", ["+x", "-x", "+y", "-y", "+z", "-z"])
def test_the_frame_is_right_handed_wherever_the_face_looks(looks, work):
    if looks[1] == work[1]:
        with pytest.raises(Refusal, match="work_at_not_square"):
            frame_in_machine(looks, work)
        return

    r, t, a = frame_in_machine(looks, work)

    assert np.cross(r, t) == pytest.approx(a)
    assert a == pytest.approx(-machine_direction(looks))
    assert r == pytest.approx(machine_direction(work))


@pytest.mark.parametrize("bad", [[0, 0, 0], [1e-12, 0, 0]])
def test_a_direction_without_length_is_refused(bad):
    with pytest.raises(Refusal, match="zero_vector: f"):
        pose([1, 0, 0], bad, [0, 0, 0])
