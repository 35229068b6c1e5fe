"""Idlers from the drawer, reach on the quadrant, swing and load: against the plane geometry drawn out."""

from __future__ import annotations

from itertools import pairwise
from math import cos, dist, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.dividing.devices import Quadrant, Train
from ringwright.dividing.reach import hang, reaches
from ringwright.dividing.taking import Room, WhyNot, why_not

TEETH = st.sampled_from([24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100])


def drawn(train, between, q):
    """Swing the arm step by step until first gear and spindle gear mesh, then look whether anything overlaps."""
    first = train.on_stud_to_spindle if train.compound else between[0]
    row = [train.worm, *reversed(between), *([train.on_stud_to_worm] if train.compound else [])]
    along = [sum(q.m * (a + b) / 2 for a, b in pairwise(row[: n + 1])) for n in range(1, len(row))]
    if min(along) < q.near or max(along) > q.far:
        return False
    spindle, side = (q.shafts, 0.0), q.m * (train.spindle + first) / 2

    def stud(t, r):
        return r * cos(t), r * sin(t)

    def gap(t):
        return dist(stud(t, along[-1]), spindle) - side

    low, high = 0.0, pi  # the gap only grows while the arm swings away
    if gap(low) > 0 or gap(high) < 0:
        return False
    for _ in range(60):
        low, high = ((low + high) / 2, high) if gap((low + high) / 2) < 0 else (low, (low + high) / 2)

    def tip(z):
        return q.m * (z + 2) / 2

    at = [stud(low, r) for r in along]
    if train.compound:
        shafts = [(0.0, 0.0), *at[:-1]]
        return (
            all(dist(at[-1], s) > tip(first) for s in shafts)
            and dist(at[-1], spindle) > tip(train.on_stud_to_worm)
            and q.shafts > max(tip(train.spindle), tip(train.worm))
        )
    gears = [((0.0, 0.0), train.worm), *zip(at, reversed(between), strict=True), (spindle, train.spindle)]
    pairs = [(a, b) for i, a in enumerate(gears) for b in gears[i + 2 :]]
    return all(dist(a[0], b[0]) >= tip(a[1]) + tip(b[1]) for a, b in pairs)


@settings(derandomize=True, deadline=None, max_examples=300)
@given(TEETH, TEETH, TEETH, TEETH, TEETH, TEETH, st.sampled_from([1, -1]), st.booleans(), st.integers(90, 260))
def test_reach_is_what_the_drawing_shows(a, b, c, d, e, f, sense, compound, apart):
    train = Train(a, b, sense, c, d) if compound else Train(a, b, sense)
    between = (e, f)[: train.idlers]
    q = Quadrant(2.0, apart + 0.37, 45.0, 190.0)  # off the whole numbers, where circles would only just touch

    assert reaches(train, between, q) == drawn(train, between, q)


def test_idlers_come_from_the_drawer_and_are_not_used_twice():
    assert hang(Train(48, 24, -1), (24, 48, 32, 40, 64), None).between == (32, 40)
    assert hang(Train(48, 24, -1), (24, 48, 32), None).between is None
    assert hang(Train(48, 24, -1), (24, 48, 32, 32), None).between == (32, 32)
    assert hang(Train(32, 56, 1, 40, 28), (28, 32, 40, 56), None).between == ()


def test_an_idler_that_reaches_is_taken_and_a_train_that_cannot_is_said():
    # 24 and 24 at 150 mm, module 2: the idler's centre is 24 + z from both, so z must be 51 at least
    quadrant = {"gear_module_mm": 2, "shafts_apart_mm": 150, "stud_nearest_mm": 60, "stud_furthest_mm": 140}
    head = {"name": "h", "ratio": 40, "circles": [[39]], "quadrant": quadrant}
    asked = {"divisions": 117, "methods": ["differential"]}
    short = reckon.divide({**asked, "device": {**head, "change_gears": [24, 24, 40]}})
    long = reckon.divide({**asked, "device": {**head, "change_gears": [24, 24, 40, 64]}})

    assert short.ways == ()
    assert "24/24" in next(n.text for n in short.notes if n.code == "train_cannot_reach")
    assert (long.ways[0].idler_gears, long.ways[0].gears_reach) == ((64,), True)
    assert "64 from the drawer" in long.ways[0].steps_note


def test_the_fractions_a_damaged_circle_can_still_make():
    table = {"name": "t", "ratio": 90, "circles": [[23, 46]]}
    asked = {"divisions": 115, "methods": ["plain"]}
    every_hole = reckon.divide({**asked, "device": {**table, "damaged": [{"circle": 23, "holes": [5]}]}}).ways
    assert [w.move.circle for w in every_hole] == [46]
    even = {**table, "damaged": [{"circle": 23, "holes": [5]}, {"circle": 46, "holes": [4]}]}
    way = reckon.divide({**asked, "device": even}).ways[0]
    assert (way.move.circle, way.move.holes, way.start_hole) == (46, 36, 1)
    assert "the hole marked 1" in way.steps_note


@pytest.mark.parametrize(
    ("room", "ring", "code"),
    [
        (Room(centre_height=130), (645, None, "upright"), "swing"),
        (Room(centre_height=340), (645, None, "upright"), None),
        (Room(load_flat=40), (None, 44, "flat"), "load"),
        (Room(load_flat=40), (None, 44, "upright"), None),
        (Room(stands_upright=False), (100, 1, "upright"), "does_not_stand"),
        (Room(lies_flat=False), (100, 1, "flat"), "does_not_lie"),
        (Room(centre_height=130), (645, None, None), None),
        (Room(centre_height=130, lies_flat=False), (645, None, None), "swing"),
        (Room(), (5000, 900, "upright"), None),
    ],
)
def test_what_a_device_can_take(room, ring, code):
    found = why_not(room, *ring, 10.0)
    assert (found and found.code) == code
    if code == "swing":
        assert found == WhyNot("swing", 130, 332.5)
