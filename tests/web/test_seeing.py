"""The cut to look at: the page, its sections and numbers, and the turnable view in a browser with a drawing surface."""

from __future__ import annotations

import json
import re

import pytest

JOB = "/jobs/screen-drum-drive-ring"


def test_the_cut_is_shown_in_sections_and_numbers(shop):
    page = shop.get(f"{JOB}/set-out/cut").text
    assert page.count("<clipPath") == 3
    shape = json.loads(re.search(r'<script type="application/json" data-shape>(.*?)</script>', page, re.S)[1])
    assert f"{shape['infeed_mm']:.3f}" in page
    assert sum(x * x for x in shape["front"]["infeed"]) == pytest.approx(1)
    assert re.search(r"<td class=\"num\">1\.00</td>", page)  # the lead of the demo's cut on the reference circle


def test_without_a_cut_the_page_says_what_to_do(shop):
    made = shop.client.post("/jobs", data={"title": "Mixer ring"}).headers["location"].removesuffix("/find-out")
    page = shop.get(f"{made}/set-out/cut").text
    assert "No cut is set out yet." in page
    assert "<canvas" not in page
