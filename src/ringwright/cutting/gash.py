"""A tooth space cut to depth in straight passes along the face: its width, its flanks against the involute, its root.

Spur rings. The pass runs along a through the whole face and the depth is set square to it, so the cut is a plane
figure: the cutter's shadow along a. Depths count inwards from the ring's tip circle, where a sound tip is touched.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import Cutter, EndMill
from ringwright.cutting.field import infeed_field
from ringwright.cutting.pose import Pose, pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touching import reach
from ringwright.cutting.turning import edge_motion
from ringwright.errors import Refusal, require

Array = NDArray[np.float64]
_STEPS = 60
#: Heights of a profile that are looked at; places across the space for its root and area.
_HEIGHTS, _ACROSS = 61, 201
#: Cells of the section, each way.
_CELLS = 240
#: A wished width is met within this [mm].
MET = 1e-6


@dataclass(frozen=True, slots=True)
class Profile:
    """Flanks as cut against the true involute, over radii ``rho`` [mm], square to the flank, arrays (n,).

    ``plus``, ``minus`` [mm]: metal left on the flank at +t and -t, below 0 where the tooth comes out thinner; nan
    where the cutter leaves the whole space standing.
    """

    rho: Array
    plus: Array
    minus: Array


@dataclass(frozen=True, slots=True)
class OldSpace:
    """A space that is there already: the drawn one, ``lost`` [mm] wider square to each flank, below 0 narrower.

    ``depth`` [mm] from the tip circle, None to the root circle.
    """

    lost: float = 0.0
    depth: float | None = None


@dataclass(frozen=True)
class Gash:
    """One cutter over one space; depths [mm] from the tip circle to the lowest point of the cutter."""

    body: ToothedRing
    mill: Cutter
    offset: float = 0.0

    def __post_init__(self) -> None:
        if self.body.ring.beta != 0:
            raise Refusal("gash_helical", "beta", self.body.ring.beta)
        require("e", abs(self.offset), 0, self.body.pitch * self.body.r / 2)

    @property
    def out(self) -> float:
        """1 where the tips lie outside, -1 on an internal ring."""
        return float(self.body.ring.s)

    @property
    def axis(self) -> Array:
        """Tool axis: along t for what sits on an arbor, square to the root for an end mill; shape (3,)."""
        return np.array([self.out, 0.0, 0.0]) if isinstance(self.mill, EndMill) else np.array([0.0, 1.0, 0.0])

    @property
    def pose(self) -> Pose:
        """Passes along a, the depth inwards; the tip stands so that depth 0 touches the tip circle's flat."""
        out = np.array([self.out, 0.0, 0.0])
        start = self.out * self.body.r_a + reach(self.mill, self.axis, out)
        return pose(self.axis, [0, 0, 1], self.out * start * np.array([1.0, 0, 0]) + [0, self.offset, 0], -out)

    @property
    def full_depth(self) -> float:
        """From the tip circle to the root circle [mm]."""
        return abs(self.body.r_a - self.body.r_f)

    @property
    def senses(self) -> tuple[str, str]:
        """How the flanks at +t and -t are cut: "climb" or "conventional"; see `turning`.

        For a right-hand cutter with its spindle at +t (or outwards, an end mill), fed from the entry face inwards.
        What sits on an arbor cuts both alike, by its lowest edges.
        """
        aside = np.array([[0, 1, 0], [0, -1, 0]]) if isinstance(self.mill, EndMill) else [[-self.out, 0, 0]] * 2
        along = [float(edge_motion(self.pose, np.array(offset, dtype=float)) @ self.pose.f) for offset in aside]
        one, two = ("conventional" if x > 0 else "climb" for x in along)
        return one, two

    def depth_at(self, rho: Array, theta: Array) -> Array:
        """Depth at which the cutter comes to points in the plane of the ring, same shape [mm]."""
        return infeed_field(self.body.point(rho, theta, np.array(self.body.b / 2)), self.mill, self.pose)

    def width(self, depth: float) -> float:
        """Arc of the space on the reference circle after the cut, into a solid blank [mm]."""
        r, half = self.body.r, self.body.pitch / 2
        cut = [self._side(lambda th: self.depth_at(np.array(r), th), depth, side * half) for side in (1, -1)]
        return r * (cut[0] - cut[1])

    def _side(self, at: Callable[[Array], Array], depth: float, far: float) -> float:
        """Angle up to which it is cut from the middle of the cutter towards ``far``."""
        middle = self.offset / self.body.r
        if float(at(np.array([middle]))[0]) > depth:
            return middle
        marks = middle + (far - middle) * np.linspace(0, 1, _ACROSS)
        uncut = np.flatnonzero(at(marks) > depth)
        if not len(uncut):
            return far
        low, high = float(marks[uncut[0] - 1]), float(marks[uncut[0]])
        while abs(high - low) > 1e-13:
            marks = np.linspace(low, high, _ACROSS)
            out = int(np.argmax(at(marks) > depth))
            if out == 0:  # the last digits are reached
                break
            low, high = float(marks[out - 1]), float(marks[out])
        return low

    def depth_for_width(self, width: float) -> float | None:
        """Least depth at which the space is ``width`` wide on the reference circle [mm], None where none does it."""
        low, high = 0.0, self.full_depth + self.body.ring.m_n
        if self.width(high) < width - MET:
            return None
        # the depths of a fine arc tell about where; widths themselves then close in on it
        arc = self.body.pitch * (np.arange(4000) / 4000 - 0.5)
        s = np.sort(self.depth_at(np.array(self.body.r), arc))
        n = min(int(width / (self.body.pitch * self.body.r) * 4000), 3998)
        near, far = float(s[max(n - 4, 0)]), float(s[min(n + 4, 3999)])
        if low < near < far < high and self.width(near) < width <= self.width(far):
            low, high = near, far
        while high - low > 1e-11:
            middle = (low + high) / 2
            if middle in (low, high):
                break
            low, high = (low, middle) if self.width(middle) >= width else (middle, high)
        return high if abs(self.width(high) - width) < 1e-4 else None

    def profile(self, depth: float) -> Profile:
        """Both flanks from the root end of the involute to the tip."""
        body = self.body
        rho = np.linspace(body.r_form, body.r_a, _HEIGHTS)
        return Profile(rho, self._left(rho, 1, depth), self._left(rho, -1, depth))

    def _left(self, rho: Array, side: int, depth: float) -> Array:
        """Metal left square to the flank at +-t, (n,)."""
        body, step = self.body, 1e-4 * self.body.ring.m_n
        j, facing = (0, -1) if side > 0 else (-1, 1)

        def flank(radius: Array) -> Array:
            return body.flank(j, facing, radius, np.array(body.b / 2))

        here = flank(rho)
        # from the flank itself, one-sided at its ends
        up, down = (
            np.minimum(rho + step, max(body.r_a, body.r_form)),
            np.maximum(rho - step, min(body.r_a, body.r_form)),
        )
        along = flank(up) - flank(down)
        along /= np.linalg.norm(along, axis=-1, keepdims=True)
        into = np.stack([along[:, 1], -along[:, 0], 0 * rho], axis=-1) * facing
        widest = body.pitch * body.r

        def cut(x: Array) -> Array:
            points = here[:, None] + x[..., None] * into[:, None]
            return np.asarray(infeed_field(points, self.mill, self.pose) <= depth)

        marks = widest * np.linspace(-0.5, 0.5, 2 * _ACROSS)
        inside = cut(np.broadcast_to(marks, (len(rho), len(marks))))
        some, last = inside.any(axis=1), len(marks) - 1 - np.argmax(inside[:, ::-1], axis=1)
        low, high = marks[last], marks[np.minimum(last + 1, len(marks) - 1)]
        for _ in range(_STEPS):
            m = (low + high) / 2
            within = cut(m[:, None])[:, 0]
            low, high = np.where(within, m, low), np.where(within, high, m)
        return np.where(some, -low, np.nan)

    def root_left(self, depth: float) -> tuple[float, float]:
        """Most metal left above the root circle, and how far the cut goes below it, across the root [mm]."""
        body = self.body
        half = body.pitch / 2 - float(body.half_angle(np.array(body.r_f)))
        theta = half * np.linspace(-1, 1, _ACROSS)
        # the depth at which the root circle itself is reached, against the depth of the cut
        short = self.depth_at(np.full_like(theta, body.r_f), theta) - depth
        short = np.where(np.isfinite(short), short, self.full_depth)
        return float(max(short.max(), 0.0)), float(max(-short.min(), 0.0))

    def is_metal(self, rho: Array, theta: Array, old: OldSpace | None) -> Array:
        """Whether points of the plane, theta from the middle of the space, lie in metal before the cut, same shape."""
        if old is None:
            return np.ones(np.broadcast_shapes(np.shape(rho), np.shape(theta)), dtype=bool)
        body = self.body
        # an involute moved square to itself is the same one turned about the ring's axis, by the way over r_b
        half = body.pitch / 2 - body.half_angle(rho) + 2 * old.lost / body.ring.d_b
        deep = self.full_depth if old.depth is None else old.depth
        return np.asarray((abs(theta) >= half) | (self.out * (body.r_a - rho) > deep))

    def width_of(self, old: OldSpace) -> float:
        """Arc of an old space on the reference circle [mm]."""
        ring = self.body.ring
        return float(ring.p_t - ring.s_t + 4 * old.lost * self.body.r / ring.d_b)

    def _cells(self, depth: float, old: OldSpace | None) -> tuple[Array, Array]:
        """Depths at which the metal goes that is there, least first, and the section gone until then [mm2]; (n,)."""
        body = self.body
        lowest = max(self.full_depth + 0.5 * body.ring.m_n, depth)
        middles = (np.arange(_CELLS) + 0.5) / _CELLS
        rho = (body.r_a - self.out * lowest * middles)[:, None]
        theta = body.pitch * (middles - 0.5)
        s = self.depth_at(rho, theta)
        area = np.broadcast_to(rho * (lowest / _CELLS) * (body.pitch / _CELLS), s.shape)
        there = self.is_metal(rho, theta, old)
        s, area = s[there], area[there]
        order = np.argsort(s)
        return s[order], np.cumsum(area[order])

    def removed(self, depths: Array, old: OldSpace | None = None) -> Array:
        """Metal out of one space down to each depth [mm3], within some 2 per cent of the slot; same shape."""
        s, total = self._cells(float(np.max(depths)), old)
        gone = np.concatenate([[0.0], total])
        return np.asarray(self.body.b * gone[np.searchsorted(s, depths, side="right")])

    def passes(self, depth: float, n: int, old: OldSpace | None = None) -> tuple[float, ...]:
        """Depths of n passes that each take about the same section, of a solid blank or of an old space [mm]."""
        require("passes", n, 1, 50)
        s, total = self._cells(depth, old)
        inside = int(np.searchsorted(s, depth, side="right"))
        if n == 1 or inside == 0:
            return (depth,)
        ends = s[np.searchsorted(total[:inside], total[inside - 1] * np.arange(1, n) / n)]
        return (*(float(x) for x in np.unique(np.round(ends, 6)) if 0 < x < depth - 1e-3), depth)
