"""Command start, a page, and an event over HTTP, each with what it stands beside."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

RINGWRIGHT = str(Path(sys.executable).with_name("ringwright"))


def seconds(act: Callable[[], object], times: int) -> list[float]:
    """How long each of ``times`` runs took, sorted."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        took.append(time.perf_counter() - start)
    return sorted(took)


def main() -> int:
    """Print the lines."""
    start = statistics.median(
        seconds(lambda: subprocess.run([RINGWRIGHT, "--help"], capture_output=True, check=True), 9)
    )
    bare = statistics.median(seconds(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True), 9))
    print(f"ringwright --help: {1e3 * start:.0f} ms; python -c pass: {1e3 * bare:.0f} ms")

    from starlette.testclient import TestClient

    from ringwright.store import open_store
    from ringwright.web.app import create_app
    from ringwright.web.serving import put_demo

    with tempfile.TemporaryDirectory() as folder:
        store = open_store(folder)
        put_demo(store)
        job = store.jobs()[0].job_id
        with TestClient(create_app(store), base_url="http://127.0.0.1:8427") as client:
            for stage in ("find-out", "map", "decide", "set-out", "cut", "prove"):
                url = f"/jobs/{job}/{stage}"
                if client.get(url).status_code != 200:
                    continue
                took = seconds(lambda: client.get(url), 15)  # noqa: B023
                print(
                    f"page {stage}: {1e3 * statistics.median(took):.1f} ms median, {1e3 * took[-1]:.1f} ms worst of 15"
                )
        store.close()
    print(f"{os.cpu_count()} cores")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
