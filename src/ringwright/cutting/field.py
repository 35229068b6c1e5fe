"""The removal field: for every point, the infeed at which the cutter reaches it.

The cutter is convex, so a point standing still in a moving cutter is inside during one run of infeed. Where that run
begins is the field. Cylinder, disc and ball are closed forms; a rounded corner is met by Newton steps on a convex
function, which run to it from one side and need no guess. With a locked depth axis the pass along the feed is
complete: the cutter is then its own shadow along the feed, a plane figure, and the same holds in that plane.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.pose import Pose

Array = NDArray[np.float64]
_NIL = 1e-12
_STEPS = 60


def infeed_field(points: ArrayLike, mill: EndMill, pose: Pose) -> Array:
    """Infeed at which the cutter first reaches each point, counted from the pose's tip.

    Parameters
    ----------
    points : floats, shape (..., 3)
        Points of the ring in the frame (r, t, a) [mm]
    mill : EndMill
        The cutter
    pose : Pose
        Where it stands and which way it goes

    Returns
    -------
    array, shape (...)
        Infeed [mm], negative before the pose's tip; inf where the cutter never comes, -inf where it always was

    Examples
    --------
    A 12 mm cutter fed radially inwards, leaning 45 degrees, reaches a point straight below its centre:

    >>> from ringwright.cutting.pose import pose
    >>> infeed_field([317.5, 0, 1], EndMill(6.0), pose([1, 0, -1], [-1, 0, 0], [320.0, 0, 0])).item()
    3.5
    """
    return infeed_run(points, mill, pose)[0]


def infeed_run(points: ArrayLike, mill: EndMill, pose: Pose) -> tuple[Array, Array]:
    """Infeeds at which the cutter reaches and leaves each point, (inf, -inf) where it never comes; shapes (...)."""
    q = np.asarray(points, dtype=float) - pose.tip
    with np.errstate(divide="ignore", invalid="ignore"):
        if pose.d is None:
            first, last = _in_space(q, mill, pose)
        else:
            first, last = _in_shadow(q, mill, pose, pose.d)
    met = first <= last
    return np.where(met, first, np.inf), np.where(met, last, -np.inf)


def _quadratic(A: float, B: Array, C: Array) -> tuple[Array, Array]:
    """Run of s with A s^2 - 2 B s + C <= 0, A >= 0; (inf, -inf) where none."""
    if A < _NIL:
        return np.where(C <= 0, -np.inf, np.inf), np.where(C <= 0, np.inf, -np.inf)
    under = B * B - A * C
    root = np.sqrt(np.maximum(under, 0.0))
    return np.where(under >= 0, (B - root) / A, np.inf), np.where(under >= 0, (B + root) / A, -np.inf)


def _half_line(h: Array, rate: float) -> tuple[Array, Array]:
    """Run of s with h - s rate >= 0."""
    if abs(rate) < _NIL:
        return np.where(h >= 0, -np.inf, np.inf), np.where(h >= 0, np.inf, -np.inf)
    at = h / rate
    ever = np.full_like(at, np.inf)
    return (at, ever) if rate < 0 else (-ever, at)


def _both(one: tuple[Array, Array], two: tuple[Array, Array]) -> tuple[Array, Array]:
    return np.maximum(one[0], two[0]), np.minimum(one[1], two[1])


def _either(one: tuple[Array, Array], two: tuple[Array, Array]) -> tuple[Array, Array]:
    """Hull of two runs; exact, because the two figures together are convex. An empty run adds nothing."""
    a = np.where(one[0] <= one[1], one[0], np.inf), np.where(one[0] <= one[1], one[1], -np.inf)
    b = np.where(two[0] <= two[1], two[0], np.inf), np.where(two[0] <= two[1], two[1], -np.inf)
    return np.minimum(a[0], b[0]), np.maximum(a[1], b[1])


def _in_space(q: Array, mill: EndMill, pose: Pose) -> tuple[Array, Array]:
    u, f = pose.u, pose.f
    fu = float(f @ u)
    A = max(1.0 - fu * fu, 0.0)
    h = q @ u
    B = q @ f - h * fu
    qq = np.einsum("...i,...i->...", q, q) - h * h
    run = _both(_quadratic(A, B, qq - mill.R**2), _half_line(h, fu))
    if mill.c == 0:
        return run
    if mill.is_ball:
        above = _both(_quadratic(A, B, qq - mill.R**2), _half_line(h - mill.R, fu))
        centre = q - mill.R * u
        return _either(above, _quadratic(1.0, centre @ f, np.einsum("...i,...i->...", centre, centre) - mill.R**2))
    flat = mill.R - mill.c

    def outside(s: Array) -> tuple[Array, Array]:
        rho = np.sqrt(np.maximum(qq - 2 * B * s + A * s * s, 0.0))
        beyond, below = np.maximum(rho - flat, 0.0), np.maximum(mill.c - (h - s * fu), 0.0)
        away = np.hypot(beyond, below)
        slope = beyond * np.where(rho > 0, (A * s - B) / rho, 0.0) + below * fu
        return away - mill.c, np.where(away > 0, slope / away, 0.0)

    return _newton(run, outside)


def _in_shadow(q: Array, mill: EndMill, pose: Pose, d: Array) -> tuple[Array, Array]:
    u, f = pose.u, pose.f
    lean = u - float(u @ f) * f
    sine = float(np.linalg.norm(lean))
    if sine < 1e-9:  # fed along its own axis: the shadow is the disc
        across = q - np.multiply.outer(q @ f, f)
        d_across = d - float(d @ f) * f
        return _quadratic(
            float(d_across @ d_across), across @ d_across, np.einsum("...i,...i->...", across, across) - mill.R**2
        )
    e1 = lean / sine
    e2 = np.cross(f, e1)
    y1, y2, d1, d2 = q @ e1, q @ e2, float(d @ e1), float(d @ e2)
    b = mill.R * abs(float(u @ f))
    strip = _both(_half_line(mill.R - y2, -d2), _half_line(mill.R + y2, d2))
    if mill.is_ball:
        y1 = y1 - mill.R * sine
    depth = mill.R if mill.is_ball else b
    run_sharp, end_sharp = _both(strip, _half_line(y1, d1)), _half_ellipse(y1, y2, d1, d2, depth, mill.R)
    if mill.c == 0 or mill.is_ball:
        return _either(run_sharp, end_sharp)
    # the cutter is an inner cylinder of radius R - c, grown by a ball of radius c; so are their shadows
    inner = mill.R - mill.c
    y1 = y1 - mill.c * sine

    def outside(s: Array) -> tuple[Array, Array]:
        away, n1, n2 = _off_shadow(y1 - s * d1, y2 - s * d2, inner, inner * abs(float(u @ f)))
        return away - mill.c, -(n1 * d1 + n2 * d2)

    sharp = _either(run_sharp, end_sharp)
    return _newton(sharp, outside)


def _half_ellipse(y1: Array, y2: Array, d1: float, d2: float, depth: float, width: float) -> tuple[Array, Array]:
    """Run through the ellipse of half axes ``depth`` along y1 and ``width`` along y2, empty where it has no depth."""
    if depth < 1e-9:
        return np.full_like(y1, np.inf), np.full_like(y1, -np.inf)
    return _quadratic(
        (d1 / depth) ** 2 + (d2 / width) ** 2,
        y1 * d1 / depth**2 + y2 * d2 / width**2,
        (y1 / depth) ** 2 + (y2 / width) ** 2 - 1,
    )


def _off_shadow(y1: Array, y2: Array, w: float, b: float) -> tuple[Array, Array, Array]:
    """Distance from a strip |y2| <= w, y1 >= 0 that ends in half an ellipse of depth b, and its outward direction.

    Beside the ellipse the foot of the perpendicular is found by Newton steps on a falling convex function, from 0.
    """
    side, down = abs(y2), np.maximum(-y1, 0.0)
    t = np.zeros_like(side)
    for _ in range(_STEPS):
        one, two = w * side / (t + w * w), b * down / (t + b * b) if b > 1e-9 else np.zeros_like(t)
        over = one * one + two * two - 1
        if not (over > 1e-14).any():
            break
        fall = one * one / (t + w * w) + (two * two / (t + b * b) if b > 1e-9 else 0.0)
        t = np.where(over > 0, t + over / np.maximum(2 * fall, 1e-300), t)
    foot2 = np.minimum(w * w * side / (t + w * w), w)
    foot1 = b * b * down / (t + b * b) if b > 1e-9 else np.zeros_like(t)
    beside = y1 >= 0
    foot2, foot1 = np.where(beside, np.minimum(side, w), foot2), np.where(beside, 0.0, foot1)
    away = np.hypot(side - foot2, down - foot1)
    safe = np.where(away > 0, away, 1.0)
    return away, -(down - foot1) / safe, np.sign(y2) * (side - foot2) / safe


def _newton(run: tuple[Array, Array], outside: Callable[[Array], tuple[Array, Array]]) -> tuple[Array, Array]:
    """Shrink the run of the sharp-cornered cutter to where the convex ``outside(s)`` is no longer positive."""
    ends = []
    for end, sense in ((run[0], 1.0), (run[1], -1.0)):
        missed = ~(run[0] <= run[1])
        known = np.isfinite(end) & ~missed
        s = np.where(known, end, 0.0)
        for _ in range(_STEPS):
            value, slope = outside(s)
            open_ = known & (value > 1e-11)
            if not open_.any():
                break
            gone = open_ & (sense * slope > -1e-9)
            missed |= gone
            known &= ~gone
            s = np.where(open_ & ~gone, s - value / np.where(slope == 0, 1.0, slope), s)
        ends.append(np.where(missed, sense * np.inf, np.where(np.isfinite(end), s, end)))
    return ends[0], ends[1]
