"""The tooth surfaces that a cutter can meet, as patches over the unit square, in the frame of the worked space.

Sound and uncut: involute flanks, root as the rack generates it, of an internal ring as the usual pinion-shaped cutter
does, round tip lands, sharp ends; teeth as they are stand in ``as_it_is``. Teeth lie at (j + 1/2) pitches from the
middle of the space, j = 0 the tooth at +t, j = -1 the one at -t.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import pi, tan

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal, require
from ringwright.gears.ring import RingGeometry, form_diameter, is_undercut, trochoid, undercut_psi
from ringwright.gears.root import generated_root

Array = NDArray[np.float64]
#: Rim below the roots taken as metal when first contact is looked for, in modules (our choice, noted to the user).
RIM_MODULES = 2.0


@dataclass(frozen=True)
class ToothedRing:
    """A sound ring of face width ``b`` [mm] placed in the frame."""

    ring: RingGeometry
    b: float
    _root: tuple[Array, Array] = field(init=False, repr=False)
    _r_b: float = field(init=False, repr=False)
    _at_base: float = field(init=False, repr=False)

    def __post_init__(self) -> None:
        require("b", self.b, 0.01, 5000)
        object.__setattr__(self, "_root", self._fillet())
        ring = self.ring
        object.__setattr__(self, "_r_b", ring.d_b / 2)
        object.__setattr__(self, "_at_base", ring.s_t / ring.d + ring.s * (tan(ring.alpha_t) - ring.alpha_t))
        half_tip = float(self.half_angle(np.array(self.r_a)))
        if half_tip <= 0:
            raise Refusal("tooth_pointed", "d_a", self.ring.d_a)
        if not 0 < float(self.half_angle(np.array(self.r_f))) < pi / self.ring.z + 1e-9:
            raise Refusal("no_space_at_root", "d_f", self.ring.d_f)

    @property
    def r(self) -> float:
        """Reference radius [mm]."""
        return self.ring.d / 2

    @property
    def r_a(self) -> float:
        """Tip radius [mm]."""
        return self.ring.d_a / 2

    @property
    def r_f(self) -> float:
        """Root radius [mm]."""
        return self.ring.d_f / 2

    @property
    def pitch(self) -> float:
        """Angle from tooth to tooth [rad]."""
        return 2 * pi / self.ring.z

    @property
    def r_form(self) -> float:
        """Radius of the root end of the involute [mm]."""
        if self.ring.kind == "internal":
            radius, _angle = self._root
            return float(min(max(radius[0], self.r_a), self.r_f)) if len(radius) else self.r_f
        return float(min(max(form_diameter(self.ring) / 2, self.r_f), self.r_a))

    @property
    def has_fillet(self) -> bool:
        """Whether the root is a generated one; else the involute goes on to the root circle."""
        return len(self._root[0]) > 0

    @property
    def twist(self) -> float:
        """Turn of the teeth per mm of a [rad/mm]; a right-hand helix goes clockwise as it recedes, towards +t."""
        return tan(self.ring.beta) / self.r

    def _fillet(self) -> tuple[Array, Array]:
        """Radii and half tooth angles of the generated root, radius rising; empty where no usual cutter makes it."""
        if self.ring.kind == "internal":
            return self._shaped_fillet()
        top = undercut_psi(self.ring) if is_undercut(self.ring) else pi / 2 - self.ring.alpha_t
        radius, from_space = trochoid(self.ring, top * np.linspace(0, 1, 1500) ** 1.5)
        return radius, pi / self.ring.z - from_space

    def _shaped_fillet(self) -> tuple[Array, Array]:
        """The root of an internal ring, from the end of the involute out to the root circle."""
        try:
            root = generated_root(self.ring)
        except Refusal:  # the involute goes on to the root circle
            return np.empty(0), np.empty(0)
        radius, from_space = root.curve(root.end * np.linspace(1, 0, 1500) ** 1.5)
        return radius, pi / self.ring.z - from_space

    def half_angle(self, rho: Array) -> Array:
        """Half the tooth's angle at radius ``rho`` [mm] -> [rad], same shape."""
        rho = np.asarray(rho, dtype=float)
        # inv alpha_y = tan - arc of tan, with tan alpha_y = sqrt((r_y / r_b)^2 - 1); straight inside the base circle
        tan_y = np.sqrt(np.maximum((rho / self._r_b) ** 2 - 1, 0.0))
        half = self._at_base - self.ring.s * (tan_y - np.arctan(tan_y))
        radius, angle = self._root
        if len(radius) and radius[-1] > radius[0]:
            in_root = rho < radius[-1] if self.ring.s > 0 else rho > radius[0]
            half = np.where(in_root, np.interp(rho, radius, angle), half)
        return np.asarray(half)

    def point(self, rho: Array, theta: Array, a: Array) -> Array:
        """Cylinder coordinates, theta taken at the entry face and carried along the helix -> (..., 3)."""
        turned = theta + self.twist * a if self.twist else theta  # sines of as few angles as there are
        out = np.empty((*np.broadcast_shapes(np.shape(rho), np.shape(theta), np.shape(a)), 3))
        out[..., 0], out[..., 1], out[..., 2] = rho * np.cos(turned), rho * np.sin(turned), a
        return out

    def middle(self, j: int) -> float:
        """Angle of the middle of tooth j at the entry face [rad]."""
        return (j + 0.5) * self.pitch

    def flank(self, j: int, side: int, rho: Array, a: Array) -> Array:
        """Points on a flank of tooth j; side +1 faces +t, -1 faces -t."""
        return self.point(rho, self.middle(j) + side * self.half_angle(rho), a)

    def tooth_patches(self, j: int, lost: Lost) -> list[Patch]:
        """Surfaces of tooth j and of the space behind it (towards +t)."""
        return _tooth(self, j, lost)


@dataclass(frozen=True)
class Patch:
    """A piece of surface: ``at(v, w)`` maps the unit square (a line when ``line``) to points (..., 3)."""

    surface: str
    at: Callable[[Array, Array], Array]
    line: bool = False


@dataclass(frozen=True, slots=True)
class Lost:
    """Corners lost by the touched edges, leg of the 45 degree bevel [mm]: flank, tip land and tip corner edges."""

    flank_edge: float = 0.0
    tip_edge: float = 0.0
    tip_line: float = 0.0


def patches(body: ToothedRing, teeth: Iterable[int], lost: Lost | None = None) -> list[Patch]:
    """All patches of the given teeth and of the space behind each (towards +t), edges first."""
    lost = lost or Lost()
    out: list[Patch] = []
    for j in teeth:
        out += body.tooth_patches(j, lost)
    return sorted(out, key=lambda p: not p.line)


def _tooth(body: ToothedRing, j: int, lost: Lost) -> list[Patch]:
    r_a, r_f, b, mid = body.r_a, body.r_f, body.b, body.middle(j)
    out_ = body.ring.s  # +1: the tip lies outside
    half_tip = float(body.half_angle(np.array(r_a)))
    out: list[Patch] = []

    def top(a: Array) -> Array:
        """Radius up to which the flank stands at depth a."""
        gone = np.maximum(np.maximum(0.0, lost.tip_edge - a), lost.tip_line)
        return np.asarray(r_a - out_ * gone)

    def inset(a: Array) -> Array:
        """How far the flank's edge has gone back into the tooth at depth a."""
        return np.maximum(0.0, lost.flank_edge - a)

    def flank(side: int) -> Callable[[Array, Array], Array]:
        def at(v: Array, w: Array) -> Array:
            a = lost.flank_edge + w * (b - lost.flank_edge)
            return body.flank(j, side, r_f + v * (top(a) - r_f), a)

        return at

    def bevel(side: int) -> Callable[[Array, Array], Array]:
        def at(v: Array, w: Array) -> Array:
            a = w * lost.flank_edge
            rho = r_f + v * (top(a) - r_f)
            return set_back(body, j, side, rho, a, inset(a))

        return at

    for side in (-1, 1):
        face = bevel(side) if lost.flank_edge else flank(side)
        out.append(Patch("flank_edge", _along(face, 0.0), line=True))
        if lost.flank_edge:
            out.append(Patch("bevel", face))
            out.append(Patch("bevel", _along(face, 1.0), line=True))
        out.append(Patch("flank", flank(side)))
        out.append(Patch("tip_line", _down(flank(side)), line=True))

    def land(v: Array, w: Array) -> Array:
        a = lost.tip_edge + w * (b - lost.tip_edge)
        half = half_tip - (inset(a) + lost.tip_line) / r_a
        return body.point(np.array(r_a), mid + (2 * v - 1) * np.maximum(half, 0.0), a)

    def tip_bevel(v: Array, w: Array) -> Array:
        a = w * lost.tip_edge
        rho = np.asarray(top(a))
        return body.point(rho, mid + (2 * v - 1) * (body.half_angle(rho) - inset(a) / rho), a)

    tip_end = tip_bevel if lost.tip_edge else land
    out.append(Patch("tip_edge", _along(tip_end, 0.0), line=True))
    out.append(Patch("tip_land", land))
    if lost.tip_edge:
        out += [Patch("bevel", tip_bevel), Patch("bevel", _along(tip_bevel, 1.0), line=True)]

    def end_face(v: Array, w: Array) -> Array:
        rho = r_f + v * (top(np.array(0.0)) - r_f)
        one, two = (set_back(body, j, side, rho, 0 * rho, lost.flank_edge + 0 * rho) for side in (-1, 1))
        return np.asarray(one + (two - one) * w[..., None])

    half_root = float(body.half_angle(np.array(r_f)))

    def root(v: Array, w: Array) -> Array:
        return body.point(np.array(r_f), mid + half_root + v * (body.pitch - 2 * half_root), w * b)

    depth = min(RIM_MODULES * body.ring.m_n, 0.9 * r_f)

    def rim(v: Array, w: Array) -> Array:
        return body.point(r_f - out_ * depth * w, mid + v * body.pitch, 0 * v)

    out.append(Patch("end_face", end_face))
    out.append(Patch("root_edge", _along(root, 0.0), line=True))
    out.append(Patch("root", root))
    out.append(Patch("rim_face", rim))
    return out


def _along(at: Callable[[Array, Array], Array], w: float) -> Callable[[Array, Array], Array]:
    """The line of a patch where the second parameter is ``w``."""
    return lambda v, _w: at(v, 0 * v + w)


def _down(at: Callable[[Array, Array], Array]) -> Callable[[Array, Array], Array]:
    """The line of a patch where the first parameter is 1."""
    return lambda v, _w: at(0 * v + 1, v)


def set_back(body: ToothedRing, j: int, side: int, rho: Array, a: Array, by: Array) -> Array:
    """Flank points moved square to the outline into the tooth by ``by`` [mm], in the transverse plane."""
    step = 1e-4 * body.ring.m_n
    here = body.flank(j, side, rho, a)
    if not np.any(by):
        return here
    along = body.flank(j, side, rho + step, a) - body.flank(j, side, rho - step, a)
    along /= np.linalg.norm(along, axis=-1, keepdims=True)
    # the outline turned a quarter towards the tooth: for the flank facing +t that is against +t
    into = np.stack([along[..., 1], -along[..., 0], 0 * along[..., 0]], axis=-1) * side
    return np.asarray(here + into * np.asarray(by)[..., None])
