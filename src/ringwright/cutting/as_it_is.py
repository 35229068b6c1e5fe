"""A ring as it is: flanks worn in steps or welded up, tips lost or built up, ends chewed, set back or standing proud.

The same surfaces as in ``surface`` for the same questions (touch-off, the field, what may be struck); teeth that are
not named are sound. Neighbours and the rim between them come with every tooth.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.surface import RIM_MODULES, Lost, Patch, ToothedRing, set_back
from ringwright.errors import Refusal, require

Array = NDArray[np.float64]
At = Callable[[Array, Array], Array]
_ROUNDS = 8
_THIN = 1e-6


@dataclass(frozen=True, slots=True)
class Step:
    """Between two radii [mm] the flank lies ``off`` [mm] further in than sound; below 0 it is built up."""

    low: float
    high: float
    off: float


@dataclass(frozen=True, slots=True)
class EndLoss:
    """A slope at the entry end: ``into`` [mm] lost at the end itself, falling to nothing ``along`` [mm] further in."""

    along: float = 0.0
    into: float = 0.0

    def at(self, depth: Array) -> Array:
        """What is lost at a depth [mm] from the tooth's own end, same shape."""
        if self.along <= 0:
            return 0.0 * depth
        return self.into * np.maximum(1 - np.maximum(depth, 0.0) / self.along, 0.0)

    def faced(self, by: float) -> EndLoss:
        """What is left of the slope when ``by`` [mm] of the end is faced off."""
        left = max(self.along - by, 0.0)
        return EndLoss(left, self.into * left / self.along if self.along else 0.0)

    def no_less_than(self, leg: float) -> EndLoss:
        """This slope, or a 45 degree one with that leg where it is the larger [mm]."""
        return EndLoss(max(self.along, leg), max(self.into, leg)) if leg else self


@dataclass(frozen=True, slots=True)
class Tooth:
    """One tooth; all lengths in mm.

    ``plus`` and ``minus``: steps of the flanks that face +t and -t, from root to tip, the rest sound. ``tip``: lost
    radially (below 0: built up). ``end``: its own end lies this far in from the entry face (below 0: stands proud).
    ``end_plus``, ``end_minus``, ``end_tip``: slopes where the end meets the flanks and the tip.
    """

    plus: tuple[Step, ...] = ()
    minus: tuple[Step, ...] = ()
    tip: float = 0.0
    end: float = 0.0
    end_plus: EndLoss = EndLoss()
    end_minus: EndLoss = EndLoss()
    end_tip: EndLoss = EndLoss()

    def faced(self, by: float) -> Tooth:
        """The tooth when the whole entry face is faced down by ``by`` [mm], its end counted from the new face."""
        into = max(by - self.end, 0.0)
        slopes = {name: getattr(self, name).faced(into) for name in ("end_plus", "end_minus", "end_tip")}
        return replace(self, end=max(self.end - by, 0.0), **slopes)


@dataclass(frozen=True)
class RingAsItIs(ToothedRing):
    """A toothed ring some of whose ``teeth`` are not sound, by their number j from the worked space.

    Raises
    ------
    OutOfRange, Refusal
        As `ToothedRing`; ``steps_overlap``: steps out of order; ``tooth_pointed``: a tip built up to a point;
        ``nothing_left``: a tip lost to its root, an end set back over the whole face, flanks worn through.
    """

    teeth: Mapping[int, Tooth] = field(default_factory=dict)

    def __post_init__(self) -> None:
        ToothedRing.__post_init__(self)
        for tooth in self.teeth.values():
            self._check(tooth)

    def _check(self, tooth: Tooth) -> None:
        require("end", tooth.end, -100, 5000)
        for steps in (tooth.plus, tooth.minus):
            for one, two in pairwise([*steps, Step(np.inf, np.inf, 0.0)]):
                if not one.low < one.high <= two.low:
                    raise Refusal("steps_overlap", "off", one.high, one.low, two.low)
        if tooth.end >= self.b or self.ring.s * (self._tip(tooth, np.array(1e9)) - self.r_f) < _THIN:
            raise Refusal("nothing_left", "tip", tooth.tip)
        top = float(self._tip(tooth, np.array(1e9)))
        if float(self.half_angle(np.array(top))) <= 0:
            raise Refusal("tooth_pointed", "tip", tooth.tip)
        for steps in (tooth.plus, tooth.minus):
            for step in steps:
                half = float(self.half_angle(np.array(min(step.high, top)))) * top
                if step.off >= half:
                    raise Refusal("nothing_left", "off", step.off, None, half)

    def tooth(self, j: int) -> Tooth:
        """Tooth j, sound if it is not named; numbers go round with the ring."""
        z = self.ring.z
        return self.teeth.get(j, self.teeth.get(j % z, self.teeth.get(j % z - z, Tooth())))

    def faced(self, by: float) -> RingAsItIs:
        """The ring with its entry face faced down by ``by`` [mm], a counted from the new face."""
        require("by", by, 0, self.b)
        return RingAsItIs(self.ring, self.b - by, {j: t.faced(by) for j, t in self.teeth.items()})

    def _tip(self, tooth: Tooth, depth: Array) -> Array:
        return np.asarray(self.r_a - self.ring.s * (tooth.tip + tooth.end_tip.at(depth)))

    def side(self, j: int, tooth: Tooth, side: int, rho: Array, depth: Array, off: Array) -> Array:
        """Flank points at sound radii ``rho``, ``off`` [mm] further in than sound, at depths from the tooth's end."""
        loss = (tooth.end_plus if side > 0 else tooth.end_minus).at(depth)
        rho, depth, by = np.broadcast_arrays(rho, depth, off + loss)
        return set_back(self, j, side, rho, tooth.end + depth, by)

    def top(self, j: int, tooth: Tooth, side: int, depth: Array, off: float) -> Array:
        """Sound radius of the flank point that lies on the tip as it is, same shape as ``depth``."""
        target = self._tip(tooth, depth)
        rho = target.copy()
        for _ in range(_ROUNDS):
            here = self.side(j, tooth, side, rho, depth, np.full_like(rho, off))
            rho = rho + target - np.hypot(here[..., 0], here[..., 1])
        return rho

    def zones(self, tooth: Tooth, side: int) -> list[tuple[float, float, float]]:
        """Stretches of the flank (from, to, off), root to tip whichever way that is; the last goes on to the tip."""
        s, top = self.ring.s, float(self._tip(tooth, np.array(1e9)))
        steps = tooth.plus if side > 0 else tooth.minus
        found, at = [], self.r_f
        for step in steps if s > 0 else reversed(steps):
            low, high = (step.low, step.high) if s > 0 else (step.high, step.low)
            low, high = (low, high) if s * (low - at) > 0 else (at, high)
            if s * (high - at) <= 0 or s * (top - low) <= 0:
                continue
            if s * (low - at) > _THIN:
                found.append((at, low, 0.0))
            found.append((low, high, step.off))
            at = high
        if s * (top - at) > _THIN or not found:
            found.append((at, top, 0.0))
        return found

    def tooth_patches(self, j: int, lost: Lost) -> list[Patch]:
        """Surfaces of tooth j as it is and of the space behind it (towards +t)."""
        tooth = self.tooth(j)
        if tooth == Tooth() and self.tooth(j + 1) == Tooth():
            return ToothedRing.tooth_patches(self, j, lost)
        return _patches(self, j, _with_lost(tooth, lost))


def _with_lost(tooth: Tooth, lost: Lost) -> Tooth:
    """The tooth with what its touched edges have lost more."""
    return replace(
        tooth,
        end_plus=tooth.end_plus.no_less_than(lost.flank_edge),
        end_minus=tooth.end_minus.no_less_than(lost.flank_edge),
        end_tip=tooth.end_tip.no_less_than(lost.tip_edge),
        tip=tooth.tip + lost.tip_line,
    )


def _outline(ring: RingAsItIs, j: int, tooth: Tooth, side: int) -> list[tuple[str, At]]:
    """Flank stretches and the ledges between them, root to tip: ``at(v, depth)`` with v along the outline."""
    zones = ring.zones(tooth, side)
    found: list[tuple[str, At]] = []

    def stretch(low: float, high: float, off: float, last: bool) -> At:
        def at(v: Array, depth: Array) -> Array:
            v, depth = np.broadcast_arrays(v, depth)
            end = ring.top(j, tooth, side, depth, off) if last else high
            return ring.side(j, tooth, side, low + v * (end - low), depth, np.full(v.shape, off))

        return at

    def ledge(rho: float, one: float, two: float) -> At:
        def at(v: Array, depth: Array) -> Array:
            v, depth = np.broadcast_arrays(v, depth)
            return ring.side(j, tooth, side, np.full(v.shape, rho), depth, one + v * (two - one))

        return at

    for n, (low, high, off) in enumerate(zones):
        if n and off != zones[n - 1][2]:
            found.append(("ledge", ledge(low, zones[n - 1][2], off)))
        found.append(("flank", stretch(low, high, off, n + 1 == len(zones))))
    return found


def _patches(ring: RingAsItIs, j: int, tooth: Tooth) -> list[Patch]:
    b = ring.b - tooth.end
    sides = {side: _outline(ring, j, tooth, side) for side in (-1, 1)}
    out: list[Patch] = []
    for side, pieces in sides.items():
        slope = min((tooth.end_plus if side > 0 else tooth.end_minus).along, b)
        for name, at in pieces:
            out.append(Patch("flank_edge", _at_end(at), line=True))
            out += _in_depth(name, at, slope, b)
        out.append(Patch("tip_line", _along_tip(pieces[-1][1], b), line=True))

    def land(v: Array, depth: Array) -> Array:
        one, two = (sides[side][-1][1](1 + 0 * v, depth) for side in (-1, 1))
        return _round_between(one, two, v)

    def end_face(v: Array, w: Array) -> Array:
        one, two = (_whole(sides[side], v) for side in (-1, 1))
        return np.asarray(one + (two - one) * w[..., None])

    out.append(Patch("tip_edge", _at_end(land), line=True))
    out += _in_depth("tip_land", land, min(tooth.end_tip.along, b), b)
    out.append(Patch("end_face", end_face))
    return out + _root(ring, j, tooth)


def _root(ring: RingAsItIs, j: int, tooth: Tooth) -> list[Patch]:
    """The bottom between tooth j and the next, and the rim's face below both."""
    after = ring.tooth(j + 1)
    feet = _outline(ring, j, tooth, 1)[0][1], _outline(ring, j + 1, after, -1)[0][1]

    def root(v: Array, w: Array) -> Array:
        a = w * ring.b
        one = feet[0](0 * v, np.maximum(a - tooth.end, 0.0))
        two = feet[1](0 * v, np.maximum(a - after.end, 0.0))
        one, two = (np.concatenate([p[..., :2], a[..., None]], axis=-1) for p in (one, two))
        return _round_between(one, two, v)

    depth = min(RIM_MODULES * ring.ring.m_n, 0.9 * ring.r_f)

    def rim(v: Array, w: Array) -> Array:
        return ring.point(ring.r_f - ring.ring.s * depth * w, ring.middle(j) + v * ring.pitch, 0 * v)

    edge = Patch("root_edge", lambda v, _w: root(v, 0 * v), line=True)
    return [edge, Patch("root", root), Patch("rim_face", rim)]


def _in_depth(name: str, at: At, slope: float, b: float) -> list[Patch]:
    """A surface over the depths of a tooth, in two parts where its end is sloped."""
    main = Patch(name, lambda v, w: at(v, slope + w * (b - slope)))
    if slope <= 0:
        return [main]
    return [
        Patch("bevel", lambda v, w: at(v, w * slope)),
        Patch("bevel", lambda v, _w: at(v, slope + 0 * v), line=True),
        main,
    ]


def _at_end(at: At) -> At:
    return lambda v, _w: at(v, 0 * v)


def _along_tip(at: At, b: float) -> At:
    return lambda v, _w: at(1 + 0 * v, v * b)


def _whole(pieces: list[tuple[str, At]], v: Array) -> Array:
    """Points of a side at the tooth's end, v running over all its pieces."""
    n = len(pieces)
    found = np.zeros((*v.shape, 3))
    for k, (_, at) in enumerate(pieces):
        here = (v * n >= k) & ((v * n < k + 1) | (k + 1 == n))
        share = np.clip(v * n - k, 0.0, 1.0)
        found = np.where(here[..., None], at(share, 0 * v), found)
    return found


def _round_between(one: Array, two: Array, v: Array) -> Array:
    """Points between two, along the circle, radius and depth going over evenly."""
    turn = np.arctan2(one[..., 1], one[..., 0])
    span = np.arctan2(two[..., 1], two[..., 0]) - turn
    span = (span + np.pi) % (2 * np.pi) - np.pi
    theta = turn + v * span
    rho = np.hypot(one[..., 0], one[..., 1]) * (1 - v) + np.hypot(two[..., 0], two[..., 1]) * v
    return np.stack([rho * np.cos(theta), rho * np.sin(theta), one[..., 2] * (1 - v) + two[..., 2] * v], axis=-1)
