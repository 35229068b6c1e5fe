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


def head_turned(v: Vector, nod: float, tilt: float) -> Vector:
    """A machine direction that belongs to the head, after its tilt about Y and then its nod about X [rad]."""
    x, y = machine_direction("+x"), machine_direction("+y")
    return turned(turned(v, y, tilt), x, nod)


def right_angle_axis(looks: str, nod: float = 0.0, tilt: float = 0.0, swing: float = 0.0) -> Vector:
    """Tool axis in a right-angle head, or on a horizontal spindle, in machine directions.

    ``looks`` says where the free end of cutter or arbor points while the head is square: "+x", "-x", "+y" or "-y";
    ``swing`` [rad] turns it from there about the quill, anticlockwise seen from above; then it goes with the head.

    Raises
    ------
    Refusal
        ``right_angle_along_quill``: it would look up or down.

    Examples
    --------
    A horizontal mill with its column behind, the arbor's free end to the operator:

    >>> right_angle_axis("-y").round(4) + 0.0
    array([0., 1., 0.])
    """
    if looks[1] == "z":
        raise Refusal("right_angle_along_quill", "looks")
    z = machine_direction("+z")
    return head_turned(turned(-machine_direction(looks), z, swing), nod, tilt)


def slide_direction(word: str, quill: Vector) -> Vector:
    """Motion of the cutter against the work by ``"+table"``, ``"-quill"`` and so on, in machine directions.

    ``quill`` is the direction that the quill goes up in: the tool axis, unless a right-angle head is on.
    """
    sign = 1.0 if word[0] == "+" else -1.0
    if word[1:] == "quill":
        return sign * quill
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


@dataclass(frozen=True, slots=True)
class Words:
    """A set-up as it is said at the machine; angles in rad, words as in `machine_direction` and `slide_direction`.

    ``right_angle_looks`` and ``swing`` as in `right_angle_axis`; ``depth_by`` names the axis set and locked, if any.
    """

    entry_face_looks: str
    work_at: str
    feed_by: str
    depth_by: str | None = None
    nod: float = 0.0
    tilt: float = 0.0
    right_angle_looks: str | None = None
    swing: float = 0.0


def pose_of_words(words: Words, tip: ArrayLike) -> Pose:
    """The pose in the frame of the space; ``tip`` (r, t, a) [mm]. Refuses as the functions it is made of do."""
    frame = frame_in_machine(words.entry_face_looks, words.work_at)
    quill = tool_axis_of(words.nod, words.tilt)
    if words.right_angle_looks is None:
        axis = quill
    else:
        axis = right_angle_axis(words.right_angle_looks, words.nod, words.tilt, words.swing)
    feed = frame @ slide_direction(words.feed_by, quill)
    depth = None if words.depth_by is None else frame @ slide_direction(words.depth_by, quill)
    return pose(frame @ axis, feed, tip, depth, nod_about=frame @ machine_direction("+x"))
