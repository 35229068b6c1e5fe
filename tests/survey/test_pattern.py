"""Patches and waves of damage against maps drawn by hand, and the fairness of the shuffling."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange
from ringwright.survey.pattern import Patch, patches, strongest_wave


def _map(N, teeth):
    damage = np.zeros(N)
    damage[[t - 1 for t in teeth]] = 1
    return damage


def test_two_patches_over_tooth_one():
    assert patches(_map(127, [126, 127, 1, 2, 62, 64])) == (Patch(62, 64, 2.0), Patch(126, 2, 4.0))


def test_a_ring_damaged_all_round_is_one_patch():
    assert patches(np.ones(20)) == (Patch(1, 20, 20.0),)
    assert patches(np.zeros(20)) == ()
    assert patches(_map(20, [7])) == (Patch(7, 7, 1.0),)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.integers(8, 60).flatmap(lambda n: st.tuples(st.just(n), st.sets(st.integers(1, n), min_size=1))), st.data())
def test_patches_keep_all_damage_and_turn_with_the_ring(given_, data):
    N, teeth = given_
    found = patches(_map(N, teeth))
    by = data.draw(st.integers(0, N - 1))
    turned = patches(_map(N, [(t - 1 + by) % N + 1 for t in teeth]))

    assert sum(p.damage for p in found) == len(teeth)
    assert len(turned) == len(found)


@pytest.mark.parametrize("order", [1, 2, 3, 4])
def test_even_patches_are_the_wave_of_their_number(order):
    N = 120
    teeth = [(k * N // order + off) % N + 1 for k in range(order) for off in range(-3, 4)]
    wave = strongest_wave(_map(N, teeth), range(1, 9))

    assert wave is not None
    assert wave.order == order
    assert wave.chance <= 0.01


def test_a_wave_that_a_bad_pinion_tooth_leaves_is_found():
    # every 17th tooth of 120: 120/17 waves per turn
    wave = strongest_wave(_map(119, range(5, 120, 17)), [*range(1, 7), 119 / 17])

    assert wave is not None
    assert wave.order == pytest.approx(7)
    assert wave.strength == pytest.approx(1)


def test_shuffled_damage_is_seldom_called_a_pattern():
    rng = np.random.default_rng(3)
    chances = [strongest_wave(_map(60, rng.choice(60, 9, replace=False) + 1), range(1, 9)).chance for _ in range(60)]

    assert np.mean(np.array(chances) < 0.1) < 0.25
    assert np.mean(chances) == pytest.approx(0.5, abs=0.15)


def test_an_order_that_the_teeth_cannot_show_is_refused():
    with pytest.raises(OutOfRange, match="orders"):
        strongest_wave(np.ones(10), [6])
