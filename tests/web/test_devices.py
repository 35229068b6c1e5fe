"""The shelf of heads and tables: every field goes in, is shown, and comes back to be put right."""

from __future__ import annotations

import re

import pytest

from ringwright.job.kit import Device
from ringwright.web.devices import record_of, standing, words_of
from ringwright.web.forms import Typed

WHOLE = {
    "name": "Head 60",
    "ratio": "60",
    "circles": "15 16 17\n18 19 20",
    "change_gears": "24, 24, 28, 64",
    "direct_circles": "24",
    "smallest_arcsec": "60",
    "vernier_arcsec": "10",
    "dial_shows": "decimal",
    "backlash_arcsec": "120",
    "centre_height_mm": "130",
    "height_flat_mm": "115",
    "table_diameter_mm": "320",
    "load_flat_kg": "80",
    "load_upright_kg": "60",
    "mass_kg": "62",
    "stands_upright": "yes",
    "has_lock": "yes",
    "lies_flat": "no",
    "counts_per_turn": "36000",
    "readout_on": "crank",
    "gear_module_mm": "2",
    "shafts_apart_mm": "150",
    "stud_nearest_mm": "60",
    "stud_furthest_mm": "140",
    "blanked": "17 33",
    "damaged": "39: 4 5\n17: 2",
}


def _made(unit="mm", **typed):
    return Device.model_validate(record_of(Typed(typed), unit))


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_stands_in_the_form_makes_the_same_device_again(unit):
    device = _made(**WHOLE)
    again = _made(unit, **{name: value for name, value in standing(device, unit).items() if value})

    # an inch is shown to a tenth of a thou
    for name in ("centre_height_mm", "height_flat_mm", "table_diameter_mm"):
        assert getattr(again, name) == pytest.approx(getattr(device, name), abs=0.002)
    same = {"centre_height_mm": 1, "height_flat_mm": 1, "table_diameter_mm": 1, "quadrant": None}
    assert again.model_copy(update=same) == device.model_copy(update=same)
    assert again.quadrant.stud_furthest_mm == pytest.approx(140, abs=0.002)
    assert again.quadrant.gear_module_mm == 2


def test_every_field_of_a_device_has_its_place_in_the_form():
    device = _made(**WHOLE)

    assert set(device.model_fields_set) == set(Device.model_fields)
    assert device.damaged[0].holes == (4, 5)
    assert device.readout.on == "crank"


def test_the_shelf_says_what_divides_and_what_it_takes():
    said = words_of(_made(**WHOLE), "mm")

    for words in (
        "not to be used: 17 33",
        "holes 4 5 of 39 bad",
        "hole 2 of 17 bad",
        "readout of 36000 counts a turn on the crank",
        "stud from 60 mm to 140 mm",
        "carries 60 kg upright",
        "holds nothing lying flat",
    ):
        assert words in said


def test_a_device_is_put_right_in_its_place(shop):
    page = shop.get("/kit?device=1").text
    assert re.search(r'id="d-centre_height_mm"[^>]*value="130"', page)
    stands = standing(shop.store.kit()[0].devices[1], "mm")
    got = shop.client.post("/kit/devices", data={"version": "1", **stands, "instead": "1", "blanked": "15"})

    heads = shop.store.kit()[0].devices
    assert got.status_code == 303
    assert [d.name for d in heads] == ["Rotary table 90:1", "Dividing head 40:1"]
    assert heads[1].blanked == (15,)
    assert heads[1].circles[2] == (37, 39, 41, 43, 47, 49)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"damaged": "39 4 5"}, "does not say of which circle which holes"),
        ({"stud_furthest_mm": "50"}, "The slot ends nearer than it begins."),
        ({"vernier_arcsec": "90"}, "A vernier reads finer than the dial"),
        ({"shafts_apart_mm": ""}, "shafts_apart_mm"),
        ({"name": "Dividing head 40:1"}, "There is another"),
    ],
)
def test_what_is_wrong_with_one_device_is_said_at_the_shelf(shop, wrong, words):
    got = shop.client.post("/kit/devices", data={"version": "1", "d_form": "yes", **WHOLE, **wrong})

    assert got.status_code == 422
    assert words in got.text
    assert len(shop.store.kit()[0].devices) == 2
    assert re.search(r'id="d-load_flat_kg"[^>]*value="80"', got.text), "what was typed is still there"
