"""The removal field: for every point, the infeed at which the cutter reaches it.

A cutter is a union of convex pieces. A point standing still is inside each during one run of infeed; the field is the
soonest of their beginnings. Without a locked axis these are runs of a ray through solids (``rays``); with one the pass
along the feed is complete, and the cutter counts as its own shadow along the feed (``shadow``).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.cutting import rays, shadow
from ringwright.cutting.cutter import Cutter
from ringwright.cutting.pose import Pose
from ringwright.cutting.solids import Solid

Array = NDArray[np.float64]


def infeed_field(points: ArrayLike, mill: Cutter, pose: Pose) -> Array:
    """Infeed at which the cutter first reaches each point, counted from the pose's tip.

    Parameters
    ----------
    points : floats, shape (..., 3)
        Points of the ring in the frame (r, t, a) [mm]
    mill : Cutter
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

    >>> from ringwright.cutting.cutter import EndMill
    >>> from ringwright.cutting.pose import pose
    >>> infeed_field([317.5, 0, 1], EndMill(6.0), pose([1, 0, -1], [-1, 0, 0], [320.0, 0, 0])).item()
    3.5
    """
    return solid_run(points, mill.solid, pose, first_only=True)[0]


def infeed_run(points: ArrayLike, mill: Cutter, pose: Pose) -> tuple[Array, Array]:
    """Infeeds at which the cutter first reaches and last leaves each point, shapes (...).

    (inf, -inf) where it never comes. Between them a cutter with a hollow side may have left the point for a while.
    """
    return solid_run(points, mill.solid, pose)


def solid_run(points: ArrayLike, solid: Solid, pose: Pose, *, first_only: bool = False) -> tuple[Array, Array]:
    """The same for any solid that moves with the cutter; ``first_only`` leaves the last unsaid."""
    q = np.asarray(points, dtype=float) - pose.tip
    shape, q = q.shape[:-1], q.reshape(-1, 3)
    with np.errstate(divide="ignore", invalid="ignore"):
        if pose.d is None:
            seen = rays.seen_from(q, pose.u, pose.f)
            first, last = rays.solid_run(seen, solid, first_only=first_only)
        else:
            first, last = shadow.solid_run(q, solid, pose.u, pose.f, pose.d, first_only=first_only)
    return first.reshape(shape), last.reshape(shape)
