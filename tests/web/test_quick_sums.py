"""The quick sums that stand for themselves: what they answer, and that nothing typed is lost when they cannot."""

from __future__ import annotations

import re
from math import cos, radians, sin, tan

import pytest


def figure(page, label):
    """The figure of one line of the ledger."""
    found = re.search(rf'<span>{re.escape(label)}</span><span class="v">([^<]*)<', page)
    assert found, f"no line {label!r}"
    return found[1]


def test_every_sum_is_on_the_list_and_opens_empty(shop):
    first = shop.get("/sums").text
    for name in ("mesh", "tolerance", "speed", "edge", "gash", "face"):
        assert f'href="/sums/{name}"' in first
        got = shop.get(f"/sums/{name}")
        assert got.status_code == 200
        assert "Work it out" in got.text
        assert "<h3>" not in got.text  # nothing asked, nothing answered


def test_two_in_mesh(shop):
    # 127 and 20 teeth of module 5, the centres opened by 0.3 from 147 / 2 modules: radial backlash is the opening
    page = shop.get("/sums/mesh?teeth=127&pitch=5&mate_teeth=20&play=centres&play_mm=367.8").text
    assert figure(page, "Centre distance") == "367.800"
    assert figure(page, "Backlash, centres apart") == "0.300"
    assert figure(page, "Ratio") == "127 : 20"
    assert figure(page, "Tip clears the other’s root by") == "1.550"  # 0.25 modules and the opening
    tight = shop.get("/sums/mesh?teeth=127&pitch=5&mate_teeth=20").text
    assert figure(tight, "Centre distance") == "367.500"
    assert figure(tight, "Backlash, on the circle") == "0.000"


def test_the_mate_of_a_helical_ring_has_the_other_hand(shop):
    page = shop.get("/sums/mesh?teeth=60&pitch=5&helix=20&hand=right&face_width=50&mate_teeth=20").text
    assert "The pair runs" in page


def test_how_true(shop):
    # grade 9 of 1995, size step means by hand in the reference of the operation
    page = shop.get("/sums/tolerance?teeth=127&pitch=5&face_width=60&grade=9&edition=1995&single_pitch_um=40").text
    assert figure(page, "Single pitch") == "±35"
    assert figure(page, "Total pitch") == "170"
    assert figure(page, "Run-out") == "136"
    assert "does not keep it" in page
    assert "measured: class 10" in page
    bare = shop.get("/sums/tolerance?teeth=127&pitch=5").text
    assert "Helix, total</span>" not in bare  # no face width, no helix


def test_speed_and_feed_in_the_steps_of_the_machine(shop):
    asked = "material=carbide&end=flat&diameter=12&flutes=4&hardness=250&scale=HB&condition=sound&engagement=heavy"
    page = shop.get(f"/sums/speed?{asked}&speeds=80+660+1320+1750&travel=26").text
    assert figure(page, "Spindle, as the machine has it") == "1320"  # 60 m/min on 12 mm is 1592
    assert figure(page, "Feed") == "190"  # 4 edges of 0.036 at 1320
    assert figure(page, "In the cut, a tooth of the ring") == "8.2"
    by_file = shop.get("/sums/speed?diameter=12&flutes=4&hardness=60&scale=file&skates=50").text
    assert "HRC" in by_file


def test_how_long_an_edge_lasts(shop):
    def chance(query):
        page = shop.get(f"/sums/edge?teeth=127&seconds=12&speed=60&minutes=30&hb=200{query}").text
        return int(figure(page, "This edge finishes the round").split()[0])

    assert chance("") > chance("&hard=12&hard_hb=450")
    assert chance("") > chance("&at=23&what=gone")
    page = shop.get("/sums/edge?teeth=127&seconds=12&speed=60&hard=12").text
    assert "Lap 2: 12 hard" in page
    assert figure(page, "Change the edge after tooth") == "115"


def test_a_space_to_depth(shop):
    page = shop.get("/sums/gash?teeth=40&pitch=5&face_width=30&cutter=involute_form&diameter=80&passes=3").text
    assert figure(page, "Depth from a sound tip") == "11.250"  # 2.25 modules
    assert figure(page, "Wanted by the drawing") == "7.854"  # half the pitch
    assert figure(page, "Pass 3, from the tip") == "11.250"
    slot = "teeth=40&pitch=5&face_width=30&cutter=double_angle&diameter=80&angle=20&angle_high=20&width=16"
    page = shop.get(f"/sums/gash?{slot}&aim=width_mm&aim_value=7").text
    # the arc of 7 ends at 0.035 rad on r = 100; from there the sides run together at 20 degrees to the sharp rim
    rim = 100 * cos(0.035) - 100 * sin(0.035) / tan(radians(20))
    assert figure(page, "Depth from a sound tip") == f"{105 - rim:.3f}"


def test_a_field_of_another_kind_of_cutter_is_not_sent(shop):
    page = shop.get("/sums/gash?teeth=40&pitch=5&face_width=30&cutter=involute_form&diameter=80&angle=20&width=9")
    assert page.status_code == 200
    assert figure(page.text, "Depth from a sound tip") == "11.250"


def test_ends_faced_off(shop):
    # faced until all is sound: the deepest damage comes off, the mesh loses what stood beyond the mate's start
    chewed = "teeth_1=3&deep_1=2&teeth_2=9&deep_2=4&teeth_3=10&deep_3=2"
    page = shop.get(f"/sums/face?teeth=127&pitch=5&face_width=60&{chewed}&mate_face=50&mate_from=2&cut=1.5").text
    assert figure(page, "Comes off") == "4.00"
    assert figure(page, "Face left") == "56.00"
    assert figure(page, "Length of mesh left") == "48.00"
    assert figure(page, "Come out sound") == "3 / 3"
    assert figure(page, "Cut 3, from the old face") == "4.00"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/sums/mesh?teeth=127&pitch=5&mate_teeth=3", "mate.teeth"),
        ("/sums/tolerance?teeth=127&pitch=5&grade=14", "grade"),
        ("/sums/speed?diameter=12&flutes=4&hardness=60&scale=HRC&material=hss", "high speed steel"),
        ("/sums/edge?teeth=10&seconds=4&speed=60&hard=40", "0 to 10"),
        ("/sums/gash?teeth=40&pitch=5&diameter=80", "The face width is missing."),
        ("/sums/face?teeth=40&pitch=5&face_width=30", "No damage was given"),
    ],
)
def test_what_cannot_be_is_told_and_stays_typed(shop, path, said):
    got = shop.get(path)
    assert got.status_code == 422
    assert said in got.text
    first = re.search(r"\?(\w+)=(\w+)", path)
    assert re.search(rf'name="{first[1]}" value="{first[2]}"', got.text)


@pytest.mark.parametrize("name", ["mesh", "gash", "face"])
def test_inches_are_shown_when_inches_are_chosen(shop, name):
    shop.client.cookies.set("unit", "in")
    asked = {
        "mesh": "mate_teeth=20&play=centres&play_mm=14.5",
        "gash": "face_width=2&cutter=involute_form&diameter=3",
        "face": "face_width=2&aim=remove_mm&aim_value=0.0625",
    }[name]
    page = shop.get(f"/sums/{name}?teeth=127&pitch=5&{asked}").text
    assert '<span class="unit">in</span>' in page
    if name == "face":
        assert figure(page, "Comes off") in ("0.062", "0.063")


def test_an_old_space_takes_less_metal(shop):
    asked = "/sums/gash?teeth=40&pitch=5&face_width=30&cutter=flat&diameter=4&aim=depth_mm&aim_value=9&passes=2"

    def metal(more):
        return int(re.search(r"Metal out of one space.*?(\d+)<", shop.get(asked + more).text, re.S)[1])

    # by hand, see the contract's cases: 30 mm of a slot of 4 mm, its floor at r = 96, up to r = 105 or r = 100
    assert metal("") == pytest.approx(1079, rel=0.02)
    assert metal("&deep=5") == pytest.approx(479, rel=0.02)
    assert "mm wider at the reference circle" in shop.get(asked + "&lost=0.2").text
