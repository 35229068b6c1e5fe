"""The everyday sums of rings as plain commands: the same figures as the operations, and refusals on stderr."""

from __future__ import annotations

import pytest

from ringwright import cli, reckon


def run(capsys, *words):
    status = cli.main(words, lambda _asked: 1)
    seen = capsys.readouterr()
    figures = dict(line.split(maxsplit=1) for line in seen.out.splitlines() if " " in line)
    return status, figures, seen


def test_a_ring_with_its_module(capsys):
    status, figures, seen = run(capsys, "gear", "127", "--module", "5", "--span-teeth", "15")

    assert status == 0
    assert float(figures["reference_diameter_mm"]) == 635
    assert "length_mm 222.923" in figures["span"]  # printed span constants, see the contract's example
    assert "Pressure angle not given: 20° taken." in seen.out


def test_a_ring_in_inches_and_helical(capsys):
    words = ("gear", "60", "--circular-pitch-mm", "1-1/4 in", "--helix-angle-deg", "15", "--hand", "left")
    status, figures, _seen = run(capsys, *words)

    assert status == 0
    assert float(figures["circular_pitch_mm"]) == pytest.approx(31.75)
    assert run(capsys, *words[:-2])[0] == 2  # a helix without its hand


def test_a_mesh_says_which_backlash(capsys):
    status, figures, _seen = run(capsys, "mesh", "127", "20", "--module-mm", "5", "--centre-distance-mm", "367.8")

    assert status == 0
    assert figures["backlash"] == "circumferential_mm 0.219232, normal_mm 0.205843, radial_mm 0.3"


@pytest.mark.parametrize("kind", ["circumferential", "normal", "radial"])
def test_centres_for_a_backlash(capsys, kind):
    words = ("mesh", "127", "20", "--module-mm", "5", "--backlash-mm", "0.25", "--backlash-kind", kind)

    assert f"{kind}_mm 0.25" in run(capsys, *words)[1]["backlash"]
    assert "Kind of backlash" not in run(capsys, *words)[2].out


def test_a_backlash_without_its_kind_is_said_to_be_normal(capsys):
    _status, figures, seen = run(capsys, "mesh", "127", "20", "--module-mm", "5", "--backlash-mm", "0.25")

    assert "normal_mm 0.25" in figures["backlash"]
    assert "Kind of backlash not given: normal backlash" in seen.out


@pytest.mark.parametrize("inside", [(), ("--internal",)])
def test_the_mate_of_a_helical_ring_has_the_hand_that_meshes(capsys, inside):
    words = (
        "mesh",
        "80",
        "20",
        "--module-mm",
        "4",
        "--helix-angle-deg",
        "20",
        "--hand",
        "right",
        "--face-width-mm",
        "40",
    )
    status, figures, _seen = run(capsys, *words, *inside)

    assert status == 0
    assert figures["kind"] == ("internal" if inside else "external")
    assert "overlap 1.08868" in figures["contact_ratio"]  # 40 sin 20 / (4 pi)


def test_the_mate_has_its_own_shift_and_tip(capsys):
    words = ("mesh", "80", "20", "--module-mm", "4", "--mate-profile-shift", "0.5", "--mate-tip-diameter-mm", "91")
    figures = run(capsys, *words)[1]
    asked = {"kind": "external", "module_mm": 4}
    same = reckon.mesh(
        {"ring": {**asked, "teeth": 80}, "mate": {**asked, "teeth": 20, "profile_shift": 0.5, "tip_diameter_mm": 91}}
    )

    assert float(figures["centre_distance_mm"]) == pytest.approx(same.centre_distance_mm, rel=1e-5)
    assert float(figures["centre_distance_mm"]) > 201.5
    assert f"tip_clearance_mm {same.mate.tip_clearance_mm:.6g}" in figures["mate"]


def test_tolerances_of_either_edition(capsys):
    words = ("tolerance", "127", "--module-mm", "5", "--face-width-mm", "60", "--grade", "9")
    by_1995, by_2013 = run(capsys, *words, "--edition", "1995")[1], run(capsys, *words)[1]

    assert [float(by[name]) for by in (by_1995, by_2013) for name in ("single_pitch_um", "runout_um")] == [
        35, 136, 31, 110
    ]  # fmt: skip


def test_refusals_go_to_stderr_with_what_is_allowed(capsys):
    for words in (
        ("gear", "4", "--module-mm", "5"),
        ("gear", "40"),
        ("mesh", "60", "80", "--internal", "--module", "5"),
    ):
        status, _figures, seen = run(capsys, *words)
        assert (status, seen.out) == (2, "")
        assert seen.err.count(".") >= 2
