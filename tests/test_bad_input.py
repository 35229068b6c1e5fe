"""Whatever is sent, the answer is an answer or the contract's problems, never a traceback."""

from __future__ import annotations

import copy
import json
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.reckon import contract, faces
from ringwright.reckon.base import within

REQUESTS = {}
for _case in contract.cases():
    if _case.problems is None:
        REQUESTS.setdefault(_case.operation, []).append(_case.request)

NASTY = [
    None, True, 0, -1, 3, 100_000, 1e300, -1e300, 1e-300, 0.5, "", "12", "12 mm", "1,250 mm", "1/0 in", "x" * 5000,
    "NaN", [], {}, [[]], {"a": {}}, [1e300] * 3, "‮", "1-1/4 in", "-5 mm", 2**70,
]  # fmt: skip


def _paths(value, here=()):
    yield here
    if isinstance(value, dict):
        for key in value:
            yield from _paths(value[key], (*here, key))
    elif isinstance(value, list):
        for n in range(len(value)):
            yield from _paths(value[n], (*here, n))


def _replaced(request, path, value):
    changed = copy.deepcopy(request)
    if not path:
        return value
    here = changed
    for step in path[:-1]:
        here = here[step]
    here[path[-1]] = value
    return changed


def _keeps_to_the_contract(name, sent, raw):
    status, body = faces.answer(name, raw)
    assert status in (200, 400, 404, 413, 422)
    if status == 200:
        assert body["contract"] == 1
        json.dumps(body, allow_nan=False)
        return
    assert body["problems"]
    for problem in body["problems"]:
        assert set(problem) == {"code", "where", "what", "allowed", "do"}
        assert re.fullmatch(r"[a-z][a-z0-9_]*", problem["code"])
        steps = [int(s) if s.isdigit() else s for s in re.findall(r"[^.\[\]]+", problem["where"])]
        if status == 422 and all(isinstance(s, int) or "." not in s for s in steps):
            assert within(sent, steps)[2], f"{problem['where']} is not in the request"
        assert problem["what"]
        assert problem["do"]
        assert "radian" not in json.dumps(problem)


@pytest.mark.parametrize("name", reckon.names())
@settings(derandomize=True, deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_one_nasty_value_anywhere(name, data):
    request = data.draw(st.sampled_from(REQUESTS[name]))
    path = data.draw(st.sampled_from(list(_paths(request))))
    sent = _replaced(request, path, data.draw(st.sampled_from(NASTY)))

    _keeps_to_the_contract(name, sent, json.dumps(sent).encode())


@pytest.mark.parametrize("name", reckon.names())
def test_an_unknown_field_is_a_problem(name):
    sent = {**REQUESTS[name][0], "colour": "blue"}
    status, body = faces.answer(name, json.dumps(sent).encode())

    assert status == 422
    assert ("unknown_field", "colour") in [(p["code"], p["where"]) for p in body["problems"]]


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"{",
        b"[]",
        b"3",
        b'{"a": NaN}',
        b'{"a": Infinity}',
        b"\xff\xfe",
        b"[" * 9000,
        b'{"a":' * 300 + b"1" + b"}" * 300,
    ],
)
def test_broken_json_is_400(raw):
    assert faces.answer("gear", raw)[0] == 400


def test_too_large_is_413():
    assert faces.answer("gear", b" " * (faces.MOST_BYTES + 1))[0] == 413


def test_unknown_operation_is_404():
    status, body = faces.answer("hobble", b"{}")

    assert status == 404
    assert body["problems"][0]["code"] == "unknown_operation"
