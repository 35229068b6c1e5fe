"""Set-ups as they are said at the machine, each worked out by hand in the frame of the space."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.cutting.pose import (
    Words,
    head_turned,
    machine_direction,
    pose_of_words,
    right_angle_axis,
    tool_axis_of,
)
from ringwright.errors import Refusal

H, S, C = 0.5**0.5, sin(radians(30)), cos(radians(30))
_30, _45, _90 = radians(30), radians(45), radians(90)

#: name, words, tool axis, feed, depth in (r, t, a), and how they were found. t = a x r throughout.
CASES = [
    (
        "flat, face up, operator's side, head nodded to the operator, saddle",
        Words("+z", "-y", "+saddle", nod=_45),
        (H, 0, -H),
        (-1, 0, 0),
        None,
        "r = -y, a = -z, t = a x r = -x; the top leans to -y, so along r, and up, so against a; +y is -r.",
    ),
    (
        "flat, face down on parallels, right side, quill down the nodded head",
        Words("-z", "+x", "-quill", nod=_30),
        (0, -S, C),
        (0, S, -C),
        None,
        "r = +x, a = +z, t = z x x = +y; the top leans to the operator, so along -t.",
    ),
    (
        "upright, face to the right, worked on the operator's side, tilted head",
        Words("+x", "-y", "+saddle", tilt=_45),
        (0, H, -H),
        (-1, 0, 0),
        None,
        "r = -y, a = -x, t = (-x) x (-y) = +z; the top leans right, so against a, and up is +t.",
    ),
    (
        "upright, face to the operator, worked on top, knee up sets the depth, pass by the saddle",
        Words("-y", "+z", "+saddle", "-knee"),
        (1, 0, 0),
        (0, 0, 1),
        (-1, 0, 0),
        "r = +z, a = +y, t = y x z = +x; a knee going up is the cutter going down, -r; +y is a.",
    ),
    (
        "flat, face up, right side, right-angle head with the arbor to the operator, passes by the knee",
        Words("+z", "+x", "-knee", "-table", right_angle_looks="-y"),
        (0, -1, 0),
        (0, 0, 1),
        (-1, 0, 0),
        "r = +x, a = -z, t = (-z) x x = -y; the spindle lies behind, at +y = -t; cutter down is +a, cutter left -r.",
    ),
    (
        "upright, face to the operator, worked on top, arbor's free end to the left",
        Words("-y", "+z", "+saddle", "-knee", right_angle_looks="-x"),
        (0, 1, 0),
        (0, 0, 1),
        (-1, 0, 0),
        "r = +z, a = +y, t = +x; the spindle lies at +x = t.",
    ),
    (
        "the same with the head tilted 30: the right-angle head leans with it, the quill slants",
        Words("-y", "+z", "-quill", right_angle_looks="-x", tilt=_30),
        (-S, C, 0),
        (-C, -S, 0),
        None,
        "Tilt 30 about Y takes +x to (cos, 0, -sin) and +z to (sin, 0, cos); r = +z, t = +x.",
    ),
    (
        "flat, face up, operator's side, right-angle head to the operator, nodded 30",
        Words("+z", "-y", "+saddle", right_angle_looks="-y", nod=_30),
        (-C, 0, -S),
        (-1, 0, 0),
        None,
        "Nod 30 about X takes +y to (0, cos, sin); r = -y, a = -z.",
    ),
    (
        "a right-angle head swung a quarter from the operator to the right",
        Words("+z", "+x", "-table", right_angle_looks="-y", swing=_90),
        (-1, 0, 0),
        (-1, 0, 0),
        None,
        "Anticlockwise from above -y comes to +x; the spindle then lies at -x = -r.",
    ),
    (
        "flat, face up, left side, knee down draws the cutter up through the ring",
        Words("+z", "-x", "+knee", "+table", tilt=-_30),
        (S, 0, -C),
        (0, 0, -1),
        (-1, 0, 0),
        "r = -x, a = -z, t = (-z) x (-x) = +y; tilt -30 leans the top left, along r; cutter up is -a; right is -r.",
    ),
]


@pytest.mark.parametrize(("name", "words", "axis", "feed", "depth", "why"), CASES, ids=[c[0] for c in CASES])
def test_words_come_to_the_pose_worked_out_by_hand(name, words, axis, feed, depth, why):
    got = pose_of_words(words, [320, 0, -1])

    assert got.u == pytest.approx(axis, abs=1e-12)
    assert got.f == pytest.approx(feed, abs=1e-12)
    assert got.d is None if depth is None else got.d == pytest.approx(depth, abs=1e-12)
    assert got.tip == pytest.approx([320, 0, -1])


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.sampled_from(["+x", "-x", "+y", "-y"]), *[st.floats(-1.5, 1.5)] * 3)
def test_a_right_angle_head_stays_square_to_the_quill(looks, nod, tilt, swing):
    axis = right_angle_axis(looks, nod, tilt, swing)

    assert np.linalg.norm(axis) == pytest.approx(1)
    assert axis @ tool_axis_of(nod, tilt) == pytest.approx(0, abs=1e-12)


def test_the_quill_is_what_the_turned_head_makes_of_up():
    assert head_turned(machine_direction("+z"), 0.3, -0.7) == pytest.approx(tool_axis_of(0.3, -0.7))


@pytest.mark.parametrize("looks", ["+z", "-z"])
def test_a_right_angle_head_does_not_look_along_the_quill(looks):
    with pytest.raises(Refusal, match="right_angle_along_quill"):
        right_angle_axis(looks)


def test_depth_along_the_feed_is_refused():
    with pytest.raises(Refusal, match="depth_along_feed"):
        pose_of_words(Words("+z", "+x", "-knee", "-quill"), [0, 0, 0])
