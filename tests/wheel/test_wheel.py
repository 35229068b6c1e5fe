"""The built wheel in a bare environment without Node.js: verify, the demo, a page, and the contract on three faces."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from ringwright.reckon import contract

pytestmark = pytest.mark.wheel
ROOT = Path(__file__).resolve().parents[2]
UV = ROOT / ".tools" / "bin" / "uv"


@pytest.fixture(scope="session")
def wheel(tmp_path_factory):
    out = tmp_path_factory.mktemp("dist")
    subprocess.run(
        [UV, "build", "-q", "--wheel", "--no-build-isolation", "--python", sys.executable, "-o", out],
        cwd=ROOT,
        check=True,
    )
    return next(out.glob("*.whl"))


@pytest.fixture(scope="session")
def bare(wheel, tmp_path_factory):
    """An environment with nothing but the wheel and what it declares, and a PATH without Node.js."""
    home = tmp_path_factory.mktemp("bare")
    venv = home / "venv"
    subprocess.run([UV, "venv", "-q", "--python", sys.executable, venv], check=True)
    python = venv / "bin" / "python"
    locked = ROOT / "requirements" / "dev.txt"
    subprocess.run([UV, "pip", "install", "-q", "--python", python, "--constraint", locked, wheel], check=True)
    env = {"HOME": str(home), "PATH": str(venv / "bin"), "LANG": "C.UTF-8"}
    assert shutil.which("node", path=env["PATH"]) is None
    return venv / "bin" / "ringwright", env


def _run(bare, *words, stdin=None):
    command, env = bare
    return subprocess.run([command, *words], env=env, input=stdin, capture_output=True, text=True, check=False)


def test_carries_client_fonts_and_contract(wheel):
    names = zipfile.ZipFile(wheel).namelist()

    assert any(n.startswith("ringwright/web/static/built/") and n.endswith(".js") for n in names)
    assert any(n.startswith("ringwright/paper/fonts/") and n.endswith(".ttf") for n in names)
    assert any(n.startswith("ringwright/contract_cases/") for n in names)
    assert not any("node_modules" in n for n in names)


def test_verify_finds_all_as_expected(bare):
    done = _run(bare, "verify")

    assert done.returncode == 0, done.stdout + done.stderr
    assert ", 0 not as expected." in done.stdout


def test_demo_writes_its_papers_and_data(bare, tmp_path):
    done = _run(bare, "demo", str(tmp_path / "demo"))

    assert done.returncode == 0, done.stdout + done.stderr
    papers = sorted(p.name for p in (tmp_path / "demo").glob("*.pdf"))
    assert papers == ["division-table.pdf", "hand-over.pdf", "set-up-sheet.pdf", "tooth-sheet.pdf"]
    assert zipfile.ZipFile(next((tmp_path / "demo").glob("*.zip"))).testzip() is None


def test_contract_on_the_command_line(bare):
    def asked(case):
        done = _run(bare, "reckon", case.operation, "-", stdin=json.dumps(case.request))
        status = {0: 200, 2: case.status if case.status != 200 else 422}[done.returncode]
        return case.operation, case.name, contract.differences(case, status, json.loads(done.stdout))

    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(asked, contract.cases()))

    assert [row for row in found if row[2]] == []


_DRIVE = """
from ringwright import reckon
from ringwright.reckon import contract
from ringwright.reckon.base import Problems
n = 0
for case in contract.cases():
    try:
        status, body = 200, getattr(reckon, case.operation)(case.request).model_dump(mode="json")
    except Problems as problems:
        status, body = 422, problems.as_record()
    found = contract.differences(case, status, body)
    assert not found, (case.operation, case.name, found)
    n += 1
print(n, reckon.__file__)
"""


def test_contract_in_python_on_the_cases_that_ship(bare):
    command, env = bare
    python = command.with_name("python")
    done = subprocess.run([python, "-c", _DRIVE], env=env, cwd=env["HOME"], capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stderr
    count, where = done.stdout.split()
    assert int(count) == len(list(contract.cases()))
    assert where.startswith(str(command.parents[1]))


def test_contract_over_http_and_a_page(bare, tmp_path):
    command, env = bare
    port = 18427
    server = subprocess.Popen(
        [command, "serve", "--demo", "--no-browser", "--port", str(port), "--data", str(tmp_path / "data")],
        env=env,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        _wait(port)
        for case in contract.cases():
            status, body = _post(port, case)
            assert contract.differences(case, status, body) == [], f"{case.operation}: {case.name}"
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/") as page:
            assert "<svg" in page.read().decode()
    finally:
        server.terminate()
        server.wait(20)


def _post(port, case):
    body = json.dumps(case.request).encode()
    asked = urllib.request.Request(
        f"http://127.0.0.1:{port}/reckon/{case.operation}", data=body, headers={"Content-Type": "application/json"}
    )
    try:
        with urllib.request.urlopen(asked) as reply:
            return reply.status, json.load(reply)
    except urllib.error.HTTPError as fault:
        return fault.code, json.load(fault)


def _wait(port):
    until = time.monotonic() + 60
    while True:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/health", timeout=2) as reply:
                assert json.load(reply)["status"] == "ok"
                return
        except OSError:
            if time.monotonic() > until:
                raise
            os.sched_yield()
