"""A round of 127 teeth, each event durable before the next; beside bare commits of the same texts to SQLite."""

from __future__ import annotations

import runpy
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.plain.sqlite_commit import commit_each
from ringwright.job.document import JobDocument
from ringwright.job.fold import fold
from ringwright.job.sheet import canonical
from ringwright.store import health, open_store

TEETH, TIMES = 127, 5
rounds = runpy.run_path(str(Path(__file__).resolve().parents[1] / "tests" / "job" / "rounds.py"))


def the_round():
    """The sheet and its events."""
    sheet = rounds["sheet_of"](tuple(range(1, TEETH + 1)), on_ring=TEETH, every=10)
    return sheet, [rounds["event_of"](sheet, n, "done", n, seen_seq=n - 1) for n in range(1, TEETH + 1)]


def ours(sheet, events):
    """Seconds for all appends, one event per call, and for the fold of the whole log."""
    with tempfile.TemporaryDirectory() as folder, open_store(folder) as store:
        store.new_job(JobDocument(job_id="job", number="1", title="Ring"))
        store.start_round(sheet)
        with store.engine.connect() as connection:
            assert health.durability(connection) == health.DURABLE["sqlite"]
        start = time.perf_counter()
        for event in events:
            store.append([event])
        appended = time.perf_counter() - start
        log = store.events("job", "r1")
        assert [one.event for one in log] == events
        start = time.perf_counter()
        fold(sheet, log)
        return appended, time.perf_counter() - start


def bare(events):
    """Seconds for the bare commits."""
    texts = [canonical(event.model_dump(mode="json")) for event in events]
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        assert commit_each(Path(folder) / "bare.sqlite3", texts) == len(events)
        return time.perf_counter() - start


def main() -> int:
    """Print one line per thing measured; runs alternate so that both meet the same disk."""
    sheet, events = the_round()
    pairs = [(ours(sheet, events), bare(events)) for _ in range(TIMES)]
    appended = statistics.median(one[0][0] for one in pairs)
    folded = statistics.median(one[0][1] for one in pairs)
    plain = statistics.median(one[1] for one in pairs)
    print(f"{TEETH} durable events one by one: {1e3 * appended / TEETH:.2f} ms each, bare {1e3 * plain / TEETH:.2f} ms")
    print(f"fold of a log of {TEETH} events: {1e3 * folded:.1f} ms")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
