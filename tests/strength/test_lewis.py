"""The Lewis factors, the velocity factors, and the laws they obey."""

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import tables
from ringwright.errors import OutOfRange
from ringwright.strength.lewis import barth_reduction, lewis_factor, lewis_load, lewis_stress, velocity_factor

SYSTEMS = ("full_depth_14_5", "full_depth_20", "stub_20")


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_table_has_every_count_once_and_rises_to_the_rack(system):
    rows = tables.load("lewis_y")
    counts = [r["z"] for r in rows]
    y = [float(r[system]) for r in rows]

    assert len(set(counts)) == len(counts) == 24
    assert counts[0] == "12"
    assert counts[-1] == "rack"
    assert all(np.diff(y) > 0)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_factor_passes_through_every_printed_row(system):
    for row in tables.load("lewis_y")[:-1]:
        assert lewis_factor(float(row["z"]), system) == pytest.approx(pi * float(row[system]), rel=1e-12)


def test_between_two_rows_it_is_linear_in_one_over_z():
    # 300 teeth .150, rack .154: 600 teeth is half-way in 1/z
    assert lewis_factor(600, "full_depth_20") == pytest.approx(pi * 0.152, rel=1e-12)


@pytest.mark.parametrize("z", [11, 1001, float("nan")])
def test_counts_outside_the_table_are_refused(z):
    with pytest.raises(OutOfRange, match="outside 12 to 1000"):
        lewis_factor(z, "stub_20")


@settings(derandomize=True, deadline=None, max_examples=50)
@given(st.floats(0, 1e6), st.floats(1, 500), st.floats(0.5, 30), st.floats(0.2, 0.5), st.floats(1, 3))
def test_load_and_stress_undo_each_other(F_t, b, m_n, Y, K_v):
    sigma = lewis_stress(F_t, b, m_n, Y, K_v)
    if sigma <= 5000:
        assert lewis_load(sigma, b, m_n, Y, K_v) == pytest.approx(F_t, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("made", ["cast", "cut", "hobbed", "ground"])
def test_at_rest_nothing_is_added_and_speed_only_adds(made):
    at = [velocity_factor(v, made) for v in (0, 0.5, 2, 10)]

    assert at[0] == 1
    assert all(np.diff(at) > 0)


def test_barth_halves_at_its_own_speed():
    assert [barth_reduction(v, v) for v in (3, 4.5, 6)] == [0.5, 0.5, 0.5]
