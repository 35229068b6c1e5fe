"""What stands behind the edges and must not touch: shank, neck, arbor, holder, head nose.

They are solids of revolution about the cutter's axis and move with it. Metal that the cutter has taken before they
come is gone; what is left of the ring, its rim, web and hub is what they may strike.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import Cutter
from ringwright.cutting.field import infeed_field, solid_run
from ringwright.cutting.pose import Pose
from ringwright.cutting.solids import Frustum, Solid, outline_distance
from ringwright.cutting.surface import ToothedRing, patches
from ringwright.errors import Refusal, require

Array = NDArray[np.float64]
_GOLDEN = (5**0.5 - 1) / 2
#: The search for the least gap first goes to this over all points, then to `_FINE` over those that can be nearest [mm].
_COARSE, _FINE = 1.0, 1e-6


@dataclass(frozen=True, slots=True)
class Part:
    """A cylinder or cone behind the edges, from ``h0`` to ``h1`` above the cutter's zero [mm], named for the user."""

    name: str
    h0: float
    h1: float
    r0: float
    r1: float

    @property
    def solid(self) -> Solid:
        """What it sweeps when it turns."""
        return Solid((Frustum(self.h0, self.h1, self.r0, self.r1),))


def stacked(start: float, *parts: tuple[str, float, float] | tuple[str, float, float, float]) -> tuple[Part, ...]:
    """Parts one on the other from the height ``start`` [mm]: name, length, diameter and, for a cone, upper diameter.

    >>> shank, nose = stacked(26.0, ("shank", 24.0, 12.0), ("holder", 40.0, 30.0, 45.0))
    >>> nose.h0, nose.h1, nose.r0, nose.r1
    (50.0, 90.0, 15.0, 22.5)
    """
    found, h = [], start
    for name, length, *diameters in parts:
        require("L_h", length, 1e-3, 5000)
        require("D_h", diameters, 0.1, 2000)
        found.append(Part(name, h, h + length, diameters[0] / 2, diameters[-1] / 2))
        h += length
    return tuple(found)


def arbor(below: float, above: float, diameter: float, name: str = "arbor") -> tuple[Part, Part]:
    """An arbor that stands out ``below`` and ``above`` a cutter's zero [mm]; inside the cutter it is hidden."""
    require("L_h", [below, above], 1e-3, 5000)
    require("D_h", diameter, 0.1, 2000)
    return Part(name, -below, 0.0, diameter / 2, diameter / 2), Part(name, 0.0, above, diameter / 2, diameter / 2)


@dataclass(frozen=True, slots=True)
class Body:
    """The ring below its teeth: what is there of rim, web and hub, as stretches of (radius, a) [mm].

    ``walls`` are closed rectangles (inner radius, outer radius, from a, to a) turned about the ring's axis.
    """

    walls: tuple[tuple[float, float, float, float], ...]

    def __post_init__(self) -> None:
        for inner, outer, low, high in self.walls:
            if not (0 <= inner < outer and low < high):
                raise Refusal("wall_turned_over", "walls", outer, inner)

    def points(self, about: float, half_turn: float, step: float) -> Array:
        """Points of the surfaces, ``step`` [mm] apart at most, within ``half_turn`` [rad] of an angle, (n, 3)."""
        found = []
        for inner, outer, low, high in self.walls:
            edges = [((inner, low), (outer, low)), ((inner, high), (outer, high))]
            edges += [((inner, low), (inner, high)), ((outer, low), (outer, high))]
            turns = about + _spread(-half_turn, half_turn, step / outer)
            for one, two in edges:
                share = _spread(0, 1, step / max(abs(two[0] - one[0]), abs(two[1] - one[1])))
                rho, a = (one[k] + share * (two[k] - one[k]) for k in (0, 1))
                turn, rho_, a_ = turns[:, None], rho[None, :], np.broadcast_to(a, (len(turns), len(a)))
                found.append(np.stack([rho_ * np.cos(turn), rho_ * np.sin(turn), a_], axis=-1).reshape(-1, 3))
        return np.concatenate(found) if found else np.empty((0, 3))


def _spread(low: float, high: float, step: float) -> Array:
    return np.linspace(low, high, int(np.clip(np.ceil((high - low) / step), 1, 4000)) + 1)


@dataclass(frozen=True)
class Gap:
    """Least gap [mm], below 0 where metal is struck: which part, at which infeed, by which point of the ring.

    A struck part has ``gap`` = minus the infeed by which it comes too far; ``strikes_at`` is the infeed of the first
    touch, counted from the pose's tip, None where nothing is struck.
    """

    part: str
    gap: float
    point: Array
    strikes_at: float | None


def teeth_beside(ring: ToothedRing, reach: float) -> range:
    """Teeth no further than ``reach`` [mm] to either side of the worked space, on the reference circle."""
    n = min(int(reach / (ring.r * ring.pitch)) + 2, ring.ring.z // 2)
    return range(-n, n)


def ring_points(ring: ToothedRing, teeth: Iterable[int], body: Body | None = None, per_side: int = 24) -> Array:
    """Points over the teeth's surfaces and, where it is known, over the body below them, (n, 3)."""
    chosen = sorted(set(teeth))
    v, w = np.meshgrid(np.linspace(0, 1, per_side), np.linspace(0, 1, per_side) ** 2, indexing="ij")
    line = np.linspace(0, 1, 8 * per_side)
    found = []
    for patch in patches(ring, chosen):
        at = patch.at(line, 0 * line) if patch.line else patch.at(v, w)
        found.append(np.asarray(at).reshape(-1, 3))
    if body is not None:
        step = min(ring.b, ring.ring.m_n * pi) / 6
        middle = (ring.middle(chosen[0]) + ring.middle(chosen[-1])) / 2
        half = (len(chosen) + 1) * ring.pitch / 2
        found.append(body.points(middle, min(half, pi), step))
    return np.concatenate(found)


def least_gaps(points: Array, cutter: Cutter, parts: Sequence[Part], pose: Pose, infeed: float) -> list[Gap]:
    """Least gap of each part to the ring up to an infeed.

    Parameters
    ----------
    points : array (n, 3)
        Surfaces of the ring in the frame (r, t, a) [mm]; the answer is as fine as they are close
    cutter : Cutter
        What takes the metal
    parts : sequence of Part
        What must not touch
    pose : Pose
        Where the cutter stands and which way it goes
    infeed : float
        How far it goes, counted from the pose's tip [mm]

    Returns
    -------
    list of Gap
        One for each part, in order. The whole path up to the infeed counts, and with a locked axis the whole pass.
        Only points that the cutter has not taken before the part comes are metal.
    """
    taken = infeed_field(points, cutter, pose)
    return [_gap(points, taken, part, pose, infeed) for part in parts]


def _gap(points: Array, taken: Array, part: Part, pose: Pose, infeed: float) -> Gap:
    comes = solid_run(points, part.solid, pose)[0]
    struck = (comes < taken) & (comes <= infeed)
    if struck.any():
        at = int(np.argmin(np.where(struck, comes, np.inf)))
        return Gap(part.name, float(comes[at] - infeed), points[at], float(comes[at]))
    metal = points[taken > infeed]
    if len(metal) == 0:
        return Gap(part.name, np.inf, np.full(3, np.nan), None)
    rough = path_distance(metal, part, pose, infeed, _COARSE)
    metal = metal[rough <= rough.min() + 6 * _COARSE]  # what a search can be wrong by, the distance being 1-Lipschitz
    gap = path_distance(metal, part, pose, infeed)
    at = int(np.argmin(gap))
    return Gap(part.name, float(gap[at]), metal[at], None)


def path_distance(points: Array, part: Part, pose: Pose, infeed: float, to: float = _FINE) -> Array:
    """Least distance of points from a part on its way to an infeed [mm], 0 where it comes inside, shape (n,).

    ``to`` [mm] is how closely the place of the least is looked for.

    The part is convex, so along its straight way the distance is a convex function, its least found by golden section.
    With a locked axis what counts is the distance from the part's shadow along the feed.
    """
    q = points - pose.tip
    if pose.d is not None:
        return _from_shadow(q - infeed * pose.d, part, pose, pose.d, to)
    piece = Frustum(part.h0, part.h1, part.r0, part.r1)

    def away(s: Array) -> Array:
        moved = q - s[:, None] * pose.f
        h = moved @ pose.u
        rho = np.sqrt(np.maximum(np.einsum("ni,ni->n", moved, moved) - h * h, 0.0))
        return outline_distance(piece, h, rho)

    reach = float(np.abs(q).max()) + abs(infeed) + part.h1 - part.h0 + part.r0 + part.r1
    return _least(away, np.full(len(q), infeed - 2 * reach), np.full(len(q), float(infeed)), to)


def _from_shadow(q: Array, part: Part, pose: Pose, d: Array, to: float) -> Array:
    """Distance of points from the shadow of a part that has come along ``d`` from far away, shape (n,).

    Outside a convex figure it is the greatest excess over the figure's support, over all directions; a figure that
    came along d has no bound against d.
    """
    m = d - float(d @ pose.f) * pose.f
    m = m / np.linalg.norm(m)
    y = q @ np.stack([m, np.cross(pose.f, m)], axis=1)
    w = np.array([pose.u @ m, pose.u @ np.cross(pose.f, m)])

    def excess(theta: Array) -> Array:
        """How far each point, first axis, stands out in the directions theta, last axis."""
        v = np.stack([np.cos(theta), np.sin(theta)])
        lean = np.tensordot(w, v, axes=1)
        round_ = np.sqrt(np.maximum(1 - lean**2, 0.0))
        support = np.maximum(part.h0 * lean + part.r0 * round_, part.h1 * lean + part.r1 * round_)
        return np.asarray(y[:, 0, None] * v[0] + y[:, 1, None] * v[1] - support)

    every = np.linspace(-pi / 2, pi / 2, 181)
    found = excess(every[None, :])
    step = float(every[1] - every[0])
    at, best = every[np.argmax(found, axis=1)], found.max(axis=1)
    size = float(np.abs(y).max()) + abs(part.h0) + abs(part.h1) + part.r0 + part.r1
    while size * step * step > to:
        theta = np.clip(at[:, None] + step * np.linspace(-1, 1, 17), -pi / 2, pi / 2)
        found = excess(theta)
        rows = np.arange(len(theta))
        at, best = theta[rows, np.argmax(found, axis=1)], np.maximum(best, found.max(axis=1))
        step /= 8
    return np.asarray(np.maximum(best, 0.0))


def _least(value: Callable[[Array], Array], low: Array, high: Array, to: float) -> Array:
    """Least of a convex function on each stretch, by golden section."""
    a, b = low.copy(), high.copy()
    one, two = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
    f_one, f_two = value(one), value(two)
    best = np.minimum(np.minimum(value(a), value(b)), np.minimum(f_one, f_two))
    while float((b - a).max()) > to:
        left = f_one <= f_two
        a, b = np.where(left, a, one), np.where(left, two, b)
        one_, two_ = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
        fresh = value(np.where(left, one_, two_))
        f_one, f_two = np.where(left, fresh, f_two), np.where(left, f_one, fresh)
        one, two = one_, two_
        best = np.minimum(best, fresh)
    return best
