"""The chip that each edge takes along the real cut, and the force that it makes.

At a place of the cutter, a point of its front surface is in the cut when it lies in the metal and was not reached
before. The chip there is f_z (n . f) thick, n the outward normal of the cutter and f its motion. Going round and
along the cutter's outline gives the force of one edge at each of its angles; the edges together, each slice behind
the one below it by the helix, give force, torque and the turning moment on the ring for each angle of the spindle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import pi, tan

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting import forces
from ringwright.cutting.cutter import Cutter
from ringwright.cutting.forces import Steel
from ringwright.cutting.lead_in import LeadIn
from ringwright.cutting.pose import Pose
from ringwright.cutting.solids import Bead, Piece, Solid, outline_distance
from ringwright.cutting.surface import RIM_MODULES, ToothedRing
from ringwright.errors import Refusal, require

Array = NDArray[np.float64]
#: Whether points (..., 3) of the frame (r, t, a) lie in metal.
Metal = Callable[[Array], NDArray[np.bool_]]
_ROUND = 180
_CORNER = 32
#: Steps along the meridian: wanted length [mm], fewest and most to a side.
_STEP, _FEW, _MANY = 0.3, 12, 60
_STAGES = 24


@dataclass(frozen=True, slots=True)
class Running:
    """How the cutter runs: edges, feed per tooth [mm], spindle [1/min], helix [rad], runout [mm].

    A right-hand cutter: clockwise as seen from the spindle. ``helix`` is positive where the chips are drawn towards
    the spindle. ``tir`` is the total indicator reading of its edges.
    """

    z: int
    f_z: float
    n: float
    helix: float = 0.0
    tir: float = 0.0

    def __post_init__(self) -> None:
        require("z", self.z, 1, 40)
        require("f_z", self.f_z, 1e-4, 2)
        require("n", self.n, 1, 100_000)
        require("helix", self.helix, -1.2, 1.2)
        require("tir", self.tir, 0, 2)


@dataclass(frozen=True, slots=True)
class Law:
    """Kienzle constants with all corrections in ``factor``; radial and axial over tangential force [-].

    The axial part comes from the helix of the side; the end's edges lie flat and have none.
    """

    steel: Steel
    factor: float
    radial: float
    axial: float = 0.0


@dataclass(frozen=True, slots=True)
class Load:
    """What the cut does at one place of the cutter; forces act on the ring, in the frame (r, t, a).

    ``peak`` [N] is the force of the spindle angle at which it is greatest, ``mean`` its mean over a turn; ``torque``
    and ``torque_peak`` [N mm] about the spindle; ``turning`` (least, mean, greatest) [N mm] about the ring's axis,
    positive towards +t; ``chip`` the thickest chip [mm], ``section`` [mm2] the metal in the way seen along the feed,
    ``arc`` [rad] the angle over which any part of the outline is in the cut, ``high`` [mm] the highest such part
    above the tip; ``unit`` [MPa] the mean over the section of k_c before corrections; ``place`` [mm] how far along the
    feed from the first place looked at.
    """

    peak: Array
    mean: Array
    torque: float
    torque_peak: float
    turning: tuple[float, float, float]
    chip: float
    section: float
    arc: float
    high: float
    unit: float
    place: float = 0.0

    def power(self, n: float) -> float:
        """Mean cutting power at a spindle speed [kW]."""
        return self.torque / 1000 * 2 * pi * n / 60_000


def outline(solid: Solid, high: float, fine: int = 1) -> tuple[Array, Array, Array]:
    """Meridian of a cutter up to ``high`` [mm]: points (rho, h), outward normals, and lengths, shapes (n, 2), (n,).

    ``fine`` times as many steps as usual.
    """
    parts = [part for piece in solid.pieces for part in _sides(piece, high, fine)]
    at, normal, length = (np.concatenate(column) for column in zip(*parts, strict=True))
    outside = at + 1e-6 * solid.R * normal
    bare = np.ones(len(at), dtype=bool)
    for piece in solid.pieces:
        bare &= outline_distance(piece, outside[:, 1], outside[:, 0]) > 0
    if solid.hole is not None:
        bare &= at[:, 0] > solid.hole.R
    return at[bare], normal[bare], length[bare]


def _sides(piece: Piece, high: float, fine: int) -> list[tuple[Array, Array, Array]]:
    """Pieces of the meridian of one solid: end discs, side, rounding."""
    if isinstance(piece, Bead):
        found = [_line((0.0, h), (piece.r, h), fine) for h in (piece.h - piece.c, piece.h + piece.c) if piece.r > 0]
        turn = pi * ((np.arange(_CORNER * fine) + 0.5) / (_CORNER * fine) - 0.5)
        normal = np.c_[np.cos(turn), np.sin(turn)]
        round_ = np.array([piece.r, piece.h]) + piece.c * normal
        arc = (round_, normal, np.full(len(turn), piece.c * pi / len(turn)))
        found = [(at, np.c_[0 * at[:, 0], np.sign(at[:, 1] - piece.h)], ds) for at, _n, ds in found]
        return [*found, arc]
    top = min(piece.h1, high)
    if top <= piece.h0:
        return []
    share = 0.0 if piece.r0 == piece.r1 else (top - piece.h0) / (piece.h1 - piece.h0)
    r_top = piece.r0 + share * (piece.r1 - piece.r0)
    found = [_line((piece.r0, piece.h0), (r_top, top), fine)]
    if piece.r0 > 0:
        at, _n, ds = _line((0.0, piece.h0), (piece.r0, piece.h0), fine)
        found.append((at, np.c_[0 * ds, 0 * ds - 1], ds))
    if top == piece.h1 and piece.r1 > 0:
        at, _n, ds = _line((0.0, top), (piece.r1, top), fine)
        found.append((at, np.c_[0 * ds, 0 * ds + 1], ds))
    return found


def _line(one: tuple[float, float], two: tuple[float, float], fine: int) -> tuple[Array, Array, Array]:
    """Middles of short steps along a straight side going up, its normal to the right of the way, and their lengths."""
    start, way = np.array(one), np.array(two) - np.array(one)
    length = float(np.hypot(*way))
    n = fine * int(min(max(length / _STEP, _FEW), _MANY))
    at = start + ((np.arange(n) + 0.5) / n)[:, None] * way
    normal = np.array([way[1], -way[0]]) / length
    return at, np.broadcast_to(normal, at.shape), np.full(n, length / n)


def ring_metal(body: ToothedRing, gone: Metal | None = None) -> Metal:
    """The sound ring as a test of points, less what ``gone`` says was cut before."""
    s, depth = body.ring.s, min(RIM_MODULES * body.ring.m_n, 0.9 * body.r_f)

    def inside(p: Array) -> NDArray[np.bool_]:
        rho, a = np.hypot(p[..., 0], p[..., 1]), p[..., 2]
        turn = (np.arctan2(p[..., 1], p[..., 0]) - body.twist * a) / body.pitch
        off = np.abs(turn - np.floor(turn) - 0.5) * body.pitch
        tooth = (s * (rho - body.r_a) <= 0) & (s * (rho - body.r_f) >= 0)
        here = tooth & (off <= body.half_angle(np.where(tooth, rho, body.r)))
        here |= (s * (rho - body.r_f) < 0) & (s * (rho - body.r_f) >= -depth)
        here &= (a >= 0) & (a <= body.b)
        return here if gone is None else here & ~gone(p)

    return inside


def cut_before(at: LeadIn, infeed: float) -> Metal:
    """What the same cut of ``infeed`` [mm] took in the space before, the one at -t."""
    cos_, sin_ = np.cos(at.body.pitch), np.sin(at.body.pitch)

    def gone(p: Array) -> NDArray[np.bool_]:
        r, t = p[..., 0], p[..., 1]
        turned = np.stack([cos_ * r - sin_ * t, sin_ * r + cos_ * t, p[..., 2]], axis=-1)
        return np.asarray(at.field(turned) <= infeed)

    return gone


def load(
    metal: Metal, mill: Cutter, pose: Pose, tip: Array, running: Running, law: Law, high: float, fine: int = 1
) -> Load | None:
    """Force, torque and moment with the cutter's tip at a place; None when nothing is in the cut.

    Parameters
    ----------
    metal : callable
        Whether points lie in metal
    mill, pose
        Cutter and directions; the tip of the pose is not used
    tip : array, shape (3,)
        Centre of the end face [mm]
    running, law
        How it runs and what the steel asks
    high : float
        How far up the outline metal is looked for [mm]
    fine : int
        Times as many steps along the outline and round it as usual
    """
    at, normal, length = outline(mill.solid, high, fine)
    count = running.z * max(2, round(fine * _ROUND / running.z))
    phi = 2 * pi * np.arange(count) / count
    one, two = _across(pose)
    out = np.cos(phi)[:, None] * one + np.sin(phi)[:, None] * two
    points = tip + at[:, 0, None, None] * out + at[:, 1, None, None] * pose.u
    n = normal[:, 0, None, None] * out + normal[:, 1, None, None] * pose.u
    ahead = n @ pose.f
    cut = (ahead > 1e-9) & metal(points)
    if not cut.any():
        return None
    share = np.where(cut, ahead, 0.0)
    along = -np.cross(pose.u, out)  # clockwise as seen from the spindle
    lag = np.round(at[:, 1] * tan(running.helix) / mill.R * count / (2 * pi)).astype(int)

    def edge(f_z: float) -> Array:
        """Force (3), moment about the ring's axis and torque of one edge at each angle; shape (count, 5)."""
        thick = f_z * share
        F_c = forces.unit_force(law.steel, thick) * thick * length[:, None] * law.factor
        F = F_c[..., None] * (along + law.radial * n + law.axial * normal[:, 0, None, None] * pose.u)
        turning = points[..., 0] * F[..., 1] - points[..., 1] * F[..., 0]
        every = np.concatenate([F, turning[..., None], (F_c * at[:, 0, None])[..., None]], axis=-1)
        return np.asarray(sum(np.roll(every[i], -lag[i], axis=0) for i in range(len(at))))

    lone = edge(running.f_z)
    total = np.tile(lone.reshape(running.z, -1, 5).sum(axis=0), (running.z, 1))
    mean = total.mean(axis=0)
    if running.tir > 0:
        total = total + edge(running.f_z + running.tir) - lone
    strongest = int(np.argmax(np.linalg.norm(total[:, :3], axis=1)))
    area = length[:, None] * at[:, 0, None] * (2 * pi / count) * share
    unit = forces.unit_force(law.steel, running.f_z * share)
    return Load(
        peak=total[strongest, :3],
        mean=mean[:3],
        torque=float(mean[4]),
        torque_peak=float(total[:, 4].max()),
        turning=(float(total[:, 3].min()), float(mean[3]), float(total[:, 3].max())),
        chip=float((running.f_z + running.tir) * share.max()),
        section=float(area.sum()),
        arc=float(cut.any(axis=0).sum() * 2 * pi / count),
        high=float(at[cut.any(axis=1), 1].max()),
        unit=float((unit * area).sum() / area.sum()) if area.any() else 0.0,
    )


def _across(pose: Pose) -> tuple[Array, Array]:
    """Two unit vectors square to the tool axis, the first towards the feed where it has such a part."""
    side = pose.f - float(pose.f @ pose.u) * pose.u
    if float(np.linalg.norm(side)) < 1e-6:
        side = np.cross(pose.u, [0.0, 0.0, 1.0] if abs(pose.u[2]) < 0.9 else [1.0, 0.0, 0.0])
    one = side / np.linalg.norm(side)
    return one, np.cross(pose.u, one)


def places(at: LeadIn, infeed: float) -> tuple[Array, Array]:
    """Places of the tip along the cut to look at, and how far each is along the feed; shapes (k, 3), (k,)."""
    if at.pose.d is None:
        way = infeed * np.arange(1, _STAGES + 1) / _STAGES
        return at.tip_at_touch_off + way[:, None] * at.pose.f, way
    start = at.tip_at_touch_off + infeed * at.pose.d
    middle = np.array([at.body.r, 0.0, min(at.body.b, 2 * at.mill.R) / 2])
    half = 2 * at.mill.R + abs(at.body.r_a - at.body.r_f) + min(at.body.b, 2 * at.mill.R) * abs(float(at.pose.f[2]))
    way = float((middle - start) @ at.pose.f) + half * np.linspace(-1, 1, 2 * _STAGES + 1)
    return start + way[:, None] * at.pose.f, way - way[0]


def heaviest(at: LeadIn, infeed: float, running: Running, law: Law, *, neighbour_cut: bool = True) -> tuple[Load, Load]:
    """The loads where the peak force, and where the mean torque, is greatest along the whole cut.

    Parameters
    ----------
    at : LeadIn
        Ring, cutter and pose, touched off
    infeed : float
        From touch-off [mm], above 0
    running, law
        How the cutter runs and what the steel asks
    neighbour_cut : bool
        Whether the space before, at -t, has had the same cut

    Raises
    ------
    Refusal
        ``nothing_cut``: the cutter passes no metal.
    """
    require("infeed", infeed, 1e-6, 5000)
    metal = ring_metal(at.body, cut_before(at, infeed) if neighbour_cut else None)
    tips, way = places(at, infeed)
    found = [load(metal, at.mill, at.pose, tip, running, law, 12 * at.mill.R) for tip in tips]
    rough = [(k, one) for k, one in enumerate(found) if one is not None]
    if not rough:
        raise Refusal("nothing_cut", "infeed", infeed)

    def closely(k: int, one: Load) -> Load:
        fine = load(metal, at.mill, at.pose, tips[k], running, law, 1.02 * one.high + 0.1 * at.mill.R, fine=3)
        return replace(one if fine is None else fine, place=float(way[k]))

    strong = max(rough, key=lambda r: float(np.linalg.norm(r[1].peak)))
    heavy = max(rough, key=lambda r: r[1].torque)
    force = closely(*strong)
    return force, force if heavy[0] == strong[0] else closely(*heavy)
