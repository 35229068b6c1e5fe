"""How well each hypothesis explains the readings, with everything unknown inside it integrated out.

Inside a hypothesis a reading is its standard value plus a linear response to a few unknowns: profile shift, thinning of
the flanks (a common part, and one that grows with the height of contact), topping of the tip, and for rings of no
system the module itself. Shift is a spike at nought plus a comb of narrow normal parts, each linearised about its own
middle; thinning and topping are half-normal, each of two scales. With Gaussian unknowns the integral is closed; the two
one-sided ones leave the chance that both lie above nought, a bivariate normal. One bad reading is a further mixture:
none, or any one of them, out by a slip or grossly.

So the evidence is one array over hypotheses x shift nodes x scales x which reading is bad.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log, pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.counting import Segments, chances_of_counts
from ringwright.identify.hypotheses import Hypotheses, Prior, constants, hypotheses, off_standard
from ringwright.identify.normal import both_positive
from ringwright.identify.predict import Rings, contact_height, predict
from ringwright.identify.readings import FLANK, TIP, Reading
from ringwright.tables import load

Array = NDArray[np.float64]

#: The middles of the comb of shifts and the width of its parts [modules].
SHIFTS = np.array([0.0, -0.6, -0.3, 0.0, 0.3, 0.6, 0.9])
SHIFT_WIDTH = 0.16
_TIGHT = 1e-6  # stands for "exactly nought", in the unit of its column
_MOST = 100_000  # elements in hand at once
COLUMNS = ("x", "ln_m", "beta", "slope", "w", "t")


@dataclass(frozen=True)
class Scene:
    """What all hypotheses share: readings, sense of the ring, tooth counts with their chances, prior."""

    readings: tuple[Reading, ...]
    s: int
    z: int
    z_sure: bool
    prior: Prior
    segments: Segments | None = None
    helix_of_mate: Reading | None = None

    @property
    def value(self) -> Array:
        """Readings as read [mm, rad]."""
        return np.array([r.value for r in self.readings])

    @property
    def u(self) -> Array:
        """Standard uncertainties [mm, rad]."""
        return np.array([r.u for r in self.readings])

    @property
    def counts(self) -> list[tuple[int, float]]:
        """Tooth counts in question and their chances."""
        return chances_of_counts(self.z, self.z_sure, self.segments)

    @property
    def helix(self) -> Reading | None:
        """The most exact reading of the helix, if there is one."""
        return min((r for r in self.readings if r.is_angle), key=lambda r: r.u, default=self.helix_of_mate)


@dataclass(frozen=True)
class Field:
    """Rows in the race: hypotheses x tooth counts x straight or helical, and the comb of rings of no system.

    ``row`` is the index into `Hypotheses`, -1 for a ring of no system. ``m``, ``alpha``, ``ha``, ``hf`` count in the
    normal plane, or where ``transverse`` is true in the transverse one. All arrays have shape (R,).
    """

    row: NDArray[np.int64]
    z: Array
    m: Array
    alpha: Array
    ha: Array
    hf: Array
    beta: Array
    transverse: NDArray[np.bool_]
    free: NDArray[np.bool_]
    log_p: Array

    def take(self, at: NDArray[np.int64] | NDArray[np.bool_]) -> Field:
        """Some of the rows."""
        return Field(**{name: array[at] for name, array in self.__dict__.items()})

    def rings(self, s: int, x: Array | float = 0.0, turned: float = 0.0) -> Rings:
        """As rings that broadcast against a last axis of shifts, ``turned`` further into the helix [rad]."""
        column = {n: getattr(self, n)[:, None] for n in ("z", "m", "alpha", "ha", "hf", "beta")}
        beta = column["beta"] + turned
        c = np.where(self.transverse[:, None], np.cos(beta), 1.0)
        return Rings(
            s=s,
            x=x,
            z=column["z"],
            m=column["m"] * c,
            alpha=np.arctan(np.tan(column["alpha"]) * c),
            ha=column["ha"] / c,
            hf=column["hf"] / c,
            beta=beta,
        )


def field_of(scene: Scene) -> tuple[Hypotheses, Field]:
    """All rows for these readings, with their prior weights."""
    rows, p_none = hypotheses(scene.prior), scene.prior.p_none
    off_m, off_alpha, _, off_log_p = off_standard()
    m, alpha = np.concatenate([rows.m, off_m]), np.concatenate([rows.alpha, off_alpha])
    ha, hf = np.concatenate([rows.ha, np.ones(off_m.size)]), np.concatenate([rows.hf, np.full(off_m.size, 1.25)])
    with np.errstate(divide="ignore"):
        log_p = np.concatenate([rows.log_p + np.log1p(-p_none), off_log_p + np.log(p_none)])
    row = np.concatenate([np.arange(rows.m.size), np.full(off_m.size, -1)])
    helices = _helices(scene)
    variants = [(z, beta, free, log(p) + q, plane) for z, p in scene.counts for beta, free, q, plane in helices]
    n, size = len(variants), m.size

    def each(values: list[float]) -> Array:
        return np.repeat(np.array(values, dtype=float), size)

    whole = Field(
        row=np.tile(row, n),
        z=each([v[0] for v in variants]),
        m=np.tile(m, n),
        alpha=np.tile(alpha, n),
        ha=np.tile(ha, n),
        hf=np.tile(hf, n),
        beta=each([v[1] for v in variants]),
        transverse=each([float(v[4]) for v in variants]) > 0,
        free=each([float(v[2]) for v in variants]) > 0,
        log_p=np.tile(log_p, n) + each([v[3] for v in variants]),
    )
    return rows, whole.take(np.isfinite(whole.log_p))


def _helices(scene: Scene) -> list[tuple[float, bool, float, bool]]:
    """(helix angle, whether free about that, log of the weight, pitch counted in the transverse plane)."""
    read = scene.helix
    if read is None:
        return [(0.0, False, 0.0, False)]
    p, across = constants()["helical"], constants()["helical_transverse"]
    # free means a normal part ten times as wide as the reading; its weight makes it a flat chance over 45 degrees
    flat = log(p) + log(np.sqrt(2 * pi) * 10 * read.u / (pi / 4))
    beta = abs(read.value)
    return [
        (0.0, False, log(1 - p), False),
        (beta, True, flat + log(1 - across), False),
        (beta, True, flat + log(across), True),
    ]


def as_made(scene: Scene) -> Array:
    """Spread of each reading as made, in modules: blanks, depth of cut, centres."""
    by_what = {row["what"]: float(row["as_made_module"]) for row in load("reading_uncertainty")}
    some_worn = any(r.worn for r in scene.readings if r.what in FLANK)
    extra = [c_thin if some_worn and r.what in FLANK and not r.worn else 0.0 for r in scene.readings]
    return np.array([np.hypot(by_what[r.what], e) for r, e in zip(scene.readings, extra, strict=True)])


c_thin = 0.01  # an unworn flank beside worn ones still has the thinning it was made with [modules]


@dataclass(frozen=True)
class Mixture:
    """The parts inside a hypothesis; arrays of shape (C,): shift node, scales of thinning and topping, log weight."""

    node: NDArray[np.int64]
    thin: Array
    top: Array
    log_p: Array


def mixture(scene: Scene) -> Mixture:
    """Shift nodes x scales of thinning x scales of topping, as far as some reading feels them."""
    c = constants()
    comb = np.exp(-0.5 * ((SHIFTS[1:] - c["shift_middle"]) / c["shift_spread"]) ** 2)
    zero = scene.prior.p_shift_zero
    shift = np.concatenate([[zero], (1 - zero) * comb / comb.sum()])
    flanks = [r for r in scene.readings if r.what in FLANK]
    tips = [r for r in scene.readings if r.what in TIP]
    if any(r.worn for r in flanks):
        thin = {c["thin_as_made"]: 1 - c["thin_worn_weight"], c["thin_worn"]: c["thin_worn_weight"]}
    else:
        thin = {_TIGHT: 0.5, c["thin_as_made"]: 0.5} if flanks else {_TIGHT: 1.0}
    if any(r.worn for r in tips):
        top = {c["topped_little"]: 1 - c["topped_worn_weight"], c["topped_worn"]: c["topped_worn_weight"]}
    elif tips:
        top = {_TIGHT: 1 - c["topped_as_made_weight"], c["topped_as_made"]: c["topped_as_made_weight"]}
    else:
        top = {_TIGHT: 1.0}
    parts = [
        (n, a, b, log(p * pa * pb))
        for n, p in enumerate(shift)
        if p > 0
        for a, pa in thin.items()
        for b, pb in top.items()
    ]
    node, a, b, log_p = zip(*parts, strict=True)
    return Mixture(np.array(node), np.array(a), np.array(b), np.array(log_p))


def responses(scene: Scene, field: Field, readings: tuple[Reading, ...]) -> tuple[Array, Array]:
    """Predictions (R, n, nodes) and their slopes (R, n, nodes, columns), by differences about each shift node."""
    base = field.rings(scene.s, SHIFTS)
    f = np.stack([predict(r, base) for r in readings], axis=1)
    slopes = np.zeros((*f.shape, len(COLUMNS)))
    m = base.m
    step = 1e-3

    def differ(**change: Any) -> Array:
        moved = replace(base, **change)
        return np.stack([predict(r, moved) for r in readings], axis=1) - f

    some_worn = any(r.worn for r in scene.readings if r.what in FLANK)
    slopes[..., 0] = differ(x=SHIFTS + step) / step
    if (field.row < 0).any():
        slopes[..., 1] = differ(m=m * (1 + step)) / step * (field.row < 0)[:, None, None]
    if field.free.any():
        turned = field.rings(scene.s, SHIFTS, step)
        moved = np.stack([predict(r, turned) for r in readings], axis=1)
        slopes[..., 2] = (moved - f) / step * field.free[:, None, None]
    worn_flank = np.array([r.what in FLANK and (r.worn or not some_worn) for r in readings])
    worn_tip = np.array([r.what in TIP for r in readings])
    if worn_flank.any():
        slopes[..., 4] = differ(w=step * m) / (step * m)[:, None] * worn_flank[:, None]
        if some_worn:
            height = np.stack([np.broadcast_to(contact_height(r, base), f[:, 0].shape) for r in readings], axis=1)
            slopes[..., 3] = slopes[..., 4] * height
    if worn_tip.any():
        slopes[..., 5] = differ(t=step * m) / (step * m)[:, None] * worn_tip[:, None]
    return f, slopes


@dataclass(frozen=True)
class Evidence:
    """Log evidence (R, C, P) without prior weights of rows; parts and patterns weighted in. Row arrays beside it."""

    field: Field
    parts: Mixture
    log_e: Array
    f: Array
    slopes: Array


def evidence(
    scene: Scene,
    field: Field,
    told: tuple[Array, Array] | None = None,
    floor: float | None = None,
    known: Array | None = None,
) -> Evidence:
    """Evidence of every row, part and pattern of a bad reading, in one evaluation over arrays.

    ``told`` are the `responses` of these rows, where they are known already. With ``floor`` the chance that thinning
    and topping lie above nought is left at 1 for elements that even so, prior included, stay below the floor.
    ``known`` are spreads of ln m and of the helix (R, 2) that take the place of the prior's.
    """
    parts, n = mixture(scene), len(scene.readings)
    f, slopes = responses(scene, field, scene.readings) if told is None else told
    patterns = 2 * n + 1 if n > 1 else 1
    rows = max(1, _MOST // (parts.node.size * patterns))
    pieces = [np.zeros((0, parts.node.size, patterns))]
    for i in range(0, field.m.size, rows):
        some = field.take(np.arange(i, min(i + rows, field.m.size)))
        spread = None if known is None else known[i : i + rows]
        pieces.append(_log_evidence(scene, some, parts, (f[i : i + rows], slopes[i : i + rows]), floor, spread))
    return Evidence(field, parts, np.concatenate(pieces), f, slopes)


def noise(scene: Scene, m: Array) -> tuple[Array, Array, Array]:
    """Variances (R, n) of good readings, what a bad one adds (P - 1, n), and the log weights of the patterns (P,).

    Pattern 0 is "all good"; then each reading out by a slip, then each grossly wrong.
    """
    c, n = constants(), len(scene.readings)
    good = scene.u**2 + (as_made(scene) * m[:, None]) ** 2
    if n == 1:
        return good, np.zeros((0, 1)), np.zeros(1)
    least = np.array([0.0 if r.is_angle else c["bad_reading_least"] for r in scene.readings])
    slip = np.maximum(c["bad_reading_times"] * scene.u, least)
    gross = np.maximum(slip, c["bad_reading_gross"] * np.abs(scene.value))
    e = c["bad_reading"]
    weights = np.array([(1 - e) ** n, *[e / 2 * (1 - e) ** (n - 1)] * (2 * n)])
    return good, np.vstack([np.diag(slip**2), np.diag(gross**2)]), np.log(weights / weights.sum())


def scales(scene: Scene, parts: Mixture, m: Array, known: Array | None = None) -> Array:
    """Standard deviation of each unknown before the readings, (R, C, columns)."""
    sd = np.full((m.size, parts.node.size, len(COLUMNS)), _TIGHT)
    read = scene.helix
    sd[..., 0] = np.where(parts.node == 0, _TIGHT, SHIFT_WIDTH)
    sd[..., 1] = off_standard()[2]
    sd[..., 2] = 10 * read.u if read else _TIGHT
    if known is not None:
        sd[..., 1:3] = np.maximum(known, _TIGHT)[:, None]
    thin, top = parts.thin * m[:, None], parts.top * m[:, None]
    sd[..., 3] = np.maximum(constants()["thin_slope"] * thin, _TIGHT)
    sd[..., 4], sd[..., 5] = thin, top
    return sd


def _log_evidence(
    scene: Scene,
    field: Field,
    parts: Mixture,
    told: tuple[Array, Array],
    floor: float | None,
    known: Array | None,
) -> Array:
    """One bad reading changes one variance, so its evidence follows from that of all good ones by a rank-one step."""
    good, wider, log_pattern = noise(scene, field.m)
    A, r = whitened(scene, good, *told)
    sd = scales(scene, parts, field.m, known)[..., used(told[1])]
    y, L = solve((np.swapaxes(A, -1, -2) @ A)[:, parts.node], _against(A, r)[:, parts.node], sd)
    A, r = A[:, parts.node], r[:, parts.node]
    z = forward(L, A)
    log_g = -0.5 * ((r * r).sum(axis=-1) - sum(c * c for c in y)) - sum(np.log(L[i][i]) for i in range(len(y)))
    log_g = log_g - np.log(sd).sum(axis=-1) + plain_constant(good)[:, None] + parts.log_p
    log_e = np.repeat(log_g[..., None], log_pattern.size, axis=-1)
    error = r - sum(c[..., None] * d for c, d in zip(y, z, strict=True))
    free = np.maximum(1 - sum(d * d for d in z), 1e-15)
    n = scene.u.size
    gain = np.zeros((*log_g.shape, log_pattern.size))
    for kind in range(0, len(wider), n):
        ratio = (np.diagonal(wider[kind : kind + n]) / good)[:, None, :]
        grown = 1 + ratio * free
        at = slice(1 + kind, 1 + kind + n)
        gain[..., at] = ratio / grown
        log_e[..., at] += 0.5 * (gain[..., at] * error**2 - np.log(grown))
    log_e += log_pattern + log(4)
    felt = np.nonzero(log_e + field.log_p[:, None, None] > (-np.inf if floor is None else floor))
    log_e[felt] += np.log(_Last(y, L, z, error, gain).both(felt))
    return log_e


@dataclass(frozen=True)
class _Last:
    """What the chance of thinning and topping above nought needs: solution, factor, and each reading's pull."""

    y: list[Array]
    L: list[list[Array]]
    z: list[Array]
    error: Array
    gain: Array

    def both(self, at: tuple[NDArray[np.intp], ...]) -> Array:
        """Chance that both are above nought, at the elements (row, part, pattern)."""
        row, part, pattern = at
        n = self.error.shape[-1]
        a, c, d = (v[row, part] for v in (self.L[-2][-2], self.L[-1][-2], self.L[-1][-1]))
        t = self.y[-1][row, part] / d
        w = (self.y[-2][row, part] - c * t) / a
        reading = np.maximum(pattern - 1, 0) % n
        gain = self.gain[row, part, pattern]
        q_t = self.z[-1][row, part, reading] / d
        q_w = (self.z[-2][row, part, reading] - c * q_t) / a
        pull = gain * self.error[row, part, reading]
        s_w = np.sqrt(1 / a**2 + (c / (a * d)) ** 2 + gain * q_w**2)
        s_t = np.sqrt(1 / d**2 + gain * q_t**2)
        rho = (gain * q_w * q_t - c / (a * d * d)) / (s_w * s_t)
        return both_positive((w - pull * q_w) / s_w, (t - pull * q_t) / s_t, rho)


def used(slopes: Array) -> list[int]:
    """The unknowns that some reading feels, thinning and topping always among them."""
    return [j for j in range(len(COLUMNS)) if j > 3 or np.any(slopes[..., j])]


def whitened(scene: Scene, good: Array, f: Array, slopes: Array) -> tuple[Array, Array]:
    """Slopes (R, nodes, n, p) and misfits (R, nodes, n) in standard deviations of good readings."""
    sd = np.sqrt(good)
    A = slopes[..., used(slopes)].transpose(0, 2, 1, 3) / sd[:, None, :, None]
    return A, ((scene.value[:, None] - f) / sd[..., None]).transpose(0, 2, 1)


def _against(A: Array, r: Array) -> Array:
    return np.asarray((np.swapaxes(A, -1, -2) @ r[..., None])[..., 0])


def plain_constant(good: Array) -> Array:
    """Log of the normal density's constant for good readings, (R,)."""
    return np.asarray(-0.5 * (np.log(good).sum(axis=-1) + good.shape[-1] * log(2 * pi)))


def forward(L: list[list[Array]], A: Array) -> list[Array]:
    """Solve L z = each reading's slopes: a list over unknowns of arrays (..., n)."""
    z: list[Array] = []
    for i in range(A.shape[-1]):
        own = A[..., i]
        for k in range(i):
            own = own - L[i][k][..., None] * z[k]
        z.append(own / L[i][i][..., None])
    return z


def solve(G: Array, b: Array, sd: Array) -> tuple[list[Array], list[list[Array]]]:
    """Cholesky factor of the unknowns' precision ``G + 1/sd**2`` and the forward solution, for all elements at once."""
    p = b.shape[-1]
    L: list[list[Array]] = [[np.empty(0)] * p for _ in range(p)]
    y: list[Array] = []
    for i in range(p):
        for j in range(i + 1):
            total = G[..., i, j] + (1 / sd[..., i] ** 2 if i == j else 0.0)
            for k in range(j):
                total = total - L[i][k] * L[j][k]
            L[i][j] = np.sqrt(total) if i == j else total / L[j][j]
        total = b[..., i]
        for k in range(i):
            total = total - L[i][k] * y[k]
        y.append(total / L[i][i])
    return y, L
