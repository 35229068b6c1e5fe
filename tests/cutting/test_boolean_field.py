"""The field of every kind of cutter against solids cut by a general-purpose boolean library, as surfaces.

A point that the field says is reached at s lies, moved on by S - s along the infeed, on the surface that the cutter has
made at S. That surface is cut here from a piece of ring as a mesh, and the distance between the two is measured.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from math import radians, sin
from pathlib import Path

import numpy as np
import pytest
import shapely

from ringwright.cutting import cutter as kinds
from ringwright.cutting.field import infeed_field
from ringwright.cutting.form import involute_form
from ringwright.cutting.pose import pose
from ringwright.gears.ring import RingGeometry

sys.path.insert(0, str(Path(__file__).parents[2] / "bench" / "plain"))
import field_solids as plain

TOLERANCE = 0.005
LEAST_ANGLE = radians(5)
TEETH, MODULE, FACE = 60, 4.0, 14.0
OUTLINE = plain.section(TEETH, MODULE)
RING = plain.piece_of_ring(OUTLINE, FACE)
METAL = shapely.Polygon(OUTLINE)
CLEAR = 0.03
WELL_INSIDE = METAL.buffer(-CLEAR)
shapely.prepare([METAL, WELL_INSIDE])
KINDS = ("flat", "bull", "ball", "dovetail", "single_angle", "double_angle", "disc", "form", "fly", "turned")

#: Facets of the kinds that take many solids: each such bound is the wider for it.
FEWER = {"form": 180, "fly": 120}


@dataclass
class Tally:
    """Over all poses: rays compared, rays left out for their angle, the worst of each comparison, facets and all."""

    compared: int = 0
    left_out: int = 0
    surface: float = 0.0
    infeed: float = 0.0
    facet: float = 0.0
    poses: int = 0
    kinds: set[str] = field(default_factory=set)

    def __str__(self):
        share = self.left_out / max(self.compared + self.left_out, 1)
        return (
            f"{self.poses} poses of {len(self.kinds)} kinds: surface within {1e3 * self.surface:.2f} um, infeed times "
            f"sine within {1e3 * self.infeed:.2f} um, facets up to {1e3 * self.facet:.2f} um; {share:.1%} of "
            f"{self.compared + self.left_out} rays left out"
        )


def a_cutter(kind, rng, facets):
    """One of the kind with random measures: the product's, its outline here, its facet bound, its hole.

    End mills are as long as their solids here: a pass nearly along the axis tells endless from long.
    """
    R, c, deg = rng.uniform(5, 9), rng.uniform(0.2, 1.2), rng.uniform(40, 65)
    wide = rng.uniform(20, 35)
    if kind == "flat":
        return kinds.EndMill(R, 0.0, plain.LONG), plain.end_mill(R, 0), plain.facet_bound(R, facets=facets), None
    if kind == "bull":
        return kinds.EndMill(R, c, plain.LONG), plain.end_mill(R, c), plain.facet_bound(R, c, facets=facets), None
    if kind == "ball":
        return kinds.EndMill(R, R, plain.LONG), plain.end_mill(R, R), plain.facet_bound(R, R, facets=facets), None
    if kind == "dovetail":
        R, w = R + 3, 5.0
        return (
            kinds.Dovetail(R, radians(deg), w, c / 4),
            plain.angle_cutter(R, c / 4, 0, deg, 0, w),
            plain.facet_bound(R, c, facets=facets),
            None,
        )
    if kind == "single_angle":
        below, w, sides = bool(rng.integers(2)), rng.uniform(6, 10), None
        sides = (0, deg, 0, w) if below else (deg, 0, w, 0)
        made = kinds.SingleAngle(wide, radians(deg), w, c, below)
        return made, plain.angle_cutter(wide, c, *sides), plain.facet_bound(wide, c, facets=facets), None
    if kind == "double_angle":
        low, w = rng.uniform(40, 65), rng.uniform(8, 14)
        made = kinds.DoubleAngle(wide, radians(low), radians(deg), w, c)
        return (
            made,
            plain.angle_cutter(wide, c, low, deg, w / 2, w / 2),
            plain.facet_bound(wide, c, facets=facets),
            None,
        )
    if kind == "disc":
        w = rng.uniform(3, 8)
        return kinds.Disc(wide, w, c), plain.disc(wide, w, c), plain.facet_bound(wide, c, facets=facets), None
    if kind == "form":
        made = involute_form(wide, RingGeometry("external", 35, MODULE))
        return (
            made,
            plain.doubled(plain.form_outline(wide, 35, MODULE)),
            plain.facet_bound(wide, 0, 2.5e-3, facets=facets),
            None,
        )
    if kind == "fly":
        w, L = rng.uniform(4, 7), rng.uniform(5, 9)
        made = kinds.FlyCutter(R + 8, w, L, c)
        outer = np.minimum(plain.end_mill(R + 8, c)[0], [L, np.inf])
        return made, [outer], plain.facet_bound(R + 8, c, facets=facets), R + 8 - w
    points = np.column_stack([np.linspace(-5, 5, 8), wide - rng.uniform(0, 4, 8)])
    made = kinds.Turned(tuple(points[:, 0]), tuple(points[:, 1]))
    return made, plain.stepped(points), plain.facet_bound(wide, facets=facets), None


def a_pose(kind, R, rng):
    """Axis, feed, tip and depth (or None): shank cutters lean over the tooth ends, arbor cutters lie across."""
    target = np.array([TEETH * MODULE / 2 + rng.uniform(-3, 3), rng.uniform(-3, 3), rng.uniform(0.5, 4)])
    wobble = rng.uniform(-0.25, 0.25, 3)
    if kind in ("flat", "bull", "ball", "dovetail", "fly"):
        lean = rng.uniform(0.1, 1.4)
        axis = np.array([sin(lean), 0, -np.cos(lean)]) + wobble
        feed = np.array([[-1, 0, 0.2], [0, 0, 1], [-0.3, 1, 0.2], -axis][rng.integers(4)]) + rng.uniform(-0.2, 0.2, 3)
    else:
        axis = np.array([0, 1, 0]) + wobble * rng.integers(2)
        feed = np.array([[-1, 0, 0], [0, 0, 1]][rng.integers(2)]) + rng.uniform(-0.2, 0.2, 3) * rng.integers(2)
    depth = None
    if rng.integers(2):
        depth = np.array([-1, 0, 0.3]) if abs(feed[0]) < 0.5 * np.linalg.norm(feed) else np.array([-0.2, 0, 1])
        depth = depth + rng.uniform(-0.15, 0.15, 3)
    axis = axis / np.linalg.norm(axis)
    aside = rng.uniform(-1, 1, 3)
    if kind not in ("flat", "bull", "ball", "dovetail", "fly"):
        aside = np.array([R, 0, 0]) + aside
    return axis, feed, target + aside, depth


def compare(kind, seed, tally, points=300, facets=plain.FACETS):
    """One pose: the surface, the two sides of it, and the infeed along the rays."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    made, profiles, facet, hole = a_cutter(kind, rng, facets)
    axis, feed, tip, depth = a_pose(kind, made.R, rng)
    r = TEETH * MODULE / 2
    cloud = rng.uniform([r - 6, -9, 0], [r + 5, 9, FACE], (20000, 3))
    metal = cloud[_in_metal(cloud)]
    reached = np.zeros(len(metal), dtype=bool)
    for _ in range(9):  # a path that passes the ring by is moved halfway nearer, never dropped
        ours = pose(axis, feed, tip, depth)
        s = infeed_field(metal, made, ours)
        reached = np.isfinite(s) & (abs(s) < plain.PASS / 2)
        if reached.any():
            break
        tip = (tip + np.array([r, 0, 2])) / 2
    theirs = plain.Swept(profiles, axis, feed, tip, depth, hole, facets)
    assert reached.any(), (kind, seed)
    S = float(np.quantile(s[reached], rng.uniform(0.15, 0.6)))
    left = theirs.cut_from(RING, S)

    on = metal[reached] + (S - s[reached])[:, None] * theirs.along
    on = on[_in_metal(on, CLEAR)][:points]
    for spread in (1.0, 0.3) * 15:  # what is cut is small: look for more of it about what was found
        if len(on) >= points:
            break
        start = on if len(on) else metal[reached][:1]
        more = start[rng.integers(len(start), size=20000)] + rng.normal(0, spread, (20000, 3))
        t = infeed_field(more, made, ours)
        hit = np.isfinite(t) & (abs(t) < plain.PASS / 2)
        more = more[hit] + (S - t[hit])[:, None] * theirs.along
        on = np.concatenate([on, more[_in_metal(more, CLEAR)]])[:points]
    assert len(on) > 20, (kind, seed, len(on))
    bound = TOLERANCE + facet
    skin = plain.Skin(left)
    off = skin.distances(on)
    tally.surface = max(tally.surface, float(off.max()))
    tally.facet = max(tally.facet, facet)
    assert off.max() <= bound, (kind, seed, float(off.max()), on[int(off.argmax())])

    some = metal[:points]
    clear = skin.distances(some, 2 * bound) > bound
    gone = infeed_field(some, made, ours) <= S
    assert (plain.holds(left, some[clear]) == ~gone[clear]).all(), (kind, seed)
    assert gone.any() or (infeed_field(metal, made, ours) <= S).any()

    for p, sine in zip(on, skin.flattest(on, theirs.along, bound)):
        if sine <= sin(LEAST_ANGLE):
            tally.left_out += 1
            continue
        apart = plain.crossing(left, p, theirs.along)
        tally.compared += 1
        tally.infeed = max(tally.infeed, abs(apart) * sine)
        assert abs(apart) * sine <= bound, (kind, seed, apart, sine)
    tally.poses += 1
    tally.kinds.add(kind)


def _in_metal(points, clear=0.0):
    """Whether points lie in the ring, ``clear`` of its skin: 0 or as `WELL_INSIDE` says."""
    body = WELL_INSIDE if clear else METAL
    within = shapely.contains_xy(body, points[:, 0], points[:, 1])
    return within & (points[:, 2] > clear) & (points[:, 2] < FACE - clear)


@pytest.mark.parametrize("kind", KINDS)
def test_the_field_is_the_surface_that_a_boolean_leaves(kind):
    tally = Tally()
    compare(kind, 1, tally, points=60, facets=120 if kind in FEWER else plain.FACETS)
    assert tally.poses == 1


@pytest.mark.long
def test_two_hundred_poses_of_every_kind_agree_with_booleans(capsys):
    """Seeded, none dropped; the share of rays left out for meeting the surface too flatly is printed and held."""
    tally = Tally()
    for n in range(200):
        kind = KINDS[n % len(KINDS)]
        compare(kind, 100 + n, tally, 150, facets=FEWER.get(kind, plain.FACETS))
    with capsys.disabled():
        sys.stdout.write(f"\n{tally}\n")
    assert tally.poses == 200
    assert tally.kinds == set(KINDS)
    assert tally.left_out < 0.05 * (tally.left_out + tally.compared)


def test_the_form_cutter_is_the_space_of_its_ring():
    """The involute, rolled here from the rack's rounding, lies on the product's outline."""
    for teeth, module in ((21, 3.0), (35, 4.0), (55, 5.0), (135, 5.0)):
        made = involute_form(40.0, RingGeometry("external", teeth, module))
        ours = shapely.LineString(list(zip(made.heights, made.radii)))
        for point in plain.form_outline(40.0, teeth, module, to=1e-5):
            assert ours.distance(shapely.Point(point)) < 1e-3, (teeth, point)
        assert max(made.radii) == pytest.approx(40.0)
