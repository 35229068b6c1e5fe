"""The published rows of this package."""

import pytest

from ringwright import tables
from ringwright.reckon import proofs

NAMES = tuple(n for n in tables.case_names() if n.startswith(("strength.", "survey.", "repair.")))


def test_there_are_rows():
    assert sum(len(tables.published(n)) for n in NAMES) >= 20


@pytest.mark.parametrize("proof", tuple(proofs.prove(NAMES)), ids=lambda p: f"{p.case.check} {p.case.printed}")
def test_agrees_with_print(proof):
    assert proof.as_expected, f"{proof.case.check}: printed {proof.case.printed}, got {proof.got}"
