"""Command start, a page, and an event over HTTP, each with what it stands beside."""

from __future__ import annotations

import http.client
import itertools
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

RINGWRIGHT = str(Path(sys.executable).with_name("ringwright"))


def seconds(act: Callable[[], object], times: int) -> list[float]:
    """How long each of ``times`` runs took, sorted."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        took.append(time.perf_counter() - start)
    return sorted(took)


def papers(store: Any, job_id: str) -> None:
    """Each paper of the demo's round as PDF, its sums reckoned before."""
    from ringwright.job.fold import fold
    from ringwright.paper.bundle import NAMES, paper_of

    job, _version = store.job(job_id)
    sheet = store.rounds(job_id)[-1]
    state = fold(sheet, store.events(job_id, sheet.round_id))
    for name in NAMES:
        took = seconds(lambda: paper_of(name, job, sheet, "2026-11-25", state=state), 7)  # noqa: B023
        print(f"paper {name}: {1e3 * statistics.median(took):.0f} ms median, {1e3 * took[-1]:.0f} ms worst of 7")


def over_http() -> None:
    """One event per request to ``ringwright serve``, beside a request that only says that the server lives."""
    with tempfile.TemporaryDirectory() as folder:
        command = [RINGWRIGHT, "serve", "--demo", "--no-browser", "--port", "18433", "--data", folder]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            server.stdout.readline()  # said when it listens
            link = http.client.HTTPConnection("127.0.0.1", 18433)
            digest = _ask(link, "GET", "/jobs/screen-drum-drive-ring/rounds/lead-in/log?after=0")[0]["event"][
                "sheet_digest"
            ]
            numbers = itertools.count(1)

            def send() -> None:
                n = next(numbers)
                event = {"v": 1, "event_id": f"bench-event-{n:06d}", "job_id": "screen-drum-drive-ring"}
                event |= {"round_id": "lead-in", "sheet_digest": digest, "station": "bench", "station_seq": n}
                _ask(link, "POST", "/jobs/screen-drum-drive-ring/rounds/lead-in/events", [{**event, "kind": "note"}])

            took = seconds(send, 300)
            alive = seconds(lambda: _ask(link, "GET", "/health"), 300)
            p50, p99 = 1e3 * took[150], 1e3 * took[297]
            print(f"event over HTTP: p50 {p50:.1f} ms, p99 {p99:.1f} ms of 300; /health p50 {1e3 * alive[150]:.1f} ms")
        finally:
            server.terminate()
            server.wait(20)


def _ask(link: http.client.HTTPConnection, method: str, path: str, body: object = None) -> Any:
    sent = None if body is None else json.dumps(body)
    link.request(method, path, sent, {"Content-Type": "application/json", "Accept": "application/json"})
    reply = link.getresponse()
    text = reply.read()
    assert reply.status == 200, text
    return json.loads(text)


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
        papers(store, job)
        store.close()
    over_http()
    print(f"{os.cpu_count()} cores")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
