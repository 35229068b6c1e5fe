"""``setup_check`` as the machinist meets it: what does not go, what to look at, and what it never says."""

import copy
import json
from pathlib import Path

import pytest

from ringwright import reckon

CASES = json.loads((Path(__file__).parents[1] / "contract" / "setup_check.json").read_text())
FLAT = CASES[1]["request"]
UPRIGHT = CASES[0]["request"]


def _ask(base, **more):
    return reckon.setup_check({**copy.deepcopy(base), **more})


def _line(answer, what):
    return next(f for f in answer.fits if f.what == what)


@pytest.mark.parametrize("centre", [125, 140, 160])
def test_the_ring_does_not_swing_on_a_usual_head(centre):
    device = {**UPRIGHT["device"], "centre_height_mm": centre}
    got = _ask(UPRIGHT, device=device)

    assert got.verdict == "does_not_go"
    swing = _line(got, "swing")
    assert not swing.ok
    assert f"{332.5 - centre:.0f} mm too low" in swing.says


def test_a_riser_that_is_high_enough_lets_it_swing():
    assert _line(_ask(UPRIGHT, packing_mm=172.4), "swing").ok is False
    assert _line(_ask(UPRIGHT, packing_mm=172.6), "swing").ok is True


def test_a_device_without_an_upright_foot_is_refused_that_way():
    device = {k: v for k, v in FLAT["device"].items() if k not in ("centre_height_mm", "stands_upright")}
    got = _ask(FLAT, device=device, set_up="upright")

    assert got.verdict == "does_not_go"
    assert got.fits[0].what == "stands_upright"


def test_everything_in_reach_goes():
    small = {**FLAT["ring"], "teeth": 50}
    got = _ask(
        FLAT,
        ring=small,
        section={"bore_mm": 180},
        push_n=200,
        lock={"friction": 0.15, "force_n": 6000, "radius_mm": 90, "faces": 2},
    )
    assert {f.what: f.verdict for f in got.fits} == {f.what: "goes" for f in got.fits}
    assert got.verdict == "goes"


def test_the_verdict_is_the_worst_line():
    heavy = _ask(FLAT, section={"bore_mm": 545, "mass_kg": 280})

    assert _line(heavy, "device_load").verdict == "does_not_go"
    assert heavy.verdict == "does_not_go"


def test_the_worm_is_never_left_to_carry_the_cut():
    for more in ({}, {"lock": None}, {"device": {**FLAT["device"], "has_lock": False}}):
        told = _line(_ask(FLAT, **more), "worm_lock")
        assert told.verdict == "look"
        assert "worm alone must not carry" in told.says
    without_push = {k: v for k, v in FLAT.items() if k != "push_n"}
    assert "no_push" in {n.code for n in _ask(without_push).notes}


def test_nobody_lifts_it_alone_and_nothing_is_certified():
    got = _ask(FLAT)

    assert any("not to be lifted by one person" in c for c in got.cautions)
    assert "no_certificate" in {n.code for n in got.notes}
    light = _ask(FLAT, section={"bore_mm": 545, "mass_kg": 20})
    assert not any("one person" in c for c in light.cautions)


def test_a_weight_that_cannot_be_is_doubted():
    assert "mass_doubtful" in {n.code for n in _ask(FLAT, section={"bore_mm": 545, "mass_kg": 12}).notes}


def test_an_internal_ring_weighs_from_its_teeth_to_its_outside():
    ring = {"kind": "internal", "teeth": 100, "module_mm": 5, "face_width_mm": 60}
    got = _ask(FLAT, ring=ring, section={"bore_mm": 600})

    assert got.tip_diameter_mm == pytest.approx(490)
    assert got.mass_kg == pytest.approx(3.141592653589793 / 4 * (600**2 - 490**2) * 60 * 7850e-9)
    assert _line(got, "throat").need_mm == pytest.approx(310)


def test_what_is_not_known_is_looked_at_and_not_guessed():
    device = {"name": "old table", "ratio": 90, "dial": {"smallest_arcsec": 60}}
    got = _ask(FLAT, device=device)

    assert got.verdict == "look"
    assert _line(got, "device_load").have is None
    assert got.total_on_table_kg is None
