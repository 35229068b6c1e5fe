"""The ring as it was measured: typed and pasted as people do, kept in the job, and said beside the division."""

from __future__ import annotations

import re

import pytest

from ringwright.job.demo import demo_job
from ringwright.job.document import AtTooth, JobDocument, RingMeasured
from ringwright.reckon.base import Problems
from ringwright.web.dividing_lines import as_asked
from ringwright.web.forms import Typed
from ringwright.web.measured import read

JOB = "/jobs/screen-drum-drive-ring"


def _pitches(text, teeth=20, **more):
    return read(Typed(pitches=text, **more), teeth, "mm").pitch_um


@pytest.mark.parametrize(
    "text",
    ["3 12.5\n4 -7", "3;12,5\n4;−7", "3,12.5\r\n4,-7\r\n", "3\t+12,5\n\n4\t-7,0", "tooth;pitch\n3: 12.5\n4: -7"],
    ids=["blanks", "semicolons", "commas", "tabs", "with a heading"],
)
def test_a_list_is_read_as_people_and_instruments_write_it(text):
    assert _pitches(text) == (AtTooth(tooth=3, um=12.5), AtTooth(tooth=4, um=-7))


def test_figures_alone_count_from_tooth_one():
    assert [(r.tooth, r.um) for r in _pitches("4\n-3\n0")] == [(1, 4), (2, -3), (3, 0)]


@pytest.mark.parametrize(("figures", "um"), [("um", 2), ("hundredths", 20), ("thou", 50.8)])
def test_figures_are_what_the_list_says_they_are(figures, um):
    assert _pitches("5 2\n6 0", figures=figures)[0].um == pytest.approx(um)


@pytest.mark.parametrize(
    ("typed", "code", "where"),
    [
        ({"pitches": "3 twelve"}, "reading_line", "pitches"),
        ({"pitches": "21 4"}, "out_of_range", "pitches"),
        ({"pitches": "\n".join(["1"] * 21)}, "readings_too_many", "pitches"),
        ({"pitches": "3 1\n3 2"}, "read_twice", "pitches"),
        ({"pitches": "3 1\n9 2"}, "pitch_chain_broken", "pitches"),
        ({"round": "1 5\n2 6"}, "run_out_too_few", "round"),
        ({"run_out": "0.3"}, "high_where", "high_at"),
        ({"high_at": "4"}, "high_where", "run_out"),
        ({"shrunk": "0.4", "from": "3"}, "drawn_in_where", "to"),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field(typed, code, where):
    with pytest.raises(Problems) as refused:
        read(Typed(**typed), 20, "mm")

    assert [(p.code, p.where) for p in refused.value.problems] == [(code, where)]


def test_nothing_typed_is_nothing_measured():
    assert read(Typed({"from": "3", "to": "9"}), 20, "mm") is None


def test_a_run_out_by_amount_and_place_is_off_centre_by_half_of_it(shop):
    shop.post(f"{JOB}/map/measured", first="1", run_out="0.3", high_at="40")
    page = shop.get(f"{JOB}/set-out").text
    row = re.search(r"Off centre</span><span class=\"v\">([\d.]+).*?high at tooth (\d+)", page, re.DOTALL)

    assert float(row[1]) == pytest.approx(0.15, abs=0.0006)
    assert int(row[2]) == 40


def test_a_weld_that_drew_the_ring_in_is_said_beside_the_division(shop):
    got = shop.post(f"{JOB}/map/measured", first="1", shrunk="0.6", **{"from": "99", "to": "109"})
    page = shop.get(f"{JOB}/set-out").text

    assert got.status_code == 303
    assert "The ring as it is: Follow the teeth" in page
    assert shop.job().map.measured.shrunk_um == 600
    assert re.search(r"drawn in 0\.60* mm from 99 to 109", shop.get(f"{JOB}/map").text)


def test_emptying_the_form_takes_it_off_again(shop):
    shop.post(f"{JOB}/map/measured", first="1", run_out="0.3", high_at="40")
    shop.post(f"{JOB}/map/measured", first="1", **{"from": "99", "to": "109"})

    assert shop.job().map.measured is None
    assert "The ring is taken as true" in shop.get(f"{JOB}/set-out").text


def test_a_refused_list_comes_back_with_every_line(shop):
    got = shop.post(f"{JOB}/map/measured", first="1", measured_form="yes", pitches="3 twelve\n4 5")

    assert got.status_code == 422
    assert "3 twelve\n4 5</textarea>" in got.text.replace("\r", "")
    assert "Line 1" in got.text
    assert shop.job().map.measured is None


def test_a_file_of_pitches_is_taken_in(shop):
    lines = "tooth;pitch\n" + "\n".join(f"{n};{(-1) ** n * 4}" for n in range(1, 128))
    got = shop.post(f"{JOB}/map/measured", first="1", files={"pitch_file": ("p.csv", lines, "text/csv")})

    assert got.status_code == 303
    assert len(shop.job().map.measured.pitch_um) == 127


def test_a_job_of_before_still_loads():
    kept = demo_job().model_dump(mode="json")
    del kept["map"]["measured"]

    assert JobDocument.model_validate(kept).map.measured is None


def test_inches_are_read_as_inches():
    found = read(Typed(run_out="0.012", high_at="4"), 20, "in")

    assert found.run_out_um == pytest.approx(304.8)


def test_readings_all_round_go_before_amount_and_place():
    of = RingMeasured(run_out_um=300, high_at=4, round_um=tuple(AtTooth(tooth=n, um=n) for n in (1, 5, 9, 13, 17)))

    assert [one["tooth"] for one in as_asked(of, 20)["run_out_um"]] == [1, 5, 9, 13, 17]


def test_a_few_pitches_are_kept_and_the_round_says_what_it_lacks(shop):
    got = shop.post(f"{JOB}/map/measured", first="1", pitches="3 12\n4 -7")
    page = shop.get(f"{JOB}/set-out").text

    assert got.status_code == 303
    assert "What was measured does not serve this round." in page
    assert "take this way" in page, "the division stands all the same"
