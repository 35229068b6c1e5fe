"""Round sheets: one digest on every machine, another one for any other plan."""

from __future__ import annotations

import json

import pytest
from pydantic import ValidationError

from ringwright.job.sheet import Closing, Position, Provenance, RoundSheet, Row, WitnessRule


def sheet_of(teeth=(1, 2, 3), **other):
    rows = tuple(Row(tooth=t, move_words="on", position=Position(spindle_deg=(t - 1) * 2.5)) for t in teeth)
    given = {
        "job_id": "a",
        "round_id": "r1",
        "provenance": Provenance(made_by="test", contract=1, tables_digest="0"),
        "title": "Lead-in",
        "teeth_on_ring": 144,
        "rows": rows,
        "witness": WitnessRule(kind="spindle_deg", every=10, within_deg=0.6),
        "closing": Closing(divisions=144, spindle_deg=0),
    }
    return RoundSheet(**{**given, **other})


def test_the_digest_survives_json_and_back():
    sheet = sheet_of(least_seconds=8)

    again = RoundSheet.model_validate_json(sheet.model_dump_json())

    assert again.digest == sheet.digest
    assert RoundSheet.model_validate_json(sheet.canonical()).digest == sheet.digest


def test_the_digest_does_not_hang_on_the_order_of_keys():
    sheet = sheet_of()
    backwards = dict(reversed(json.loads(sheet.model_dump_json()).items()))

    assert RoundSheet.model_validate_json(json.dumps(backwards)).digest == sheet.digest


@pytest.mark.parametrize("change", [{"revision": 2}, {"least_seconds": 9}, {"teeth": (1, 3, 2)}, {"notes": ("x",)}])
def test_any_other_plan_has_another_digest(change):
    assert sheet_of(**change).digest != sheet_of().digest


def test_a_tooth_stands_once_and_on_the_ring():
    with pytest.raises(ValidationError, match="tooth_twice"):
        sheet_of((1, 2, 1))
    with pytest.raises(ValidationError, match="tooth_not_on_ring"):
        sheet_of((1, 2), teeth_on_ring=1)


def test_a_tooth_that_the_round_leaves_out_has_no_row():
    with pytest.raises(KeyError):
        sheet_of().row(4)
    assert sheet_of().row(2).position.spindle_deg == 2.5
