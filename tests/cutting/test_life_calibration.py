"""Said 70 per cent, seen 70 per cent: in the world that the life model assumes, and how far out in others."""

# the folder is no package: the simulated worlds are loaded by their path
import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

_spec = importlib.util.spec_from_file_location("simulated_lives", Path(__file__).with_name("simulated_lives.py"))
lives = importlib.util.module_from_spec(_spec)
sys.modules["simulated_lives"] = lives
_spec.loader.exec_module(lives)


def _off(said, true):
    return max(abs(sds) for *_, sds in lives.bins(said, true))


@pytest.fixture(scope="module")
def own():
    return lives.run(350)


def test_said_is_seen_in_the_world_that_the_model_assumes(own):
    said, true, *_ = own

    assert len(lives.bins(said, true)) >= 4
    assert _off(said, true) <= 3
    assert true.mean() == pytest.approx(said.mean(), abs=0.06)


def test_so_many_edges_are_enough_as_often_as_said(own):
    _, _, chance, enough, *_ = own

    assert (chance >= 0.9).all()
    assert abs(enough.sum() - chance.sum()) / np.sqrt((chance * (1 - chance)).sum()) <= 3


def test_wear_alone_is_seen_to_promise_too_much(own):
    said, true, _, _, _, worn = own

    assert worn.mean() > said.mean() + 0.05
    assert _off(worn, true) > 3


def test_another_world_shows_where_the_model_is_out():
    said, true, *_ = lives.run(350, "harsh")

    assert true.mean() < said.mean()
    assert _off(said, true) > 3


@pytest.mark.long
def test_said_is_seen_over_10000_jobs():
    said, true, chance, enough, *_ = lives.run(10_000, number=22)

    assert _off(said, true) <= 3
    assert abs(enough.sum() - chance.sum()) / np.sqrt((chance * (1 - chance)).sum()) <= 3
