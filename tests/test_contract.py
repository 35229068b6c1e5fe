"""The contract's cases through the Python face, raw JSON and HTTP; the installed wheel runs them again."""

from __future__ import annotations

import json

import pytest
from starlette.testclient import TestClient

from ringwright import reckon
from ringwright.reckon import contract, faces
from ringwright.reckon.base import Problems

CASES = list(contract.cases())


def _called(case):
    return f"{case.operation}-{case.name}"


def test_every_operation_has_cases_good_and_bad():
    good = {c.operation for c in CASES if c.problems is None}
    bad = {c.operation for c in CASES if c.problems is not None}

    assert good == set(reckon.names())
    assert bad == set(reckon.names())


@pytest.mark.parametrize("case", CASES, ids=_called)
def test_python_face(case):
    try:
        status, body = 200, getattr(reckon, case.operation)(case.request).model_dump(mode="json")
    except Problems as problems:
        status, body = 422, problems.as_record()

    assert contract.differences(case, status, body) == []


@pytest.mark.parametrize("case", CASES, ids=_called)
def test_raw_json_face(case):
    status, body = faces.answer(case.operation, json.dumps(case.request).encode())

    assert contract.differences(case, status, body) == []


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    from ringwright.store import open_store
    from ringwright.web.app import create_app

    store = open_store(tmp_path_factory.mktemp("data"))
    with TestClient(create_app(store), base_url="http://127.0.0.1:8427") as client:
        yield client
    store.close()


@pytest.mark.parametrize("case", CASES, ids=_called)
def test_http_face(case, client):
    reply = client.post(f"/reckon/{case.operation}", json=case.request)

    assert contract.differences(case, reply.status_code, reply.json()) == []


def test_a_difference_is_seen():
    case = next(c for c in CASES if c.problems is None)
    status, body = faces.answer(case.operation, json.dumps(case.request).encode())
    key = next(iter(case.answer))

    assert contract.differences(case, status, {**body, key: "other"})
    assert contract.differences(case, 422, body)
