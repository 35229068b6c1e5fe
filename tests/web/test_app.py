"""The operations over HTTP: every status carries the contract's body; other sites cannot drive the program."""

import json

import pytest
from fastapi.testclient import TestClient

from ringwright import reckon
from ringwright.web.app import create_app


@pytest.fixture
def client():
    return TestClient(create_app(None), base_url="http://localhost:8000")


def codes(response):
    assert set(response.json()) == {"problems"}
    for problem in response.json()["problems"]:
        assert set(problem) == {"code", "where", "what", "allowed", "do"}
    return [p["code"] for p in response.json()["problems"]]


def test_health_answers_when_ready(client):
    got = client.get("/health")
    assert got.status_code == 200
    assert got.json()["status"] == "ok"
    assert got.json()["contract"] == 1


def test_unknown_operation_is_404_and_names_the_known_ones(client):
    got = client.post("/reckon/nothing", json={})
    assert got.status_code == 404
    assert codes(got) == ["unknown_operation"]
    assert "divide" in got.json()["problems"][0]["allowed"]


def test_a_deeper_path_is_404_with_the_same_body(client):
    got = client.post("/reckon/divide/more", json={})
    assert got.status_code == 404
    assert codes(got) == ["unknown_operation"]


@pytest.mark.parametrize("method", ["get", "put", "delete"])
def test_only_post_is_answered(client, method):
    got = client.request(method, "/reckon/divide")
    assert got.status_code == 405
    assert got.headers["allow"] == "POST"
    assert codes(got) == ["wrong_method"]


@pytest.mark.parametrize("raw", [b"", b"{", b"[]", b'{"divisions": NaN}', b"\xff\xfe"])
def test_what_is_no_json_object_is_400(client, raw):
    got = client.post("/reckon/divide", content=raw)
    assert got.status_code == 400
    assert codes(got) == ["not_json"]


def test_too_large_is_refused_by_its_announced_length(client):
    got = client.post("/reckon/divide", content=b" " * (1_048_576 + 1))
    assert got.status_code == 413
    assert codes(got) == ["too_large"]


def test_too_large_is_refused_while_it_arrives_in_pieces(client):
    taken = 0

    def pieces():
        nonlocal taken
        for _ in range(64):
            taken += 1
            yield b" " * 65_536

    got = client.post("/reckon/divide", content=pieces())
    assert got.status_code == 413
    assert codes(got) == ["too_large"]


def test_just_within_the_limit_is_read(client):
    got = client.post("/reckon/divide", content=b"{" + b" " * (1_048_576 - 2) + b"]")
    assert got.status_code == 400


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "192.168.0.9:8000", ""])
def test_another_host_name_is_not_answered(client, host):
    got = client.get("/health", headers={"Host": host})
    assert got.status_code == 421
    assert codes(got) == ["other_host"]


def test_a_host_name_that_was_given_is_answered():
    client = TestClient(create_app(None, hosts=("shop-pc.local",)), base_url="http://shop-pc.local:8000")
    assert client.get("/health").status_code == 200


@pytest.mark.parametrize("origin", ["http://evil.example", "http://localhost:9", "null", "http://localhost:8000.evil"])
def test_a_page_of_another_site_cannot_act(client, origin):
    got = client.post("/reckon/divide", json={}, headers={"Origin": origin})
    assert got.status_code == 403
    assert codes(got) == ["other_origin"]


def test_a_cross_site_post_without_origin_cannot_act(client):
    got = client.post("/reckon/divide", json={}, headers={"Sec-Fetch-Site": "cross-site"})
    assert got.status_code == 403


def test_a_browser_has_to_announce_json(client):
    got = client.post(
        "/reckon/nothing", content="{}", headers={"Origin": "http://localhost:8000", "Content-Type": "text/plain"}
    )
    assert got.status_code == 400
    assert codes(got) == ["wrong_content_type"]


def test_our_own_page_can_ask(client):
    got = client.post("/reckon/nothing", json={}, headers={"Origin": "http://localhost:8000"})
    assert got.status_code == 404


def test_nothing_from_outside_may_be_loaded(client):
    policy = client.get("/health").headers["content-security-policy"]
    assert policy.startswith("default-src 'self'")
    assert "://" not in policy


def test_documentation_pages_that_load_foreign_scripts_are_off(client):
    assert client.get("/docs").status_code == 404
    assert client.get("/redoc").status_code == 404


def test_every_operation_is_reachable_under_its_name(client):
    for name in reckon.names():
        try:
            reckon.operation(name)
        except ModuleNotFoundError:
            continue
        got = client.post(f"/reckon/{name}", content=json.dumps({"no_such_field": 1}))
        assert got.status_code == 422
        assert "unknown_field" in codes(got)
