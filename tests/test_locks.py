"""The locks name what is needed and no address it comes from, and no file knows somebody's machine."""

from __future__ import annotations

import json
import re
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
CLIENT = ROOT / "web" / "client"
LOCKS = [*sorted((ROOT / "requirements").glob("*.txt")), CLIENT / "package-lock.json", CLIENT / ".npmrc"]
PINNED = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^\]]*\])?==([^\s;\\]+)", re.MULTILINE)


def _name(requirement):
    """Package name of a requirement, as indexes compare it."""
    return re.sub(r"[-_.]+", "-", re.match(r"[A-Za-z0-9._-]+", requirement)[0]).lower()


def _wanted():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return [
        *project["project"]["dependencies"],
        *(one for group in project["project"]["optional-dependencies"].values() for one in group),
        *project["dependency-groups"]["dev"],
        *project["build-system"]["requires"],
    ]


def _pinned():
    text = (ROOT / "requirements" / "dev.txt").read_text(encoding="utf-8")
    return {_name(name): version for name, version in PINNED.findall(text)}


def _addresses(text):
    return [
        line for line in text.splitlines() if "://" in line or re.search(r'"resolved"|--(?:extra-)?index-url', line)
    ]


@pytest.mark.parametrize("path", LOCKS, ids=lambda p: p.name)
def test_a_lock_holds_no_address(path):
    assert _addresses(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("line", ['"resolved": "x.tgz"', "a @ ftp://x/a.whl", "--index-url x", "registry=ftp://x"])
def test_an_address_is_seen(line):
    assert _addresses(f"a==1\n{line}\n") == [line]


@pytest.mark.parametrize("requirement", _wanted())
def test_each_dependency_is_pinned(requirement):
    pinned = _pinned()

    assert _name(requirement) in pinned
    exact = re.search(r"==([^\s;,]+)$", requirement)
    if exact:
        assert pinned[_name(requirement)] == exact[1]


def test_each_pin_carries_a_hash():
    text = (ROOT / "requirements" / "dev.txt").read_text(encoding="utf-8")
    blocks = re.split(r"(?m)^(?=[A-Za-z0-9])", text)[1:]

    assert len(blocks) == len(PINNED.findall(text))
    assert [block.splitlines()[0] for block in blocks if "--hash=sha256:" not in block] == []


def test_the_client_lock_covers_the_client():
    wanted = json.loads((CLIENT / "package.json").read_text(encoding="utf-8"))
    lock = json.loads((CLIENT / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    named = {**wanted.get("dependencies", {}), **wanted.get("devDependencies", {})}

    assert named
    for name, version in named.items():
        assert lock[f"node_modules/{name}"]["version"] == version
    unsealed = [at for at, row in lock.items() if at and not row.get("link") and "integrity" not in row]
    assert unsealed == []


# Spelled in pieces, so that this file does not find itself.
HOMES = re.compile(
    r"(?<![\w.:/-])/(?:ho" + r"me|Us" + r"ers|ro" + r"ot|wo" + r"rk|tm" + r"p/bash)/\w|[A-Z]:\\+Us" + r"ers\\"
)


def _tracked():
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        pytest.skip("not a working copy")
    return [ROOT / name for name in done.stdout.split("\0") if name]


def test_no_file_names_a_folder_of_one_machine():
    found = []
    for path in _tracked():
        if not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        found += [f"{path.relative_to(ROOT)}: {line.strip()[:100]}" for line in text.splitlines() if HOMES.search(line)]

    assert found == []


@pytest.mark.parametrize(
    "line", ["cd /ho" + "me/ann/rings", 'open("/ro' + 'ot/x")', "C:\\Us" + "ers\\Ann", "= /wo" + "rk/x"]
)
def test_a_folder_of_one_machine_is_seen(line):
    assert HOMES.search(line)


def test_nothing_third_party_or_built_is_tracked():
    parts = {"node_modules", ".venv", "dist", "built", "__pycache__"}

    assert [str(path.relative_to(ROOT)) for path in _tracked() if parts & set(path.relative_to(ROOT).parts)] == []
