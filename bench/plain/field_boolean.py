"""The plain way to a lead-in: real solids, cut by booleans, measured on what is left.

Own outline of the ring, own cutter, own measuring; nothing of the product is imported. Slow, good to a few um. Used
as the second derivation in the tests and as the thing to be faster than in `bench_field.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, atan, cos, degrees, pi, radians, sin, tan

import manifold3d as m3
import numpy as np
import shapely

FACETS = 720
LONG = 150.0
PASS = 250.0


def spur_section(teeth, module, alpha_deg, first, last, shift=0.0, thinner=0.0, depth=None, flank_points=120):
    """Teeth first..last of an external spur ring with the rim below, straight radial roots: points (n, 2), (r, t).

    ``depth`` is the module that tooth heights go by, where the transverse one is another.
    """
    alpha, depth = radians(alpha_deg), depth or module
    r = teeth * module / 2
    r_b, r_a, r_f = r * cos(alpha), r + depth * (1 + shift), r - depth * (1.25 - shift)
    thick = module * (pi / 2 + 2 * shift * tan(alpha)) - thinner

    def half(rho):
        a_y = acos(min(1.0, r_b / rho))
        return thick / (2 * r) + (tan(alpha) - alpha) - (tan(a_y) - a_y)

    rising = np.linspace(max(r_b, r_f + 0.4 * depth), r_a, flank_points)
    flank = [(r_f, half(rising[0]))] + [(rho, half(rho)) for rho in rising]
    points = []
    for j in range(first, last + 1):
        middle = (j + 0.5) * 2 * pi / teeth
        points += [(rho, middle - h) for rho, h in flank]
        points += [(r_a, middle + f * flank[-1][1]) for f in np.linspace(-1, 1, 60)[1:-1]]
        points += [(rho, middle + h) for rho, h in reversed(flank)]
        if j < last:
            points += [(r_f, middle + flank[0][1] + f * (2 * pi / teeth - 2 * flank[0][1])) for f in (0.25, 0.5, 0.75)]
    ends = (points[-1][1], points[0][1])
    points += [(r_f - 2 * module, ends[0] + f * (ends[1] - ends[0])) for f in np.linspace(0, 1, 40)]
    return np.array([(rho * cos(th), rho * sin(th)) for rho, th in points])


@dataclass
class Plain:
    """One set-up as solids; vectors in the frame (r, t, a), the tip and the directions as numpy arrays."""

    teeth: int
    module: float
    alpha_deg: float
    face: float
    diameter: float
    axis: np.ndarray
    feed: np.ndarray
    tip: np.ndarray
    depth: np.ndarray | None = None
    thinner: float = 0.0
    reach: int = 3
    helix_deg: float = 0.0

    def __post_init__(self):
        self.axis, self.feed = (np.asarray(v, float) / np.linalg.norm(v) for v in (self.axis, self.feed))
        self.tip = np.asarray(self.tip, float)
        if self.depth is not None:
            self.depth = np.asarray(self.depth, float) / np.linalg.norm(self.depth)
        beta = radians(self.helix_deg)
        normal, self.module = self.module, self.module / cos(beta)
        alpha_t = degrees(atan(tan(radians(self.alpha_deg)) / cos(beta)))
        section = spur_section(
            self.teeth, self.module, alpha_t, -self.reach, self.reach - 1, 0.0, self.thinner / cos(beta), normal
        )
        self.turn = tan(beta) / (self.teeth * self.module / 2)  # rad per mm of face, right hand towards +t
        self.ring = m3.Manifold.extrude(
            m3.CrossSection([section], m3.FillRule.NonZero),
            self.face,
            int(200 * (beta != 0)),
            degrees(self.turn * self.face),
        )

    @property
    def along(self):
        """Direction of the infeed."""
        return self.feed if self.depth is None else self.depth

    def rims(self):
        """Corner points of the cutter's two ends, its tip at the origin: (2 FACETS, 3)."""
        one = np.cross(self.axis, [0.0, 1.0, 0.0] if abs(self.axis[1]) < 0.9 else [1.0, 0.0, 0.0])
        one /= np.linalg.norm(one)
        two = np.cross(self.axis, one)
        turn = 2 * pi * (np.arange(FACETS) + 0.5) / FACETS
        # the facets lie half inside, half outside the true circle
        R = self.diameter / 2 * (1 + (pi / FACETS) ** 2 / 4)
        low = R * (np.cos(turn)[:, None] * one + np.sin(turn)[:, None] * two)
        return np.concatenate([low, low + LONG * self.axis])

    def swept(self, s):
        """The space that the cutter has gone through at the infeed ``s`` from the pose's tip."""
        here = self.rims() + self.tip + s * self.along
        if self.depth is None:
            cloud = np.concatenate([here, here - PASS * self.along])
        else:
            cloud = np.concatenate([here + PASS * self.feed, here - PASS * self.feed])
            cloud = np.concatenate([cloud, cloud - PASS * self.along])
        return m3.Manifold.hull_points(np.ascontiguousarray(cloud))

    def touches(self, s):
        """Whether the swept cutter shares metal with the ring."""
        return (self.ring ^ self.swept(s)).volume() > 1e-10

    def touch_off(self, low, high, to=1e-4):
        """Infeed of first contact between two infeeds, by halving."""
        while high - low > to:
            middle = (low + high) / 2
            low, high = (low, middle) if self.touches(middle) else (middle, high)
        return (low + high) / 2

    def left(self, s):
        """The ring after this one cut."""
        return self.ring - self.swept(s)

    def reference_arc_left(self, solid, a, j):
        """Arc of tooth j left on the reference circle at depth a."""
        r = self.teeth * self.module / 2
        half = pi / 2 / self.teeth - self.thinner / (2 * r)
        middle = (j + 0.5) * 2 * pi / self.teeth
        theta = np.linspace(middle - half, middle + half, 1201) + self.turn * a
        arc = shapely.LineString(np.column_stack([r * np.cos(theta), r * np.sin(theta)]))
        pieces = [shapely.Polygon(p) for p in solid.slice(a).to_polygons() if len(p) > 3]
        return float(sum(arc.intersection(p).length for p in pieces if p.is_valid and p.exterior.is_ccw))

    def lead(self, solid, j, side, to=2e-4):
        """Depth to which the flank of tooth j at ``side`` is cut on the reference circle, by halving over sections."""
        r = self.teeth * self.module / 2
        theta = (j + 0.5) * 2 * pi / self.teeth + side * (pi / 2 / self.teeth - self.thinner / (2 * r))
        theta -= side * 5e-4 / r  # a hair inside the metal

        def gone(a):
            point = shapely.Point(r * cos(theta + self.turn * a), r * sin(theta + self.turn * a))
            return not any(shapely.Polygon(p).contains(point) for p in solid.slice(a).to_polygons() if len(p) > 3)

        low, high = 1e-6, self.face
        if not gone(low):
            return 0.0
        depths = np.linspace(low, high, 13)
        low = max(a for a in depths[:-1] if gone(a))
        high = min((a for a in depths if a > low), default=high)
        while high - low > to:
            middle = (low + high) / 2
            low, high = (middle, high) if gone(middle) else (low, middle)
        return (low + high) / 2

    def first_reach(self, points, s_max=400.0):
        """Infeed at which the moving facetted cutter first covers each point: its ray clipped by the planes."""
        hull = m3.Manifold.hull_points(np.ascontiguousarray(self._at_rest()))
        mesh = hull.to_mesh64() if hasattr(hull, "to_mesh64") else hull.to_mesh()
        verts = np.asarray(mesh.vert_properties, float)[:, :3]
        tri = np.asarray(mesh.tri_verts)
        edge1, edge2 = verts[tri[:, 1]] - verts[tri[:, 0]], verts[tri[:, 2]] - verts[tri[:, 0]]
        normal = np.cross(edge1, edge2)
        area = np.linalg.norm(normal, axis=1)
        keep = area > 1e-9
        normal, start = normal[keep] / area[keep, None], verts[tri[keep, 0]]
        offset = np.einsum("ij,ij->i", normal, start)
        found = []
        for point in np.asarray(points, float):
            room = offset - normal @ (point - self.tip)  # inside while room + s * rate >= 0
            rate = normal @ self.along
            with np.errstate(divide="ignore"):
                at = -room / rate
            low = at[rate > 1e-12].max(initial=-s_max)
            high = at[rate < -1e-12].min(initial=s_max)
            never = (room[abs(rate) <= 1e-12] < -1e-9).any()
            found.append(low if low <= high and not never else np.inf)
        return np.array(found)

    def _at_rest(self):
        if self.depth is None:
            return self.rims()
        return np.concatenate([self.rims() + PASS * self.feed, self.rims() - PASS * self.feed])
