"""A rack or hob of known pitch rolled in the ring: smooth or bumping, as evidence on base pitch and angle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.evidence import Field
from ringwright.identify.hypotheses import constants, off_standard

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Tried:
    """Normal module [mm] and pressure angle [rad] of the rack or hob, and how it rolled."""

    m: float
    alpha: float
    smooth: bool
    worn: bool = False


def chance_smooth(tried: Tried, m: Array, alpha: Array, spread: Array | float = 0.0) -> Array:
    """Chance that the rack rolls smoothly in rings of normal module m [mm] and angle alpha [rad].

    Near 1 when base pitch and angle agree, falling with both misfits; never nought nor one, for worn flanks and hasty
    hands are wrong now and then. ``spread`` is the standard deviation of ln m where the module is not known.

    >>> chance_smooth(Tried(5.0, np.radians(20), True), np.array([5.0, 5.08]), np.radians([20, 20])).tolist()
    [0.95, 0.305]
    """
    c = constants()
    wrong = c["rack_wrong_worn"] if tried.worn else c["rack_wrong"]
    off = np.log(tried.m * np.cos(tried.alpha)) - np.log(m * np.cos(alpha))
    s = c["rack_base_pitch"]
    wide = np.hypot(s, spread)
    fit = s / wide * np.exp(-0.5 * (off / wide) ** 2)
    fit = fit * np.exp(-0.5 * ((tried.alpha - alpha) / np.radians(c["rack_angle_deg"])) ** 2)
    return np.asarray(wrong + (1 - 2 * wrong) * fit)


def log_chance(tried: tuple[Tried, ...], field: Field) -> Array:
    """Log of the chance of all that was tried, (R,)."""
    ring = field.rings(1)
    m, alpha = np.broadcast_to(ring.m, (field.m.size, 1))[:, 0], np.broadcast_to(ring.alpha, (field.m.size, 1))[:, 0]
    spread = np.where(field.row < 0, off_standard()[2], 0.0)
    total = np.zeros(field.m.size)
    for one in tried:
        p = chance_smooth(one, m, alpha, spread)
        total += np.log(p if one.smooth else 1 - p)
    return total
