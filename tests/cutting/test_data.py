"""Speeds, feeds, power and time: laws, second derivations and limits."""

from math import acos, cos, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import tables
from ringwright.cutting import data, hardness
from ringwright.errors import OutOfRange, Refusal


def test_hss_line_keeps_within_ten_per_cent_of_every_printed_step():
    rows = [r for r in tables.load("hss_milling_speeds") if r["carbon_percent"] == "0.27-0.52"]
    assert len(rows) == 6
    for row in rows:
        middle = (float(row["HB_low"]) + float(row["HB_high"])) / 2
        assert data.hss_speed(middle) / 0.3048 == pytest.approx(float(row["v_ft_min"]), rel=0.1)


def test_hss_line_joins_where_its_two_parts_meet():
    assert data.hss_speed(250) == pytest.approx(data.hss_speed(250.0001), rel=0.003)


def test_hss_is_refused_above_400_brinell():
    with pytest.raises(Refusal) as refused:
        data.hss_speed(401)
    assert (refused.value.code, refused.value.symbol) == ("hss_too_hard", "HB")


@pytest.mark.parametrize("speed", [data.hss_speed, data.carbide_speed])
def test_harder_steel_is_never_cut_faster(speed):
    hb = np.linspace(100, 400, 61)
    v = np.array([speed(h) for h in hb])
    assert (np.diff(v) <= 0.06).all()  # the two parts of the high speed steel line meet within 0.06 m/min


def test_light_cuts_may_go_faster_than_heavy_ones():
    for hb in (125, 180, 300, 450, 500):
        assert data.carbide_speed(hb, "light") > data.carbide_speed(hb)


def test_carbide_at_fifty_rockwell_stays_within_the_second_maker_s_range():
    assert 40 <= data.carbide_speed(hardness.brinell_from_rockwell(50)) <= 80


def test_carbide_ends_where_nothing_is_known():
    with pytest.raises(OutOfRange, match="HB = 650"):
        data.carbide_speed(650)


def test_feed_grows_with_the_cutter_and_never_rubs():
    d = np.linspace(1, 40, 80)
    f = np.array([data.carbide_feed(x) for x in d])
    assert (np.diff(f) >= 0).all()
    assert f.min() == data.THINNEST_FEED


def test_a_tooth_takes_its_feed_once_a_turn():
    n, z, f_z = 800.0, 4, 0.036
    assert data.table_feed(n, z, f_z) / n / z == pytest.approx(f_z, rel=1e-15)


def test_cutting_speed_comes_back_from_the_spindle():
    n = data.spindle_speed(54, 12)
    assert n * pi * 0.012 == pytest.approx(54, rel=1e-12)


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.floats(0.01, 0.3), st.floats(0.01, 1))
def test_mean_chip_is_the_mean_over_the_arc(f_z, x):
    phi = acos(1 - 2 * x)
    middle = (np.arange(20_000) + 0.5) / 20_000 * phi
    assert data.mean_chip(f_z, x) == pytest.approx(float(np.mean(f_z * np.sin(middle))), rel=1e-6)


def test_thinning_is_one_at_half_engagement_and_its_chip_the_feed():
    assert data.chip_thinning(0.5) == pytest.approx(1)
    x = 0.13
    assert data.chip_thinning(x) * np.sin(acos(1 - 2 * x)) == pytest.approx(1, rel=1e-12)


def test_power_is_force_times_speed():
    k_c, b, h, v = 3000.0, 2.0, 0.1, 60.0
    removed = b * h * v * 1000
    assert data.milling_power(removed, k_c) == pytest.approx(k_c * b * h * v / 60 / 1000, rel=1e-12)


def test_unit_energy_keeps_within_five_per_cent_of_each_printed_row():
    rows = tables.published("cutting.unit_energy")
    assert len(rows) >= 10
    for c in rows:
        assert data.unit_energy(float(c.inputs["HB"])) == pytest.approx(float(c.printed), rel=0.05)


def test_a_cutter_is_at_full_depth_after_its_run_in():
    D, d = 63.0, 8.0
    angle = acos(1 - 2 * d / D)
    assert data.run_in(D, d) == pytest.approx(D / 2 * np.sin(angle), rel=1e-12)
    assert cos(angle) == pytest.approx(1 - 2 * d / D)


@pytest.mark.parametrize(
    ("ideal", "steps", "step"),
    [
        (700, (80, 660, 1320), 660),
        (660, (80, 660), 660),
        (50, (80, 660), 80),
        (50, (), None),
        (700, (1320, 80, 660), 660),
    ],
)
def test_step_at_or_below(ideal, steps, step):
    assert data.step_below(ideal, steps) == step


def test_peak_force_of_a_shallow_side_cut():
    # printed as 3.1 for a fifth of the diameter and four edges (own arithmetic: sin(phi) = 0.8, 0.8 * 1.5708 / 0.4)
    assert data.peak_to_mean(0.2, 4) == pytest.approx(pi, rel=1e-12)


def test_hardness_tables_rise_without_a_fault_but_the_known_one():
    rows = [r for r in tables.load("hardness") if r["source"] == "hardness-din-50150"]
    strengths = [float(r["R_m_mpa"]) for r in rows]
    assert [r["HV"] for r, a, b in zip(rows[1:], strengths, strengths[1:]) if b - a < 40] == ["360"]


def test_hardness_goes_there_and_back():
    for hrc in (20, 33, 40, 47.5, 58):
        assert hardness.rockwell_from_brinell(hardness.brinell_from_rockwell(hrc)) == pytest.approx(hrc, abs=0.03)


def test_both_ways_to_brinell_meet():
    for hv in (260, 300, 350, 400, 440):
        by_rockwell = hardness.brinell_from_rockwell(hardness.rockwell_from_vickers(hv))
        assert by_rockwell == pytest.approx(hardness.brinell_from_vickers(hv), rel=0.02)


@pytest.mark.parametrize(("value", "scale"), [(300, "HV"), (30, "HRC"), (55, "HRC"), (250, "HB")])
def test_the_span_holds_the_likely_value(value, scale):
    likely, low, high = hardness.brinell_span(value, scale)
    assert low <= likely <= high
    assert (low < high) is (scale != "HB")


def test_rockwell_c_below_its_scale_is_refused():
    with pytest.raises(OutOfRange, match="HRC = 12 is outside 20 to 58"):
        hardness.brinell_span(12, "HRC")
