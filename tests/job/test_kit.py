"""The shelf's records."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from ringwright.job.kit import Cutter, Device
from ringwright.reckon.leading_cutters import Cutter as Asked


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


def test_a_cutter_of_an_older_kit_reads_as_before():
    old = {"name": "E12", "kind": "flat", "diameter_mm": 12, "flute_length_mm": 26, "stick_out_mm": 40}
    cutter = Cutter.model_validate(old)
    assert cutter.as_asked() == {"kind": "flat", "diameter_mm": 12, "corner_radius_mm": 0}
    assert (cutter.end, cutter.edges, cutter.minutes) == ("flat", 1, None)


@pytest.mark.parametrize(
    ("kind", "shape"),
    [
        ("flat", {}),
        ("bull", {"corner_radius_mm": 1.0}),
        ("ball", {}),
        ("dovetail", {"angle_deg": 45, "width_mm": 10}),
        ("single_angle", {"angle_deg": 45, "width_mm": 10, "flat_side": "spindle"}),
        ("double_angle", {"angle_deg": 20, "angle_high_deg": 25, "width_mm": 10}),
        ("disc", {"width_mm": 10}),
        ("fly", {"width_mm": 6, "flute_length_mm": 20}),
        ("involute_form", {"module_mm": 5, "pressure_angle_deg": 20, "design_teeth": 55}),
    ],
)
def test_each_kind_is_asked_as_the_lead_in_takes_it(kind, shape):
    cutter = Cutter(name="x", kind=kind, diameter_mm=60, stick_out_mm=40, **shape)
    asked = Asked.model_validate(cutter.as_asked())
    assert asked.kind == kind
    kept = set(shape) - {"module_mm", "pressure_angle_deg"}
    assert {name: getattr(asked, name) for name in kept} == {name: shape[name] for name in kept}


@pytest.mark.parametrize("kind", ["dovetail", "single_angle", "double_angle", "disc", "fly"])
def test_a_shape_that_is_not_measured_whole_is_refused(kind):
    with pytest.raises(ValidationError) as refused:
        Cutter(name="x", kind=kind, diameter_mm=60, stick_out_mm=40)
    assert "cutter_shape" in str(refused.value)
