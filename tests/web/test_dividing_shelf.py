"""The whole shelf beside the ring: every device asked at once, what is left out, why a way ranks so, a way taken."""

from __future__ import annotations

import re

import pytest

JOB = "/jobs/screen-drum-drive-ring"


@pytest.fixture
def plan(shop):
    """The demo's set-up as its form shows it, sent again with changes."""

    def send(**changed):
        page = shop.get(f"{JOB}/set-out").text
        form = re.search(r'<form class="put" method="post" action="[^"]*/plan">.*?</form>', page, re.DOTALL)[0]
        typed = dict(re.findall(r'<input[^>]*?name="(\w+)"[^>]*?value="([^"]*)"', form))
        for name, body in re.findall(r'<select[^>]*?name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL):
            chosen = re.search(r"<option([^>]*) selected>([^<]*)", body) or re.search(r"<option([^>]*)>([^<]*)", body)
            value = re.search(r'value="([^"]*)"', chosen[1])
            typed[name] = value[1] if value else chosen[2]
        return shop.client.post(f"{JOB}/set-out/plan", data={**typed, **changed})

    return send


def test_the_head_on_which_the_ring_does_not_swing_is_said_with_why(shop):
    page = shop.get(f"{JOB}/set-out").text
    left = re.search(r"<b>Dividing head 40:1</b>(.*?)</p>", page, re.DOTALL)[1]

    assert "It cannot hold the ring lying flat." in left
    assert "does not swing: centre height 130 mm" in left


def test_a_way_says_why_it_ranks_so_how_it_is_proved_and_what_goes_wrong(shop):
    page = shop.get(f"{JOB}/set-out").text

    assert "200 allowed; about" in page
    assert "<dt>Prove it first</dt>" in page
    assert "<dt>What goes wrong</dt>" in page


def test_working_it_out_asks_the_whole_shelf_with_the_ring_on_it(shop, plan):
    got = plan(mass_kg="46", position_um="150")
    asked = shop.job().set_out.rounds[0].divide

    assert got.status_code == 303, got.text
    assert [d["name"] for d in asked["devices"]] == ["Rotary table 90:1", "Dividing head 40:1"]
    assert (asked["work"], asked["set_up"], asked["mass_kg"], asked["tolerance_um"]) == ("lead_in", "flat", 46, 150)
    assert asked["outside_diameter_mm"] == pytest.approx(5 * (127 + 2))


def test_a_way_taken_stays_taken_when_another_figure_changes(shop, plan):
    shop.post(f"{JOB}/set-out/way", round_id="lead-in", index="0")
    plan(mass_kg="46")

    assert shop.job().set_out.rounds[0].way["method"] == "dial"
    assert "<b>Taken.</b>" in shop.get(f"{JOB}/set-out").text


def test_a_way_of_another_device_brings_that_device_and_its_fit(shop):
    kit, version = shop.store.kit()
    head = kit.devices[1].model_copy(update={"lies_flat": True, "height_flat_mm": 200.0})
    shop.store.save_kit(kit.model_copy(update={"devices": (kit.devices[0], head)}), version)
    job, version = shop.store.job("screen-drum-drive-ring")
    old = job.set_out.rounds[0]
    asked = {**old.divide, "devices": [kit.devices[0].as_offered(), head.as_offered()]}
    new = old.model_copy(update={"divide": asked})
    rounds = job.set_out.model_copy(update={"rounds": (new,)})
    shop.store.save_job(job.model_copy(update={"set_out": rounds}), version)

    page = shop.get(f"{JOB}/set-out").text
    index = re.search(
        r'Dividing head 40:1, compound.*?name="index" value="(\d+)"', page.replace("</b><br>", ""), re.DOTALL
    )[1]
    shop.post(f"{JOB}/set-out/way", round_id="lead-in", index=index)
    taken = shop.job().set_out.rounds[0]

    assert taken.way["method"] == "compound"
    assert taken.device == "Dividing head 40:1"
    assert taken.setup["device"]["name"] == "Dividing head 40:1"
    assert "on the 47 circle" in shop.get(f"{JOB}/set-out").text or "circle" in taken.way["steps_note"]


def test_quick_sums_leave_out_the_head_on_which_a_ring_does_not_swing(shop):
    page = shop.get(
        "/sums/divide?divisions=120&ratio=40&circles=39&centre_height_mm=130&set_up=upright&outside=645&work=marks"
    ).text

    assert "does not swing: centre height 130 mm" in page
    assert "Nothing on the shelf divides this." in page


def test_quick_sums_take_a_typed_readout_and_what_is_cut(shop):
    page = shop.get("/sums/divide?divisions=127&ratio=90&counts_per_turn=36000&radius=317.5&work=marks").text

    assert "about 283 counts a tooth" in page  # 36000 / 127 = 283.46
    assert "500 allowed" in page  # marks forgive half a millimetre


def test_quick_sums_keep_clear_of_circles_not_to_be_used(shop):
    asked = "/sums/divide?divisions=120&ratio=40&circles=39+42"

    assert "13 spaces on the 39 circle" in shop.get(asked).text
    assert "14 spaces on the 42 circle" in shop.get(f"{asked}&blanked=39").text
    assert "on the 39 circle" not in shop.get(f"{asked}&blanked=39").text


def test_quick_sums_say_what_cannot_be_read_of_a_typed_head(shop):
    got = shop.get("/sums/divide?divisions=120&ratio=40&circles=39&damaged=39+4")

    assert got.status_code == 422
    assert "does not say of which circle which holes" in got.text
