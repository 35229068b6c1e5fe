"""Every published value that ships, and proof that each check can fail."""

from __future__ import annotations

import dataclasses

import pytest

from ringwright import tables
from ringwright.errors import Refusal
from ringwright.reckon.proofs import prove, reckon_case

CASES = [case for name in tables.case_names() for case in tables.published(name)]


def _called(case: tables.Case) -> str:
    return f"{case.check}-{'-'.join(case.inputs.values())}-{case.printed}"


def test_at_least_sixty_published_values_ship():
    assert len(CASES) >= 60


@pytest.mark.parametrize("case", CASES, ids=_called)
def test_agrees_with_print(case):
    got = reckon_case(case)

    if case.wrong_in_print:
        assert not case.agrees(got), f"print is right after all: {case.wrong_in_print}"
    else:
        assert case.agrees(got), f"print {case.printed}, here {got}"


@pytest.mark.parametrize("case", [c for c in CASES if c.allowed is not None], ids=_called)
def test_a_shifted_result_is_seen(case):
    got = float(case.printed)

    assert case.allowed is not None
    assert not case.agrees(got + 1.01 * case.allowed)
    assert not case.agrees(got - 1.01 * case.allowed)


def _shifted(text: str) -> list[str]:
    """The same number a little off, both ways; nothing for a text or an empty cell."""
    try:
        value = float(text)
    except ValueError:
        return []
    if value == int(value) and "." not in text:
        return [str(int(value) + 1), str(int(value) - 1), str(int(value) * 2 + 3)]
    return [repr(value * 1.02 + 0.001), repr(value * 0.98 - 0.001), repr(value * 1.2 + 0.01)]


def _sees_red(case: tables.Case, column: str) -> bool:
    for text in _shifted(case.inputs[column]):
        other = dataclasses.replace(case, inputs={**case.inputs, column: text})
        try:
            if not case.agrees(reckon_case(other)):
                return True
        except (Refusal, ValueError, KeyError, ZeroDivisionError):
            return True
    return False


@pytest.mark.parametrize(
    ("name", "column"),
    [
        (name, column)
        for name in tables.case_names()
        for column in tables.published(name)[0].inputs
        if any(_shifted(c.inputs[column]) for c in tables.published(name))
    ],
)
def test_each_argument_counts(name, column):
    rows = [c for c in tables.published(name) if not c.wrong_in_print and c.inputs[column] not in ("", "0", "0.0")]

    assert any(_sees_red(case, column) for case in rows), "no row has this argument away from its neutral value"


def test_prove_reports_all_as_expected():
    assert all(proof.as_expected for proof in prove())
