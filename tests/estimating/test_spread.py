"""Spread of hours and price: against simulation, laws and limits."""

import numpy as np
import pytest

from ringwright import tables
from ringwright.errors import Refusal
from ringwright.estimating import spread
from ringwright.estimating.spread import Spread


def test_two_percentiles_come_back():
    got = spread.from_two(90, 130)
    assert got.quantile(0.5) == pytest.approx(90, rel=1e-12)
    assert got.quantile(0.8) == pytest.approx(130, rel=1e-12)


def test_sum_of_elements_agrees_with_a_simulation():
    pairs = [(30, 45), (120, 150), (20, 40), (60, 66)]
    total = sum((spread.from_two(*p) for p in pairs), Spread(0, 0))
    rng = np.random.default_rng(7)
    drawn = sum(p50 * np.exp(np.log(p80 / p50) / spread.Z_80 * rng.standard_normal(400_000)) for p50, p80 in pairs)
    assert total.quantile(0.5) == pytest.approx(np.quantile(drawn, 0.5), rel=0.01)
    assert total.quantile(0.8) == pytest.approx(np.quantile(drawn, 0.8), rel=0.02)  # moments matched, not the tail


def test_three_points_keep_mean_and_spread_of_a_lognormal():
    s, m = 0.4, 50.0
    z = 1.2815515655446004
    got = spread.from_three(m * np.exp(-z * s), m, m * np.exp(z * s))
    assert got.mean == pytest.approx(m * np.exp(s * s / 2), rel=0.01)
    assert np.sqrt(got.variance) == pytest.approx(
        got.mean * np.sqrt(np.exp(s * s) - 1), rel=0.1
    )  # the rule reads low here


def test_no_spread_is_no_doubt():
    assert spread.from_three(8, 8, 8).quantile(0.9) == pytest.approx(8)
    assert spread.from_two(8, 8).quantile(0.1) == pytest.approx(8)


def test_a_hundred_teeth_share_their_doubt():
    one = spread.from_three(40, 60, 110)
    many = one.times(100)
    assert many.quantile(0.8) == pytest.approx(100 * one.quantile(0.8), rel=1e-12)


def test_elements_out_of_order_are_refused():
    with pytest.raises(Refusal) as refused:
        spread.from_three(20, 10, 40)
    assert (refused.value.code, refused.value.symbol) == ("out_of_order", "likely")


def test_the_trade_s_pace_lies_within_what_the_elements_say():
    """About a hundred tooth ends take a little over two hours on a manual mill (common practice, no source)."""
    total = spread.from_three(5, 5, 5)
    for row in tables.load("handling"):
        likely, factor = float(row["likely_s"]), float(row["spread_factor"])
        total = total + spread.from_three(likely / factor, likely, likely * factor)
    hundred = total.times(100)
    assert hundred.quantile(0.1) / 3600 < 2.1 < hundred.quantile(0.9) / 3600
    assert hundred.quantile(0.5) / 3600 == pytest.approx(2.1, rel=0.1)


def test_learning_by_doubling():
    b = spread.learning_exponent(0.9)
    assert 2**-b == pytest.approx(0.9)
    assert spread.learning_seconds(2, 100, 0.9) == pytest.approx(190)
    assert spread.learning_seconds(50, 100, 1.0) == pytest.approx(5000)


def test_price_leaves_the_margin_asked_for():
    got = spread.price(421, 0.15, 0.2)
    assert (got - 421 * 1.15) / got == pytest.approx(0.2)


def test_pace_leaves_out_a_pause_and_says_so():
    got = spread.pace([70, 75, 80, 75, 1500, 75, 70, 80], 10)
    assert (got.used, got.pauses) == (7, 1)
    assert got.mean_s == pytest.approx(75)
    assert got.left.mean == pytest.approx(750)


def test_pace_covers_what_comes_eight_times_in_ten():
    rng = np.random.default_rng(11)
    hits = 0
    for _ in range(2000):
        drawn = 75 * np.exp(0.3 * rng.standard_normal(60))
        told = spread.pace(list(drawn[:20]), 40)
        hits += drawn[20:].sum() <= told.left.quantile(0.8)
    assert hits / 2000 == pytest.approx(0.8, abs=0.04)


def test_pace_of_four_teeth_is_no_pace():
    with pytest.raises(Refusal) as refused:
        spread.pace([70, 75, 80, 75], 10)
    assert refused.value.code == "too_few_teeth"


def test_whole_cutters():
    assert [spread.cutters_needed(n, 40) for n in (0, 1, 40, 41, 127)] == [0, 1, 1, 2, 4]
