"""The chance that a tooth takes a piece out of the edge: a belief by zone, wide to begin with.

A chipped edge has no memory here: the hundredth sound tooth is as dangerous as the first, so changing an edge early
saves nothing from chipping, only from wear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, lgamma

import numpy as np
from numpy.typing import NDArray

from ringwright import tables
from ringwright.errors import require

Array = NDArray[np.float64]
#: What the edge can enter: sound metal, a hard tooth, start or stop of a weld bead, the heat-affected edge beside one.
ZONES = ("sound", "hard", "weld_start_stop", "heat_affected_edge")
_GRID = 6001


@dataclass(frozen=True, slots=True)
class Chance:
    """Belief in the chance of a chipped edge per tooth entered: Beta with weights ``a`` for chips, ``b`` for none."""

    a: float
    b: float

    @property
    def mean(self) -> float:
        """Expected chance per tooth [-]."""
        return self.a / (self.a + self.b)

    def told(self, entered: float, chipped: float) -> Chance:
        """After so many teeth entered, so many of which chipped the edge.

        >>> Chance(0.5, 24.5).told(23, 1).mean
        0.03125
        """
        require("chipped", chipped, 0, entered)
        return Chance(self.a + chipped, self.b + entered - chipped)

    def survive(self, teeth: float) -> float:
        """Chance that one edge enters so many teeth unchipped, E[(1 - p)^n] [-].

        Not (1 - mean)^n: a wide belief leaves more hope for long runs.

        >>> Chance(1, 1).survive(9)
        0.1
        """
        require("teeth", teeth, 0, 1e6)
        a, b, n = self.a, self.b, teeth
        return exp(lgamma(b + n) + lgamma(a + b) - lgamma(b) - lgamma(a + b + n))

    def quantile(self, share: float) -> float:
        """Chance per tooth that the true one stays below with this share of the belief [-], to about 0.5 per cent.

        >>> Chance(1, 1).quantile(0.9)
        0.900
        """
        require("share", share, 0.001, 0.999)
        logit = np.linspace(-40, 20, _GRID)
        log_p, log_q = -np.logaddexp(0, -logit), -np.logaddexp(0, logit)
        weight = np.exp(self.a * log_p + self.b * log_q - (lgamma(self.a) + lgamma(self.b) - lgamma(self.a + self.b)))
        below = np.cumsum((weight[1:] + weight[:-1]) / 2)
        return float(1 / (1 + np.exp(-np.interp(share * below[-1], below, (logit[1:] + logit[:-1]) / 2))))

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """Chances drawn from the belief, shape (count,)."""
        return rng.beta(self.a, self.b, count)


@cache
def prior(material: str) -> dict[str, Chance]:
    """Beliefs by zone before anything was seen: common practice, wide, no source.

    Parameters
    ----------
    material : str
        "carbide", "hss" or "hss_cobalt"
    """
    kind = "carbide" if material == "carbide" else "hss"
    found = {}
    for row in tables.load("chipping"):
        if row["material"] == kind:
            mean, weight = float(row["mean"]), float(row["weight"])
            found[row["zone"]] = Chance(weight, weight * (1 - mean) / mean)
    return found
