"""Shank, holder and head nose beside the ring: gaps by hand, by brute force and by solids."""

from __future__ import annotations

import sys
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
import shapely

from ringwright.cutting.cutter import Disc, EndMill
from ringwright.cutting.holder import (
    Body,
    Part,
    arbor,
    least_gaps,
    path_distance,
    ring_points,
    stacked,
    teeth_beside,
)
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.errors import Refusal
from ringwright.gears.ring import RingGeometry

sys.path.insert(0, str(Path(__file__).parents[2] / "bench" / "plain"))
import field_solids as plain

RING = ToothedRing(RingGeometry("external", 127, 5.0), 60.0)


def test_a_holder_square_above_the_tip_by_hand():
    """Cutter upright along -r, tip at r 316 after the feed: the holder's lower face stands 20 mm higher, at 336."""
    down = pose([1, 0, 0], [-1, 0, 0], [346, 0, 5])
    parts = stacked(20.0, ("holder", 40.0, 30.0))
    points = ring_points(RING, teeth_beside(RING, 40))

    (gap,) = least_gaps(points, EndMill(6.0), parts, down, 30.0)

    assert gap.part == "holder"
    assert gap.strikes_at is None
    # the tips stand highest where they are nearest to the middle of the space
    nearest = 322.5 * np.cos(RING.middle(0) - float(RING.half_angle(np.array(322.5))))
    assert gap.gap == pytest.approx(336 - nearest, abs=1e-3)
    assert gap.gap == pytest.approx(336 - gap.point[0], abs=1e-5)


def test_a_holder_that_comes_down_on_the_tips_is_struck_where_it_should_be():
    down = pose([1, 0, 0], [-1, 0, 0], [346, 0, 5])
    parts = stacked(4.0, ("shank", 10.0, 12.0), ("nose", 40.0, 60.0))
    points = ring_points(RING, teeth_beside(RING, 60))

    shank, nose = least_gaps(points, EndMill(6.0, L=4.0), parts, down, 38.0)

    assert nose.part == "nose"
    assert nose.strikes_at is not None
    nearest = 322.5 * np.cos(RING.middle(0) - float(RING.half_angle(np.array(322.5))))
    # its lower face starts at 346 + 14
    assert nose.strikes_at == pytest.approx(360 - nearest, abs=1e-3)
    assert nose.gap == pytest.approx(nose.strikes_at - 38.0)
    assert shank.strikes_at is None, "the shank is no thicker than the cutter that has gone before it"


def test_a_shank_thicker_than_its_cutter_strikes_what_the_cutter_left():
    down = pose([1, 0, 0], [-1, 0, 0], [346, 0, 5])
    points = ring_points(RING, teeth_beside(RING, 40))
    (shank,) = least_gaps(points, EndMill(3.0, L=4.0), stacked(4.0, ("shank", 40.0, 16.0)), down, 34.0)

    assert shank.strikes_at is not None
    assert shank.gap < 0


def test_an_arbor_passes_over_the_tips_by_hand():
    """A disc of 40 on an arbor of 27 across the ring, its rim sunk to r 314: the arbor's underside runs at 340.5."""
    over = pose([0, 1, 0], [0, 0, 1], [354, 0, -60], [-1, 0, 0])
    points = ring_points(RING, teeth_beside(RING, 60))

    gaps = least_gaps(points, Disc(40.0, 4.0), arbor(50.0, 50.0, 27.0), over, 0.0)

    assert [g.part for g in gaps] == ["arbor", "arbor"]
    near = 322.5 * np.cos(RING.middle(0) - float(RING.half_angle(np.array(322.5))))
    for gap in gaps:
        assert gap.gap == pytest.approx(340.5 - near, abs=0.02)


def test_a_web_that_stands_out_is_met_before_the_teeth():
    """A hub that rises 30 mm before the entry face stands in the way of a holder that leans over it."""
    hub = Body(((100.0, 290.0, -30.0, 60.0),))
    low = pose([0, 0, -1], [-1, 0, 0], [340, 0, 4])
    parts = stacked(20.0, ("holder", 40.0, 60.0))

    with_hub, without = (
        least_gaps(ring_points(RING, range(-6, 6), body), EndMill(6.0), parts, low, 25.0)[0] for body in (hub, None)
    )

    # the holder's mantle comes to r 340 - 25 - 30 = 285: 5 mm inside the hub, which it meets at 290
    assert with_hub.strikes_at == pytest.approx(20.0, abs=1e-3)
    assert without.strikes_at is None
    assert without.gap == pytest.approx(16.0, abs=1e-6), "the entry face lies 16 mm under the holder's"


@pytest.mark.parametrize("seed", range(4))
def test_the_gap_on_the_way_is_the_least_of_all_places(seed):
    """Golden section against a plain walk along the path, and over the pass where the depth is locked."""
    rng = np.random.default_rng(seed)
    part = Part("holder", 10.0, 40.0, 12.0, rng.uniform(8, 20))
    depth = [-1, 0.1, 0.2] if seed % 2 else None
    how = pose(np.array([1, 0, -1]) + rng.uniform(-1, 1, 3), [-0.3, 0.2, 1], [320, 0, 0], depth)
    points = np.array([320, 0, 0]) + rng.uniform(-60, 60, (5, 3))
    infeed = 5.0

    got = path_distance(points, part, how, infeed)

    walk = np.linspace(-400, infeed, 8001) if depth is None else np.linspace(-120, infeed, 126)
    across = np.zeros(1) if depth is None else np.linspace(-200, 200, 401)
    for point, ours in zip(points, got):
        moved = point - how.tip - walk[:, None, None] * how.infeed - across[None, :, None] * how.f
        h = moved @ how.u
        rho = np.linalg.norm(moved - h[..., None] * how.u, axis=-1)
        theirs = float(_from_cone(h, rho, part).min())
        assert ours <= theirs + 1e-6
        assert ours >= theirs - (0.05 if depth is None else 1.0)


def _from_cone(h, rho, part):
    """Distance from a frustum by its outline as a polygon."""
    outline = shapely.Polygon([(part.h0, 0), (part.h0, part.r0), (part.h1, part.r1), (part.h1, 0)])
    return shapely.distance(outline, shapely.points(h, rho))


@pytest.mark.parametrize("seed", range(2))
def test_gaps_agree_with_solids(seed):
    """The library's own least gap between the swept holder and the ring that the swept cutter has left."""
    rng = np.random.default_rng(50 + seed)
    axis, feed = np.array([1, rng.uniform(-0.2, 0.2), -1]), np.array([-1, 0, rng.uniform(-0.2, 0.2)])
    tip, R = np.array([150.0, 0, -1]), 5.0
    ring = ToothedRing(RingGeometry("external", 60, 4.0), plain_face := 14.0)
    part = Part("holder", 22.0 + seed, 60.0, 14.0, 18.0)
    how = pose(axis, feed, tip)
    infeed = 30.0

    outline = plain.section(60, 4.0, 4)
    left = plain.Swept(plain.end_mill(R, 0), axis, feed, tip).cut_from(plain.piece_of_ring(outline, plain_face), infeed)
    profile = np.array([(part.h0, 0), (part.h0, part.r0), (part.h1, part.r1), (part.h1, 0)])
    (cloud,) = plain.Swept([profile], axis, feed, tip).swept(infeed)
    theirs = left.min_gap(m3.Manifold.hull_points(np.ascontiguousarray(cloud)), 40.0)

    (gap,) = least_gaps(ring_points(ring, range(-4, 4), per_side=40), EndMill(R), [part], how, infeed)

    assert gap.strikes_at is None
    assert gap.gap == pytest.approx(theirs, abs=0.05)
    assert 0 < theirs < 40


def test_wrong_measures_are_refused():
    with pytest.raises(Refusal, match="wall_turned_over"):
        Body(((10.0, 5.0, 0.0, 1.0),))
    with pytest.raises(Refusal, match="L_h"):
        stacked(0.0, ("shank", -1.0, 10.0))
