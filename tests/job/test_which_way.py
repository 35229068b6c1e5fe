"""Climb or conventional, against the plain case that every miller knows."""

import numpy as np
import pytest

from ringwright.reckon.round_words import which_way_it_cuts


def _said(u, f):
    return list(which_way_it_cuts(u, f))[1]


def test_a_slot_fed_along_x_is_conventional_on_its_left_wall():
    # Spindle up, cutter moving away along +r: its left, seen from the spindle, is +t. Material on the left of a
    # right-hand cutter's travel is cut conventional (common practice, no source).
    u, f = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    assert np.allclose(np.cross(u, f), [0, 1, 0])

    assert "clockwise of the space it cuts conventional" in _said(u, f)


@pytest.mark.parametrize(("u", "f"), [((1, 0, -1), (-1, 0, 0)), ((0.6, 0, -0.8), (-1, 0, 0.2))])
def test_feeding_the_other_way_swaps_the_flanks(u, f):
    assert _said(u, f) != _said(u, [-x for x in f])


def test_a_plunge_along_the_axis_favours_no_flank():
    assert "Neither flank" in _said((1, 0, -1), (-1, 0, 1))
