"""Dividing on the pages: two touches to an answer, drawings, ticks, files, the detent from the job's own ring."""

from __future__ import annotations

import csv
import io
import re

import pytest

from ringwright import reckon
from ringwright.web.quick import numbers

PLATE = "/sums/plate?divisions=127&ratio=40&hole_diameter_mm=2.5"


def test_the_first_page_of_quick_sums_divides_at_once(shop):
    page = shop.get("/sums").text
    form = re.search(r'<form class="put" method="get" action="/sums/divide">.*?</form>', page, re.DOTALL)[0]
    assert 'name="divisions"' in form
    answer = shop.get("/sums/divide?divisions=115").text
    assert "spaces on the" in answer or "a tooth, each set by itself" in answer


def test_a_way_is_drawn_with_pin_arms_and_train(shop):
    page = shop.get(
        "/sums/divide?divisions=127&ratio=40&circles=37,39,41&gears=24,24,28,32,40,44,48,56,64,72,86,100"
    ).text
    assert 'class="plate"' in page
    assert 'class="train"' in page
    assert "pin in hole 0, which is not counted" in page
    assert "the arms hold 14 holes" in page


def test_every_place_has_its_box_and_stands_where_the_operation_says(shop):
    page = shop.get("/sums/divide?divisions=115&ratio=90&circles=23&way=0").text
    rows = re.findall(
        r'<tr><td class="num figure">(\d+)</td><td class="num">(\d+)</td><td class="num">(\d+)</td>', page
    )
    table = reckon.divide({"divisions": 115, "device": {"ratio": 90, "circles": [[23]]}, "table": True}).ways[0].table
    assert [tuple(map(int, r)) for r in rows] == [(r.tooth, r.turns, r.hole) for r in table]
    assert page.count('type="checkbox"') == 115


def test_a_plate_to_make_leads_from_the_division_to_its_layout(shop):
    page = shop.get("/sums/divide?divisions=127&ratio=40&circles=20").text
    href = re.search(r'href="(/sums/plate\?[^"]+)"', page)[1].replace("&amp;", "&")
    assert shop.get(href + "3").status_code == 200


@pytest.mark.parametrize("kind", ["csv", "svg", "dxf"])
def test_files_are_those_of_the_operation(shop, kind):
    answer = shop.get(f"{PLATE.replace('/sums/plate', f'/sums/plate/file.{kind}')}")
    asked = {"divisions": 127, "ratio": 40, "hole_diameter_mm": 2.5, "files": [kind]}
    wanted = getattr(reckon.plate_layout(asked).files, kind)

    assert answer.status_code == 200
    assert f'filename="plate-127.{kind}"' in answer.headers["content-disposition"]
    if kind == "dxf":  # its header carries the hour
        assert answer.text.count("CIRCLE") == wanted.count("CIRCLE") > 127
    else:
        assert answer.text == wanted


def test_the_page_shows_what_the_list_says(shop):
    page = shop.get(PLATE).text
    rows = list(csv.DictReader(io.StringIO(reckon.plate_layout(
        {"divisions": 127, "ratio": 40, "hole_diameter_mm": 2.5, "files": ["csv"]}).files.csv)))  # fmt: skip
    assert f'<td class="num">{float(rows[7]["set_x_mm"]):.3f}</td>' in page
    assert "81.000" in page


def test_a_file_of_what_cannot_be_is_the_page_with_its_words(shop):
    answer = shop.get("/sums/plate/file.csv?divisions=127&ratio=40&hole_diameter_mm=5&circle_radius_mm=20")
    assert answer.status_code == 422
    assert "run into each other" in answer.text
    assert 'value="127"' in answer.text
    assert shop.get("/sums/plate/file.exe?divisions=12&hole_diameter_mm=5").status_code == 404


def test_inches_are_taken_and_shown(shop):
    shop.client.cookies.set("unit", "in")
    page = shop.get("/sums/plate?holes=23&hole_diameter_mm=0.25&circle_radius_mm=2").text
    assert "2.0000" in page  # the radius
    assert "0.2947" in page  # 4 sin(180/23 degrees) - 1/4 of an inch is 0.2947 of chord less drill


def test_a_detent_is_drawn_and_told(shop):
    page = shop.get("/sums/detent?teeth=127&pitch=5&plus_mm=0.1&cut=31-58&damaged=40,44-46,80").text
    assert 'class="detent"' in page
    assert "both flanks" in page
    assert "53.2" in page  # 0.1/(2 cos 20 degrees) mm
    assert "31–58" in page
    assert page.count('type="checkbox"') == 28


@pytest.mark.parametrize("shape", ["ball", "pin", "wedge", "pawl"])
@pytest.mark.parametrize("kind", ["external", "internal"])
def test_every_shape_gives_a_page_never_a_fault(shop, shape, kind):
    answer = shop.get(f"/sums/detent?teeth=60&pitch=4&kind={kind}&shape={shape}")
    straight_inside = kind == "internal" and shape in ("wedge", "pawl")
    assert answer.status_code == (422 if straight_inside else 200)


@pytest.mark.parametrize("typed", ["cut=x", "cut=900", "teeth_away=0", "diameter_mm=0", "pitch=", "damaged=1-999999"])
def test_a_slip_comes_back_with_its_words(shop, typed):
    base = {"teeth": "60", "pitch": "4"}
    name, _, value = typed.partition("=")
    answer = shop.get("/sums/detent", params={**base, name: value})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


def test_set_out_draws_the_division_and_leads_to_the_detent_with_the_ring_put_in(shop):
    page = shop.get("/jobs/screen-drum-drive-ring/set-out").text
    assert 'class="divided"' in page
    href = re.search(r'href="(/sums/detent\?[^"]+)"', page)[1].replace("&amp;", "&")
    assert "teeth=127" in href
    assert "damaged=" in href
    assert shop.get(href).status_code == 200


def test_lists_of_teeth_are_read_as_written():
    assert numbers("31–33 40") == [31, 32, 33, 40]
    assert numbers("5-3") == ["5-3"]
    assert len(numbers("1-9999")) <= 1000
