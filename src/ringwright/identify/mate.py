"""The mating gear as a further witness: another count, shift and wear, but the same module, angle and helix."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.evidence import COLUMNS, Evidence, Scene, evidence, noise, responses, scales
from ringwright.identify.readings import Reading

Array = NDArray[np.float64]
_SHARED = [COLUMNS.index("ln_m"), COLUMNS.index("beta")]


@dataclass(frozen=True)
class Mate:
    """What was read on the mating gear: ``s`` +1 external, -1 internal; ``z`` teeth, counted for sure."""

    s: int
    z: int
    readings: tuple[Reading, ...]


def evidence_of_mate(mate: Mate, scene: Scene, found: Evidence) -> Evidence:
    """Evidence of the mate's readings for the rows found, given what the ring's own readings say of m and helix.

    Module and helix are known from the table, or, where a row leaves them free, from the ring's readings under the
    row's most likely part: their mean moves the mate's predictions and their spread takes the place of the prior's.
    """
    field = replace(found.field, z=np.full(found.field.m.size, float(mate.z)))
    own = scene_of(mate, scene)
    f, slopes = responses(own, field, mate.readings)
    mean, spread = _shared(scene, found)
    f = f + np.einsum("rnks,rs->rnk", slopes[..., _SHARED], mean)
    return evidence(own, field, (f, slopes), None, spread)


def scene_of(mate: Mate, scene: Scene) -> Scene:
    """The mate's own scene."""
    return Scene(mate.readings, mate.s, mate.z, True, scene.prior, None, scene.helix)


def _shared(scene: Scene, found: Evidence) -> tuple[Array, Array]:
    """Mean and standard deviation of ln m and helix after the ring's readings, both (R, 2); nought where not free."""
    rows = found.field.m.size
    mean, sd = np.zeros((rows, 2)), np.zeros((rows, 2))
    free = np.flatnonzero((found.field.row < 0) | found.field.free)
    if free.size == 0:
        return mean, sd
    flat = found.log_e[free].reshape(free.size, -1).argmax(axis=1)
    part, pattern = np.unravel_index(flat, found.log_e.shape[1:])
    node = found.parts.node[part]
    good, wider, _ = noise(scene, found.field.m[free])
    v = good + np.vstack([np.zeros(good.shape[1]), wider])[pattern]
    A, f = found.slopes[free, :, node], found.f[free, :, node]
    prior = scales(scene, found.parts, found.field.m[free])[np.arange(free.size), part]
    precision = np.einsum("rni,rnj,rn->rij", A, A, 1 / v)
    precision[:, range(len(COLUMNS)), range(len(COLUMNS))] += 1 / prior**2
    covariance = np.linalg.inv(precision)
    pull = np.einsum("rni,rn->ri", A, (scene.value - f) / v)
    after = np.einsum("rij,rj->ri", covariance, pull)[:, _SHARED]
    spread = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))[:, _SHARED]
    is_free = np.column_stack([found.field.row[free] < 0, found.field.free[free]])
    mean[free], sd[free] = after * is_free, spread * is_free
    return mean, sd
