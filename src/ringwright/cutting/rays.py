"""Runs of infeed during which points lie inside the pieces of a cutter that moves along a straight line.

Seen from the cutter a point of the ring moves on a straight line. It crosses planes, cylinders, cones and balls where
a linear or quadratic equation has its roots. On a torus Newton steps close in on a convex distance; begun at the sharp
outline they run up to it from outside and cannot overshoot.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.solids import Bead, Frustum, Piece, Solid

Array = NDArray[np.float64]
Run = tuple[Array, Array]
_NIL = 1e-12
_STEPS = 60
_CLOSE = 1e-11
_BLOCK = 8


@dataclass(frozen=True, slots=True)
class Rays:
    """Points seen from the cutter: height ``h - s rate`` and squared distance ``qq - 2 B s + A s^2`` from the axis."""

    h: Array
    qq: Array
    B: Array
    rate: float
    A: float

    def of(self, some: NDArray[np.intp]) -> Rays:
        """A few of them."""
        return Rays(self.h[some], self.qq[some], self.B[some], self.rate, self.A)


def seen_from(q: Array, u: Array, f: Array) -> Rays:
    """Points ``q`` relative to the tip, shape (n, 3), from a cutter of axis ``u`` moving along ``f``."""
    fu = float(u @ f)
    both = q @ np.stack([u, f], axis=1)
    h = np.ascontiguousarray(both[:, 0])
    return Rays(h, np.einsum("ni,ni->n", q, q) - h * h, both[:, 1] - h * fu, fu, max(1.0 - fu * fu, 0.0))


def solid_run(rays: Rays, solid: Solid, *, first_only: bool = False) -> Run:
    """First in and last out of a solid, (inf, -inf) where it never comes; ``first_only`` leaves the last unsaid."""
    if abs(rays.rate) < _NIL:  # no point changes its height: each meets one circle
        first, last = _quadratic(rays.A, rays.B, rays.qq - solid.radius(rays.h) ** 2)
        return _less(first, last, piece_run(rays, solid.hole)) if solid.hole is not None else (first, last)
    first = np.full(len(rays.h), np.inf)
    last = np.full(len(rays.h), -np.inf)
    hunted = _near(rays, solid) if len(solid.pieces) > 4 else None
    seen = rays if hunted is None else rays.of(hunted)
    best, end = (first, last) if hunted is None else (first[hunted], last[hunted])
    for block in _blocks(solid.pieces, rays.rate):
        met_block = _may_meet(seen, block, best if first_only else None) if len(block) > 1 else None
        some = seen if met_block is None else seen.of(met_block)
        for piece in block:
            known = best if met_block is None else best[met_block]
            a, b = piece_run(some, piece, sooner_than=known if first_only else None)
            met = a <= b
            soonest, latest = np.where(met, a, np.inf), np.where(met, b, -np.inf)
            if met_block is None:
                np.minimum(best, soonest, out=best)
                np.maximum(end, latest, out=end)
            else:
                best[met_block] = np.minimum(known, soonest)
                end[met_block] = np.maximum(end[met_block], latest)
    if hunted is not None:
        first[hunted], last[hunted] = best, end
    return _less(first, last, piece_run(rays, solid.hole)) if solid.hole is not None else (first, last)


def _blocks(pieces: tuple[Piece, ...], rate: float) -> list[tuple[Piece, ...]]:
    """Pieces one by one, tori last: those need steps only where nothing simpler comes sooner.

    A long chain of frusta goes in blocks of neighbours instead, those first that the ray comes to first.
    """
    if len(pieces) <= _BLOCK or any(isinstance(p, Bead) for p in pieces):
        return [(p,) for p in sorted(pieces, key=lambda p: isinstance(p, Bead))]
    ahead = pieces[::-1] if rate > 0 else pieces
    return [ahead[k : k + _BLOCK] for k in range(0, len(ahead), _BLOCK)]


def _may_meet(rays: Rays, block: tuple[Piece, ...], sooner_than: Array | None) -> NDArray[np.intp]:
    """Points that come into the cylinder about a block of frusta, and sooner than what is known."""
    heights = [h for p in block if isinstance(p, Frustum) for h in (p.h0, p.h1)]
    R = max(p.R for p in block)
    first, last = piece_run(rays, Frustum(min(heights), max(heights), R, R))
    meets = first <= last
    return np.flatnonzero(meets if sooner_than is None else meets & (first < sooner_than))


def _near(rays: Rays, solid: Solid) -> NDArray[np.intp]:
    """Points whose line comes within the largest radius of the axis."""
    nearest = rays.qq if rays.A < _NIL else rays.qq - rays.B * rays.B / rays.A
    return np.flatnonzero(nearest <= solid.R**2 * (1 + 1e-12))


def piece_run(rays: Rays, piece: Piece, *, sooner_than: Array | None = None) -> Run:
    """Run inside one piece, begin beyond end where none; with ``sooner_than`` later begins may be left rough."""
    if isinstance(piece, Bead):
        return _bead(rays, piece, sooner_than)
    slab = _slab(rays, piece.h0, piece.h1)
    if piece.r0 == piece.r1:
        return _both(_quadratic(rays.A, rays.B, rays.qq - piece.r0**2), slab)
    return _both(_cone(rays, piece), slab)


def _less(first: Array, last: Array, hole: Run) -> Run:
    """A run with what lies in the hole taken from its ends."""
    some = hole[0] < hole[1]
    begin = np.where(some & (hole[0] <= first) & (first < hole[1]), hole[1], first)
    end = np.where(some & (hole[0] < last) & (last <= hole[1]), hole[0], last)
    met = begin < end
    return np.where(met, begin, np.inf), np.where(met, end, -np.inf)


def _both(one: Run, two: Run) -> Run:
    return np.maximum(one[0], two[0]), np.minimum(one[1], two[1])


def _slab(rays: Rays, h0: float, h1: float) -> Run:
    """Run of s with h0 <= h - s rate <= h1."""
    if abs(rays.rate) < _NIL:
        inside = (rays.h >= h0) & (rays.h <= h1)
        return np.where(inside, -np.inf, np.inf), np.where(inside, np.inf, -np.inf)
    one, two = (rays.h - h1) / rays.rate, (rays.h - h0) / rays.rate
    return (one, two) if rays.rate > 0 else (two, one)


def _quadratic(A: float, B: Array, C: Array) -> Run:
    """Run of s with A s^2 - 2 B s + C <= 0, A >= 0; (inf, -inf) where none."""
    if A < _NIL:
        return np.where(C <= 0, -np.inf, np.inf), np.where(C <= 0, np.inf, -np.inf)
    root = np.sqrt(B * B - A * C)  # no number where there is no root: no comparison with it holds
    missed = np.isnan(root)
    root[missed] = -np.inf
    return (B - root) / A, (B + root) / A


def _cone(rays: Rays, piece: Frustum) -> Run:
    """Run inside the cone through a frustum's side, meant for use between its discs, where its radius is positive."""
    slope = (piece.r1 - piece.r0) / (piece.h1 - piece.h0)
    l0, l1 = piece.r0 + (rays.h - piece.h0) * slope, -rays.rate * slope
    A, B, C = rays.A - l1 * l1, rays.B + l0 * l1, rays.qq - l0 * l0
    if A > 1e-6:  # the other half of the double cone lies outside the discs
        return _quadratic(A, B, C)
    root = np.sqrt(np.maximum(B * B - A * C, 0.0))
    larger = B + np.copysign(root, B)
    near, far = C / np.where(larger == 0, 1.0, larger), np.where(larger == 0, 0.0, larger) / (A or 1e-300)
    if A >= 0:
        met = B * B - A * C >= 0
        return np.where(met, np.minimum(near, far), np.inf), np.where(met, np.maximum(near, far), -np.inf)
    ever = np.full_like(l0, np.inf)
    return (np.maximum(near, far), ever) if l1 > 0 else (-ever, np.minimum(near, far))


def _bead(rays: Rays, piece: Bead, sooner_than: Array | None) -> Run:
    up = rays.h - piece.h
    if piece.r == 0:
        return _quadratic(1.0, rays.B + up * rays.rate, rays.qq + up * up - piece.c**2)
    flats = _slab(rays, piece.h - piece.c, piece.h + piece.c)
    first, last = _both(_quadratic(rays.A, rays.B, rays.qq - piece.R**2), flats)
    open_ = first <= last
    if sooner_than is not None:
        open_ &= first < sooner_than
    hunted = np.flatnonzero(open_)
    begin, met = _step_in(rays.of(hunted), piece, first[hunted], 1.0)
    first[hunted] = np.where(met, begin, np.inf)
    if sooner_than is None:
        end, _ = _step_in(rays.of(hunted), piece, last[hunted], -1.0)
        last[hunted] = np.where(met, end, -np.inf)
    return first, last


def _step_in(rays: Rays, piece: Bead, s: Array, sense: float) -> tuple[Array, NDArray[np.bool_]]:
    """Newton steps from the sharp outline on to the torus; also whether there is anything to come to."""
    s = s.copy()
    met = np.ones(len(s), dtype=bool)
    left = np.flatnonzero(np.isfinite(s))
    for _ in range(_STEPS):
        if len(left) == 0:
            break
        at = s[left]
        seen = rays.of(left)
        up = seen.h - at * rays.rate - piece.h
        rho = np.sqrt(np.maximum(seen.qq + at * (rays.A * at - 2 * seen.B), 0.0))
        beyond = np.maximum(rho - piece.r, 0.0)
        away = np.hypot(beyond, up)
        open_ = away > piece.c + _CLOSE
        left, at, away, up = left[open_], at[open_], away[open_], up[open_]
        beyond, rho, B = beyond[open_], rho[open_], seen.B[open_]
        slope = (beyond * (rays.A * at - B) / np.maximum(rho, 1e-300) - up * rays.rate) / away
        gone = -sense * slope < 1e-9
        met[left[gone]] = False
        left = left[~gone]
        s[left] = (at - (away - piece.c) / slope)[~gone]
    return s, met
