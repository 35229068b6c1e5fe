"""Which rows are worth the full sum: first a coarse sieve, then a ceiling on the evidence that a row can have.

The ceiling of a row leaves the one-sided unknowns free of their sign, gives every unknown its widest spread and
forgives the reading that disagrees most; no part of the row's mixture can do better. Rows whose ceiling lies far below
what a few good rows are known to reach are left out: all of them together weigh less than a millionth.
"""

from __future__ import annotations

from math import log

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.evidence import (
    Evidence,
    Field,
    Scene,
    as_made,
    evidence,
    forward,
    mixture,
    noise,
    plain_constant,
    responses,
    scales,
    solve,
    used,
    whitened,
)
from ringwright.identify.hypotheses import constants
from ringwright.identify.predict import predict
from ringwright.identify.readings import FLANK, TIP, Reading

Array = NDArray[np.float64]

CUT = 7.0  # left out when no unknown brings a row within so many sigmas of all readings but one
LEFT_OUT = 1e-6  # all rows left out under the ceiling weigh less than this together
_AT_ONCE = 256  # rows whose ceilings are reckoned together: what lies in the processor's own memory goes faster
_FIRST = 16  # rows summed in full to know how good the good ones are


def weigh(scene: Scene, field: Field, left_out: float = LEFT_OUT) -> Evidence:
    """Evidence of the rows that matter; those left out weigh less than ``left_out`` together."""
    near = near_enough(scene, field)
    if near.m.size <= _FIRST:
        return evidence(scene, near)
    f, slopes = responses(scene, near, scene.readings)
    most = ceiling(scene, near, f, slopes) + near.log_p
    first = np.argpartition(-most, _FIRST)[:_FIRST]
    known = evidence(scene, near.take(first), (f[first], slopes[first]))
    rows = log_sum(known.log_e) + known.field.log_p
    reached = float(log_sum(rows[None])[0])
    order = np.argsort(most)
    lost = np.cumsum(np.exp(np.minimum(most[order] - reached, 50.0)))
    keep = np.sort(order[lost > left_out])
    floor = reached + log(left_out / max(keep.size * known.log_e[0].size, 1))
    return evidence(scene, near.take(keep), (f[keep], slopes[keep]), floor)


def log_sum(log_e: Array) -> Array:
    """Log of the sum over all but the first axis."""
    if log_e.shape[0] == 0:
        return np.zeros(0)
    flat = log_e.reshape(log_e.shape[0], -1)
    top = flat.max(axis=1)
    return np.asarray(top + np.log(np.exp(flat - top[:, None]).sum(axis=1)))


def ceiling(scene: Scene, field: Field, f: Array, slopes: Array) -> Array:
    """What the log evidence of each row cannot exceed, shape (R,)."""
    pieces = range(0, field.m.size, _AT_ONCE)
    told = [(np.arange(i, min(i + _AT_ONCE, field.m.size)), slice(i, i + _AT_ONCE)) for i in pieces]
    return np.concatenate([_ceiling(scene, field.take(rows), f[at], slopes[at]) for rows, at in told])


def _ceiling(scene: Scene, field: Field, f: Array, slopes: Array) -> Array:
    good, wider, log_pattern = noise(scene, field.m)
    sd = scales(scene, mixture(scene), field.m).max(axis=1)[:, None, used(slopes)]  # the widest of each
    A, r = (a[:, 1:] for a in whitened(scene, good, f, slopes))  # the spike lies inside one of the others
    across = np.swapaxes(A, -1, -2)
    y, L = solve(across @ A, (across @ r[..., None])[..., 0], sd)
    chi2 = (r * r).sum(axis=-1) - sum(c * c for c in y)
    top = log_pattern[0] - 0.5 * chi2
    if len(wider):
        z = forward(L, A)
        error = r - sum(c[..., None] * d for c, d in zip(y, z, strict=True))
        free = np.maximum(1 - sum(d * d for d in z), 1e-12)
        forgiven = np.maximum(chi2 - (error**2 / free).max(axis=-1), 0)
        top = np.logaddexp(top, np.log1p(-np.exp(log_pattern[0])) - 0.5 * forgiven)
    return np.asarray(log(4) + plain_constant(good) + top.max(axis=1))


def near_enough(scene: Scene, field: Field) -> Field:
    """Leave out rows that cannot come near the readings whatever the unknowns do; one reading may be bad.

    Reading after reading, so that a row which two of them rule out is not looked at again.
    """
    some = len(scene.readings) > 1
    missed = np.zeros(field.m.size, dtype=np.int64)
    for reading, made in zip(scene.readings, as_made(scene), strict=True):
        missed = missed + (_far(scene, field, reading, made) >= CUT)
        near = missed <= some
        if not near.all():
            field, missed = field.take(near), missed[near]
    return field


def _far(scene: Scene, field: Field, reading: Reading, made: float) -> Array:
    """How many sigmas a reading lies off, with every unknown as wide as it comes, (R,)."""
    c, m = constants(), field.m
    gain = {"span": 2 * np.sin(field.alpha), "whole_depth": 0.0, "pitch": 0.0, "helix_angle": 0.0}
    gain |= {"tip_girth": 2 * np.pi, "tip_arc": 2 * np.pi * reading.n / field.z, "span_difference": 0.0}
    x = np.asarray(gain.get(reading.what, 2.0)) * 0.45 * m
    wear = (reading.what in FLANK) * (c["thin_worn"] if reading.worn else c["thin_as_made"]) * 2 * m
    tip = (reading.what in TIP) * (c["topped_worn"] if reading.worn else c["topped_as_made"]) * 2 * m
    around = {"tip_girth": np.full_like(m, np.pi), "tip_arc": np.pi * reading.n / field.z}
    tip = tip * around.get(reading.what, np.ones_like(m))
    free_m = np.where(field.row < 0, 0.035 * reading.value, 0.0)
    swing = np.where(field.free, 0.2 * reading.value if reading.is_angle else 0.02 * reading.value, 0.0)
    spread = np.sqrt(reading.u**2 + (made * m) ** 2 + x**2 + wear**2 + tip**2 + free_m**2 + swing**2)
    return np.asarray(np.abs(predict(reading, field.rings(scene.s))[:, 0] - reading.value) / spread)
