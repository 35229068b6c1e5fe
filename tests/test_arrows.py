"""The two import contracts hold, and each is seen red when it is broken."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize(
    ("where", "line", "broken"),
    [
        ("gears/__init__.py", "from ringwright.web import app as planted\n", "arrows run one way"),
        ("identify/__init__.py", "import ringwright.dividing as planted\n", "arrows run one way"),
        ("gears/__init__.py", "import pydantic as planted\n", "the core is pure"),
        ("nowhere.py", '"""A module outside the house."""\n', "arrows run one way"),
        ("", "", ""),
    ],
)
def test_a_planted_violation_is_caught(tmp_path, where, line, broken):
    shutil.copytree(
        ROOT / "src" / "ringwright",
        tmp_path / "ringwright",
        ignore=shutil.ignore_patterns("static", "__pycache__", "fonts"),
    )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    if where:
        planted = tmp_path / "ringwright" / where
        planted.write_text((planted.read_text(encoding="utf-8") if planted.exists() else "") + line, encoding="utf-8")

    code = (
        f"import sys; sys.path.insert(0, {str(tmp_path)!r}); "
        "from importlinter.cli import lint_imports_command; lint_imports_command()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "--no-cache", "--no-logo"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )

    if where:
        assert done.returncode != 0
        assert f"{broken} BROKEN" in done.stdout
    else:
        assert done.returncode == 0, done.stdout
