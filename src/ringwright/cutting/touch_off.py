"""Touch-off: where and at what infeed the cutter first meets the sound, uncut ring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.field import infeed_field, infeed_run
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import Lost, Patch, ToothedRing, patches
from ringwright.errors import Refusal

Array = NDArray[np.float64]
#: Contacts that come at most this much later [mm] are named as alternatives.
NEARLY = 0.5
_ROUNDS = 26
_WINDOW = 1.5
_EDGES = frozenset({"flank_edge", "tip_edge", "tip_line"})
#: A touched point that the cutter leaves again within this part of its diameter is grazed.
_GRAZED = 0.01


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


def touch_off(body: ToothedRing, mill: EndMill, pose: Pose, *, shift: bool = True) -> TouchOff:
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
        Whether to reckon how much later it comes on edges that lost a 1 mm corner

    Raises
    ------
    Refusal
        ``never_touches``: the cutter passes the ring by; ``always_in_metal``: however far back, it is in the ring.
    """
    found = _contacts(body, mill, pose, Lost())
    if not found:
        raise Refusal("never_touches", "tip")
    first = found[0]
    if not np.isfinite(first.s):
        raise Refusal("always_in_metal", "u")
    start, end = infeed_run(first.point, mill, pose)
    grazing = float(end - start) < _GRAZED * 2 * mill.R
    others = tuple(c for c in found[1:] if c.s <= first.s + NEARLY)
    return TouchOff(first, grazing, others, _shift(body, mill, pose, found) if shift else None)


def _shift(body: ToothedRing, mill: EndMill, pose: Pose, found: Sequence[Contact]) -> float | None:
    touched = {c.surface for c in found if c.s <= found[0].s + 1e-6} & _EDGES
    if not touched:
        return None
    lost = Lost(*(1.0 if name in touched else 0.0 for name in ("flank_edge", "tip_edge", "tip_line")))
    later = _contacts(body, mill, pose, lost)
    return later[0].s - found[0].s if later else None


def _contacts(body: ToothedRing, mill: EndMill, pose: Pose, lost: Lost) -> list[Contact]:
    """Refined minima of the field over all patches near the cutter, first contact first, doubles dropped."""
    surfaces = patches(body, _teeth_in_reach(body, mill, pose), lost)
    rough = [_rough(p, body, mill, pose) for p in surfaces]
    best = min((r[0] for r in rough), default=np.inf)
    if not np.isfinite(best):
        return [Contact(-np.inf, pose.tip, "")] if best < 0 else []
    margin = NEARLY + mill.R / 4
    refined = [_refine(p, r, mill, pose) for p, r in zip(surfaces, rough) if r[0] <= best + margin]
    kept: list[Contact] = []
    # edges come first in the list and so win over the faces that end in them
    for contact in sorted(refined, key=lambda c: round(c.s, 5)):
        if all(np.linalg.norm(contact.point - k.point) > 0.05 for k in kept):
            kept.append(contact)
    # of two that come together the one on the tooth at +t is named first
    return sorted(kept, key=lambda c: (round(c.s, 7), -float(c.point[1])))


def _teeth_in_reach(body: ToothedRing, mill: EndMill, pose: Pose) -> range:
    """Teeth whose surfaces can be first: those about the space, widened to any that a coarse look finds sooner."""
    z = body.ring.z
    wide = min(ceil((2 * mill.R / body.r_a + body.pitch) / body.pitch) + 1, z // 2)
    near = range(-wide, wide)
    every = np.arange(z) - z // 2
    theta = body.middle(0) + every[:, None, None] * body.pitch
    half = float(body.half_angle(np.array(body.r_a)))
    rho = np.array([body.r_a, body.r_f])[:, None, None, None]
    s = infeed_field(
        body.point(rho, theta + half * np.linspace(-1, 1, 5)[:, None], np.linspace(0, body.b, 5)), mill, pose
    ).min(axis=(0, 2, 3))
    inside = np.isin(every, near)
    if inside.all() or not (~inside).any():
        return near
    if s[~inside].min() < s[inside].min() - mill.R:
        j = int(every[~inside][np.argmin(s[~inside])])
        return range(min(-wide, j - 1), max(wide, j + 2))
    return near


def _rough(patch: Patch, body: ToothedRing, mill: EndMill, pose: Pose) -> tuple[float, float, float, float]:
    """Least field on a grid fine against the cutter: value, its two parameters, the grid's spacing."""
    n = int(np.clip(ceil(max(body.b, body.ring.m_n * pi) / (mill.R / 3)), 12, 48))
    v = np.linspace(0, 1, 4 * n if patch.line else n)
    grid = (v, np.zeros_like(v)) if patch.line else tuple(np.meshgrid(v, v * v, indexing="ij"))
    s = infeed_field(patch.at(*grid), mill, pose)
    at = np.unravel_index(int(np.argmin(s)), s.shape)
    return float(s[at]), float(grid[0][at]), float(grid[1][at]), 2.0 / len(v)


def _refine(patch: Patch, rough: tuple[float, float, float, float], mill: EndMill, pose: Pose) -> Contact:
    """Close in on the least field of a patch by ever smaller grids about the best point."""
    best, v0, w0, reach = rough
    side = np.linspace(-1, 1, 17 if patch.line else 13)
    point = patch.at(np.array([v0]), np.array([w0]))[0]
    for _ in range(_ROUNDS):
        v = np.clip(v0 + reach * side, 0, 1)
        if patch.line:
            grid: tuple[Array, ...] = (v, np.zeros_like(v))
        else:
            grid = tuple(np.meshgrid(v, np.clip(w0 + reach * side, 0, 1), indexing="ij"))
        points = patch.at(*grid)
        s = infeed_field(points, mill, pose)
        at = np.unravel_index(int(np.argmin(s)), s.shape)
        if s[at] < best:
            best, v0, w0, point = float(s[at]), float(grid[0][at]), float(grid[1][at]), points[at]
        reach *= _WINDOW * 2 / (len(side) - 1) * 1.4
        if reach < 1e-10:
            break
    return Contact(best, point, patch.surface)
