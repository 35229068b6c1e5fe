"""Hours and prices with their spread: elements added up, a pace read off, a price put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, exp, log, sqrt
from statistics import NormalDist

from ringwright.errors import Refusal, require

_Z = NormalDist().inv_cdf
Z_80 = _Z(0.8)
#: A gap this many times the middle pace is a pause, not a tooth (rule of this program).
PAUSE = 5.0


@dataclass(frozen=True, slots=True)
class Spread:
    """Mean and variance of a time or sum (any unit, unit squared)."""

    mean: float
    variance: float

    def __add__(self, other: Spread) -> Spread:
        return Spread(self.mean + other.mean, self.variance + other.variance)

    def times(self, n: float) -> Spread:
        """The same doubt n times over: teeth of one ring are slow or quick together."""
        return Spread(n * self.mean, n * n * self.variance)

    def quantile(self, p: float) -> float:
        """Value not passed with chance p, the sum taken as lognormal with this mean and variance.

        Fenton and Wilkinson (memory): sigma^2 = ln(1 + V/m^2), value = m exp(z sigma - sigma^2/2).
        """
        if self.mean <= 0:
            return 0.0
        s2 = log(1 + (sqrt(self.variance) / self.mean) ** 2)
        return self.mean * exp(_Z(p) * sqrt(s2) - s2 / 2)


def from_three(low: float, likely: float, high: float) -> Spread:
    """Mean and variance from the tenth, fiftieth and ninetieth in a hundred.

    Swanson's rule (memory): weights 0.3, 0.4, 0.3.

    Raises
    ------
    Refusal
        ``out_of_order``: the three do not rise.

    Examples
    --------
    >>> from_three(10, 20, 40)
    Spread(mean=23.0, variance=141.0)
    """
    require("low", low, 0, 1e9)
    require("high", high, 0, 1e9)
    if not low <= likely <= high:
        raise Refusal("out_of_order", "likely", likely, low, high)
    mean = 0.3 * low + 0.4 * likely + 0.3 * high
    variance = 0.3 * (low - mean) ** 2 + 0.4 * (likely - mean) ** 2 + 0.3 * (high - mean) ** 2
    return Spread(mean, variance)


def from_two(p50: float, p80: float) -> Spread:
    """Mean and variance of the lognormal through its fiftieth and eightieth in a hundred.

    Examples
    --------
    >>> round(from_two(10, 12).quantile(0.8), 6)
    12.0
    """
    require("p50", p50, 1e-9, 1e9)
    require("p80", p80, 0, 1e9)
    if p80 < p50:
        raise Refusal("out_of_order", "p80", p80, p50, None)
    s2 = (log(p80 / p50) / Z_80) ** 2
    mean = p50 * exp(s2 / 2)
    return Spread(mean, mean**2 * (exp(s2) - 1))


def base_cost(hours: float, hour_rate: float, purchases: float) -> float:
    """Cost before contingency and margin: hours at their rate and what is bought [money].

    >>> base_cost(5.083333, 60, 116)
    421.0
    """
    return hours * hour_rate + purchases


def price(base: float, contingency: float, margin: float) -> float:
    """Price = base (1 + contingency) / (1 - margin); the margin is a share of the price [money].

    >>> price(421, 0.15, 0.2)
    605.19
    """
    require("contingency", contingency, 0, 5)
    require("margin", margin, 0, 0.95)
    return base * (1 + contingency) / (1 - margin)


def margin_of_markup(markup: float) -> float:
    """Margin on the price from a markup on the cost: k / (1 + k) [-].

    >>> margin_of_markup(0.25)
    0.2
    """
    require("markup", markup, 0, 20)
    return markup / (1 + markup)


def learning_exponent(rate: float) -> float:
    """Exponent b = -ln(rate) / ln 2: each doubling of the count takes ``rate`` of the time [-].

    >>> learning_exponent(0.9)
    0.152
    """
    require("rate", rate, 0.5, 1)
    return -log(rate) / log(2)


def learning_seconds(teeth: int, first: float, rate: float, floor: float = 0.0) -> float:
    """Time of the first ``teeth`` teeth on a unit-time curve: sum of max(floor, first k^-b) [s].

    >>> learning_seconds(100, 120, 0.92) / 60
    129.97
    """
    require("teeth", teeth, 1, 100_000)
    require("first", first, 0, 1e6)
    require("floor", floor, 0, 1e6)
    b = learning_exponent(rate)
    return float(sum(max(floor, first * k**-b) for k in range(1, int(teeth) + 1)))


def cutters_needed(teeth: float, teeth_per_edge: float) -> int:
    """Whole cutters for a number of teeth [-]."""
    require("teeth_per_edge", teeth_per_edge, 0.1, 1e6)
    return ceil(teeth / teeth_per_edge - 1e-9)


@dataclass(frozen=True, slots=True)
class Pace:
    """What the observed seconds per tooth say of the teeth still to go."""

    mean_s: float
    left: Spread
    used: int
    pauses: int


def pace(seconds: Sequence[float], teeth_left: int) -> Pace:
    """Expected time of the teeth left, from the seconds between marks.

    Gaps above five times the middle one are pauses and left out (and counted). The spread joins the scatter from
    tooth to tooth and the doubt in the mean: V = n^2 s^2 (1/n + 1/k) for k seen and n to go.

    Raises
    ------
    Refusal
        ``too_few_teeth`` with fewer than 5 gaps.
    """
    if len(seconds) < 5:
        raise Refusal("too_few_teeth", "seconds", len(seconds), 5, None)
    for i, s in enumerate(seconds):
        if not 0 < s <= 1e6:
            raise Refusal("out_of_range", "second", s, 0, 1e6, at=(i,))
    middle = sorted(seconds)[len(seconds) // 2]
    used = [s for s in seconds if s <= PAUSE * middle]
    k, n = len(used), teeth_left
    mean = sum(used) / k
    s2 = sum((s - mean) ** 2 for s in used) / (k - 1)
    variance = n * n * s2 * (1 / n + 1 / k) if n else 0.0
    return Pace(mean, Spread(n * mean, variance), k, len(seconds) - k)
