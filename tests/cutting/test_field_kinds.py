"""Laws of the field that hold for cutters of every kind, and what no cutter can be."""

from __future__ import annotations

from math import inf, radians

import numpy as np
import pytest

from ringwright.cutting.cutter import Disc, DoubleAngle, Dovetail, EndMill, FlyCutter, SingleAngle, Turned
from ringwright.cutting.field import infeed_field, infeed_run
from ringwright.cutting.form import involute_form
from ringwright.cutting.pose import pose
from ringwright.errors import Refusal
from ringwright.gears.ring import RingGeometry

KINDS = {
    "flat": EndMill(6.0, 0.0, 20.0),
    "bull": EndMill(6.0, 1.0, 20.0),
    "ball": EndMill(6.0, 6.0, 20.0),
    "dovetail": Dovetail(9.0, radians(60), 5.0, 0.4),
    "single": SingleAngle(20.0, radians(50), 8.0, 0.5, False),
    "double": DoubleAngle(20.0, radians(30), radians(60), 9.0, 0.8),
    "disc": Disc(20.0, 5.0, 1.0),
    "full radius": Disc(20.0, 4.0, 2.0),
    "fly": FlyCutter(15.0, 4.0, 6.0, 0.7),
    "form": involute_form(20.0, RingGeometry("external", 35, 3.0)),
    "measured": Turned((-4.0, -1.0, 0.0, 2.0, 5.0), (12.0, 15.0, 14.0, 17.0, 11.0)),
}


def _inside(cutter, q, u):
    """Whether points lie in the outline, by the definition of each piece."""
    h = q @ u
    rho = np.linalg.norm(q - h[..., None] * u, axis=-1)
    found = np.zeros(h.shape, dtype=bool)
    for piece in cutter.solid.pieces:
        if hasattr(piece, "c"):
            found |= np.hypot(np.maximum(rho - piece.r, 0), h - piece.h) <= piece.c
        else:
            edge = piece.r0 + (h - piece.h0) / (piece.h1 - piece.h0) * (piece.r1 - piece.r0)
            found |= (h >= piece.h0) & (h <= piece.h1) & (rho <= edge)
    hole = cutter.solid.hole
    return found & ~((rho < hole.r0) & (h >= hole.h0) & (h <= hole.h1)) if hole else found


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("slant", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("locked", [False, True])
def test_the_field_is_the_first_of_the_run(kind, slant, locked):
    """The hastier way to the first contact alone gives the same."""
    rng = np.random.default_rng(3)
    how = pose([0.2, 1, slant], [-1, slant, 0.1], [0, 0, 0], [0.1, 0.1, 1] if locked else None)
    points = rng.uniform(-12, 12, (800, 3))

    first, last = infeed_run(points, KINDS[kind], how)
    met = np.isfinite(first)

    assert met.sum() > 50
    assert infeed_field(points, KINDS[kind], how) == pytest.approx(first, abs=1e-9)
    assert (first[met] <= last[met]).all()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(3))
def test_a_point_is_outside_before_and_inside_just_after(kind, seed):
    """A walk along the ray finds the same first and last contact as the sums."""
    rng = np.random.default_rng(seed)
    how = pose(rng.uniform(-1, 1, 3), rng.uniform(-1, 1, 3), [0, 0, 0])
    points = rng.uniform(-14, 14, (60, 3))
    first, last = infeed_run(points, KINDS[kind], how)
    walk = np.linspace(-80, 80, 8001)
    step = walk[1] - walk[0]

    inside = _inside(KINDS[kind], points[:, None] - walk[:, None] * how.f, how.u)

    for n in range(len(points)):
        seen = walk[inside[n]]
        if len(seen):
            assert first[n] <= seen[0] + 1e-9
            assert last[n] >= seen[-1] - 1e-9
        if np.isfinite(first[n]) and last[n] - first[n] > 4 * step:
            just_in = points[n] - (first[n] + np.array([-1e-4, 1e-4])[:, None]) * how.f
            just_out = points[n] - (last[n] + np.array([1e-4, -1e-4])[:, None]) * how.f
            assert not _inside(KINDS[kind], just_in, how.u)[0]
            assert not _inside(KINDS[kind], just_out, how.u)[0]
            assert first[n] == pytest.approx(seen[0], abs=1.01 * step) or kind in ("fly", "measured", "form")


@pytest.mark.parametrize("kind", KINDS)
def test_a_complete_pass_is_the_soonest_of_its_places(kind):
    """The shadow against standing cutters, the best place of the pass searched ever more finely."""
    rng = np.random.default_rng(11)
    axis, feed, depth = [0.3, 1, -0.5], [-1, 0.2, 0.3], [0.1, 0.3, 1]
    how, standing = pose(axis, feed, [0, 0, 0], depth), pose(axis, depth, [0, 0, 0])
    points = rng.uniform(-10, 10, (25, 3))

    place, step, side = np.zeros(25), 60.0, np.linspace(-1, 1, 4001)
    for _ in range(7):
        places = place[:, None] + step * side
        stood = infeed_field(points[:, None] - places[..., None] * how.f, KINDS[kind], standing)
        place = places[np.arange(25), stood.argmin(axis=1)]
        step, side = 4 * step * (side[1] - side[0]), np.linspace(-1, 1, 81)
    least = stood.min(axis=1)
    met = np.isfinite(least)
    ours = infeed_field(points, KINDS[kind], how)

    assert met.sum() > 8
    assert (ours[met] <= least[met] + 1e-9).all()
    assert np.median(abs(ours[met] - least[met])) < 1e-6
    assert abs(ours[met] - least[met]).max() < 0.02


def test_a_fly_cutter_plunged_straight_leaves_a_core():
    down = pose([0, 0, -1], [0, 0, 1], [0, 0, -20])
    core, under_the_bit, beside = infeed_field([[5, 0, 0], [13, 0, 0], [16, 0, 0]], KINDS["fly"], down)

    assert core == inf
    assert under_the_bit == pytest.approx(20)
    assert beside == inf


def test_reground_keeps_the_kind_and_the_angle():
    for cutter in KINDS.values():
        smaller = cutter.reground(-0.4)
        assert abs(cutter.R - smaller.R - 0.2) < 1e-12
        assert type(smaller) is type(cutter)
    assert KINDS["ball"].reground(-0.4).is_ball
    assert KINDS["double"].reground(-0.4).high == KINDS["double"].high


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: EndMill(6.0, 7.0), "corner_radius_too_great"),
        (lambda: EndMill(6.0, 2.0, 1.0), "flutes_too_short"),
        (lambda: EndMill(300.0), "outside"),
        (lambda: Dovetail(5.0, radians(45), 9.0), "cutter_outline_crossed"),
        (lambda: Dovetail(9.0, radians(45), 5.0, 6.0), "corner_radius_too_great"),
        (lambda: SingleAngle(20.0, radians(89), 5.0), "outside"),
        (lambda: DoubleAngle(5.0, radians(20), radians(60), 30.0), "cutter_outline_crossed"),
        (lambda: Disc(20.0, 4.0, 2.5), "corner_radius_too_great"),
        (lambda: FlyCutter(15.0, 16.0, 6.0), "outside"),
        (lambda: FlyCutter(15.0, 4.0, 6.0, 3.5), "corner_radius_too_great"),
        (lambda: Turned((0.0, 1.0), (5.0,)), "outline_points_unpaired"),
        (lambda: Turned((0.0, 2.0, 1.0), (5.0, 5.0, 5.0)), "cutter_outline_crossed"),
        (lambda: involute_form(40.0, RingGeometry("internal", 90, 3.0)), "form_of_internal"),
        (lambda: involute_form(40.0, RingGeometry("external", 35, 3.0, beta=0.2)), "outside"),
        (lambda: involute_form(8.0, RingGeometry("external", 35, 5.0)), "cutter_outline_crossed"),
    ],
)
def test_what_no_cutter_can_be_is_refused(make, code):
    with pytest.raises(Refusal, match=code):
        make()
