"""How the cutter stands to the ring and which way it moves, in the frame (r, t, a) of the space being worked.

r points outward through the middle of the space, a into the face width, and r x t = a; the origin lies on the ring's
axis at the entry face. Machine words (X right, Y away from the operator, Z up) are turned into this frame here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import Refusal

Vector = NDArray[np.float64]
_AXES = {"x": 0, "y": 1, "z": 2}
_SLIDES = {"table": 0, "saddle": 1, "knee": 2}
#: Sine of the least angle between two directions that are to count as different.
_PARALLEL = 1e-6


@dataclass(frozen=True, slots=True)
class Pose:
    """Cutter pose in the frame of the space.

    ``u`` unit vector from the tip towards the spindle; ``f`` unit vector of the cutter's motion against the ring;
    ``tip`` [mm] any point on the path of the centre of the end face; ``d`` unit vector of the axis that is set and
    locked, the pass along ``f`` then being complete, or None; ``nod_about`` unit vector of the head's nod.
    """

    u: Vector
    f: Vector
    tip: Vector
    d: Vector | None
    nod_about: Vector

    @property
    def infeed(self) -> Vector:
        """Direction along which the infeed is counted, shape (3,)."""
        return self.f if self.d is None else self.d

    def moved(self, by: Vector) -> Pose:
        """The same pose with its path shifted by a vector [mm]."""
        return replace(self, tip=self.tip + by)

    def nodded(self, angle: float) -> Pose:
        """The same pose with the tool axis turned about the nod axis, through the tip [rad]."""
        return replace(self, u=turned(self.u, self.nod_about, angle))


def unit(symbol: str, vector: ArrayLike) -> Vector:
    """A direction made unit length, shape (3,).

    Raises
    ------
    Refusal
        ``zero_vector``: it has no length and so no direction.
    """
    v = np.asarray(vector, dtype=float)
    length = float(np.linalg.norm(v))
    if not 1e-9 < length < 1e9:
        raise Refusal("zero_vector", symbol)
    return v / length


def turned(v: Vector, about: Vector, angle: float) -> Vector:
    """``v`` turned about the unit vector ``about`` by ``angle`` [rad], right-handed, shape (3,)."""
    along = about * float(about @ v)
    return np.asarray(along + cos(angle) * (v - along) + sin(angle) * np.cross(about, v))


def pose(
    tool_axis: ArrayLike,
    feed: ArrayLike,
    tip: ArrayLike,
    depth: ArrayLike | None = None,
    nod_about: ArrayLike = (0.0, 1.0, 0.0),
) -> Pose:
    """A pose from vectors of any length in the frame.

    Raises
    ------
    Refusal
        ``zero_vector``; ``depth_along_feed`` when the locked axis runs along the feed, so that it sets nothing.
    """
    u, f = unit("u", tool_axis), unit("f", feed)
    d = None if depth is None else unit("d", depth)
    if d is not None and float(np.linalg.norm(np.cross(d, f))) < _PARALLEL:
        raise Refusal("depth_along_feed", "d")
    return Pose(u, f, np.asarray(tip, dtype=float), d, unit("nod_about", nod_about))


def machine_direction(word: str) -> Vector:
    """``"+x"`` .. ``"-z"`` as a unit vector of the machine (X right, Y away from the operator, Z up)."""
    v = np.zeros(3)
    v[_AXES[word[1]]] = 1.0 if word[0] == "+" else -1.0
    return v


def tool_axis_of(nod: float, tilt: float) -> Vector:
    """Tool axis in machine directions, Rx(nod) Ry(tilt) Z; nod and tilt in rad.

    >>> tool_axis_of(np.pi / 4, 0.0).round(4) + 0.0
    array([ 0.    , -0.7071,  0.7071])
    >>> tool_axis_of(0.0, np.pi / 4).round(4) + 0.0
    array([0.7071, 0.    , 0.7071])
    """
    x, z = sin(tilt), cos(tilt)
    return np.array([x, -sin(nod) * z, cos(nod) * z])


def slide_direction(word: str, tool_axis: Vector) -> Vector:
    """Motion of the cutter against the work by ``"+table"``, ``"-quill"`` and so on, in machine directions."""
    sign = 1.0 if word[0] == "+" else -1.0
    if word[1:] == "quill":
        return sign * tool_axis
    v = np.zeros(3)
    v[_SLIDES[word[1:]]] = sign
    return v


def frame_in_machine(entry_face_looks: str, work_at: str) -> NDArray[np.float64]:
    """Rows r, t, a in machine directions, shape (3, 3): a is against the entry face's normal, t = a x r.

    Raises
    ------
    Refusal
        ``work_at_not_square``: the two directions lie along one line.
    """
    a, r = -machine_direction(entry_face_looks), machine_direction(work_at)
    if abs(float(a @ r)) > 0.5:
        raise Refusal("work_at_not_square", "work_at")
    return np.array([r, np.cross(a, r), a])
