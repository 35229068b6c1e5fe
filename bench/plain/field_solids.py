"""Cutters of every kind as real solids, swept and cut from a piece of ring by booleans; and distances to what is left.

Own outlines, own sweeping, own measuring; nothing of the product is imported. An outline is a list of convex profiles
(points height, radius); a swept convex solid is the hull of its places, and a union of solids sweeps the union.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, radians, sin, tan

import manifold3d as m3
import numpy as np
import shapely
from field_boolean import spur_section
from shapely.affinity import translate

FACETS = 360
ARC = 48  # straight pieces of a quarter of a rounding
LONG = 150.0
PASS = 250.0


def opened(sharp, c):
    """A polygon with every outward corner rounded by ``c``."""
    return sharp.buffer(-c, quad_segs=ARC, join_style="mitre").buffer(c, quad_segs=ARC) if c else sharp


def half(polygon, low, high):
    """The part of a profile between two heights and above the axis, as points."""
    cut = polygon.intersection(shapely.box(low, 0, high, 1e4))
    return np.array(cut.exterior.coords)[:-1]


def end_mill(R, c):
    """Flat, rounded or ball; endless upward."""
    sharp = shapely.box(0, -R, LONG + 2 * c + 1, R)
    if c > R - 1e-9:
        turn = np.linspace(0, pi / 2, 2 * ARC)
        return [np.array([*zip(R - R * np.cos(turn), R * np.sin(turn)), (LONG, R), (LONG, 0)])]
    return [half(opened(sharp, c), 0, LONG)]


def angle_cutter(R, c, low_deg, high_deg, w_low, w_high):
    """Sides at angles to the plane of the rim; 0 is a flat side."""
    deep = 400.0
    rim = []
    for sense, angle in ((1, high_deg), (-1, low_deg)):
        side = (sense * deep * sin(radians(angle)), -deep * cos(radians(angle)))
        rim.append((sense * 1e-12, -deep) if angle == 0 else side)
    sharp = shapely.Polygon([(0, 0), rim[0], rim[1]])
    inset = np.array((sharp.buffer(-c, join_style="mitre") if c else sharp).exterior.coords)
    centre = inset[np.argmax(inset[:, 1])]
    # a flat side keeps its plane; otherwise the middle of the rounding is the zero
    along = 0.0 if 0 in (low_deg, high_deg) else -centre[0]
    placed = translate(opened(sharp, c), along, R - c - centre[1])
    return [half(placed, -w_low if low_deg else -1e-9, w_high if high_deg else 1e-9)]


def disc(R, w, c):
    """Side-and-face."""
    return [half(opened(shapely.box(-w / 2, -R, w / 2, R), c), -w, w)]


def stepped(points):
    """A convex profile between every two points of an outline."""
    return [
        np.array([(h0, 0), (h0, r0), (h1, r1), (h1, 0)]) for (h0, r0), (h1, r1) in pairwise(points) if h1 - h0 > 1e-9
    ]


def doubled(points):
    """Convex profiles of an outline that is the same on both sides and falls from its middle: (2 n - 1, 2).

    The rim as far as it bulges, then for each straight piece the trapezoid between its places on both sides.
    """
    right = points[len(points) // 2 :]
    step = np.diff(right, axis=0)
    bulges = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0] <= 0
    rim = 1 + (int(np.argmin(bulges)) if not bulges.all() else len(bulges))
    runs = [right[: rim + 1], *(right[k : k + 2] for k in range(rim, len(right) - 1))]
    found = []
    for run in runs:
        half = np.concatenate([run, [(run[-1, 0], 0)]])
        found.append(np.concatenate([half, half[::-1] * [-1, 1]]))
    return found


def form_outline(R, teeth, module, alpha_deg=20.0, root=0.38, reach=0.25, to=2e-3):
    """Tooth space of a spur wheel (no shift, no undercut): rim, rolled rounding of the rack, involute; (n, 2)."""
    alpha, r = radians(alpha_deg), teeth * module / 2
    deep = (1.25 - root) * module
    aside = pi * module / 4 - deep * tan(alpha) - root * module / cos(alpha)
    rolled = []
    for across in deep / tan(alpha) * np.linspace(0, 1, 400):
        length = np.hypot(across, deep)
        x = across + root * module * across / length
        y = r - deep - root * module * deep / length
        turn = (across - aside) / r
        rolled.append((x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)))
    rolled = np.array(rolled)
    r_b = r * cos(alpha)
    rho = np.linspace(np.hypot(*rolled[-1]), r + (1 + reach) * module, 600)
    slope = np.arccos(r_b / rho)
    theta = pi / 2 / teeth - (tan(alpha) - alpha) + np.tan(slope) - slope
    flank = np.column_stack([rho * np.sin(theta), rho * np.cos(theta)])
    start = np.arctan2(rolled[0, 0], rolled[0, 1])
    bottom = (r - 1.25 * module) * np.column_stack([f(start * np.linspace(0, 1, 40)) for f in (np.sin, np.cos)])
    right = np.concatenate([bottom[:-1], rolled, flank])
    line = shapely.LineString(np.column_stack([right[:, 0], R - (right[:, 1] - right[:, 1].min())]))
    kept = np.array(line.simplify(to).coords)
    return np.concatenate([kept[::-1] * [-1, 1], kept[1:]])


class Swept:
    """A cutter on its path; vectors in (r, t, a)."""

    def __init__(self, profiles, axis, feed, tip, depth=None, hole=None, facets=FACETS):
        self.profiles, self.hole, self.facets = profiles, hole, facets
        self.axis, self.feed = (np.asarray(v, float) / np.linalg.norm(v) for v in (axis, feed))
        self.tip = np.asarray(tip, float)
        self.depth = None if depth is None else np.asarray(depth, float) / np.linalg.norm(depth)
        one = np.cross(self.axis, [0.0, 1.0, 0.0] if abs(self.axis[1]) < 0.8 else [1.0, 0.0, 0.0])
        one /= np.linalg.norm(one)
        self.across = np.stack([one, np.cross(self.axis, one)])

    @property
    def along(self):
        """Direction of the infeed."""
        return self.feed if self.depth is None else self.depth

    def clouds(self):
        """Corner points of each convex solid, the tip at the origin."""
        turn = 2 * pi * np.arange(self.facets + 1) / self.facets
        round_ = np.column_stack([np.cos(turn), np.sin(turn)]) @ self.across
        for profile in self.profiles:
            if self.hole is None:
                yield self._ring(profile, round_[:-1])
            else:  # no hole in a hull: a wedge for each facet
                flat = np.maximum(profile, [-np.inf, self.hole])
                for k in range(self.facets):
                    yield self._ring(flat, round_[k : k + 2])

    def _ring(self, profile, round_):
        points = profile[:, 0, None, None] * self.axis + profile[:, 1, None, None] * round_
        return points.reshape(-1, 3)

    def swept(self, s):
        """The convex solids that it has gone through at the infeed ``s`` from the tip of its pose."""
        for cloud in self.clouds():
            here = cloud + self.tip + s * self.along
            if self.depth is not None:
                here = np.concatenate([here + PASS * self.feed, here - PASS * self.feed])
            yield np.concatenate([here, here - PASS * self.along])

    def cut_from(self, solid, s):
        """What is left of a solid."""
        low, high = np.array(solid.bounding_box()).reshape(2, 3)
        for cloud in self.swept(s):
            if (cloud.max(axis=0) > low).all() and (cloud.min(axis=0) < high).all():
                solid = solid - m3.Manifold.hull_points(np.ascontiguousarray(cloud))
                solid.num_tri()  # cut now: the library would join all tools first, which takes far longer
        return solid


def facet_bound(R, c=0.0, outline=0.0, facets=FACETS):
    """How far the facetted solid may lie inside the true one."""
    return R * (1 - cos(pi / facets)) + c * (1 - cos(pi / 4 / ARC)) + outline


def section(teeth=60, module=4.0, reach=2):
    """Outline of a few teeth with their rim, (n, 2)."""
    return spur_section(teeth, module, 20.0, -reach, reach - 1)


def piece_of_ring(outline, face=14.0):
    """The teeth as a solid."""
    return m3.Manifold.extrude(m3.CrossSection([outline], m3.FillRule.NonZero), face)


def triangles(solid):
    """Corners (n, 3, 3)."""
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties, float)[:, :3][np.asarray(mesh.tri_verts)]


class Skin:
    """The triangles of a solid, looked up by place."""

    def __init__(self, solid):
        self.corners = triangles(solid)
        low, high = self.corners.min(axis=1), self.corners.max(axis=1)
        self.depths = low[:, 2], high[:, 2]
        self.tree = shapely.STRtree(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
        normal = np.cross(self.corners[:, 1] - self.corners[:, 0], self.corners[:, 2] - self.corners[:, 0])
        self.area = np.linalg.norm(normal, axis=1)
        self.normal = normal / np.maximum(self.area, 1e-300)[:, None]

    def near(self, points, within):
        """Pairs of point and triangle that lie no further apart, with their distance."""
        x, y, z = points.T
        p, t = self.tree.query(shapely.box(x - within, y - within, x + within, y + within))
        level = (self.depths[0][t] <= z[p] + within) & (self.depths[1][t] >= z[p] - within)
        p, t = p[level], t[level]
        off = to_triangles(points[p], self.corners[t], self.normal[t], self.area[t])
        return p[off <= within], t[off <= within], off[off <= within]

    def distances(self, points, within=0.1):
        """Distance of each point; ``within`` where it is no nearer than that."""
        p, _, off = self.near(points, within)
        found = np.full(len(points), within)
        np.minimum.at(found, p, off)
        return found

    def flattest(self, points, along, within):
        """Sine of the least angle at which ``along`` meets a triangle no further than ``within`` from each point."""
        p, t, _ = self.near(points, within)
        found = np.ones(len(points))
        real = self.area[t] > 1e-10
        np.minimum.at(found, p[real], abs(self.normal[t[real]] @ along))
        return found


def to_triangles(p, corners, normal, area):
    """Distance of each point from the triangle beside it: (n, 3), (n, 3, 3), (n, 3), (n,)."""
    off = np.einsum("ij,ij->i", p - corners[:, 0], normal)
    foot = p - off[:, None] * normal
    best = np.full(len(corners), np.inf)
    inside = area > 1e-14
    for k in range(3):
        one, edge = corners[:, k], corners[:, (k + 1) % 3] - corners[:, k]
        share = np.einsum("ij,ij->i", p - one, edge) / np.maximum(np.einsum("ij,ij->i", edge, edge), 1e-300)
        best = np.minimum(best, np.linalg.norm(p - one - np.clip(share, 0, 1)[:, None] * edge, axis=1))
        inside &= np.einsum("ij,ij->i", np.cross(edge, foot - one), normal) >= 0
    return np.where(inside, np.minimum(best, abs(off)), best)


def holds(solid, points, toward=(0.31, 0.47, 0.826)):
    """Whether each point lies inside, by counting crossings of a straight line."""
    far = 500.0 * np.asarray(toward)
    return np.array([len(solid.ray_cast(p, p + far)) % 2 == 1 for p in points])


def crossing(solid, point, along, reach=0.5):
    """How far along the nearest crossing of the line through ``point`` lies, inf where there is none."""
    hits = solid.ray_cast(point - reach * along, point + reach * along)
    return min((float((np.asarray(hit.position) - point) @ along) for hit in hits), key=abs, default=np.inf)
