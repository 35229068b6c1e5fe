"""Said 70 %, seen 70 %: the probabilities are true in the world that the prior describes."""

# the folder is no package: the simulated world is loaded by its path
import importlib.util
from pathlib import Path

import pytest

from ringwright.identify import evidence

_spec = importlib.util.spec_from_file_location("simulated", Path(__file__).with_name("simulated.py"))
simulated = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(simulated)


def _off(found):
    return max(abs(sds) for *_, sds in found)


def test_said_is_seen_over_300_worn_rings():
    said, true, _ = simulated.run(300, 0.1)
    found = simulated.bins(said, true)

    assert len(found) >= 3
    assert _off(found) <= 3


def test_the_first_has_the_right_pitch_and_angle_when_read_to_two_hundredths():
    said, true, first = simulated.run(200, 0.02, number=21)

    assert _off(simulated.bins(said, true)) <= 3
    assert first.mean() >= 0.93


def test_believing_readings_twice_as_good_as_they_are_is_seen(monkeypatch):
    honest = evidence.as_made
    monkeypatch.setattr(evidence, "as_made", lambda scene: honest(scene) / 2)
    said, true, _ = simulated.run(400, 0.1, 0.05)

    assert _off(simulated.bins(said, true)) > 3


@pytest.mark.long
@pytest.mark.parametrize("u", [0.1])
def test_said_is_seen_over_10000_worn_rings(u):
    said, true, _ = simulated.run(10_000, u, number=22)

    assert _off(simulated.bins(said, true)) <= 3
