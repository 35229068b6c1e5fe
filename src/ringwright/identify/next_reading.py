"""The one reading expected to remove most doubt among the first candidates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.identify.evidence import COLUMNS, Field, responses
from ringwright.identify.hypotheses import constants
from ringwright.identify.ranking import Belief, Ranked
from ringwright.identify.readings import FLANK, TIP, Reading
from ringwright.tables import load

Array = NDArray[np.float64]

_MOST_BELIEFS = 32
_FORM = 0.25  # a bit on proportions alone counts so much of one on pitch and angle
_LEAST_BITS = 0.01
_HERMITE, _HERMITE_W = np.polynomial.hermite_e.hermegauss(21)


@dataclass(frozen=True)
class Next:
    """A reading to take (its value is the first candidate's), its worth in bits, and what each candidate predicts.

    ``tells`` holds (index of the candidate, index of the belief, predicted, its spread) [mm].
    """

    reading: Reading
    bits: float
    tells: tuple[tuple[int, Belief, float, float], ...]


def default_uncertainty() -> Mapping[str, float]:
    """Standard uncertainty by kind of reading, in the table's unit (mm; deg for the helix angle)."""
    return {row["what"]: float(row["uncertainty"]) for row in load("reading_uncertainty")}


def next_reading(ranked: Ranked, can_read: frozenset[str] | None = None) -> Next | None:
    """Choose among the readings not yet taken by expected information; None when nothing is left in doubt.

    The predicted value of each candidate is Gaussian, with the spread that its unknowns still have after the readings
    in hand; the worth is the mutual information between "which ring" and the value, in bits, what it says of pitch and
    angle counting in full, of proportions alone a quarter: the cutter hangs on the first.
    """
    order = np.argsort([-b.name.probability for b in ranked.beliefs], kind="stable")[:_MOST_BELIEFS]
    beliefs = [ranked.beliefs[i] for i in order]
    held = [ranked.held[i] for i in order]
    if len(beliefs) < 2:
        return None
    p = np.array([b.name.probability for b in beliefs])
    p = p / p.sum()
    cutter = np.array([(b.name.m, b.name.alpha, b.name.z) for b in beliefs])
    same = (np.abs(cutter[:, None] - cutter) < 1e-9).all(axis=-1)
    best: Next | None = None
    for reading in options(ranked, beliefs[0], can_read):
        mean, sd = predictive(ranked, beliefs, reading)
        bits = _worth(p, mean, sd, same)
        if reading.what == "span" and not any(r.what == "span" for r in ranked.scene.readings):
            # the first of two spans: half of what their difference will say, for even wear is in both
            apart = Reading("span_difference", 0, 2**0.5 * reading.u, n=1)
            bits = max(bits, _worth(p, *predictive(ranked, beliefs, apart), same) / 2)
        if best is None or bits > best.bits + 1e-6:
            tells = tuple(zip(held, beliefs, map(float, mean), map(float, sd), strict=True))
            best = Next(replace(reading, value=float(mean[0])), bits, tells)
    return best if best is not None and best.bits > _LEAST_BITS else None


def _worth(p: Array, mean: Array, sd: Array, same: NDArray[np.bool_]) -> float:
    """Bits on pitch and angle, and a share of those on proportions."""
    pitch = information(p, mean, sd, same)
    return pitch + _FORM * (information(p, mean, sd) - pitch)


def information(p: Array, mean: Array, sd: Array, same: NDArray[np.bool_] | None = None) -> float:
    """Mutual information [bits] between a choice with chances p and a value normal about mean with spread sd.

    With ``same`` (n, n) the choice is between groups: true where two belong together.

    >>> information(np.array([0.5, 0.5]), np.array([0.0, 100.0]), np.array([1.0, 1.0]))
    1.0
    >>> abs(information(np.array([0.5, 0.5]), np.array([0.0, 0.0]), np.array([1.0, 1.0]))) < 1e-12
    True
    >>> abs(information(np.array([0.5, 0.5]), np.array([0.0, 9.0]), np.ones(2), np.ones((2, 2), bool))) < 1e-12
    True
    """
    own = np.eye(p.size, dtype=bool) if same is None else same
    y = mean[:, None] + sd[:, None] * _HERMITE
    density = np.exp(-0.5 * ((y[..., None] - mean) / sd) ** 2) / sd
    mine = own * p
    ratio = np.log2(np.einsum("iqj,ij->iq", density, mine) / mine.sum(axis=1)[:, None] / (density @ p))
    return float(np.sum(p[:, None] * _HERMITE_W * ratio) / np.sqrt(2 * pi))


def options(ranked: Ranked, first: Belief, can_read: frozenset[str] | None) -> list[Reading]:
    """Readings not yet taken, as they would be taken on the first ring."""
    scene, ring, u = ranked.scene, first.name, default_uncertainty()
    taken = {(r.what, r.k) for r in scene.readings}
    worn = any(r.worn for r in scene.readings)
    k = max(2, int(ring.z * ring.alpha / pi + 0.5))  # this and one more touch on both sides of mid-flank
    pin = round((1.728 if scene.s > 0 else 1.68) * ring.m, 2)
    wanted = [Reading("whole_depth", 0, u["whole_depth"], worn), Reading("tip_diameter", 0, u["tip_diameter"], worn)]
    wanted.append(Reading("root_diameter", 0, u["root_diameter"]))
    wanted.append(Reading("pitch", 0, u["pitch"]))
    wanted.append(Reading("chordal_thickness", 0, u["chordal_thickness"], worn, h=round(ring.m * ring.ha, 1)))
    if scene.s > 0:
        wanted += [Reading("span", 0, u["span"], worn, k=n) for n in (k, k + 1) if 2 <= n <= ring.z / 2]
        wanted.append(Reading("over_pins", 0, u["over_pins"], worn, D_M=pin))
    else:
        wanted.append(Reading("between_pins", 0, u["between_pins"], worn, D_M=pin))
    if can_read and ring.z >= 24:  # only where the shop says so: coarse, but at times the only way
        wanted.append(Reading("chord_over_teeth", 0, u["chord_over_teeth"], worn, n=ring.z // 6))
        if scene.s > 0:
            wanted.append(Reading("tip_girth", 0, u["tip_girth"], worn))
    return [r for r in wanted if (r.what, r.k) not in taken and (can_read is None or r.what in can_read)]


def predictive(ranked: Ranked, beliefs: list[Belief], reading: Reading) -> tuple[Array, Array]:
    """Mean and spread of what each belief predicts for a reading [mm], shapes (beliefs,)."""
    scene, c = ranked.scene, constants()
    field = _field(beliefs)
    f, slopes = responses(scene, field, (reading,))
    made = {row["what"]: float(row["as_made_module"]) for row in load("reading_uncertainty")}[reading.what]
    new_flank = reading.what in FLANK and not any(r.what in FLANK for r in scene.readings)
    new_tip = reading.what in TIP and not any(r.what in TIP for r in scene.readings)
    thin = c["thin_worn"] if reading.worn else c["thin_as_made"]
    top = c["topped_worn"] if reading.worn else c["topped_as_made"] / 4
    mean, variance = np.zeros(len(beliefs)), np.zeros(len(beliefs))
    for i, b in enumerate(beliefs):
        a = slopes[i, 0, b.node]
        mean[i] = f[i, 0, b.node] + a @ b.mean
        variance[i] = a @ b.covariance @ a + reading.u**2 + (made * b.name.m) ** 2
        variance[i] += (new_flank * a[COLUMNS.index("w")] * thin * b.name.m) ** 2
        variance[i] += (new_tip * a[COLUMNS.index("t")] * top * b.name.m) ** 2
    return mean, np.sqrt(variance)


def _field(beliefs: list[Belief]) -> Field:
    n = len(beliefs)
    column = {
        k: np.array([float(getattr(b.name, k)) for b in beliefs]) for k in ("z", "m", "alpha", "ha", "hf", "beta")
    }
    no = np.zeros(n, dtype=bool)
    return Field(row=np.zeros(n, dtype=np.int64), transverse=no, free=no, log_p=np.zeros(n), **column)


__all__ = ["Next", "default_uncertainty", "information", "next_reading"]
