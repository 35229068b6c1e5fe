"""``estimate`` as the machinist meets it."""

import pytest

from ringwright import reckon


def test_the_price_grows_with_the_hours_and_the_spread_is_shown():
    got = reckon.estimate(
        {
            "elements": [
                {"name": "find out and map", "low_min": 45, "likely_min": 70, "high_min": 120},
                {"name": "set up", "low_min": 90, "likely_min": 140, "high_min": 260},
            ],
            "usual_handling": True,
            "teeth": 127,
            "purchases": [{"name": "cutters", "price": 38, "count": 2}],
            "new_ring": {"price": 2400, "lead_days": 70},
        }
    )
    assert got.hours.p10 < got.hours.p50 < got.hours.p80 < got.hours.p90
    assert got.price.p50 == pytest.approx((got.hours.p50 * 60 + 76) * 1.15 / 0.8)
    assert got.price.p80 > got.price.p50
    assert got.mean_hours == pytest.approx(sum(i.mean_h for i in got.items))
    assert got.against_new.saved_p80 == pytest.approx(2400 - got.price.p80)


@pytest.mark.parametrize("percent", [10, 50, 80])
def test_the_chance_to_be_cheaper_is_that_of_the_hours(percent):
    element = {"elements": [{"name": "a", "p50_min": 300, "p80_min": 400}], "hour_rate": 60}
    first = reckon.estimate(element)
    hours = getattr(first.hours, f"p{percent}")

    got = reckon.estimate({**element, "new_ring": {"price": hours * 60 * 1.15 / 0.8}})

    assert got.against_new.chance_cheaper == pytest.approx(percent / 100, abs=1e-4)


@pytest.mark.parametrize("pace_h", [2.02, 2.1, 2.25])
def test_the_trade_s_hundred_teeth(pace_h):
    """A little over two hours for about a hundred tooth ends with 12 mm solid carbide at a nodded head, indexing by
    hand from the teeth (common practice, no source): the cut from `cutting_data`, the rest from the manual elements."""
    cut = reckon.cutting_data(
        {
            "cutter": {"diameter_mm": 12, "flutes": 4, "material": "carbide"},
            "hardness": {"value": 250, "scale": "HB"},
            "speeds_rpm": [80, 135, 210, 325, 660, 1115, 1750],
            "feed_travel_mm": 26,
            "engagement": "heavy",
        }
    ).cut_s
    element = {"name": "the cut", "per": "tooth", "cutting": True, "low_min": 0.8 * cut / 60, "likely_min": cut / 60}
    got = reckon.estimate({"usual_handling": True, "teeth": 100, "elements": [{**element, "high_min": 1.5 * cut / 60}]})

    assert got.hours.p10 < pace_h < got.hours.p90
    assert 0.03 < got.cutting_share < 0.15
    assert got.cutting_hours == pytest.approx(got.cutting_share * got.mean_hours)
    assert "cutting_is_little" in {n.code for n in got.notes}


def test_much_cutting_is_not_called_little():
    elements = [
        {"name": "cut", "cutting": True, "p50_min": 60, "p80_min": 70},
        {"name": "set up", "p50_min": 30, "p80_min": 40},
    ]
    got = reckon.estimate({"elements": elements})

    assert got.cutting_share > 0.6
    assert "cutting_is_little" not in {n.code for n in got.notes}
    assert reckon.estimate({"elements": elements[1:]}).cutting_share is None


def test_defaults_are_notes_and_given_rates_are_not():
    element = {"elements": [{"name": "a", "p50_min": 300, "p80_min": 400}]}
    used = {"hour_rate_used", "contingency_used", "margin_used", "currency_used"}

    assert used <= {n.code for n in reckon.estimate(element).notes}
    told = reckon.estimate({**element, "hour_rate": 60, "contingency": 0.15, "margin": 0.2, "currency": "EUR"})
    assert not used & {n.code for n in told.notes}


def test_the_pace_alone_needs_no_rates():
    got = reckon.estimate({"pace": {"seconds": [75.0] * 30, "teeth_left": 40}})

    assert got.price is None
    assert got.pace.minutes_left.p50 == pytest.approx(50)
    assert got.pace.minutes_left.p90 == pytest.approx(50)


def test_nothing_left_takes_no_time():
    got = reckon.estimate({"pace": {"seconds": [70, 80, 75, 72, 78], "teeth_left": 0}})

    assert got.pace.minutes_left.p90 == 0
