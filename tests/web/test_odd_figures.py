"""Figures that count as digits and are no numbers, and numbers without an end: refused in words, never a fault."""

import pytest

JOB = "/jobs/screen-drum-drive-ring"
RAISED = "\u00b2"


@pytest.mark.parametrize("address", ["map?tooth={}", "map?tooth=1&to={}", "prove?tooth={}"])
def test_a_raised_figure_in_an_address_is_no_tooth(shop, address):
    assert shop.get(f"{JOB}/{address.format(RAISED)}").status_code == 200


@pytest.mark.parametrize("version", [RAISED, "9" * 5000])
def test_a_version_that_is_no_number_changes_nothing(shop, version):
    before = shop.job()

    assert shop.post(f"{JOB}/map/stop", version=version, tooth="3").status_code == 422
    assert shop.job() == before


@pytest.mark.parametrize("circles", [RAISED, "15 " + "9" * 5000])
def test_a_circle_that_is_no_number_is_refused(shop, circles):
    kit = shop.store.kit()
    head = {"version": "1", "name": "Head", "ratio": "40", "circles": circles}

    assert shop.client.post("/kit/devices", data=head).status_code == 422
    assert shop.store.kit() == kit


def test_the_next_number_stands_beside_a_number_that_is_none(shop):
    shop.store.new_job(shop.job().model_copy(update={"job_id": "another", "number": RAISED}))

    assert shop.client.post("/jobs", data={"title": "Ring"}).status_code == 303
