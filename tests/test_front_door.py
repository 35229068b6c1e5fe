"""The program's front door."""

from __future__ import annotations

import subprocess
import sys


def test_a_reader_that_has_had_enough_is_no_fault():
    verify = [sys.executable, "-u", "-m", "ringwright", "verify", "--all"]
    with subprocess.Popen(verify, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        assert running.stdout.readline()
        running.stdout.close()
        assert running.stderr is not None
        said = running.stderr.read()

    assert running.returncode == 0
    assert said == ""
