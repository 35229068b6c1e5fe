"""The shelf as the kit keeps it, and as `divide` is asked."""

from __future__ import annotations

from ringwright import reckon
from ringwright.job.demo import demo_kit
from ringwright.job.kit import Device


def test_a_device_of_an_older_kit_is_asked_as_before():
    old = {"name": "t", "ratio": 90, "dial": {"smallest_arcsec": 60, "vernier_arcsec": 10}, "stands_upright": True}
    asked = Device.model_validate(old).as_asked()

    assert asked == {
        "name": "t",
        "ratio": 90,
        "circles": [],
        "change_gears": [],
        "direct_circles": [],
        "dial": {"smallest_arcsec": 60.0, "vernier_arcsec": 10.0},
    }


def test_a_dial_in_decimals_is_asked_so():
    kept = Device.model_validate({"name": "t", "ratio": 90, "dial": {"smallest_arcsec": 3.6}, "dial_shows": "decimal"})
    way = reckon.divide({"divisions": 127, "device": kept.as_asked(), "table": True}).ways[0]
    assert (way.dial_shows, way.table[1].reading) == ("decimal", "2.835°")


def test_what_is_new_on_a_device_reaches_the_sum():
    kept = Device.model_validate(
        {
            "name": "h",
            "ratio": 40,
            "circles": [[15, 16, 39], [20]],
            "change_gears": [24, 24, 64],
            "readout": {"counts_per_turn": "7200/7", "on": "crank"},
            "quadrant": {"gear_module_mm": 2, "shafts_apart_mm": 150, "stud_nearest_mm": 60, "stud_furthest_mm": 140},
            "blanked": [15],
            "damaged": [{"circle": 16, "holes": [3]}],
        }
    )
    answer = reckon.divide({"divisions": 117, "device": kept.as_asked()})

    assert {"counts", "differential"} <= {w.method for w in answer.ways}
    assert all(w.move.circle != 15 for w in answer.ways)
    assert {"blanked", "damaged_holes"} <= {n.code for n in answer.notes}


def test_the_demo_head_cannot_take_the_demo_ring_and_is_listed():
    devices = [d.as_offered() for d in demo_kit().devices]
    ring = {"outside_diameter_mm": 645, "mass_kg": 44}
    answer = reckon.divide({"divisions": 127, "devices": devices, "radius_mm": 317.5, "set_up": "upright", **ring})

    assert [(c.device, c.code) for c in answer.cannot_take] == [
        ("Rotary table 90:1", "swing"),
        ("Dividing head 40:1", "swing"),
    ]
    assert answer.ways == ()
    flat = reckon.divide({"divisions": 127, "devices": devices, "radius_mm": 317.5, "set_up": "flat", **ring})
    assert flat.ways[0].device == "Rotary table 90:1"
    assert all(w.gears is None for w in flat.ways)
    assert "train_needs_level" in {n.code for n in flat.notes}
