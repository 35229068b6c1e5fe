"""Reckons the published cases of this package again, a row at a time."""

from __future__ import annotations

from collections.abc import Mapping

from ringwright.estimating import spread

Given = Mapping[str, str]


def learning_exponent(given: Given) -> float:
    """Exponent of a learning curve [-]."""
    return spread.learning_exponent(float(given["rate"]))


def learning_minutes(given: Given) -> float:
    """Time of a round on a learning curve [min]."""
    first, rate, floor = (float(given[k]) for k in ("first_s", "rate", "floor_s"))
    return spread.learning_seconds(int(float(given["teeth"])), first, rate, floor) / 60


def base_cost(given: Given) -> float:
    """Cost before contingency and margin [money]."""
    n = {k: float(v) for k, v in given.items()}
    hours = n["setup_h"] + n["teeth"] * n["tooth_s"] / 3600
    purchases = n["consumables"] + n["cutters"] * n["cutter_price"] + n["outside"]
    return spread.base_cost(hours, n["rate"], purchases)


def price(given: Given) -> float:
    """Price of a job [money]."""
    return spread.price(base_cost(given), float(given["contingency"]), float(given["margin"]))


def margin_of_markup(given: Given) -> float:
    """Margin from markup [-]."""
    return spread.margin_of_markup(float(given["markup"]))
