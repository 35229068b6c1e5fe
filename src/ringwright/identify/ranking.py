"""From readings to ranked rings: merging, probabilities, residuals, and what the best explanation of each is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import fsum, log

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.counting import Segments
from ringwright.identify.evidence import (
    SHIFTS,
    Evidence,
    Scene,
    field_of,
    noise,
    scales,
)
from ringwright.identify.hypotheses import Hypotheses, Prior, constants
from ringwright.identify.mate import Mate, evidence_of_mate, scene_of
from ringwright.identify.predict import Rings, predict
from ringwright.identify.readings import Reading, check
from ringwright.identify.sieve import LEFT_OUT, log_sum, weigh
from ringwright.identify.ties import tied
from ringwright.identify.tried import Tried, log_chance

Array = NDArray[np.float64]

MOST_CANDIDATES = 12
_LEAST = 1e-4
_LEFT_OUT_WITH_MATE = 1e-20  # the mate may raise what the ring alone thinks little of
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
    transverse: bool
    probability: float


@dataclass(frozen=True)
class Residual:
    """A reading against a candidate without wear: both [mm; rad], and the difference in standard uncertainties."""

    predicted: float
    difference: float
    sigmas: float


@dataclass(frozen=True)
class Candidate:
    """Rings that predict the same for every reading in hand, the most probable first, scored once.

    ``before`` is the weight of all its names before any reading; ``tied_with`` the places of those that it is tied
    with (see `tied`). ``bad`` are the readings more likely bad than good if this is the ring; ``mate_x``,
    ``mate_residuals`` and ``mate_bad`` say the same of the mate.
    """

    names: tuple[Named, ...]
    probability: float
    x: float
    residuals: tuple[Residual, ...]
    bad: tuple[int, ...]
    tied_with: tuple[int, ...]
    before: float = 0.0
    mate_x: float = 0.0
    mate_residuals: tuple[Residual, ...] = ()
    mate_bad: tuple[int, ...] = ()


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
    """The answer: candidates, what is left over, and the rows behind them (for choosing the next reading).

    ``bad`` and ``mate_bad`` are each reading's chance of being a bad one, over all rings in question.
    """

    candidates: tuple[Candidate, ...]
    other_probability: float
    beliefs: tuple[Belief, ...]
    held: tuple[int, ...]
    scene: Scene
    bad: tuple[float, ...] = ()
    mate_bad: tuple[float, ...] = ()


def identify(
    s: int,
    z: int,
    readings: tuple[Reading, ...],
    *,
    z_sure: bool = True,
    prior: Prior | None = None,
    segments: Segments | None = None,
    tried: tuple[Tried, ...] = (),
    mate: Mate | None = None,
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
    segments : Segments, optional
        The count of one piece of a ring in equal pieces; only of use with an unsure count
    tried : tuple of Tried
        Racks or hobs rolled in the ring
    mate : Mate, optional
        Readings of the mating gear

    Raises
    ------
    Refusal
        ``no_reading``, ``reading_not_on_this_ring``, ``span_teeth_impossible``, ``mate_not_inside``,
        ``prior_leaves_nothing``.

    Notes
    -----
    Helical rings only when a helix angle was read, on the ring or its mate; their pitch may be standard in the normal
    or in the transverse plane.

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
    if mate is not None:
        check(mate.readings, mate.s, mate.z)
    angles = [r for r in mate.readings if r.is_angle] if mate else []
    scene = Scene(readings, s, z, z_sure, prior or Prior(), segments, min(angles, key=lambda r: r.u, default=None))
    rows, field = field_of(scene)
    field = replace(field, log_p=field.log_p + log_chance(tried, field))
    found = weigh(scene, field, LEFT_OUT if mate is None else _LEFT_OUT_WITH_MATE)
    log_rows = log_sum(found.log_e) + found.field.log_p
    nothing = _nothing(scene)
    with_mate: tuple[Mate, Evidence] | None = None
    if mate is not None:
        of_mate = evidence_of_mate(mate, scene, found)
        log_rows = log_rows + log_sum(of_mate.log_e)
        with_mate = (mate, of_mate)
        nothing += _nothing(scene_of(mate, scene))
    nothing += log(constants()["nothing_at_all"]) + sum(log(0.5) for _ in tried)
    top = max(float(log_rows.max(initial=-np.inf)), nothing)
    share = np.exp(log_rows - top)
    share = share / (share.sum() + np.exp(nothing - top))
    before = np.exp(found.field.log_p - log_chance(tried, found.field))
    ranked = _ranked(scene, rows, found, (share, before), with_mate)
    return replace(
        ranked, bad=_chance_bad(found, share), mate_bad=_chance_bad(with_mate[1], share) if with_mate else ()
    )


def _nothing(scene: Scene) -> float:
    """Log evidence of something that is no such ring: any value, evenly over a wide range of its logarithm."""
    return -float(np.sum(np.log(7 * np.maximum(np.abs(scene.value), scene.u))))


def _chance_bad(found: Evidence, share: Array) -> tuple[float, ...]:
    """Each reading's chance of being a bad one, over all rings in question; of "nothing of this kind" none is."""
    rows = np.flatnonzero(share > _LEAST * share.max(initial=0.0))
    log_e = found.log_e[rows]
    p = np.exp(log_e - log_e.max(axis=(1, 2), keepdims=True, initial=-np.inf)).sum(axis=1)
    p = p / p.sum(axis=1, keepdims=True)
    n = int(found.f.shape[1])
    if p.shape[1] == 1 or rows.size == 0:
        return (0.0,) * n
    weight = share[rows] / share[rows].sum() * share.sum()
    return tuple(float(v) for v in (weight @ p)[1:].reshape(2, n).sum(axis=0))


def _ranked(
    scene: Scene,
    rows: Hypotheses,
    found: Evidence,
    weights: tuple[Array, Array],
    with_mate: tuple[Mate, Evidence] | None,
) -> Ranked:
    """Merge and rank rows by their weights after and before the readings."""
    field, (share, before) = found.field, weights
    named = np.flatnonzero((field.row >= 0) & (share > 0))
    nominal = found.f[named][:, :, 0]  # node 0: no shift
    if with_mate is not None:
        nominal = np.column_stack([nominal, with_mate[1].f[named][:, :, 0]])
    key = np.column_stack([np.round(nominal, 7), field.z[named], field.beta[named]])
    _, group = np.unique(key, axis=0, return_inverse=True)
    total, first = (np.bincount(group.ravel(), weights=w[named]).astype(np.float64) for w in (share, before))
    order = [g for g in np.argsort(-total)[:MOST_CANDIDATES] if total[g] > _LEAST]
    probability = [float(total[g]) for g in order]
    ties = tied(np.array(probability), first[np.array(order, dtype=np.intp)])
    candidates, beliefs, held = [], [], []
    for n, g in enumerate(order):
        members = named[group.ravel() == g]
        members = members[np.argsort(-share[members], kind="stable")]
        names = tuple(_name(rows, field_row(found, i), share[i]) for i in members)
        belief = _belief(scene, found, int(members[0]), names[0])
        x, bad = _told(found, int(members[0]), belief)
        rivals = tuple(int(k) for k in np.flatnonzero(ties[n]))
        candidate = Candidate(names, probability[n], x, _residuals(scene, names[0], x), bad, rivals, float(first[g]))
        candidates.append(_with_mate(candidate, scene, with_mate, int(members[0])))
        for i, name in zip(members[:_MOST_MEMBERS], names, strict=False):
            if i != members[0] and share[i] < _LEAST_MEMBER:
                break
            beliefs.append(belief if i == members[0] else _belief(scene, found, int(i), name))
            held.append(n)
    other = max(0.0, 1.0 - fsum(probability))
    return Ranked(tuple(candidates), other, tuple(beliefs), tuple(held), scene)


def _with_mate(candidate: Candidate, scene: Scene, with_mate: tuple[Mate, Evidence] | None, row: int) -> Candidate:
    """The same with what it says of the mate."""
    if with_mate is None:
        return candidate
    mate, found = with_mate
    own, name = scene_of(mate, scene), replace(candidate.names[0], z=mate.z)
    x, bad = _told(found, row, _belief(own, found, row, name))
    return replace(candidate, mate_x=x, mate_residuals=_residuals(own, name, x), mate_bad=bad)


def field_row(found: Evidence, i: int) -> dict[str, float]:
    """One row's numbers."""
    return {name: array[i].item() for name, array in found.field.__dict__.items()}


def _name(rows: Hypotheses, row: dict[str, float], probability: float) -> Named:
    i = int(row["row"])
    c = float(np.cos(row["beta"])) if row["transverse"] else 1.0
    return Named(
        system=int(rows.system[i]),
        size=rows.sizes[rows.size[i]],
        form=rows.forms[rows.form[i]],
        pitch=float(rows.pitch[i]),
        z=int(row["z"]),
        m=row["m"] * c,
        alpha=float(np.arctan(np.tan(row["alpha"]) * c)) if row["transverse"] else row["alpha"],
        ha=row["ha"] / c,
        hf=row["hf"] / c,
        beta=row["beta"],
        transverse=bool(row["transverse"]),
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
