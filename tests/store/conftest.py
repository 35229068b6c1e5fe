"""A store on SQLite and one on a private PostgreSQL server, the same tests against both."""

from __future__ import annotations

import os
import runpy
import shutil
import subprocess
import tempfile
import uuid
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy import create_engine, text

from ringwright.job.document import JobDocument
from ringwright.store import open_store


@pytest.fixture(scope="session")
def rounds():
    return SimpleNamespace(**runpy.run_path(str(Path(__file__).parents[1] / "job" / "rounds.py")))


def server_commands():
    for place in (
        "/usr/lib/postgresql/15/bin",
        *sorted(map(str, Path("/usr/lib/postgresql").glob("*/bin"))),
        "/usr/local/bin",
    ):
        if (Path(place) / "initdb").exists():
            return Path(place)
    found = shutil.which("initdb")
    return Path(found).parent if found else None


class PrivateServer:
    """A PostgreSQL server of our own in a temporary folder, spoken to through a socket there."""

    def __init__(self, fsync):
        bin_ = server_commands()
        if bin_ is None:
            if os.environ.get("CI") == "true":
                pytest.fail("no PostgreSQL server on this machine")
            pytest.skip("no PostgreSQL server on this machine")
        self.bin = bin_
        self.dir = Path(tempfile.mkdtemp(prefix="pg"))
        self.who = {}
        if hasattr(os, "geteuid") and os.geteuid() == 0:  # the server refuses to run as root
            import pwd

            nobody = pwd.getpwnam("nobody")
            os.chown(self.dir, nobody.pw_uid, nobody.pw_gid)
            self.who = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}
        quick = "" if fsync else " -c fsync=off -c full_page_writes=off"
        self.run("initdb", "-D", "data", "-U", "test", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
        self.options = f"-c listen_addresses='' -c unix_socket_directories={self.dir}{quick}"
        self.start()

    def start(self):
        self.run("pg_ctl", "-D", "data", "-w", "-l", "log", "-o", self.options, "start")

    def run(self, command, *given):
        env = {**os.environ, "HOME": str(self.dir)}
        subprocess.run(
            [self.bin / command, *given], check=True, cwd=self.dir, env=env, stdout=subprocess.DEVNULL, **self.who
        )

    def new_database(self):
        name = f"t{uuid.uuid4().hex}"
        engine = create_engine(f"postgresql+psycopg://test@/postgres?host={self.dir}", isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text(f"CREATE DATABASE {name}"))
        engine.dispose()
        return f"postgresql+psycopg://test@/{name}?host={self.dir}"

    def fall_over(self):
        """Stop at once, without a checkpoint: the next start has only what was synced."""
        self.run("pg_ctl", "-D", "data", "-m", "immediate", "-w", "stop")

    def stop(self):
        self.fall_over()
        shutil.rmtree(self.dir)


@pytest.fixture(scope="session")
def postgres():
    server = PrivateServer(fsync=False)
    yield server
    server.stop()


@pytest.fixture(scope="session")
def durable_postgres():
    server = PrivateServer(fsync=True)
    yield server
    server.stop()


BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]


@pytest.fixture(params=BOTH)
def place(request, tmp_path):
    """Where a store can be opened: a folder, or the address of a new database."""
    if request.param == "sqlite":
        return tmp_path / "data"
    return request.getfixturevalue("postgres").new_database()


@pytest.fixture
def store(place):
    with open_store(place) as opened:
        yield opened


@pytest.fixture
def document():
    return JobDocument(job_id="job", number="2026-014", title="Drum ring, 127 teeth")


@pytest.fixture
def begun(store, document, rounds):
    """A store with one job whose round is started: the store and its sheet."""
    store.new_job(document)
    sheet = rounds.sheet_of()
    store.start_round(sheet)
    return store, sheet
