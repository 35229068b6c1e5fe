"""Settings, errors and the closing identity against laws and limits."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.dividing import accuracy, devices, trains
from ringwright.dividing import settings as of
from ringwright.dividing.ways import Device, search
from ringwright.errors import Refusal


def test_a_setting_for_another_ratio_never_passes_as_exact():
    with pytest.raises(AssertionError, match="115 moves of 18/23 do not close at 40:1"):
        of.assert_closes(F(40), 115, F(18, 23), F(0))


def test_no_move_and_backward_moves_are_refused():
    for worm, R, code in ((F(0), 0, "no_move"), (F(1, 3), 40, "no_move"), (F(1, 3), 41, "backwards")):
        with pytest.raises(Refusal) as refusal:
            of.divides(40, worm, R)
        assert refusal.value.code == code


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.integers(2, 300), st.integers(1, 400), st.integers(2, 100), st.sampled_from([40, 60, F(81, 2), 90]))
def test_plate_turns_in_both_printed_forms(N, H, C, K):
    x = F(H, C)
    A = K / x

    assert of.plate_turns(K, N, x) == K * (A - N) / A


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.integers(2, 300), st.integers(1, 400), st.integers(2, 100))
def test_the_wrong_sense_divides_twice_the_bare_count_less_the_wanted(N, H, C):
    x, K = F(H, C), 40
    R, A = of.plate_turns(K, N, x), K / x
    if 2 * A - N > 0:
        assert of.divides(K, x, -R) == 2 * A - N
        assert of.divides(K, x, R) == N


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.integers(2, 150), st.integers(1, 3000), st.sampled_from([40, 60, 72, F(81, 2), 90, F(127, 7)]))
def test_a_dial_is_never_further_off_than_half_a_mark(N, tenths, K):
    dial = F(tenths, 10) / devices.ARCSEC
    for j in range(N):
        got = accuracy.on_dial(F(j, N), F(K), dial)
        assert abs(got - F(j, N)) <= dial / 2
        turns = got * K
        rest = (turns - turns // 1) / K / dial
        assert rest.denominator == 1


def test_adding_the_rounded_step_is_what_the_dial_way_avoids():
    # 22 steps of 16.4 deg overrun by 0.8 deg (printed); the readings of the way stay within half a mark
    step = accuracy.on_dial(F(1, 22), F(90), F(1, 3600))
    assert step * 3600 == 164
    assert float((22 * step - 1) * 360) == pytest.approx(0.8)
    way = search([Device("t", F(90), dial=F(1, 3600))], 22, ["dial"])[0]
    assert way.errors.worst < F(1, 3600)


def test_idlers_and_sense_go_together():
    for train in (
        devices.Train(48, 24, 1),
        devices.Train(48, 24, -1),
        devices.Train(32, 56, 1, 40, 28),
        devices.Train(32, 56, -1, 40, 28),
    ):
        assert devices.sense_of(train.idlers, train.compound) == train.sense
    with pytest.raises(Refusal):
        devices.sense_of(-1, False)


def _head(gears, circles=((20,),)):
    return Device("h", F(40), circles, gears)


def test_a_compound_train_uses_every_gear_as_often_as_it_lies_there():
    # 106 needs 24/43 (recalled row 48, 24 / 24, 86 on the 43 circle)
    move, train = next(trains.compound_settings(_head((24, 24, 48, 86), ((43,),)), 106))
    assert sorted(train.used) == [24, 24, 48, 86]
    assert (train.sense, train.ratio, move.x) == (1, F(24, 43), F(16, 43))
    assert not list(trains.compound_settings(_head((24, 48, 86), ((43,),)), 106))


def test_no_compound_train_is_left_out():
    from itertools import permutations

    gears, circles = (24, 24, 32, 40, 56, 72), (16, 20, 21)
    for N in (51, 99, 127, 139, 177):
        by_hand = set()
        for a, b, c, d in permutations(gears, 4):
            for R in (F(a * b, c * d), -F(a * b, c * d)):
                x = (40 - R) / N
                if x > 0 and any(C % x.denominator == 0 for C in circles):
                    by_hand.add(R)
        assert {train.R for _, train in trains.compound_settings(_head(gears, (circles,)), N)} == by_hand


def test_arms_of_whole_turns_are_none():
    assert devices.arms(0) is None
    assert devices.arms(18) == (18, 19)


def test_of_exact_plain_settings_the_outermost_circle_comes_first() -> None:
    """The longest lever arm and the least effect of a hole that is off (common practice, no source)."""
    from ringwright import reckon

    head = {"name": "head", "ratio": 40, "circles": [[15, 16, 18, 20], [27, 33, 39]]}
    ways = reckon.divide({"divisions": 60, "device": head, "methods": ["plain"]}).ways
    assert [w.move.circle for w in ways if w.exact] == [39, 33, 27, 18, 15]
