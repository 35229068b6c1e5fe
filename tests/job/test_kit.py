"""The shelf's records."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from ringwright.job.kit import Device


@pytest.mark.parametrize(
    ("given", "kept"),
    [(40, 40), ("40", "40"), ("2550/47", "2550/47"), (" 2550 / 47 ", "2550/47"), ("9" * 12 + "/" + "9" * 12, None)],
)
def test_a_ratio_is_a_whole_number_or_a_fraction(given, kept):
    assert Device(name="head", ratio=given).ratio == (given if kept is None else kept)


@pytest.mark.parametrize(
    "given",
    [
        *(0, -40, True, 40.0, 10**12, None, [40]),
        *("", "0", "0/1", "1/0", "00/1", "1/00", "1" * 13, "1/" + "1" * 13),
        *("90:1", "-40", "1/2/3", "4e1", "4.5", "\u0664\u0660", "x"),
    ],
)
def test_no_other_ratio_is_kept(given):
    with pytest.raises(ValidationError) as refused:
        Device(name="head", ratio=given)
    (fault,) = refused.value.errors()
    assert fault["loc"] == ("ratio",)
    assert "not_a_ratio" in str(fault["ctx"]["error"])
