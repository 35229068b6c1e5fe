"""Two gears drawn and rolled together by numpy and polygons: a second way to contact ratio, play and interference.

Nothing of the product is used here. A gear is drawn from its teeth, module, angle, shift and real diameters; flanks
are involutes above the base circle and radial lines below it. The first gear turns about (0, 0), the second about
(a, 0), or about (-a, 0) where it is internal, so that they meet on the +x side of the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin, tan

import numpy as np
from shapely.affinity import rotate, translate
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union


def involute(angle):
    return np.tan(angle) - angle


@dataclass(frozen=True)
class Drawn:
    """z teeth of module m, angle alpha [rad]; out = +1 external, -1 internal; thin = taken off the arc at d."""

    z: int
    m: float
    alpha: float
    out: int = 1
    x: float = 0.0
    addendum: float = 1.0
    dedendum: float = 1.25
    thin: float = 0.0

    @property
    def r(self):
        return self.z * self.m / 2

    @property
    def r_b(self):
        return self.r * cos(self.alpha)

    @property
    def r_a(self):
        return self.r + self.out * self.m * (self.addendum + self.x)

    @property
    def r_f(self):
        return self.r - self.out * self.m * (self.dedendum - self.x)

    def half(self, r):
        """Half the angle of a tooth at radius r; below the base circle as on it."""
        r = np.maximum(r, self.r_b)
        thickness = self.m * (pi / 2 + 2 * self.x * tan(self.alpha)) - self.thin
        return thickness / (2 * self.r) + self.out * (involute(self.alpha) - involute(np.arccos(self.r_b / r)))

    def points(self, n=40):
        """The whole outline, (k, 2), tooth 0 about the +x direction."""
        r = np.linspace(self.r_f, self.r_a, n)
        side = self.half(r)
        angle = np.concatenate([-side, side[::-1]])
        radius = np.concatenate([r, r[::-1]])
        teeth = 2 * pi * np.arange(self.z)[:, None] / self.z
        a, rr = (teeth + angle).ravel(), np.tile(radius, self.z)
        return np.column_stack([rr * np.cos(a), rr * np.sin(a)])


def gaps(one: Drawn, two: Drawn, a: float, turn: float, n: int = 1500):
    """Angles about the second axis by which tooth k of the second may turn on until it meets the first, both ways.

    ``turn`` is that of the first gear, its tooth 0 pointing to +x at 0; the second is turned by the ratio. Returns two
    arrays over tooth pairs, the nearest flanks of tooth pairs that reach each other, NaN for others.
    """
    u = one.z / two.z
    turn_2 = -two.out * turn * u
    r = np.linspace(max(one.r_b, one.r_f), one.r_a, n)
    side = one.half(r)
    found = {1: [], -1: []}
    near = min(8, one.z // 4)  # teeth on the mate's side
    for k in range(-near, near + 1):
        for way in (1, -1):
            angle = turn + 2 * pi * k / one.z + way * side
            x, y = r * np.cos(angle), r * np.sin(angle)
            rho, theta = np.hypot(x - two.out * a, y), np.arctan2(y, x - two.out * a)
            low, high = sorted((two.r_a, two.r_f))
            on = (rho >= max(low, two.r_b)) & (rho <= high)
            if not on.any():
                found[way].append(np.nan)
                continue
            # the second gear has a space where the first has a tooth; an external one is seen from its far side
            base = 0.0 if two.out < 0 else pi
            off = theta[on] - base - turn_2 - (-1 if two.out > 0 else 1) * 2 * pi * k / two.z
            off = (off + pi) % (2 * pi) - pi
            room = pi / two.z - two.half(rho[on])  # half the space
            sign = way if two.out < 0 else -way
            found[way].append(float(np.min(room - sign * off)))
    return np.array(found[1]), np.array(found[-1])


def play(one: Drawn, two: Drawn, a: float) -> float:
    """Angle by which the second gear can turn while the first stands."""
    ahead, behind = gaps(one, two, a, 0.0)
    return float(np.nanmin(ahead) + np.nanmin(behind))


def contacts(one: Drawn, two: Drawn, a: float, steps: int = 200) -> float:
    """Pairs of flanks that touch, averaged over one pitch, one flank driving; touching is nearer than 1e-6 mm."""
    total = 0
    shift = float(np.nanmin(gaps(one, two, a, 0.0)[0]))
    for turn in (np.arange(steps) + 0.5) * 2 * pi / one.z / steps:
        ahead, _behind = gaps(one, two, a, turn)
        total += int(np.sum((ahead - shift) * two.r_b < 2e-6))
    return total / steps


def pushed_in(one: Drawn, two: Drawn, a: float, turn: float, n: int = 25, steps: int = 50) -> float:
    """How deep the first gear cuts into an internal second one on its straight way in, along the line of centres.

    It comes from three modules further in; the ring stands as it meshes at the end, its spaces midway on the teeth.
    Below 0 it clears everywhere.
    """
    r = np.linspace(one.r_f, one.r_a, n)
    angle = turn + 2 * pi * np.arange(one.z)[:, None] / one.z
    flanks = np.concatenate([angle + one.half(r), angle - one.half(r)])
    x, y = (r * np.cos(flanks)).ravel(), (r * np.sin(flanks)).ravel()
    way = np.linspace(-3 * one.m, 0, steps)[:, None]
    rho, theta = np.hypot(x + a + way, y), np.arctan2(y, x + a + way)
    off = theta - turn * one.z / two.z - pi / two.z  # from the middle of a tooth of the ring
    off = np.abs((off + pi / two.z) % (2 * pi / two.z) - pi / two.z)
    inside = (two.half(rho) - off) * rho
    return float(np.max(np.where(rho > two.r_a, inside, -np.inf)))


def rack_cut(z: int, alpha: float, dedendum: float, rho: float, steps: int = 160) -> Polygon:
    """A gear of module 1 as a rack with rounded corners cuts it from a blank, space 0 about +x; nine spaces are cut."""
    r = z / 2

    def half(v):
        return pi / 4 + v * tan(alpha)

    flanks = [(half(-dedendum), -dedendum), (half(1.6), 1.6), (-half(1.6), 1.6), (-half(-dedendum), -dedendum)]
    tooth = Polygon(flanks).buffer(-rho, join_style=2).buffer(rho, quad_segs=32)
    tooth = unary_union([tooth, Polygon([(half(0), 0), (half(1.6), 1.6), (-half(1.6), 1.6), (-half(0), 0)])])
    u, v = np.array(tooth.exterior.coords).T
    places = []
    for turn in np.linspace(-0.9, 0.9, steps) * min(1.0, 12 / z):
        x, y = r + v, u + r * turn  # the rack has moved on by the arc
        places.append(Polygon(np.column_stack([x * cos(turn) + y * sin(turn), y * cos(turn) - x * sin(turn)])))
    space = unary_union(places)
    spaces = unary_union([rotate(space, 360 * k / z, origin=(0, 0)) for k in range(-4, 5)])
    return Point(0, 0).buffer(r + 1, quad_segs=400).difference(spaces)


def metal_in_metal(cut: Polygon, z: int, mate: Drawn) -> float:
    """Largest area in which the drawn mate of module 1 lies in the cut gear, over one pitch, at standard centres."""
    near = Polygon(mate.points()).intersection(Point(mate.r, 0).buffer(8))
    worst = 0.0
    for turn in np.linspace(0, 2 * pi / z, 30):
        gear = rotate(cut, np.degrees(turn), origin=(0, 0))
        other = rotate(near, 180 - np.degrees(turn * z / mate.z), origin=(0, 0))
        worst = max(worst, gear.intersection(translate(other, (z + mate.z) / 2, 0)).area)
    return worst
