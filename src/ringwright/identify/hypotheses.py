"""Every standard and old system as one row of arrays, built once from the tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from math import log, pi

import numpy as np
from numpy.typing import NDArray

from ringwright.errors import Refusal
from ringwright.identify.origin import Origin, factors
from ringwright.tables import load

Array = NDArray[np.float64]
SYSTEMS = ("module", "diametral_pitch", "circular_pitch", "combination")


@cache
def constants() -> Mapping[str, float]:
    """The numbers of the prior, by name, from ``systems_prior.csv`` (common practice)."""
    return {row["name"]: float(row["value"]) for row in load("systems_prior")}


@dataclass(frozen=True)
class Prior:
    """Weights before any reading; what is left empty is taken from the tables.

    ``systems`` and ``angles`` (system-independent, keyed by degrees) replace the table's weights; a missing key of a
    given mapping weighs nothing. ``origin`` multiplies the table's weights, never those given.
    """

    systems: Mapping[str, float] = field(default_factory=dict)
    angles: Mapping[float, float] = field(default_factory=dict)
    shift_zero: float | None = None
    none_of_these: float | None = None
    origin: Origin | None = None

    @property
    def p_none(self) -> float:
        """Chance that the ring is of none of the systems."""
        return constants()["none_of_these"] if self.none_of_these is None else self.none_of_these

    @property
    def p_shift_zero(self) -> float:
        """Chance that the ring has no profile shift at all."""
        return constants()["shift_zero"] if self.shift_zero is None else self.shift_zero


@dataclass(frozen=True)
class Hypotheses:
    """Rows of one hypothesis each; all arrays of shape (H,).

    ``m`` [mm], ``alpha`` [rad], ``ha`` and ``hf`` [modules], ``system`` an index into `SYSTEMS`, ``size`` and
    ``form`` indices into ``sizes`` and ``forms``, ``log_p`` the log of the prior weight (sums to 1 over all rows).
    """

    m: Array
    alpha: Array
    ha: Array
    hf: Array
    system: NDArray[np.int64]
    size: NDArray[np.int64]
    form: NDArray[np.int64]
    log_p: Array
    sizes: tuple[str, ...]
    forms: tuple[str, ...]
    pitch: Array


def _sizes() -> list[tuple[int, str, float, float, float]]:
    """(system, size, module in mm, pitch as the system counts it, weight within the system)."""
    found = []
    for row in load("systems"):
        system, weight = SYSTEMS.index(row["system"]), float(row["weight"])
        if row["system"] == "module":
            pitch = float(row["millimetres"])
            m = pitch
        elif row["system"] == "diametral_pitch":
            pitch = float(row["per_inch"])
            m = 25.4 / pitch
        else:
            pitch = float(row["millimetres"]) if row["millimetres"] else 25.4 * float(row["per_inch"])
            m = pitch / pi
        found.append((system, row["size"], m, pitch, weight))
    return found


@cache
def _table() -> list[tuple[int, str, float, float, float, float, float, float, str, float]]:
    """All rows before weighting by system: (system, size, m, pitch, w, alpha_deg, w_alpha w_form, ha, form, hf)."""
    angles: dict[str, list[tuple[float, float]]] = {s: [] for s in SYSTEMS}
    for row in load("systems_angles"):
        angles[row["system"]].append((float(row["angle_deg"]), float(row["weight"])))
    rows = []
    for system, size, m, pitch, weight in _sizes():
        for alpha, w_alpha in angles[SYSTEMS[system]]:
            for form in load("systems_proportions"):
                if float(form["angle_from_deg"]) <= alpha < float(form["angle_to_deg"]):
                    ha, hf, w_form = float(form["addendum"]), float(form["dedendum"]), float(form["weight"])
                    rows.append((system, size, m, pitch, weight, alpha, w_alpha * w_form, ha, form["name"], hf))
    for row in load("systems_combination"):
        first, second = float(row["first"]), float(row["second"])
        ha, hf = first / second, 1.25 * first / second
        for alpha, w_alpha in angles["combination"]:
            size = f"{row['first']}/{row['second']}"
            rows.append((3, size, 25.4 / first, first, float(row["weight"]), alpha, w_alpha, ha, "stub", hf))
    return rows


@cache
def _arrays() -> tuple[Hypotheses, Array, Array]:
    system, size, m, pitch, w, alpha, w2, ha, form, hf = zip(*_table(), strict=True)
    sizes, size_at = np.unique(np.array(size), return_inverse=True)
    forms, form_at = np.unique(np.array(form), return_inverse=True)
    weight = np.array(w) * np.array(w2)
    hypotheses = Hypotheses(
        m=np.array(m),
        alpha=np.radians(alpha),
        ha=np.array(ha),
        hf=np.array(hf),
        system=np.array(system),
        size=size_at,
        form=form_at,
        log_p=np.zeros(len(m)),
        sizes=tuple(map(str, sizes)),
        forms=tuple(map(str, forms)),
        pitch=np.array(pitch),
    )
    return hypotheses, weight, np.array(w)


def hypotheses(prior: Prior) -> Hypotheses:
    """All rows with the log of their weight under this prior.

    Raises
    ------
    Refusal
        ``prior_leaves_nothing`` when every weight is nought.

    Examples
    --------
    >>> rows = hypotheses(Prior())
    >>> bool(rows.m.size > 5000), float(np.exp(rows.log_p).sum())
    (True, 1.0)
    """
    rows, weight, by_size = _arrays()
    if prior.angles:
        at = np.round(np.degrees(rows.alpha), 6)
        own = np.array([prior.angles.get(float(a), 0.0) for a in at])
        weight = np.where(own > 0, by_size * own, 0.0)
    share = np.zeros(len(rows.m))
    for n, name in enumerate(SYSTEMS):
        given = prior.systems.get(name, 0.0) if prior.systems else constants()[f"system_{name}"]
        here = rows.system == n
        total = weight[here].sum()
        if total > 0:
            share[here] = given * weight[here] / total
    share *= _by_origin(prior, rows)
    if share.sum() <= 0:
        raise Refusal("prior_leaves_nothing", "prior")
    with np.errstate(divide="ignore"):
        log_p = np.log(share / share.sum())
    return Hypotheses(**{**rows.__dict__, "log_p": log_p})


def _by_origin(prior: Prior, rows: Hypotheses) -> Array:
    """What the machine's origin multiplies each row by; weights given in the request overrule it."""
    times = np.ones(rows.m.size)
    for (system, angle), factor in (factors(prior.origin) if prior.origin else {}).items():
        here = rows.system == SYSTEMS.index(system)
        if angle is None and not prior.systems:
            times[here] *= factor
        elif angle is not None and not prior.angles:
            times[here & np.isclose(np.degrees(rows.alpha), angle)] *= factor
    return times


def system_weights(prior: Prior) -> dict[str, float]:
    """Share of each system before any reading, all clues put in; they add up to 1."""
    rows = hypotheses(prior)
    p = np.bincount(rows.system, weights=np.exp(rows.log_p), minlength=len(SYSTEMS))
    return dict(zip(SYSTEMS, map(float, p), strict=True))


@cache
def off_standard() -> tuple[Array, Array, float, Array]:
    """Rings of no system: a comb of modules, pressure angles, the comb's width in ln m, and the log of the weights.

    The comb is as wide as its spacing, so that together it is flat in ln m from 0.1 to 100 mm.
    """
    width = 0.03
    m = np.exp(np.arange(log(0.1), log(100), width))
    alpha = np.radians([14.5, 20.0, 25.0])
    grid_m, grid_alpha = (a.ravel() for a in np.meshgrid(m, alpha, indexing="ij"))
    return grid_m, grid_alpha, width, np.full(grid_m.size, -log(grid_m.size))
