"""Fixture ``rounds``: the helpers of ``rounds.py``."""

from __future__ import annotations

import runpy
from pathlib import Path
from types import SimpleNamespace

import pytest


@pytest.fixture(scope="session")
def rounds():
    return SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("rounds.py"))))
