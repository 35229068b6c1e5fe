"""Which tooth stands where after a turn, against a ring turned by hand on paper, and the laws of turning."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange, Refusal
from ringwright.survey.reclocking import best_positions, bolt_turns, damage_near, position, signed, step_turns

RINGS = st.lists(st.floats(0, 5), min_size=8, max_size=60)


def test_turning_in_counting_direction_brings_the_lower_tooth():
    damage = np.zeros(12)
    damage[0] = 1  # tooth 1

    # tooth 4 stands at the stop; three teeth on, tooth 1 has come there
    turned = position(damage, [4], Fraction(3), 1)

    assert turned.stops[0].place == 1
    assert turned.damage == 1


@settings(derandomize=True, deadline=None, max_examples=60)
@given(RINGS, st.integers(-100, 100), st.integers(1, 7), st.data())
def test_a_turn_equals_renumbering_the_damage(damage, turn, window, data):
    """Second derivation: roll the weights themselves and look at the same stop."""
    s = data.draw(st.integers(1, len(damage)))
    rolled = np.roll(damage, turn)  # tooth n now carries what tooth n - turn carried

    here = position(damage, [s], Fraction(turn), window).damage

    assert here == pytest.approx(position(rolled, [s], Fraction(0), window).damage, abs=1e-9)


@settings(derandomize=True, deadline=None, max_examples=40)
@given(RINGS, st.integers(1, 7))
def test_every_place_once_meets_the_window_times_all_damage(damage, window):
    total = sum(damage_near(np.array(damage), Fraction(t), window) for t in range(1, len(damage) + 1))

    assert total == pytest.approx(window * sum(damage), rel=1e-9, abs=1e-9)


def test_the_best_position_of_two_opposite_patches_is_a_quarter_turn():
    damage = np.zeros(120)
    for centre in (1, 61):
        for off in range(-3, 4):
            damage[(centre - 1 + off) % 120] = 4 - abs(off)

    ranked = best_positions(damage, [1, 61], step_turns(120, 30), 3)

    assert [p.turn for p in ranked] == [30, -30, 60]
    assert ranked[0].damage == 0
    assert ranked[-1].damage == position(damage, [1, 61], Fraction(0), 3).damage == 20


def test_bolts_may_leave_the_stop_between_two_teeth():
    damage = np.zeros(127)
    damage[94] = 1  # tooth 95
    # from tooth 127 a quarter turn of 127/4 leaves place 95.25 at the stop
    found = position(damage, [127], bolt_turns(127, 4)[0], 1)

    assert found.stops[0].place == Fraction(381, 4)
    assert found.damage == 1


def test_of_places_without_damage_the_one_furthest_from_it_comes_first():
    damage = np.zeros(120)
    damage[[0, 60]] = 1

    best = best_positions(damage, [1, 61], step_turns(120, 1), 3)[0]

    assert (best.turn, best.room) == (30, 30)  # a quarter turn, as the trade does with two stopping places


@settings(derandomize=True, deadline=None, max_examples=60)
@given(RINGS.filter(any), st.fractions(-50, 50, max_denominator=12), st.data())
def test_room_is_the_way_to_the_nearest_damaged_tooth(damage, turn, data):
    s, N = data.draw(st.integers(1, len(damage))), len(damage)
    place = (s - turn - 1) % N + 1
    ways = [min((t - place) % N, (place - t) % N) for t in range(1, N + 1) if damage[t - 1]]

    assert position(damage, [s], turn, 1).room == pytest.approx(float(min(ways)), abs=1e-8)


def test_the_short_way_round_is_kept():
    assert signed(Fraction(-64), 127) == 63
    assert signed(Fraction(127), 127) == 0


def test_a_stop_that_is_no_tooth_is_refused():
    with pytest.raises(OutOfRange, match="stops_at = 13 is outside 1 to 12"):
        position(np.zeros(12), [13], Fraction(1), 1)
    with pytest.raises(Refusal, match="no_stops"):
        position(np.zeros(12), [], Fraction(1), 1)
