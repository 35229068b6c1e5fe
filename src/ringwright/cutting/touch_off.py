"""Touch-off: where and at what infeed the cutter first meets the sound, uncut ring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import Cutter
from ringwright.cutting.field import infeed_field, infeed_run
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import Lost, Patch, ToothedRing, patches
from ringwright.errors import Refusal

Array = NDArray[np.float64]
#: Contacts that come at most this much later [mm] are named as alternatives.
NEARLY = 0.5
_SHRINK, _LINE_SHRINK = 0.16, 0.04
_SIDE, _LINE_SIDE = np.linspace(-1, 1, 17), np.linspace(-1, 1, 65)
_EVERY_SCALE = np.concatenate([[0.0], np.logspace(-9, 0, 37)])
_EVERY_SCALE_BOTH_WAYS = np.concatenate([-np.logspace(-0.5, -9, 18), [0.0], np.logspace(-9, -0.5, 18)])
_EDGES = frozenset({"flank_edge", "tip_edge", "tip_line"})
#: A touched point that the cutter leaves again within this part of its diameter is grazed.
_GRAZED = 0.01
_FAR = 1e6
#: Part of a patch to which the first contact with worn edges is closed in on.
_ABOUT = 3e-6
_SOONEST = 8
_MOST_PATCHES = 40


@dataclass(frozen=True)
class Contact:
    """One contact: ``s`` infeed from the pose's tip [mm], the point (r, t, a) [mm], what is touched."""

    s: float
    point: Array
    surface: str


@dataclass(frozen=True)
class TouchOff:
    """First contact; ``others`` come within `NEARLY` of it; ``shift`` [mm] is None where no edge is touched."""

    first: Contact
    grazing: bool
    others: tuple[Contact, ...]
    shift: float | None


@dataclass(frozen=True, slots=True)
class _Grid:
    """Points laid over all patches of some teeth, in one run; patch n has those from ``start[n]`` to ``start[n + 1]``.

    ``v`` and ``w`` are the parameters of every point, ``spacing`` [mm] and ``reach`` those of the n-th patch.
    """

    surfaces: list[Patch]
    points: Array
    v: Array
    w: Array
    start: list[int]
    spacing: list[float]
    reach: list[float]


class Grids:
    """The points that first contact is looked for at: they go with the ring, not with the cutter, and so are kept."""

    def __init__(self, body: ToothedRing) -> None:
        self.body = body
        self._kept: dict[tuple[tuple[int, ...], Lost, int, int], _Grid] = {}
        z = body.ring.z
        self.every = np.arange(z) - z // 2
        theta = body.middle(0) + self.every[:, None, None] * body.pitch
        half = float(body.half_angle(np.array(body.r_a)))
        rho = np.array([body.r_a, body.r_f])[:, None, None, None]
        self.coarse = body.point(rho, theta + half * np.linspace(-1, 1, 5)[:, None], np.linspace(0, body.b, 5))

    def over(self, teeth: Sequence[int], mill: Cutter, lost: Lost) -> _Grid:
        """A grid fine against the cutter over the patches of those teeth."""
        along, across = max(self.body.b, self.body.ring.m_n * pi), self.body.ring.m_n * pi
        n, n_across = (6 * ceil(int(np.clip(ceil(x / (mill.R / 3)), 12, 48)) / 6) for x in (along, across))
        key = (tuple(teeth), lost, n, n_across)
        if key not in self._kept:
            self._kept[key] = _laid(patches(self.body, teeth, lost), n, n_across, along)
        return self._kept[key]


def _laid(surfaces: list[Patch], n: int, n_across: int, size: float) -> _Grid:
    """Points on every patch, n in the direction of the face width, four times as many on every line."""
    points, at_v, at_w, start, spacing, reach = [], [], [], [0], [], []
    for patch in surfaces:
        v = np.linspace(0, 1, 4 * n if patch.line else n_across)
        w = np.linspace(0, 1, n) ** 2
        grid = (v, np.zeros_like(v)) if patch.line else np.meshgrid(v, w, indexing="ij")
        points.append(np.broadcast_to(patch.at(*grid), (*grid[0].shape, 3)).reshape(-1, 3))
        at_v.append(grid[0].ravel())
        at_w.append(grid[1].ravel())
        start.append(start[-1] + len(points[-1]))
        spacing.append(size / (len(v) if patch.line else n))
        reach.append(2.0 / len(v))
    joined = [np.concatenate(x) for x in (points, at_v, at_w)]
    return _Grid(surfaces, joined[0], joined[1], joined[2], start, spacing, reach)


def touch_off(
    body: ToothedRing, mill: Cutter, pose: Pose, *, shift: bool = True, grids: Grids | None = None
) -> TouchOff:
    """First contact of the cutter with the sound ring, to about 1e-7 mm.

    Parameters
    ----------
    body : ToothedRing
        The ring
    mill : EndMill
        The cutter
    pose : Pose
        Where it stands and which way it goes
    shift : bool
        Whether to reckon how much later it comes on edges that lost a 1 mm corner, and to look for the others
    grids : Grids
        Points kept from another touch-off on the same ring

    Raises
    ------
    Refusal
        ``never_touches``: the cutter passes the ring by; ``always_in_metal``: however far back, it is in the ring.
    """
    grids = grids or Grids(body)
    found = _contacts(grids, mill, pose, Lost(), NEARLY if shift else 0.0)
    if not found:
        raise Refusal("never_touches", "tip")
    first = found[0]
    if first.s == -np.inf:
        raise Refusal("always_in_metal", "u")
    start, end = infeed_run(first.point, mill, pose)
    grazing = float(end - start) < _GRAZED * 2 * mill.R
    others = tuple(c for c in found[1:] if c.s <= first.s + NEARLY)
    return TouchOff(first, grazing, others, _shift(grids, mill, pose, found) if shift else None)


def first_on_worn(grids: Grids, mill: Cutter, pose: Pose, lost: Lost) -> float | None:
    """Infeed from the pose's tip of the first contact with a ring that has lost corners, None if never [mm]."""
    later = _contacts(grids, mill, pose, lost, 0.0, _ABOUT)
    return later[0].s if later else None


def _shift(grids: Grids, mill: Cutter, pose: Pose, found: Sequence[Contact]) -> float | None:
    touched = {c.surface for c in found if c.s <= found[0].s + 1e-6} & _EDGES
    if not touched:
        return None
    lost = Lost(*(1.0 if name in touched else 0.0 for name in ("flank_edge", "tip_edge", "tip_line")))
    later = first_on_worn(grids, mill, pose, lost)
    return None if later is None else later - found[0].s


def _contacts(grids: Grids, mill: Cutter, pose: Pose, lost: Lost, nearly: float, to: float = 2e-10) -> list[Contact]:
    """Refined minima of the field over all patches near the cutter, first contact first, doubles dropped."""
    grid = grids.over(_teeth_in_reach(grids, mill, pose), mill, lost)
    surfaces, rough = grid.surfaces, _rough(grid, mill, pose)
    best = min((r.value for r in rough), default=_FAR)
    if best == -np.inf:
        return [Contact(-np.inf, pose.tip, "")]
    # a patch that the grid may have missed, coarse against the cutter, is looked at too where the path runs close by
    worth = [
        (r.value, n)
        for n, r in enumerate(rough)
        if r.value <= best + nearly + mill.R / 4
        or (r.spacing > mill.R / 2.5 and r.value >= _FAR and r.value - _FAR <= 2 * (mill.R + r.spacing))
    ]
    # a level face is met either in its middle or on its edges, and these are lines of their own
    worth = [(value, n) for value, n in worth if not (surfaces[n].surface == "end_face" and rough[n].at_border)]
    found: list[_Found] = []
    for _, n in sorted(worth, key=lambda x: (not surfaces[x[1]].line, x[0]))[:_MOST_PATCHES]:
        soonest = min((f.contact.s for f in found), default=np.inf)
        if rough[n].value < _FAR and rough[n].value > soonest + nearly + mill.R / 4:
            continue
        if not _only_known(surfaces[n], rough[n], mill, pose, found, max(1e-9, 30 * to)):
            found.append(_refine(surfaces[n], rough[n], mill, pose, [f.contact for f in found], to))
    refined = [f.contact for f in found]
    kept: list[Contact] = []
    order = {p.surface: n for n, p in enumerate(surfaces)}
    # of two at one place the edge wins over the face that ends in it: edges come first in the list
    for contact in sorted(refined, key=lambda c: (round(c.s, 5), order[c.surface])):
        if contact.s < _FAR / 2 and all(np.linalg.norm(contact.point - k.point) > 0.05 for k in kept):
            kept.append(contact)
    # of two that come together the one on the tooth at +t is named first
    return sorted(kept, key=lambda c: (round(c.s, 7), -float(c.point[1])))


def _teeth_in_reach(grids: Grids, mill: Cutter, pose: Pose) -> list[int]:
    """Teeth that can be touched first: those about the space, and those that a coarse look finds soonest."""
    z, every = grids.body.ring.z, grids.every
    s = infeed_field(grids.coarse, mill, pose).min(axis=(0, 2, 3))
    # a complete pass stops before the far side of the ring; inside an internal one the cutter starts in the bore
    if pose.d is not None or grids.body.ring.s < 0:
        s = np.where(abs(every + 0.5) * grids.body.pitch < pi / 2, s, np.inf)
    soonest = every[np.argsort(s, kind="stable")][:_SOONEST]
    return sorted({-2, -1, 0, 1} | {int(j) for j in soonest if np.isfinite(s[j + z // 2]) or s[j + z // 2] < 0})


@dataclass(frozen=True, slots=True)
class _Rough:
    """Best point of a grid over a patch; ``spacing`` of the grid [mm], ``reach`` to look on with in parameters."""

    value: float
    v: float
    w: float
    reach: float
    spacing: float

    @property
    def at_border(self) -> bool:
        return self.w in (0.0, 1.0) or self.v == 1.0


def _order(points: Array, mill: Cutter, pose: Pose) -> Array:
    """The field along the last axis; where the cutter comes to none of its points, values falling towards the tip."""
    s = infeed_field(points, mill, pose)
    lost = s.min(axis=-1) == np.inf
    if lost.any():
        s[lost] = _far(points[lost], pose)
    return s


def _far(points: Array, pose: Pose) -> Array:
    q = points - pose.tip
    aside = q - (q @ pose.infeed)[..., None] * pose.infeed
    if pose.d is not None:
        aside = aside - (aside @ pose.f)[..., None] * pose.f
    return np.asarray(_FAR + np.linalg.norm(aside, axis=-1))


def _rough(grid: _Grid, mill: Cutter, pose: Pose) -> list[_Rough]:
    """Least field of each patch on its grid."""
    s = infeed_field(grid.points, mill, pose)
    found = []
    for n, (one, two) in enumerate(pairwise(grid.start)):
        at = one + int(np.argmin(s[one:two]))
        value = float(s[at])
        if value == np.inf:
            far = _far(grid.points[one:two], pose)
            at = one + int(np.argmin(far))
            value = float(far[at - one])
        found.append(_Rough(value, float(grid.v[at]), float(grid.w[at]), grid.reach[n], grid.spacing[n]))
    return found


@dataclass(frozen=True, slots=True)
class _Found:
    """A contact and where on its patch it lies."""

    contact: Contact
    v: float
    line: bool


def _only_known(patch: Patch, rough: _Rough, mill: Cutter, pose: Pose, found: Sequence[_Found], slack: float) -> bool:
    """Whether a face that is met soonest on its edge w = 0 has nothing sooner than the contact known there.

    Looked at about that contact at every scale, from the whole patch down to a billionth of it; ``slack`` [mm] is
    how closely the contact itself is known.
    """
    if patch.line or rough.w != 0.0:
        return False
    for f in found:
        if f.line and f.contact.s <= rough.value + 1e-9:
            if np.linalg.norm(patch.at(np.array([f.v]), np.zeros(1))[0] - f.contact.point) > 1e-9:
                continue
            v = np.clip(f.v + _EVERY_SCALE_BOTH_WAYS, 0, 1)
            s = infeed_field(patch.at(*np.meshgrid(v, _EVERY_SCALE, indexing="ij")), mill, pose)
            return bool(s.min() > f.contact.s - slack)
    return False


def _refine(patch: Patch, rough: _Rough, mill: Cutter, pose: Pose, known: Sequence[Contact], to: float) -> _Found:
    """Close in on the least field of a patch by ever smaller stretches of v about the best.

    Across each v the least over w is found first. The field jumps where the outline of the cutter passes, and a least
    value in the corner of a jump slips through a plain grid of points; on a line it cannot. A patch that only meets
    what is known already, or comes surely later, is left at about a um.
    """
    best, v0, w0, reach = rough.value, rough.v, rough.w, rough.reach
    side, shrink = (_LINE_SIDE, _LINE_SHRINK) if patch.line else (_SIDE, _SHRINK)
    point = patch.at(np.array([v0]), np.array([w0]))[0]
    while reach > to:
        v = np.clip(v0 + reach * side, 0, 1)
        w = np.zeros_like(v) if patch.line else _least_across(patch, v, w0, reach, mill, pose)
        points = patch.at(v, w)
        s = _order(points, mill, pose)
        at = int(np.argmin(s))
        if s[at] < best:
            best, v0, w0, point = float(s[at]), float(v[at]), float(w[at]), points[at]
        reach *= shrink
        if reach < 1e-5 and _settled(best, point, known):
            break
    return _Found(Contact(best, point, patch.surface), v0, patch.line)


def _settled(best: float, point: Array, known: Sequence[Contact]) -> bool:
    first = min((k.s for k in known), default=np.inf)
    return best > first + 0.02 or any(
        best > k.s - 1e-6 and float(np.linalg.norm(point - k.point)) < 0.02 for k in known
    )


def _least_across(patch: Patch, v: Array, w0: float, reach: float, mill: Cutter, pose: Pose) -> Array:
    """For each v the w with the least field, looked for about ``w0``, same shape as v."""
    w = np.full_like(v, w0)
    best = np.full_like(v, np.inf)
    enough = max(1e-3 * reach, 1e-11)
    reach = min(10 * reach, 1.0)
    while reach > enough:
        grid = np.clip(w[:, None] + reach * _SIDE, 0, 1)
        s = _order(patch.at(np.broadcast_to(v[:, None], grid.shape), grid), mill, pose)
        at = np.argmin(s, axis=1)
        rows = np.arange(len(v))
        better = s[rows, at] < best
        best = np.where(better, s[rows, at], best)
        w = np.where(better, grid[rows, at], w)
        reach *= _SHRINK
    return w
