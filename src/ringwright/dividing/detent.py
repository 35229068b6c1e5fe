"""A detent in a tooth space of the real ring: where it touches, how deep it goes, what holds it and what does not.

Frame: ring axis at the origin, the detent slides along +y, towards the axis in an external ring, away from it in an
internal one; its nose stands at (0, Y). Side "plus" (+1) is at +x. Spur rings, one transverse plane; a ball and a pin
of the same diameter seat alike there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import acos, asin, atan2, cos, hypot, inf, pi, sin, sqrt, tan

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal, require
from ringwright.gears.ring import RingGeometry
from ringwright.gears.root import generated_root

Array = NDArray[np.float64]
#: A piece of the space's right side: radius [mm] and angle from the middle of the space [rad] for places 0 to 1.
Piece = tuple[str, Callable[[Array], tuple[Array, Array]]]

#: First and later samples of a piece, and how often the neighbourhood of the best one is looked at again.
_FIRST, _AGAIN, _ZOOMS = 801, 41, 9


@dataclass(frozen=True, slots=True)
class Round:
    """A ball or a pin lying along the tooth, diameter D [mm]."""

    D: float

    def __post_init__(self) -> None:
        require("D", self.D, 0.05, 1000)

    def rise(self, x: Array) -> Array:
        """Height above the nose at which the shape is ``x`` wide to one side [mm]; inf where it never is."""
        inside = np.maximum(self.D**2 / 4 - x**2, 0.0)
        return np.asarray(np.where(x <= self.D / 2, self.D / 2 - np.sqrt(inside), inf))

    def edge(self, r: Array, Y: float, s: int) -> Array:
        """Angle at which the shape's side lies at radius r [mm] -> [rad]; -inf where it has none."""
        c = Y + s * self.D / 2
        to = (r**2 + c**2 - self.D**2 / 4) / (2 * r * c)
        return np.asarray(np.where(np.abs(to) <= 1, np.arccos(np.clip(to, -1, 1)), -inf))


@dataclass(frozen=True, slots=True)
class Wedge:
    """Straight flanks at ``half`` [rad] to the slide, a flat ``nose`` wide in front, at most ``body`` wide [mm]."""

    half: float
    nose: float = 0.0
    body: float = inf

    def __post_init__(self) -> None:
        require("half", self.half, 0.0, 1.4)
        require("nose", self.nose, 0, 1000)
        if self.body <= self.nose:
            raise Refusal("body_within_nose", "body", self.body, self.nose, 1000)

    def rise(self, x: Array) -> Array:
        """As `Round.rise`."""
        beyond = np.maximum(x - self.nose / 2, 0.0)
        up = np.where(beyond > 0, beyond / max(tan(self.half), 1e-12), 0.0)
        return np.asarray(np.where(x <= self.body / 2, up, inf))

    def edge(self, r: Array, Y: float, s: int) -> Array:
        """As `Round.edge`; the side runs on beyond ``body``."""
        to = cos(self.half) * (self.nose / 2 - s * Y * tan(self.half)) / r
        found = s * self.half + np.arcsin(np.clip(to, -1, 1))
        deep = s * (r * np.cos(found) - Y) >= -1e-9
        return np.asarray(np.where((np.abs(to) <= 1) & deep, found, -inf))


Shape = Round | Wedge


@dataclass(frozen=True, slots=True)
class Space:
    """The right side of a tooth space, widened by wear ``w`` [mm] normal to its flank; the left one is its mirror."""

    ring: RingGeometry
    w: float = 0.0

    def __post_init__(self) -> None:
        if self.ring.beta != 0:
            raise Refusal("spur_only_here", "beta", self.ring.beta)
        require("w", self.w, 0, self.ring.m_n)

    @property
    def r_b(self) -> float:
        """Base radius [mm]."""
        return self.ring.d_b / 2

    def angle(self, r: Array) -> Array:
        """Angle of the worn flank from the middle of the space [rad]: wear turns an involute about the axis."""
        return np.asarray(pi / self.ring.z - self.ring.s_y(2 * r) / (2 * r) + self.w / self.r_b)

    def flank_ends(self) -> tuple[float, float]:
        """Radii at which the involute begins near the root and ends near the tip [mm]."""
        ring, root = self.ring, generated_root(self.ring)
        low = max(root.d_Ff, ring.d_b) if ring.s > 0 else root.d_Ff
        high = ring.d_Fa if ring.s > 0 else max(ring.d_Fa, ring.d_b)
        if ring.s * (high - low) <= 0:
            raise Refusal("no_flank", "d_a", ring.d_a, low)
        return low / 2, high / 2

    def pieces(self) -> tuple[Piece, ...]:
        """From the middle of the root to the middle of the tip land."""
        ring, root = self.ring, generated_root(self.ring)
        low, high = self.flank_ends()
        r_a, r_f = ring.d_a / 2, ring.d_f / 2
        foot = float(root.curve(np.zeros(1))[1][0])
        roll = np.sqrt(np.maximum((np.array([low, high]) / self.r_b) ** 2 - 1, 0.0))

        def flank(t: Array) -> tuple[Array, Array]:
            r = self.r_b * np.hypot(1, roll[0] + (roll[1] - roll[0]) * t)
            return r, self.angle(r)

        corner = float(self.angle(np.array([high]))[0])
        land = min(corner + ring.h_K / r_a, pi / ring.z)
        if corner >= pi / ring.z:
            raise Refusal("tooth_pointed", "d_a", ring.d_a)
        return (
            ("root", lambda t: (np.full_like(t, r_f), foot * t)),
            ("fillet", lambda t: root.curve(root.end * t)),
            ("flank", flank),
            ("tips", lambda t: (high + (r_a - high) * t, corner + (land - corner) * t)),
            ("tips", lambda t: (np.full_like(t, r_a), land + (pi / ring.z - land) * t)),
        )


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a detent sits.

    ``touches``: "flank" (both, when the detent is centred by them), "fillet", "root", "tips". ``Y`` nose radius, ``r``
    radius of the contact, ``x``, ``y`` the contact [mm]; ``slope`` [rad] of the surfaces there against the slide;
    ``arm`` [mm] lever of the contact's push about the ring's axis; ``turn`` [rad] by which the ring is turned to the
    seat (pawl only); ``on_nose`` whether the contact lies on a corner of the detent's nose.
    """

    touches: str
    Y: float
    r: float
    x: float
    y: float
    slope: float
    arm: float
    turn: float = 0.0
    on_nose: bool = False


def _best(piece: Callable[[Array], Array]) -> tuple[float, float]:
    """Place 0 to 1 and size of the largest value along a piece: the neighbourhood of the best sample, ever finer."""
    low, high, count = 0.0, 1.0, _FIRST
    for _zoom in range(_ZOOMS):
        t = np.linspace(low, high, count)
        at = int(np.argmax(piece(t)))
        step = (high - low) / (count - 1)
        low, high, count = max(0.0, t[at] - step), min(1.0, t[at] + step), _AGAIN
    return float(t[at]), float(piece(t[at : at + 1])[0])


def seat(space: Space, shape: Shape) -> Seat:
    """Push a detent straight into a space whose sides are alike until it touches; exact but for the last bits.

    The nose stops at s Y = max over the outline of (s y - rise(x)), s = +1 external, -1 internal: whatever reaches
    the detent first, flank, fillet, root or tip.
    """
    s = space.ring.s
    found = []
    for name, place in space.pieces():

        def stop(t: Array, place: Callable[[Array], tuple[Array, Array]] = place) -> Array:
            r, a = place(t)
            return np.asarray(s * r * np.cos(a) - shape.rise(np.abs(r * np.sin(a))))

        t, value = _best(stop)
        found.append((value, name, place, t))
    value, name, place, t = max(found, key=lambda item: item[0])
    if name == "flank" and t > 1 - 1e-7:
        name = "tips"
    r, a = (float(v[0]) for v in place(np.array([t])))
    x, y = r * sin(a), r * cos(a)
    slope = _slope(space, shape, name, r, a, x)
    on_nose = isinstance(shape, Wedge) and abs(x - shape.nose / 2) < 1e-6 and name == "flank"
    return Seat(name, s * value, r, x, y, slope, _arm(space, x, y, slope, name), 0.0, on_nose)


def _slope(space: Space, shape: Shape, name: str, r: float, a: float, x: float) -> float:
    if name == "flank":
        return acos(min(1.0, space.r_b / r)) + space.ring.s * a
    if isinstance(shape, Round):
        return acos(min(1.0, 2 * x / shape.D))
    return shape.half if x > shape.nose / 2 + 1e-9 else pi / 2


def _arm(space: Space, x: float, y: float, slope: float, name: str) -> float:
    """Lever of the contact's push about the ring's axis [mm]: the base radius on an involute."""
    return space.r_b if name == "flank" else y * cos(slope) + space.ring.s * x * sin(slope)


def seat_pawl(space: Space, face: Wedge, Y: float) -> Seat:
    """Turn the ring against the face of a pawl that stands with its nose at Y [mm], until its plus flank touches.

    The flank at angle a(r) comes to the face at angle edge(r): the ring is turned by the largest edge(r) - a(r).
    """
    found = []
    for name, place in space.pieces():
        if name == "root":
            continue

        def turn(t: Array, place: Callable[[Array], tuple[Array, Array]] = place) -> Array:
            r, a = place(t)
            return np.asarray(face.edge(r, Y, space.ring.s) - a)

        t, value = _best(turn)
        found.append((value, name, place, t))
    value, name, place, t = max(found, key=lambda item: item[0])
    if not np.isfinite(value):
        raise Refusal("pawl_meets_no_flank", "Y", Y)
    if name == "flank" and t > 1 - 1e-7:
        name = "tips"
    r, a = (float(v[0]) for v in place(np.array([t])))
    x, y = r * sin(a + value), r * cos(a + value)
    slope = acos(min(1.0, space.r_b / r)) + space.ring.s * (a + value) if name == "flank" else face.half
    corner = hypot(face.nose / 2, Y)
    return Seat(name, Y, r, x, y, slope, _arm(space, x, y, slope, name), value, abs(r - corner) < 1e-6)


def looseness(space: Space, shape: Shape, at: Seat) -> float:
    """How far the ring can be turned to one side while the detent stands there: 0 when both flanks hold it [rad]."""
    sides = [place for name, place in space.pieces() if name in ("fillet", "flank")]

    def over(t: Array, place: Callable[[Array], tuple[Array, Array]]) -> Array:
        r, a = place(t)
        return np.asarray(shape.edge(r, at.Y, space.ring.s) - a)

    room = -max(_best(lambda t, place=place: over(t, place))[1] for place in sides)  # type: ignore[misc]
    return max(0.0, room) if np.isfinite(room) else inf


def middle_radius(space: Space) -> float:
    """Radius halfway up the involute: where a detent should touch [mm]."""
    return sum(space.flank_ends()) / 2


def best_round(space: Space) -> float:
    """Diameter of the ball or pin that touches halfway up the flanks [mm], from the involute in closed form.

    With the contact's roll known, the centre lies on the same normal where it meets the slide: in an external ring
    outside the contact, in an internal one inside.

    >>> space = Space(RingGeometry("external", 127, 5.0))
    >>> seat(space, Round(best_round(space))).r - middle_radius(space)
    0.0000
    """
    r, s = middle_radius(space), space.ring.s
    alpha = acos(space.r_b / r)
    a = float(space.angle(np.array([r]))[0])
    # the contact's normal stands at alpha + s a to the line across the slide
    return 2 * r * sin(a) / cos(alpha + s * a)


def best_wedge(space: Space) -> float | None:
    """Half angle of the wedge whose straight flanks touch halfway up an external ring's flanks [rad].

    None for an internal ring: its flanks are hollow to a straight edge, which can only bear on its own corners or on
    the ring's tips.
    """
    if space.ring.s < 0:
        return None
    r = middle_radius(space)
    return acos(space.r_b / r) + float(space.angle(np.array([r]))[0])


def best_nose(space: Space, half: float, clear: float = 0.25) -> float:
    """Width of the flat that a wedge's nose needs to stay ``clear`` modules off the root while its flanks bear [mm].

    The flat is cut from the wedge that touches with this half angle [rad]; 0 where even a sharp nose stays clear.
    """
    ring = space.ring
    sharp = seat(space, Wedge(half, 0.0))
    low, high = space.flank_ends()
    r = min(max(sharp.r, min(low, high)), max(low, high)) if sharp.touches == "flank" else middle_radius(space)
    a = float(space.angle(np.array([r]))[0])
    deep = ring.s * (r * cos(a) - ring.d_f / 2) - clear * ring.m_n
    return max(0.0, 2 * (r * sin(a) - deep * tan(half)))


def best_face(space: Space, Y: float, nose: float = 0.0) -> float | None:
    """Face angle of a pawl, nose at Y [mm], that touches halfway up an external flank [rad]; None if none does.

    The contact's normal is tangent to the base circle, so the roll L = sqrt(r^2 - r_b^2) is the distance of the axis
    from the normal's other side: Y sin(face) - nose/2 cos(face) = L.
    """
    if space.ring.s < 0:
        return None
    r, reach = middle_radius(space), hypot(Y, nose / 2)
    roll = sqrt(max(0.0, r**2 - space.r_b**2))
    if roll >= reach:
        return None
    face = atan2(nose / 2, Y) + asin(roll / reach)
    return face if 0 <= face <= 1.4 and abs(seat_pawl(space, Wedge(face, nose), Y).r - r) < 1e-3 * r else None


def worn_shift(w: float, slope: float) -> float:
    """What a centring detent is pushed aside by a flank worn by w [mm] normal to itself, w / (2 cos slope) [mm].

    ``slope`` [rad] of the contact against the slide. Own derivation.

    >>> worn_shift(0.1, np.radians(20))
    0.0532
    """
    return w / (2 * cos(slope))


def worn_drop(w: float, slope: float) -> float:
    """How much deeper the same detent goes, w / (2 sin slope) [mm].

    >>> worn_drop(0.1, np.radians(20))
    0.1462
    """
    return w / (2 * sin(slope))


def pawl_shift(w: float, slope: float) -> float:
    """What a one-sided pawl that bears on the worn flank is out by, w / cos slope [mm]; 0 on the sound flank.

    >>> pawl_shift(0.1, np.radians(20))
    0.1064
    """
    return w / cos(slope)


def centre_radius(z: int, m: float, alpha: float, D: float) -> float:
    """Radius of the centre of a ball in a space of a standard external ring with s = pi m / 2 [mm].

    >>> centre_radius(100, 4, np.radians(20), 7.0)
    201.5573
    """
    at = seat(Space(RingGeometry("external", z, m, alpha)), Round(D))
    return at.Y + D / 2
