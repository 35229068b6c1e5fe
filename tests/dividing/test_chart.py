"""The chart of every count, the plain command in front of it, and how many printed rows stand behind both."""

from __future__ import annotations

import sys

import pytest

from ringwright import cli, reckon, tables
from ringwright.reckon.base import Problems
from ringwright.reckon.indexing_chart import chart_of

HEAD = {"name": "head", "ratio": 40, "circles": [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33]]}
SHELF = ["--ratio", "40", "--circles", "15,16,17,18,19,20/21,23,27,29,31,33"]


def _run(*words):
    return cli.main(["divide", *words], serve=lambda _asked: pytest.fail("the app is not asked for"))


def test_the_chart_has_the_first_way_of_every_count():
    done = []
    lines = dict(chart_of({"divisions": 48, "device": HEAD}, 53, lambda n, of: done.append((n, of))))

    assert done == [(n, 6) for n in range(1, 7)]
    for N, way in lines.items():
        first = reckon.divide({"divisions": N, "device": HEAD}).ways[0]
        assert way == first, N


def test_a_chart_leaves_out_what_cannot_take_the_ring():
    low = {**HEAD, "centre_height_mm": 100}
    asked = {
        "divisions": 50,
        "devices": [low, {**HEAD, "name": "high"}],
        "set_up": "upright",
        "outside_diameter_mm": 400,
    }
    assert [way.device for _, way in chart_of(asked, 52)] == ["high"] * 3


@pytest.mark.parametrize("last", [1, 1001])
def test_a_chart_that_ends_before_it_begins_or_too_late(last):
    with pytest.raises(Problems) as problems:
        chart_of({"divisions": 2, "device": HEAD}, last)
    assert problems.value.problems[0].code == "out_of_range"


def test_the_chart_on_the_command_line_shows_progress_to_a_person_only(capsys, monkeypatch):
    assert _run("--from", "98", "--to", "100", *SHELF) == 0
    said = capsys.readouterr()
    assert [line.split()[0] for line in said.out.splitlines()] == ["98", "99", "100"]
    assert said.err == ""

    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert _run("--from", "98", "--to", "100", *SHELF) == 0
    assert "3 of 3 counts" in capsys.readouterr().err


def test_a_newcomer_is_told_why_what_to_do_and_how_to_prove_it(capsys):
    assert _run("99", *SHELF, "--radius-mm", "100", "--work", "lead_in") == 0
    said = capsys.readouterr().out
    assert said.startswith("1. the device you named, compound")
    for label in ("Why:", "Place:", "Do:", "Prove before cutting:", "Risk:"):
        assert label in said
    assert "Tolerance by the work, a lead-in: 200 µm" in said


def test_slips_on_the_command_line_say_what_to_do(capsys):
    assert _run("99", "--ratio", "forty") == 2
    assert "device.ratio: “forty”" in capsys.readouterr().err
    assert _run("--from", "9", "--to", "3", *SHELF) == 2
    assert "9 to 1000" in capsys.readouterr().err
    assert _run("127", *SHELF, "--outside-diameter-mm", "0") == 2
    assert "outside_diameter_mm" in capsys.readouterr().err


def test_at_least_120_printed_settings_reproduce():
    kinds = ("plain", "compound_turns", "divides", "differential", "angular")
    printed = [
        case
        for kind in kinds
        for case in tables.published(f"dividing.{kind}")
        if tables.sources()[case.source].have in ("read", "memory") and not case.wrong_in_print
    ]
    assert len(printed) >= 120
    assert {case.inputs["idlers"] for case in printed if "idlers" in case.inputs} == {"0", "1", "2"}
    assert any(case.inputs.get("second_holes", "").startswith("-") for case in printed)


def test_a_chart_never_passes_a_plate_off_that_is_not_there(capsys):
    assert _run("--from", "59", "--to", "60", "--ratio", "40", "--circles", "15,16,17,18,19,20") == 0
    to_make, there = capsys.readouterr().out.splitlines()
    assert "plate to be drilled first" in to_make
    assert "plate" not in there


def test_the_ratio_as_it_stands_on_the_head_and_a_radius_in_inches(capsys):
    assert _run("127", "--ratio", "40:1", "--circles", "54", "--radius-mm", "12-1/2 in") == 0
    # 17 on 54 for 127 at 317.5 mm is 916.3 um out at worst (the contract's own example)
    assert "17 spaces on the 54 circle (worst error 595.3 arcsec, 916 µm)" in capsys.readouterr().out
    assert _run("127", "--ratio", "1:40", "--circles", "54") == 2
    assert "device.ratio" in capsys.readouterr().err
    assert _run("127", "--ratio", "40", "--circles", "54", "--radius-mm", "wide") == 2
    assert "radius_mm" in capsys.readouterr().err


def test_nothing_named_is_dropped_in_silence(capsys):
    assert _run("60", "--ratio", "40", "--circles", "20", "--dial-arcsec", "0") == 2
    assert "device.dial.smallest_arcsec" in capsys.readouterr().err
    assert _run("60", "--ratio", "40", "--circles", "20", "--counts", "0") == 2
    assert "device.readout.counts_per_turn" in capsys.readouterr().err
    assert _run("60", "--ratio", "40", "--circles", "") == 2
    assert "device.circles" in capsys.readouterr().err
    assert _run("127", "--ratio", "40") == 2
    assert "No circles, dial or readout named: --circles" in capsys.readouterr().out


def test_circles_blanked_beside_the_kit(capsys, monkeypatch):
    monkeypatch.setattr("ringwright.cli.friendly._kit_devices", lambda _data: [{**HEAD, "blanked": [15]}])
    assert _run("60", "--blanked", "18") == 0
    said = capsys.readouterr().out
    assert "Circles left out as blanked: 15, 18." in said
    assert "on the 18 circle" not in said


def test_the_table_says_what_its_columns_are(capsys):
    assert _run("60", "--ratio", "40", "--circles", "18", "--table") == 0
    lines = capsys.readouterr().out.splitlines()
    at = next(i for i, line in enumerate(lines) if line.split()[:1] == ["tooth"])
    assert lines[at].split() == ["tooth", "turns", "/", "hole,", "or", "reading", "spindle"]
    assert lines[at + 2].split() == ["2", "0", "/", "12", "6.0000°"]
