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


# Where an argument may drop out of its formula unseen: what the code takes when it is not given. All others: 0.
NEUTRAL = {
    "alpha_deg": 20.0,
    "alpha_n_deg": 20.0,
    "beta_deg": 0.0,
    "x": 0.0,
    "h_a_mm": 1.0,
    "E_mpa": 206_000.0,
    "alpha_per_k": 11.5e-6,
    "density_kg_m3": 7850.0,
    "v_half_m_s": 3.0,
    "contingency": 0.15,
    "margin": 0.2,
    "faces": 1.0,
}
SHIFTS = (0.001, 0.01, 0.05, 0.2, 0.5)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _counts(case: tables.Case, column: str) -> bool:
    """Whether the row has this argument away from the value at which it could be left out."""
    text = case.inputs[column]
    return text != "" and not case.wrong_in_print and _number(text) != NEUTRAL.get(column, 0.0)


def _shifted(text: str) -> list[str]:
    """The same number a little off, both ways, the smallest step first; whole numbers stay whole."""
    value = _number(text)
    if value is None:
        return []
    if text.lstrip("-").isdigit():
        steps = sorted({1, 2, *(max(1, round(abs(value) * share)) for share in SHIFTS)})
        return [str(int(value) + sign * step) for step in steps for sign in (1, -1)]
    return [repr(value * (1 + sign * share)) for share in SHIFTS for sign in (1, -1)]


def _others(case: tables.Case, column: str) -> list[str]:
    """What else may stand in the cell: a number near by, or for a text what other rows have."""
    if _number(case.inputs[column]) is not None:
        return _shifted(case.inputs[column])
    there = {c.inputs[column] for c in tables.published(case.check)} - {"", case.inputs[column]}
    return sorted(text for text in there if _number(text) is None)


def _sees_red(case: tables.Case, column: str) -> bool:
    """Whether another value there gives another result; one that is refused gives none and shows nothing."""
    for text in _others(case, column):
        other = dataclasses.replace(case, inputs={**case.inputs, column: text})
        try:
            got = reckon_case(other)
        except (Refusal, ValueError, KeyError, ZeroDivisionError):
            continue
        if not case.agrees(got):
            return True
    return False


@pytest.mark.parametrize(
    ("name", "column"),
    [
        (name, column)
        for name in tables.case_names()
        for column in tables.published(name)[0].inputs
        if any(_others(c, column) for c in tables.published(name))
    ],
)
def test_each_argument_counts(name, column):
    rows = [case for case in tables.published(name) if _counts(case, column)]

    assert rows, "no row has this argument away from its neutral value"
    assert any(_sees_red(case, column) for case in rows), "another value there changes no result"


def test_a_refusal_is_not_red(monkeypatch):
    def refuse(case):
        raise Refusal("out_of_range", "z")

    monkeypatch.setattr(f"{__name__}.reckon_case", refuse)

    assert not any(_sees_red(case, column) for case in CASES[:40] for column in case.inputs)


def test_an_argument_that_is_left_out_is_not_red(monkeypatch):
    monkeypatch.setattr(f"{__name__}.reckon_case", lambda case: float(case.printed))

    numbers = [case for case in CASES if case.allowed is not None]
    assert not any(_sees_red(case, column) for case in numbers[:40] for column in case.inputs)


def test_prove_reports_all_as_expected():
    assert all(proof.as_expected for proof in prove())
