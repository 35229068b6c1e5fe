"""Heat before welding: the equivalent's law, and that a limit is never passed."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange
from ringwright.repair.heat import SHRUNK_CEILING, TEMPERED_UNKNOWN, carbon_equivalent, heat_limit, preheat

SHARE = st.floats(0, 2)


@settings(derandomize=True, deadline=None, max_examples=50)
@given(st.floats(0, 1.5), SHARE, SHARE, SHARE, SHARE, SHARE, SHARE)
def test_the_equivalent_is_linear_and_carbon_counts_whole(C, Mn, Cr, Mo, V, Ni, Cu):
    whole = carbon_equivalent(C, Mn, Cr, Mo, V, Ni, Cu)
    apart = [
        carbon_equivalent(0, *(x if n == i else 0.0 for n in range(6))) for i, x in enumerate((Mn, Cr, Mo, V, Ni, Cu))
    ]

    assert whole == pytest.approx(C + sum(apart), abs=1e-12)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(st.floats(0, 2), st.one_of(st.none(), st.floats(100, 400)))
def test_the_limit_is_never_passed_and_no_room_means_no_weld(ce, limit):
    p = preheat(ce, limit)

    assert p.asked
    assert p.least == max(low for _, low, _ in p.asked)
    assert limit is None or p.most <= limit
    assert p.weld == (limit is None or limit >= p.least)
    assert not p.weld or p.least <= p.most


def test_more_equivalent_never_asks_for_less():
    least = [preheat(ce, None).least for ce in (0.2, 0.399, 0.4, 0.599, 0.6, 1.5)]

    assert least == sorted(least)
    assert preheat(0.3, None).least == 0


def test_sources_that_differ_are_all_shown():
    p = preheat(0.5, None)

    assert p.differ
    assert {name for name, _, _ in p.asked} >= {"carbon-equivalent-bands", "girth-gear-weld-repair"}


def test_the_lower_limit_stands():
    assert heat_limit(False, None, False) is None
    assert heat_limit(True, None, False) == TEMPERED_UNKNOWN
    assert heat_limit(True, 350, False) == 350
    assert heat_limit(True, 350, True) == SHRUNK_CEILING


def test_cast_iron_like_carbon_is_refused():
    with pytest.raises(OutOfRange, match=r"C = 3\.2 is outside 0 to 1.5"):
        carbon_equivalent(3.2, 0.6)
