"""Said 70 %, seen 70 %: the probabilities are true in the world that the prior describes."""

# the folder is no package: the simulated world is loaded by its path
import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from ringwright.identify import evidence
from ringwright.identify.hypotheses import Prior, hypotheses

_spec = importlib.util.spec_from_file_location("simulated", Path(__file__).with_name("simulated.py"))
simulated = sys.modules["simulated"] = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(simulated)


def _pooled(lots, rings, u, first, world="as assumed"):
    """Some lots of rings, each with a number of its own, as one."""
    found = [simulated.run(rings, u, number=first + n, world=simulated.WORLDS[world]) for n in range(lots)]
    return simulated.Seen(*(np.concatenate([getattr(f, name) for f in found]) for name in vars(found[0])))


def test_the_simulated_world_has_the_rings_and_weights_of_the_product():
    rings, p = simulated.standard_rings(least=0.0, most=1e9)
    rows = hypotheses(Prior())
    mine = sorted(
        (round(m, 9), round(deg, 6), ha, hf, round(w, 15)) for (m, deg, ha, hf), w in zip(rings, p, strict=True)
    )
    theirs = zip(rows.m, np.degrees(rows.alpha), rows.ha, rows.hf, np.exp(rows.log_p), strict=True)

    assert np.allclose(mine, sorted((round(m, 9), round(d, 6), a, f, round(w, 15)) for m, d, a, f, w in theirs))


def test_said_is_seen_over_a_sample_of_worn_rings():
    seen = simulated.run(140, 0.02, number=21)
    found = simulated.bins(seen.said, seen.true, least=50)

    assert len(found) >= 3
    assert simulated.worst(found) <= 3


def test_six_readings_to_two_hundredths_name_pitch_and_angle():
    seen = simulated.run(100, 0.02, number=24, world=simulated.WORLDS["six readings"])

    assert simulated.worst(simulated.bins(seen.said, seen.true, least=50)) <= 3
    assert seen.pitch_and_angle_or_tied.mean() >= 0.95


def test_believing_readings_twice_as_good_as_they_are_is_seen(monkeypatch):
    honest = evidence.as_made
    monkeypatch.setattr(evidence, "as_made", lambda scene: honest(scene) / 2)
    seen = simulated.run(260, 0.05, 0.025, number=25, world=simulated.WORLDS["six readings"])

    assert simulated.worst(simulated.bins(seen.said, seen.true, least=50)) > 3


@pytest.mark.long
@pytest.mark.parametrize(
    ("u", "lots", "rings", "first"), [(0.01, 4, 500, 200), (0.02, 10, 1000, 100), (0.05, 4, 500, 300)]
)
def test_said_is_seen_over_thousands_of_worn_rings(u, lots, rings, first):
    seen = _pooled(lots, rings, u, first)

    assert simulated.worst(simulated.bins(seen.said, seen.true)) <= 3


@pytest.mark.long
def test_believing_readings_twice_as_good_is_seen_over_thousands_too(monkeypatch):
    honest = evidence.as_made
    monkeypatch.setattr(evidence, "as_made", lambda scene: honest(scene) / 2)
    seen = simulated.run(2000, 0.02, 0.01, number=100)

    assert simulated.worst(simulated.bins(seen.said, seen.true)) > 3


@pytest.mark.long
def test_following_the_next_reading_needs_fewer_readings_than_a_fixed_order():
    lots = [simulated.readings_needed(10, 600 + n) for n in range(12)]
    following, fixed = np.concatenate(lots).mean(axis=0)

    assert following < fixed


@pytest.mark.long
@pytest.mark.parametrize("u", [0.01, 0.02, 0.05])
def test_six_readings_name_pitch_and_angle_first_or_tied(u):
    seen = _pooled(2, 250, u, 400, "six readings")

    assert seen.pitch_and_angle_or_tied.mean() >= (0.95 if u <= 0.02 else 0.9)
    # the very ring, dedendum and all; and not by calling everything tied
    assert seen.first_or_tied.mean() >= (0.95 if u <= 0.02 else 0.9)
    assert (seen.tied_names > 1).mean() <= 0.4
    assert seen.tied_names.mean() <= 1.7
