"""Weight, holding and lifting: second derivations and limits."""

from math import pi

import pytest

from ringwright.errors import OutOfRange, Refusal
from ringwright.rigging import loads


def test_a_ring_is_a_disc_less_its_hole():
    disc = loads.ring_mass(645, 0, 60)
    hole = loads.ring_mass(545, 0, 60)
    assert loads.ring_mass(645, 545, 60) == pytest.approx(disc - hole, rel=1e-12)


def test_a_thin_ring_is_its_middle_circle_times_its_section():
    assert loads.ring_mass(601, 599, 50) == pytest.approx(pi * 600 * 1 * 50 * 7850e-9, rel=1e-9)


def test_a_bore_as_large_as_the_ring_is_refused():
    with pytest.raises(Refusal) as refused:
        loads.ring_mass(600, 600, 50)
    assert refused.value.code == "bore_too_large"


def test_play_of_one_minute_at_the_rim():
    assert loads.rim_play(3437.7467707849, pi / 10800) == pytest.approx(1, rel=1e-9)


def test_strap_with_the_stud_close_to_the_work_bears_nearly_the_whole_force():
    assert loads.strap_force(25_000, 90, 10) == pytest.approx(22_500)
    assert loads.strap_force(25_000, 10, 90) == pytest.approx(2_500)


def test_two_legs_hold_the_load_whatever_their_angle():
    import numpy as np

    for angle in (30.0, 45.0, 70.0, 90.0):
        each = 440 / 2 * loads.sling_leg_factor(angle)
        assert 2 * each * np.sin(np.radians(angle)) == pytest.approx(440, rel=1e-12)
        assert loads.sling_leg_factor(angle) * loads.sling_capacity(angle) == pytest.approx(1, rel=1e-12)


def test_a_flat_sling_is_refused():
    with pytest.raises(Refusal) as refused:
        loads.sling_leg_factor(29)
    assert refused.value.code == "sling_too_flat"


def test_friction_out_of_this_world_is_refused():
    with pytest.raises(OutOfRange, match=r"mu = 0\.9"):
        loads.lock_moment(0.9, 6000, 90, 2)
