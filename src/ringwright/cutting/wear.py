"""Wear of an edge: Taylor's law, its scatter, and what a few lives tell of the next one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist

from ringwright.errors import OutOfRange, require

_N = NormalDist()
#: Taylor's exponent n and constant C [m/min, T in min] on steel (memory, textbook).
TAYLOR = {"hss": (0.125, 70.0), "hss_cobalt": (0.125, 70.0), "carbide": (0.25, 500.0)}
#: Coefficient of variation of one life round its median (25 to 45 per cent called typical, read).
CV = 0.35
#: Standard deviation of the logarithm of the median life: unknown steel; same steel and cutter before (memory).
DOUBT_NEW, DOUBT_KNOWN = 0.6, 0.35
#: Standard deviation added to the logarithm when conditions changed (memory).
DOUBT_CHANGED = 0.3
#: Weld and scale halve the life again (memory).
ROUGH_SHARE = 0.5


def taylor_life(v: float, n: float, C: float) -> float:
    """Life T = (C / v)^(1/n) [min]; v and C in m/min, n 0.05 to 0.6.

    >>> taylor_life(180, 0.25, 500)
    59.5
    """
    require("v", v, 0.1, 2000)
    require("n", n, 0.05, 0.6)
    require("C", C, 1, 5000)
    return float((C / v) ** (1 / n))


def speed_for_life(T: float, n: float, C: float) -> float:
    """Speed for a wanted life, v = C / T^n [m/min].

    >>> speed_for_life(60, 0.125, 70)
    41.96
    """
    require("T", T, 0.01, 10_000)
    return float(C / T**n)


def life_ratio(speed_ratio: float, n: float) -> float:
    """What a change of speed makes of the life, (v2 / v1)^(-1/n) [-].

    >>> life_ratio(0.5, 0.25), life_ratio(1.2, 0.125)
    (16.0, 0.233)
    """
    require("speed_ratio", speed_ratio, 0.05, 20)
    require("n", n, 0.05, 0.6)
    return float(speed_ratio ** (-1 / n))


def extended_life(v: float, f: float, d: float, C: float, powers: tuple[float, float, float]) -> float:
    """Life from v T^n f^p d^q = C [min], ``powers`` (n, p, q); v in m/min, f and d in mm.

    >>> extended_life(37.5, 0.3, 2.5, 28.37, (0.13, 0.77, 0.37))
    10.78
    """
    n, p, q = powers
    return float((C / (v * f**p * d**q)) ** (1 / n))


def sigma_of_cv(cv: float) -> float:
    """Standard deviation of the logarithm of a lognormal with this coefficient of variation [-].

    >>> sigma_of_cv(0.35)
    0.340
    """
    require("CV", cv, 0, 2)
    return sqrt(log(1 + cv * cv))


def lives_needed(relative_error: float, cv: float) -> float:
    """Lives to be seen for a wanted relative error of their mean, (CV / R)^2 [-].

    >>> lives_needed(0.08, 0.30)
    14.06
    """
    require("R", relative_error, 1e-3, 1)
    require("CV", cv, 0, 2)
    return (cv / relative_error) ** 2


@dataclass(frozen=True, slots=True)
class MedianLife:
    """Belief in the median life: ln T50 is normal with mean ``m`` [ln min] and standard deviation ``t`` [-]."""

    m: float
    t: float

    @property
    def minutes(self) -> float:
        """The median of the belief [min]."""
        return exp(self.m)

    def told(self, lives: Sequence[float], sigma: float) -> MedianLife:
        """After lives [min] that were seen to their end by wear; ``sigma`` is the scatter of ln T.

        >>> got = MedianLife(log(40), 0.6).told([22, 27], 0.35)
        >>> got.minutes, got.t
        (26.2, 0.229)
        """
        m, v = self.m, self.t**2
        for i, T in enumerate(lives):
            if not 1e-3 <= T <= 1e5:
                raise OutOfRange("life", T, 1e-3, 1e5, at=(i,))
            k = v / (v + sigma**2)
            m += k * (log(T) - m)
            v *= 1 - k
        return MedianLife(m, sqrt(v))

    def safe(self, p: float, sigma: float) -> float:
        """Minutes that the next edge outlives with chance p.

        >>> MedianLife(log(26.193), 0.22879).safe(0.9, 0.35)
        15.33
        """
        require("p", p, 1e-6, 1 - 1e-6)
        return exp(self.m - _N.inv_cdf(p) * sqrt(self.t**2 + sigma**2))

    def changed(self, ratio: float) -> MedianLife:
        """Under other conditions: the life times ``ratio``, and more doubt."""
        require("ratio", ratio, 1e-4, 1e4)
        return MedianLife(self.m + log(ratio), sqrt(self.t**2 + DOUBT_CHANGED**2))
