"""Worn, welded and faced rings: their surfaces against solids of their own, and their laws."""

from __future__ import annotations

import sys
from dataclasses import replace
from math import pi
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
import shapely

from ringwright.cutting.as_it_is import EndLoss, RingAsItIs, Step, Tooth
from ringwright.cutting.cutter import Disc, EndMill
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import Lost, ToothedRing, patches
from ringwright.cutting.touch_off import touch_off
from ringwright.errors import Refusal
from ringwright.gears.ring import RingGeometry

sys.path.insert(0, str(Path(__file__).parents[2] / "bench" / "plain"))
import field_solids as plain
from field_boolean import spur_section

GEAR, FACE = RingGeometry("external", 60, 4.0), 14.0
WORN = Tooth(plus=(Step(119.0, 121.5, 0.5),), minus=(Step(117.5, 120.0, 0.3), Step(120.0, 123.0, -0.8)), tip=0.6)
CHEWED = Tooth(end=1.2, end_plus=EndLoss(3.0, 1.0), end_tip=EndLoss(2.0, 1.5))
PROUD = Tooth(tip=-0.7, end=-1.5)


def _sheets(ring, teeth, n=41, lost=None):
    v, w = np.meshgrid(np.linspace(0, 1, n), np.linspace(0, 1, n), indexing="ij")
    for patch in patches(ring, teeth, lost):
        yield patch, np.asarray(patch.at(v[:, 0], 0 * v[:, 0]) if patch.line else patch.at(v, w))


def _flank(side, off, low, high, n=300):
    """Own flank of tooth 0 between two radii, moved square to itself: (n, 2)."""
    rho = np.linspace(low, high, n)
    r, alpha = 120.0, pi / 9
    slope = np.arccos(r * np.cos(alpha) / rho)
    half = pi / 120 + np.tan(alpha) - alpha - np.tan(slope) + slope
    x, y = rho * np.cos(half), rho * np.sin(half)
    # the normal of an involute touches the base circle
    turn = half - slope
    into = np.column_stack([np.sin(turn), -np.cos(turn)])
    points = np.column_stack([x, y]) + off * into
    points[:, 1] *= side
    c, s = np.cos(pi / 60), np.sin(pi / 60)
    return points @ np.array([[c, s], [-s, c]])


def test_a_ring_of_sound_teeth_is_the_sound_ring():
    one, two = ToothedRing(GEAR, FACE), RingAsItIs(GEAR, FACE, teeth={})
    for (p, a), (q, b) in zip(_sheets(one, range(-1, 2)), _sheets(two, range(-1, 2)), strict=True):
        assert p.surface == q.surface
        assert a == pytest.approx(b)


def test_a_named_tooth_without_a_fault_has_the_sound_surfaces():
    """Through the longer way, which a step of nought takes."""
    nought = Tooth(plus=(Step(119.0, 121.0, 0.0),))
    ring, sound = RingAsItIs(GEAR, FACE, teeth={0: nought}), ToothedRing(GEAR, FACE)
    for patch, points in _sheets(ring, [0]):
        rho, theta = np.hypot(points[..., 0], points[..., 1]), np.arctan2(points[..., 1], points[..., 0])
        if patch.surface == "flank":
            off = abs(theta - sound.middle(0)) - sound.half_angle(rho)
            assert abs(off * rho).max() < 1e-9
        if patch.surface == "tip_land":
            assert rho == pytest.approx(124.0)


def test_a_worn_step_lies_square_under_the_sound_flank():
    ring = RingAsItIs(GEAR, FACE, teeth={0: WORN})
    found = [p[..., :2].reshape(-1, 2) for patch, p in _sheets(ring, [0]) if patch.surface == "flank"]
    for side, off, low, high in ((1, 0.5, 119.0, 121.5), (-1, 0.3, 117.5, 120.0), (-1, -0.8, 120.0, 123.0)):
        own = shapely.LineString(_flank(side, off, low, high))
        best = min(np.max(shapely.distance(own, shapely.points(f))) for f in found)
        assert best < 2e-4, (side, off)


def test_the_outline_of_an_end_is_closed_and_of_the_right_size():
    """The end face as a polygon: the sound tooth's area less what the steps and the tip have lost."""
    sound, worn = (_end_outline(RingAsItIs(GEAR, FACE, teeth={0: t})) for t in (Tooth(tip=1e-9), WORN))
    assert sound.is_valid
    assert worn.is_valid
    lost = 0.0
    for side, off, low, high in ((1, 0.5, 119.0, 121.5), (-1, 0.3, 117.5, 120.0), (-1, -0.8, 120.0, 123.0)):
        one, two = _flank(side, 0, low, high), _flank(side, off, low, high)
        lost += np.sign(off) * shapely.Polygon(np.concatenate([one, two[::-1]])).area
    top = 0.6 * float(123.7 * 2 * ToothedRing(GEAR, FACE).half_angle(np.array(123.7)))
    assert sound.area - worn.area == pytest.approx(lost + top, abs=0.02)


def _end_outline(ring):
    lines = [np.asarray(p) for patch, p in _sheets(ring, [0], 200) if patch.surface == "flank_edge"]
    half = len(lines)
    middle = ring.middle(0)
    minus = [x for x in lines if np.arctan2(x[0, 1], x[0, 0]) < middle]
    plus = [x for x in lines if np.arctan2(x[0, 1], x[0, 0]) > middle]
    assert len(minus) + len(plus) == half
    return shapely.Polygon(np.concatenate([*minus, *[x[::-1] for x in plus[::-1]]])[:, :2])


def test_lengths_of_a_chewed_end():
    ring = RingAsItIs(GEAR, FACE, teeth={0: CHEWED})
    sound = ToothedRing(GEAR, FACE)
    for patch, points in _sheets(ring, [0]):
        if patch.surface in ("flank_edge", "tip_edge", "end_face"):
            assert points[..., 2] == pytest.approx(1.2)
        if patch.surface == "tip_edge":
            assert np.hypot(points[..., 0], points[..., 1]) == pytest.approx(122.5, abs=1e-6)
        if patch.surface in ("flank", "tip_land"):
            assert points[..., 2].min() >= 1.2 - 1e-9
            assert points[..., 2].max() == pytest.approx(14.0)
        rho, theta = np.hypot(points[..., 0], points[..., 1]), np.arctan2(points[..., 1], points[..., 0])
        if patch.surface == "flank_edge" and theta[0] < sound.middle(0):
            assert theta == pytest.approx(sound.middle(0) - sound.half_angle(rho))


def test_facing_down_takes_the_slopes_with_it():
    faced = RingAsItIs(GEAR, FACE, teeth={0: CHEWED, 1: PROUD}).faced(2.7)

    assert faced.b == pytest.approx(11.3)
    assert faced.tooth(0).end == 0
    # half of the 3 mm slope is gone, and three quarters of the tip's 2 mm
    assert faced.tooth(0).end_plus == EndLoss(pytest.approx(1.5), pytest.approx(0.5))
    assert faced.tooth(0).end_tip == EndLoss(pytest.approx(0.5), pytest.approx(0.375))
    assert faced.tooth(1) == replace(PROUD, end=0.0)


def _own_solid():
    """The ring of those teeth by unions and differences of sound pieces, sharing nothing with the surfaces."""
    section = shapely.Polygon(spur_section(60, 4.0, 20.0, -2, 1))
    cut, built = [], []
    for side, off, low, high in ((1, 0.5, 119.0, 121.5), (-1, 0.3, 117.5, 120.0), (-1, -0.8, 120.0, 123.0)):
        strip = shapely.Polygon(
            np.concatenate([_flank(side, -0.01 * np.sign(off), low, high), _flank(side, off, low, high)[::-1]])
        )
        (cut if off > 0 else built).append(strip)
    ring = shapely.Point(0, 0).buffer(200, quad_segs=4000) - shapely.Point(0, 0).buffer(123.4, quad_segs=4000)
    sector = shapely.Polygon([(0, 0), (300, 0), (300, 300 * np.tan(2 * pi / 60))])
    section = shapely.union_all([section, *built]) - shapely.union_all([*cut, ring & sector])
    return m3.Manifold.extrude(m3.CrossSection([np.array(section.exterior.coords)[:-1]], m3.FillRule.NonZero), FACE)


@pytest.mark.parametrize(
    ("mill", "profile", "how"),
    [
        (EndMill(3.0), plain.end_mill(3.0, 0), ([0.5, 0.2, -1], [-0.2, 0.3, 1], [121, 3.5, -20])),
        (EndMill(4.0), plain.end_mill(4.0, 0), ([1, 0.3, -0.6], [-1, 0.15, 0.3], [150, 0.5, -4])),
        (Disc(20.0, 3.0), plain.disc(20.0, 3.0, 0), ([0.1, 1, 0], [-1, 0.08, 0], [180, 1.0, 4])),
    ],
)
def test_touch_off_on_a_worn_tooth_agrees_with_solids(mill, profile, how):
    """First shared metal of the swept cutter and of a worn solid, by halving."""
    ring = RingAsItIs(GEAR, FACE, teeth={0: WORN})
    touched = touch_off(ring, mill, pose(*how), shift=False).first.s
    sound = touch_off(ToothedRing(GEAR, FACE), mill, pose(*how), shift=False).first.s
    metal, path = _own_solid(), plain.Swept(profile, *how)

    low, high = touched - 2, touched + 2
    whole = metal.volume()
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (low, middle) if path.cut_from(metal, middle).volume() < whole - 1e-9 else (middle, high)

    assert touched == pytest.approx(high, abs=0.01)
    assert abs(touched - sound) > 0.01, "the worn tooth is what was touched"


def test_corners_lost_come_on_top():
    ring = RingAsItIs(GEAR, FACE, teeth={0: WORN})
    names = {patch.surface for patch, _ in _sheets(ring, [0], 5, Lost(1.0, 1.0, 0.0))}
    assert "bevel" in names
    assert "ledge" in names


@pytest.mark.parametrize(
    ("tooth", "code"),
    [
        (Tooth(plus=(Step(119, 121, 0.1), Step(120, 122, 0.2))), "steps_overlap"),
        (Tooth(plus=(Step(121, 119, 0.1),)), "steps_overlap"),
        (Tooth(tip=9.0), "nothing_left"),
        (Tooth(end=14.0), "nothing_left"),
        (Tooth(plus=(Step(119, 121, 9.0),)), "nothing_left"),
        (Tooth(tip=-9.0), "tooth_pointed"),
    ],
)
def test_a_tooth_that_cannot_be_is_refused(tooth, code):
    with pytest.raises(Refusal, match=code):
        RingAsItIs(GEAR, FACE, teeth={0: tooth})
