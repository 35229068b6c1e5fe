"""Lengths and angles as typed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.errors import OutOfRange, Unreadable, require
from ringwright.quantities import degrees_minutes_seconds, read_angle, read_length, read_ratio


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("12 mm", Fraction(12)), ("12mm", Fraction(12)), ("1-1/4 in", Fraction(127, 4)), ("1 1/4 in", Fraction(127, 4)),
        ("5/8\"", Fraction(127, 8)), ("32 thou", Fraction(508, 625)), ("25,4 mm", Fraction(127, 5)),
        ("0.032in", Fraction(508, 625)),
        ("-3/64\"", Fraction(-381, 320)), (".5 mm", Fraction(1, 2)), ("0,125 mm", Fraction(1, 8)),
    ],
)  # fmt: skip
def test_lengths_are_read_exactly(typed, mm):
    assert read_length(typed) == mm


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("12", "no_unit"), ("12 furlong", "unknown_unit"), ("1,250 mm", "ambiguous_comma"),
        ("1/0 in", "zero_denominator"),
        ("1'250 mm", "not_a_length"), ("1,250.5 mm", "not_a_length"), ("", "not_a_length"),
        ("mm", "not_a_length"), ("9" * 99, "not_a_length"),
    ],
)  # fmt: skip
def test_what_can_be_read_in_two_ways_is_refused(typed, code):
    with pytest.raises(Unreadable) as refused:
        read_length(typed)

    assert refused.value.code == code


@pytest.mark.parametrize(
    ("typed", "deg"),
    [
        ("14°30′", Fraction(29, 2)),
        ("14d30m", Fraction(29, 2)),
        ("14.5 deg", Fraction(29, 2)),
        ('20"', Fraction(1, 180)),
        ("-1 deg", Fraction(-1)),
    ],
)
def test_angles_are_read_exactly(typed, deg):
    assert read_angle(typed) == deg


def test_a_bare_angle_has_no_unit():
    with pytest.raises(Unreadable, match="no_unit"):
        read_angle("20")


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    for read in (read_length, read_angle, read_ratio):
        try:
            got: object = read(text)
        except Unreadable as refused:
            got = refused
        assert isinstance(got, Fraction | Unreadable)


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.fractions(0, 360))
def test_degrees_minutes_seconds_add_up(angle):
    d, m, s = degrees_minutes_seconds(angle)

    assert Fraction(d) + Fraction(m, 60) + s / 3600 == angle
    assert 0 <= m < 60
    assert 0 <= s < 60


def test_nan_never_passes():
    with pytest.raises(OutOfRange, match=r"m_n = nan is outside 0\.1 to 100"):
        require("m_n", float("nan"), 0.1, 100)
