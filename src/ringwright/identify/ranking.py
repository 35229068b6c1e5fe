"""From readings to ranked rings: merging, probabilities, residuals, and what the best explanation of each is."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, log

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.evidence import (
    SHIFTS,
    Evidence,
    Scene,
    field_of,
    noise,
    scales,
)
from ringwright.identify.hypotheses import Hypotheses, Prior, constants
from ringwright.identify.predict import Rings, predict
from ringwright.identify.readings import Reading, check
from ringwright.identify.sieve import log_sum, weigh

Array = NDArray[np.float64]

MOST_CANDIDATES = 12
#: Two candidates whose odds are below this are tied.
TIE_ODDS = 3.0
_LEAST = 1e-4
_MOST_MEMBERS, _LEAST_MEMBER = 12, 1e-3  # of one candidate, kept for choosing the next reading


@dataclass(frozen=True)
class Named:
    """One standard ring: system, size as its system writes it, form, and the numbers [mm, rad, modules]."""

    system: int
    size: str
    form: str
    pitch: float
    z: int
    m: float
    alpha: float
    ha: float
    hf: float
    beta: float
    probability: float


@dataclass(frozen=True)
class Residual:
    """A reading against a candidate without wear: both [mm; rad], and the difference in standard uncertainties."""

    predicted: float
    difference: float
    sigmas: float


@dataclass(frozen=True)
class Candidate:
    """Rings that predict the same for every reading in hand, the most probable first, scored once."""

    names: tuple[Named, ...]
    probability: float
    x: float
    residuals: tuple[Residual, ...]
    bad: tuple[int, ...]
    tied_with: tuple[int, ...]


@dataclass(frozen=True)
class Belief:
    """A row of the race after the readings: the unknowns' means and covariance under its most likely part."""

    row: int
    name: Named
    node: int
    mean: Array
    covariance: Array


@dataclass(frozen=True)
class Ranked:
    """The answer: candidates, what is left over, and the rows behind them (for choosing the next reading)."""

    candidates: tuple[Candidate, ...]
    other_probability: float
    beliefs: tuple[Belief, ...]
    held: tuple[int, ...]
    scene: Scene


def identify(
    s: int, z: int, readings: tuple[Reading, ...], *, z_sure: bool = True, prior: Prior | None = None
) -> Ranked:
    """Rank every standard ring by its probability given the readings.

    Parameters
    ----------
    s : int
        +1 external, -1 internal [-]
    z : int
        Teeth as counted, 5 to 1000 [-]
    readings : tuple of Reading
        What was read [mm, rad]
    z_sure : bool
        False puts z - 2 to z + 2 in question
    prior : Prior, optional
        Weights in place of the tables'

    Raises
    ------
    Refusal
        ``no_reading``, ``reading_not_on_this_ring``, ``span_teeth_impossible``, ``mate_not_inside``,
        ``prior_leaves_nothing``.

    Notes
    -----
    Helical rings only when a helix angle was read; the transverse-module systems are not among the hypotheses.

    References
    ----------
    .. [1] ISO 21771 for the geometry, ISO 54 for the modules (both from memory); all weights common practice.

    Examples
    --------
    >>> read = (Reading("tip_diameter", 645.0, 0.05), Reading("span", 222.923, 0.02, k=15))
    >>> best = identify(1, 127, read).candidates[0]
    >>> best.names[0].m, float(np.degrees(best.names[0].alpha)), best.probability > 0.9
    (5.0, 20.0, True)
    """
    check(readings, s, z)
    scene = Scene(readings, s, z, z_sure, prior or Prior())
    rows, field = field_of(scene)
    found = weigh(scene, field)
    nothing = log(constants()["nothing_at_all"]) - float(np.sum(np.log(7 * np.maximum(np.abs(scene.value), scene.u))))
    log_rows = log_sum(found.log_e) + found.field.log_p
    top = max(float(log_rows.max(initial=-np.inf)), nothing)
    share = np.exp(log_rows - top)
    share = share / (share.sum() + np.exp(nothing - top))
    return _ranked(scene, rows, found, share)


def _ranked(scene: Scene, rows: Hypotheses, found: Evidence, share: Array) -> Ranked:
    field = found.field
    named = np.flatnonzero((field.row >= 0) & (share > 0))
    nominal = found.f[named][:, :, 0]  # node 0: no shift
    key = np.column_stack([np.round(nominal, 7), field.z[named], field.beta[named]])
    _, group = np.unique(key, axis=0, return_inverse=True)
    total = np.bincount(group.ravel(), weights=share[named])
    order = [g for g in np.argsort(-total)[:MOST_CANDIDATES] if total[g] > _LEAST]
    probability = [float(total[g]) for g in order]
    candidates, beliefs, held = [], [], []
    for n, g in enumerate(order):
        members = named[group.ravel() == g]
        members = members[np.argsort(-share[members], kind="stable")]
        names = tuple(_name(rows, field_row(found, i), share[i]) for i in members)
        belief = _belief(scene, found, int(members[0]), names[0])
        x, bad = _told(found, int(members[0]), belief)
        tied = tuple(
            k
            for k, p in enumerate(probability)
            if k != n and max(p, probability[n]) < TIE_ODDS * min(p, probability[n])
        )
        candidates.append(Candidate(names, probability[n], x, _residuals(scene, names[0], x), bad, tied))
        for i, name in zip(members[:_MOST_MEMBERS], names, strict=False):
            if i != members[0] and share[i] < _LEAST_MEMBER:
                break
            beliefs.append(belief if i == members[0] else _belief(scene, found, int(i), name))
            held.append(n)
    other = max(0.0, 1.0 - fsum(probability))
    return Ranked(tuple(candidates), other, tuple(beliefs), tuple(held), scene)


def field_row(found: Evidence, i: int) -> dict[str, float]:
    """One row's numbers."""
    return {name: array[i].item() for name, array in found.field.__dict__.items()}


def _name(rows: Hypotheses, row: dict[str, float], probability: float) -> Named:
    i = int(row["row"])
    return Named(
        system=int(rows.system[i]),
        size=rows.sizes[rows.size[i]],
        form=rows.forms[rows.form[i]],
        pitch=float(rows.pitch[i]),
        z=int(row["z"]),
        m=row["m"],
        alpha=row["alpha"],
        ha=row["ha"],
        hf=row["hf"],
        beta=row["beta"],
        probability=float(probability),
    )


def _belief(scene: Scene, found: Evidence, i: int, name: Named) -> Belief:
    part, pattern = np.unravel_index(int(np.argmax(found.log_e[i])), found.log_e[i].shape)
    node = int(found.parts.node[part])
    A, f = found.slopes[i, :, node], found.f[i, :, node]
    good, wider, _ = noise(scene, found.field.m[i : i + 1])
    v = good[0] + (wider[pattern - 1] if pattern else 0.0)
    sd = scales(scene, found.parts, found.field.m[i : i + 1])[0, part]
    covariance = np.linalg.inv(np.diag(1 / sd**2) + A.T @ (A / v[:, None]))
    mean = covariance @ (A.T @ ((scene.value - f) / v))
    mean[4:] = np.maximum(mean[4:], 0)
    return Belief(i, name, node, mean, covariance)


def _told(found: Evidence, i: int, belief: Belief) -> tuple[float, tuple[int, ...]]:
    """Profile shift to show, and the readings that are more likely bad than good."""
    p = np.exp(found.log_e[i] - found.log_e[i].max())
    p = p / p.sum()
    shifted = float(p[found.parts.node > 0].sum())
    x = float(SHIFTS[belief.node] + belief.mean[0]) if shifted > 0.5 and belief.node > 0 else 0.0
    by_reading = p.sum(axis=0)[1:].reshape(2, -1).sum(axis=0)  # slips, then gross ones
    bad = tuple(int(n) for n in np.flatnonzero(by_reading > 0.5))
    return round(x, 3) + 0.0, bad


def _residuals(scene: Scene, name: Named, x: float) -> tuple[Residual, ...]:
    ring = ring_of(scene.s, name, x)
    predicted = [float(predict(r, ring)) for r in scene.readings]
    return tuple(
        Residual(p, float(r.value - p), float((r.value - p) / r.u))
        for p, r in zip(predicted, scene.readings, strict=True)
    )


def ring_of(s: int, name: Named, x: float = 0.0) -> Rings:
    """A named ring as arrays of shape ()."""
    z, m, alpha, ha, hf = (np.asarray(float(v)) for v in (name.z, name.m, name.alpha, name.ha, name.hf))
    return Rings(s, z, m, alpha, ha, hf, name.beta, x)
