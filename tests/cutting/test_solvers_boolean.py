"""What the solvers say, measured on solids cut by booleans that share no code with the product."""

from __future__ import annotations

import runpy
from math import acos, cos, pi, radians, sin, tan
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
import shapely

from ringwright.cutting.beside import beside, starts_at
from ringwright.cutting.cutter import Disc, DoubleAngle, Dovetail, EndMill, Turned
from ringwright.cutting.gash import Gash
from ringwright.cutting.lead_in import touched
from ringwright.cutting.passes import equal_passes, removed
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touching import better_touch_offs
from ringwright.gears.ring import RingGeometry

Plain = runpy.run_path(str(Path(__file__).parents[2] / "bench" / "plain" / "field_boolean.py"))["Plain"]
RING = RingGeometry("external", 127, 5.0)
BODY = ToothedRing(RING, 60.0)
AXIS, FEED, TIP = [1, 0, -1], [-1, 0, 0], [337.5, 0, -1]
NEAR = 0.02


@pytest.fixture(scope="module")
def at():
    return touched(BODY, EndMill(6.0), pose(AXIS, FEED, TIP))


@pytest.fixture(scope="module")
def plain():
    return Plain(127, 5.0, 20.0, 60.0, 12.0, AXIS, FEED, TIP)


def _turned_solid(outline, axis, tip, facets=360):
    """A cutter as a solid: its outline (radius, height) turned, laid along ``axis`` from ``tip``."""
    section = m3.CrossSection([np.array(outline, float)], m3.FillRule.Positive)
    solid = m3.Manifold.revolve(section, facets)
    w = np.asarray(axis, float) / np.linalg.norm(axis)
    u = np.cross([0.3, 0.5, 0.8], w)
    u /= np.linalg.norm(u)
    turn = np.column_stack([u, np.cross(w, u), w, np.asarray(tip, float)])
    return solid.transform(turn)


@pytest.mark.parametrize(("infeed", "within"), [(2.0, 0.1), (3.0, 0.04), (4.5, 0.04), (7.0, 0.04)])
def test_metal_taken_is_the_volume_of_the_cut(at, plain, infeed, within):
    gone = (plain.ring ^ plain.swept(at.zero + infeed)).volume()

    assert removed(at, np.array([infeed]))[0] == pytest.approx(gone, rel=within)


class Ringed(Plain):  # type: ignore[misc, valid-type]
    """A convex cutter of any outline (radius, height) in place of the end mill."""

    outline = ()

    def rims(self):
        one = np.cross(self.axis, [0.3, 0.5, 0.8])
        one /= np.linalg.norm(one)
        two, turn = np.cross(self.axis, one), 2 * pi * (np.arange(720) + 0.5) / 720
        circle = (np.cos(turn)[:, None] * one + np.sin(turn)[:, None] * two) * (1 + (pi / 720) ** 2 / 4)
        return np.concatenate([r * circle + h * self.axis for r, h in self.outline])


KINDS = [
    (
        DoubleAngle(30.0, radians(35), radians(50), 12.0),
        [(30 - 6 / tan(radians(35)), -6), (30, 0), (30 - 6 / tan(radians(50)), 6)],
        ([0.1, 1, 0.05], [0, 0, 1], [341, 0.3, -60]),
        6.0,
    ),
    (
        Dovetail(11.0, radians(60), 7.0),
        [(11, 0), (11 - 7 / tan(radians(60)), 7)],
        ([1, 0.05, -0.3], [-0.2, 0, 1], [317.5, 0.4, -30]),
        5.0,
    ),
    (Disc(31.5, 9.0), [(31.5, -4.5), (31.5, 4.5)], ([0, 1, 0], [-0.3, 0, 1], [342, 0, -50]), 4.0),
]


@pytest.mark.parametrize(("mill", "outline", "how", "infeed"), KINDS, ids=["double angle", "dovetail", "disc"])
def test_other_cutters_agree_with_solids_cut_by_booleans(mill, outline, how, infeed):
    solid = Ringed(127, 5.0, 20.0, 60.0, 2 * mill.R, *how)
    solid.outline = outline
    here = touched(BODY, mill, pose(*how), shift=False)
    assert here.zero == pytest.approx(solid.touch_off(here.zero - 5, here.zero + 5, to=5e-4), abs=NEAR)

    cut, left = here.cut(infeed), solid.left(here.zero + infeed)
    assert cut.leads.plus == pytest.approx(solid.lead(left, 0, -1), abs=NEAR)
    assert cut.leads.minus == pytest.approx(solid.lead(left, -1, 1), abs=NEAR)
    assert cut.land_plus == pytest.approx(solid.reference_arc_left(left, 1e-4, 0), abs=NEAR)
    assert cut.land_minus == pytest.approx(solid.reference_arc_left(left, 1e-4, -1), abs=NEAR)
    assert max(cut.leads.plus, cut.leads.minus) > 0.1


def test_passes_take_the_same_metal_of_the_solid(at, plain):
    ends = equal_passes(at, 6.0, 3)
    volumes = [plain.ring.volume(), *(plain.left(at.zero + s).volume() for s in ends)]
    each = -np.diff(volumes)

    assert ends[-1] == 6.0
    assert len(ends) == 3
    assert each == pytest.approx(each.mean() * np.ones(3), rel=0.12)


def test_root_is_nicked_as_deep_as_the_solid_says():
    """A deep end mill: the lowest point of the metal gone, from sections of the solid."""
    how = ([1, 0, -0.4], [-1, 0, 0], [340, 0, 0])
    deep = touched(BODY, EndMill(6.0), pose(*how), shift=False)
    solid = Plain(127, 5.0, 20.0, 60.0, 12.0, *how)
    low = solid.ring ^ solid.swept(deep.zero + 14.0)
    lowest = min(float(np.hypot(v[0], v[1])) for v in np.asarray(low.to_mesh().vert_properties)[:, :3])

    assert lowest < 311.25 - 1
    assert beside(deep, 14.0).nick == pytest.approx(311.25 - lowest, abs=0.03)


def test_a_neighbour_is_cut_only_by_a_cutter_that_reaches_it():
    wide = touched(BODY, EndMill(14.0), pose(AXIS, FEED, TIP), shift=False)
    solid = Plain(127, 5.0, 20.0, 60.0, 28.0, AXIS, FEED, TIP)
    gone = solid.ring ^ solid.swept(wide.zero + 9.0)
    far, inv = 0.0, tan(radians(20)) - radians(20)
    for a in np.linspace(0.01, 8, 161):
        for ring in gone.slice(float(a)).to_polygons():
            rho = np.hypot(ring[:, 0], ring[:, 1])
            a_y = np.arccos(np.minimum(317.5 * cos(radians(20)) / rho, 1.0))
            behind = pi / 127 + pi / 254 + inv - (np.tan(a_y) - a_y)
            on_far_flank = (np.arctan2(ring[:, 1], ring[:, 0]) > behind - 3e-5) & (rho > 314)
            far = max(far, float(a)) if on_far_flank.any() else far
    got = beside(wide, 9.0).neighbour

    assert far > 0.3
    assert got == pytest.approx(far, abs=0.08)
    assert beside(touched(BODY, EndMill(6.0), pose(AXIS, FEED, TIP), shift=False), 5.7).neighbour == 0


def test_the_edge_left_sharp_is_the_edge_of_the_solid(at, plain):
    """Along the flank's edge the points just inside the metal that the section at the face still holds."""
    infeed = 5.0
    left = plain.left(at.zero + infeed)
    pieces = [shapely.Polygon(p) for p in left.slice(1e-4).to_polygons() if len(p) > 3]
    rho = np.linspace(315.5, 322.5, 701)
    alpha = radians(20)
    a_y = np.arccos(317.5 * cos(alpha) / rho)
    theta = pi / 127 - (pi / 254 + (tan(alpha) - alpha) - (np.tan(a_y) - a_y)) + 2e-6
    points = np.column_stack([rho * np.cos(theta), rho * np.sin(theta)])
    held = np.array([any(p.contains(shapely.Point(q)) for p in pieces) for q in points])
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    gone = float(steps[~(held[1:] & held[:-1])].sum())
    whole = beside(at, 0.0).sharp_plus

    assert whole - beside(at, infeed).sharp_plus == pytest.approx(gone, abs=NEAR + 0.02)


def test_touching_a_tip_over_a_gauge_is_touching_a_block_laid_there(at, plain):
    gauge = 2.0
    block = m3.Manifold.cube((gauge, 8.0, 20.0)).translate((322.5, -4.0, -6.0))
    low, high = at.zero - 15, at.zero
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (low, middle) if (block ^ plain.swept(middle)).volume() > 1e-10 else (middle, high)
    tip = next(d for d in better_touch_offs(at, 5.0, gauge) if d.on == "tip")

    assert tip.sets_infeed
    assert tip.offset == pytest.approx(at.zero - low, abs=NEAR)
    assert tip.infeed == pytest.approx(tip.offset + 5.0, abs=1e-12)


def test_touching_the_end_face_is_where_the_cutter_comes_to_its_plane(at, plain):
    face = next(d for d in better_touch_offs(at, 5.0) if d.on == "end_face")
    inside = plain.rims() + at.tip_at_touch_off

    assert not face.sets_infeed
    # the cutter is drawn out of the face until its furthest rim point lies in a = 0
    assert face.offset == pytest.approx(-float(inside[:, 2].max()), abs=1e-3)


@pytest.mark.parametrize("corner", [0.5, 1.5])
def test_a_worn_tooth_is_met_later_as_the_bevelled_points_say(at, corner):
    """The edge's points set back square to the outline, and the tip brought down, at every depth of the bevel."""
    alpha, rho = radians(20), np.linspace(314, 322.5, 3000)
    a_y = np.arccos(317.5 * cos(alpha) / rho)
    theta = pi / 254 - ((tan(alpha) - alpha) - (np.tan(a_y) - a_y))
    flank = np.column_stack([rho * np.cos(theta), rho * np.sin(theta)])
    along = np.gradient(flank, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    into = np.column_stack([-along[:, 1], along[:, 0]])
    least = np.inf
    for gone in np.linspace(0, corner, 201):
        kept = rho <= 322.5 - gone
        points = np.column_stack([(flank + gone * into)[kept], np.full(kept.sum(), corner - gone)])
        least = min(least, float(at.field(points).min()))

    assert starts_at(at, corner) == pytest.approx(max(least, 0.0), abs=0.02)
    assert starts_at(at, 0.0) == 0.0


OUTLINES = {
    "disc": (Disc(35.0, 6.0), [(0, -3), (35, -3), (35, 3), (0, 3)]),
    "double angle": (
        DoubleAngle(35.0, radians(30), radians(20), 8.0),
        [(0, -4), (35 - 4 / tan(radians(30)), -4), (35, 0), (35 - 4 / tan(radians(20)), 4), (0, 4)],
    ),
    "ground to measure": (
        Turned((-4.0, -2.0, 2.0, 4.0), (28.0, 33.0, 33.0, 28.0)),
        [(0, -4), (28, -4), (33, -2), (33, 2), (28, 4), (0, 4)],
    ),
}


@pytest.mark.parametrize("kind", OUTLINES)
@pytest.mark.parametrize("offset", [0.0, 0.4])
def test_a_gashed_space_is_the_section_of_the_cut_blank(kind, offset):
    """A solid blank less the cutter dragged along a: the arc cut on the reference circle, and the lowest radius."""
    mill, outline = OUTLINES[kind]
    gash, depth = Gash(ToothedRing(RingGeometry("external", 40, 5.0), 30.0), mill, offset), 7.0
    R = max(r for r, _ in outline)
    centre = [105 - depth + R, offset, 0]
    shadow = [(np.array(centre) + np.array([-r, h, 0]))[:2] for r, h in outline]
    # along a the disc is seen edge on: its outline, and everything outward of it
    far = [(s[0] + (300 if 0 < n < len(shadow) - 1 else 0), s[1]) for n, s in enumerate(shadow)]
    area = shapely.unary_union(
        [shapely.Polygon([shadow[n], shadow[n + 1], far[n + 1], far[n]]).buffer(0) for n in range(1, len(shadow) - 2)]
    )
    arc = np.linspace(-0.0785, 0.0785, 40001)
    inside = shapely.contains_xy(area, 100 * np.cos(arc), 100 * np.sin(arc))

    assert gash.width(depth) == pytest.approx(100 * (arc[inside].max() - arc[inside].min()), abs=2e-3)


def test_a_gash_swept_in_solids_has_that_width():
    mill, outline = OUTLINES["double angle"]
    gash, depth = Gash(ToothedRing(RingGeometry("external", 40, 5.0), 30.0), mill, 0.3), 6.5
    places = [_turned_solid(outline, [0, 1, 0], [105 - depth + 35, 0.3, a], 720) for a in (14.0, 15.0, 16.0)]
    blank = m3.Manifold.cylinder(30.0, 105.0, 105.0, 400)
    left = blank - m3.Manifold.batch_boolean(places, m3.OpType.Add)
    pieces = [shapely.Polygon(p) for p in left.slice(15.0).to_polygons()]
    arc = np.linspace(-0.0785, 0.0785, 20001)
    held = np.any([shapely.contains_xy(p, 100 * np.cos(arc), 100 * np.sin(arc)) for p in pieces], axis=0)

    assert gash.width(depth) == pytest.approx(100 * (arc[~held].max() - arc[~held].min()), abs=NEAR)


def test_flank_error_against_an_involute_reckoned_here():
    """A straight-sided V in place of the involute: distance of its line from involute points along their normal."""
    kappa = radians(20)
    gash = Gash(ToothedRing(RingGeometry("external", 40, 5.0), 30.0), DoubleAngle(40.0, kappa, kappa, 18.0))
    depth = 14.5
    apex = 105 - depth
    profile = gash.profile(depth)
    for rho, got in list(zip(profile.rho, profile.plus, strict=True))[::10]:
        alpha_y = acos(100 * cos(radians(20)) / rho)
        inv = tan(radians(20)) - radians(20)
        half = pi / 80 - (inv - (tan(alpha_y) - alpha_y))
        r, t = rho * cos(half), rho * sin(half)
        # the involute's normal touches the base circle: into the tooth it leans alpha_y inwards from the tangent
        n = np.array([-sin(alpha_y + half), cos(alpha_y + half)])
        # t = (r - apex) tan kappa is the side of the V; how far along n the point has to go to reach it
        x = ((r - apex) * tan(kappa) - t) / (n[1] - n[0] * tan(kappa))
        assert got == pytest.approx(-x, abs=2e-3)
