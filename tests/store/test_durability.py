"""An event is acknowledged only when it is on disk: tested where it can fail."""

from __future__ import annotations

import os
import re
import runpy
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import text

from ringwright.store import health, open_store

HERE = Path(__file__).parent


def test_every_pooled_connection_writes_ahead_and_syncs(tmp_path):
    with open_store(tmp_path) as store:
        held = [store.engine.connect() for _ in range(8)]  # more than the pool keeps: overflow connections too
        found = [health.durability(connection) for connection in held]
        for connection in held:
            connection.close()
    assert found == [{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1"}] * 8


# -- a sync of the log between receipt and reply --------------------------------------------------------------------


def synced(trace, place):
    """Whether the trace shows a sync of the write-ahead log, after its last write, between RECEIVED and REPLIED."""
    received, replied, wrote, sync = None, None, None, None
    for i, line in enumerate(trace.splitlines()):
        if '"RECEIVED' in line:
            received = i
        elif '"REPLIED' in line:
            replied = i
        elif received is not None and replied is None and f"<{place}/" in line and "-wal>" in line:
            if re.search(r"\bpwrite64\(|\bwrite\(", line):
                wrote = i
            elif re.search(r"\b(fsync|fdatasync)\(.*= 0$", line):
                sync = i
    assert None not in (received, replied, wrote), "the trace does not show what it should"
    return sync is not None and wrote < sync


@pytest.fixture
def traced(begun, tmp_path):
    if shutil.which("strace") is None:
        if os.environ.get("CI") == "true":
            pytest.fail("strace is not installed")
        pytest.skip("strace is not installed")

    def run(synchronous):
        store, sheet = begun
        (tmp_path / "sheet.json").write_text(sheet.canonical(), "utf-8")
        out = tmp_path / f"trace-{synchronous}"
        calls = "trace=write,pwrite64,fsync,fdatasync"
        given = [str(store.folder), str(tmp_path / "sheet.json"), synchronous]
        subprocess.run(
            [
                "strace",
                "-f",
                "--seccomp-bpf",
                "-y",
                "-e",
                calls,
                "-o",
                out,
                sys.executable,
                HERE / "one_event.py",
                *given,
            ],
            check=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        return synced(out.read_text("utf-8", "replace"), store.folder)

    return run


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_the_log_is_synced_between_receipt_and_reply(traced):
    assert traced("as_shipped")


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
@pytest.mark.parametrize("synchronous", ["OFF", "NORMAL"])
def test_the_trace_sees_it_when_the_sync_is_turned_off(traced, synchronous):
    assert not traced(synchronous)


# -- PostgreSQL -----------------------------------------------------------------------------------------------------


@pytest.mark.postgres
def test_postgresql_syncs_and_the_check_says_so(durable_postgres):
    with open_store(durable_postgres.new_database()) as store:
        held = [store.engine.connect() for _ in range(8)]
        found = [health.durability(connection) for connection in held]
        for connection in held:
            connection.close()
        assert found == [{"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"}] * 8
        assert {f.code for f in store.check() if not f.ok} == set()


@pytest.mark.postgres
def test_a_connection_syncs_even_where_the_database_says_otherwise(durable_postgres):
    address = durable_postgres.new_database()
    with open_store(address) as store, store.engine.connect() as connection:
        name = connection.execute(text("SELECT current_database()")).scalar()
        connection.execute(text(f"ALTER DATABASE {name} SET synchronous_commit = off"))
        connection.commit()
    with open_store(address) as store, store.engine.connect() as connection:
        assert health.durability(connection)["synchronous_commit"] == "on"


@pytest.mark.postgres
def test_an_acknowledged_event_outlives_a_server_that_falls_over(rounds, document):
    """The server drops everything at once, right after the receipt, writing nothing more; then it starts again."""
    server = runpy.run_path(str(HERE / "conftest.py"))["PrivateServer"](fsync=True)
    try:
        address = server.new_database()
        sheet = rounds.sheet_of()
        with open_store(address) as store:
            store.new_job(document)
            store.start_round(sheet)
            receipts = store.append([rounds.event_of(sheet, n, "note") for n in range(1, 21)])
            server.fall_over()
        server.start()
        with open_store(address) as store:
            assert [one.seq for one in store.events("job", "r1")] == [r.seq for r in receipts]
        assert "was interrupted" in (server.dir / "log").read_text(), "it was no orderly stop"
    finally:
        server.stop()


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_an_acknowledged_event_outlives_a_program_that_is_killed(begun, rounds, tmp_path):
    """A program that appends for ever is killed in the middle: everything it acknowledged is there, in order."""
    store, sheet = begun
    (tmp_path / "sheet.json").write_text(sheet.canonical(), "utf-8")
    script = (
        "import sys, runpy; from pathlib import Path; from ringwright.store import open_store\n"
        "from ringwright.job.sheet import RoundSheet\n"
        "event_of = runpy.run_path(sys.argv[3])['event_of']\n"
        "sheet = RoundSheet.model_validate_json(Path(sys.argv[2]).read_text('utf-8'))\n"
        "store = open_store(sys.argv[1])\n"
        "for n in range(1, 10**6):\n"
        "    print(store.append([event_of(sheet, n, 'note')])[0].seq, flush=True)\n"
    )
    helper = str(HERE.parent / "job" / "rounds.py")
    given = [sys.executable, "-c", script, str(store.folder), str(tmp_path / "sheet.json"), helper]
    with subprocess.Popen(given, stdout=subprocess.PIPE, text=True) as program:
        acknowledged = [int(program.stdout.readline()) for _ in range(50)]
        program.kill()
        acknowledged += [int(line) for line in program.stdout.read().splitlines(keepends=True) if line.endswith("\n")]

    kept = [one.seq for one in store.events("job", "r1")]
    assert acknowledged == list(range(1, len(acknowledged) + 1))
    assert kept[: len(acknowledged)] == acknowledged
    assert len(kept) - len(acknowledged) <= 1
