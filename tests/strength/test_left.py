"""What is left of a damaged tooth: laws, limits, and the table's own rows."""

from math import pi, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import tables
from ringwright.errors import OutOfRange
from ringwright.strength.left import (
    Range,
    fading_heights,
    left_after_shaped_wear,
    left_after_wear,
    left_of_face,
    loss_at_pitch_line,
    worn_flank_factor,
)


def test_every_row_of_the_table_of_worn_flanks_comes_back():
    for row in tables.load("worn_flank"):
        got = worn_flank_factor(float(row["loss_percent"]) / 100, float(row["fade_m"]))
        assert got == pytest.approx(float(row["factor"]), rel=1e-12)


def test_a_new_tooth_has_lost_nothing():
    assert worn_flank_factor(0, 0.5) == 1
    assert left_after_wear(0) == Range(1, 1)
    assert left_of_face(60, 0) == Range(1, 1)


def test_one_thickness_only_leaves_the_step_at_the_low_end():
    left = left_after_wear(0.15)

    assert left.low == pytest.approx(1 / 1.696)
    # tapered over 1.5 m: 0.15 at the pitch line is 0.225 at full height, past the table's 0.20
    assert left.high == pytest.approx(1 / 1.029)


def test_past_the_table_no_lower_bound_is_claimed():
    left = left_after_wear(0.25)

    assert left.low == 0
    assert left.high == pytest.approx(1 / 1.029)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(0, 1), st.floats(0, 1))
def test_more_wear_never_leaves_more(one, other):
    less, more = sorted((one, other))
    assert left_after_wear(more).low <= left_after_wear(less).low + 1e-12
    assert left_after_wear(more).high <= left_after_wear(less).high + 1e-12
    assert 0 <= left_after_wear(more).low <= left_after_wear(more).high <= 1


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(0, 0.12), st.floats(0, 0.3), st.floats(0.05, 0.95))
def test_a_second_height_never_widens_the_range(w, w_root, above):
    h_root = (above + 0.38 * (1 - np.sin(radians(20)))) * 5
    known = left_after_shaped_wear(w, fading_heights(w, w_root, h_root, 5, 0.38, radians(20)))
    unknown = left_after_wear(w)

    assert unknown.low - 1e-12 <= known.low <= known.high <= unknown.high + 1e-12


def test_a_reading_on_the_fillet_is_refused():
    with pytest.raises(OutOfRange, match="h_root"):
        fading_heights(0.1, 0.1, 1.0, 5, 0.38, radians(20))


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(1, 300), st.floats(0, 0.499), st.floats(0, 1))
def test_the_low_end_of_lost_ends_balances_about_the_old_middle(b, part, other):
    """Second derivation: the trapezoid or triangle of line load has its resultant at the middle of the old face."""
    c = part * b
    c_other = other * c  # the end that lost less
    left = b - c - c_other
    mean = 1 / left
    peak = (left_of_face(b, c, c_other).high / left_of_face(b, c, c_other).low) * mean
    if peak <= 2 * mean:  # trapezoid from (2 mean - peak) at the sound end to peak at the damaged end
        q0, q1 = 2 * mean - peak, peak
        centre = left * (q0 + 2 * q1) / (3 * (q0 + q1))
    else:  # triangle of base 2 / peak that ends at the damaged end
        centre = left - (2 / peak) / 3
    assert c_other + centre == pytest.approx(b / 2, rel=1e-9)
    assert left_of_face(b, c_other, c).low == pytest.approx(left_of_face(b, c, c_other).low, rel=1e-9)


def test_half_the_face_gone_leaves_no_lower_bound():
    assert left_of_face(60, 30) == Range(0.0, 0.5)
    with pytest.raises(OutOfRange, match="c = 61"):
        left_of_face(60, 61)


def test_loss_is_counted_in_parts_of_half_the_pitch():
    assert loss_at_pitch_line(pi * 5 / 2 - 1, pi * 5 / 2, 5) == pytest.approx(2 / (pi * 5))
    assert loss_at_pitch_line(8.5, 7.854, 5) == 0
