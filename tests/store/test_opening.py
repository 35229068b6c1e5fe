"""Folders old, new and newer: a copy before each migration, and what cannot be read is left as it is."""

from __future__ import annotations

import hashlib
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, text

from ringwright.job.document import JobDocument
from ringwright.store import BackupFault, SchemaTooNew, StoreRefusal, open_store, opening
from ringwright.store.copies import put_back
from ringwright.store.schema import COPIES, FILE, HEAD, KNOWN, metadata


def everything(folder):
    return {f.relative_to(folder): hashlib.sha256(f.read_bytes()).hexdigest() for f in folder.rglob("*") if f.is_file()}


@pytest.fixture
def folder(tmp_path, document):
    with open_store(tmp_path / "data") as store:
        store.new_job(document)
    return tmp_path / "data"


def old_folder(folder, document):
    """A folder as the first version wrote it."""
    folder.mkdir()
    engine = opening.sqlite_engine(folder / FILE)
    opening.migrate(engine, to="0001")
    with engine.connect() as connection, connection.begin():
        row = {"document": document.model_dump_json()}
        connection.execute(text("INSERT INTO jobs VALUES ('job', 1, '2026-014', :document, '')"), row)
    engine.dispose()
    return folder


def test_the_migrations_end_at_the_schema_that_the_program_writes(store):
    config = Config()
    config.set_main_option("script_location", "ringwright.store:migrations")
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [HEAD]
    assert tuple(s.revision for s in reversed(list(scripts.walk_revisions()))) == KNOWN
    with store.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_an_old_folder_is_copied_then_brought_up_to_date(tmp_path, document):
    folder = old_folder(tmp_path / "data", document)

    with open_store(folder) as store:
        assert store.job("job") == (document, 1)
        assert [f.code for f in store.check() if not f.ok] == []

    (copy,) = (folder / COPIES).iterdir()
    assert opening.version_of_file(copy) == "0001"
    with closing(sqlite3.connect(copy)) as raw:
        assert raw.execute("SELECT job_id FROM jobs").fetchall() == [("job",)]
    with open_store(folder):
        assert len(list((folder / COPIES).iterdir())) == 1, "nothing to migrate, nothing to copy"


def test_a_migration_that_fails_leaves_the_old_schema_whole(tmp_path, document, monkeypatch):
    folder = old_folder(tmp_path / "data", document)
    monkeypatch.setattr("alembic.op.execute", lambda *_: 1 / 0)

    with pytest.raises(ZeroDivisionError):
        open_store(folder)

    assert opening.version_of_file(folder / FILE) == "0001"
    monkeypatch.undo()
    with open_store(folder) as store:
        assert store.job("job")[0] == document


@pytest.mark.postgres
def test_on_postgresql_the_old_rows_stay_beside(postgres, document):
    address = postgres.new_database()
    engine = opening.create_engine(address)
    opening.migrate(engine, to="0001")
    with engine.connect() as connection, connection.begin():
        row = {"document": document.model_dump_json()}
        connection.execute(text("INSERT INTO jobs VALUES ('job', 1, '2026-014', :document, '')"), row)

    with open_store(address) as store:
        assert store.job("job")[0] == document
        (beside,) = [s for s in inspect(store.engine).get_schema_names() if s.startswith("before_")]
        with store.engine.connect() as connection:
            assert connection.execute(text(f'SELECT job_id FROM "{beside}".jobs')).scalars().all() == ["job"]
            assert connection.execute(text(f'SELECT * FROM "{beside}".alembic_version')).scalars().all() == ["0001"]
    engine.dispose()


def test_a_newer_folder_is_refused_unharmed(folder):
    with closing(sqlite3.connect(folder / FILE)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
        raw.commit()
    before = everything(folder)

    with pytest.raises(SchemaTooNew, match="9999"):
        open_store(folder)

    assert everything(folder) == before


@pytest.mark.postgres
def test_a_newer_postgresql_is_refused_unharmed(postgres):
    address = postgres.new_database()
    open_store(address).close()
    engine = opening.create_engine(address)
    with engine.connect() as connection, connection.begin():
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(SchemaTooNew):
        open_store(address)
    with engine.connect() as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar() == "9999"
    engine.dispose()


@pytest.mark.parametrize("contents", [b"not a database at all, only text", None])
def test_a_file_of_something_else_is_refused_unharmed(tmp_path, contents):
    if contents is None:
        with closing(sqlite3.connect(tmp_path / FILE)) as raw:
            raw.execute("CREATE TABLE recipes (name)")
    else:
        (tmp_path / FILE).write_bytes(contents)
    before = everything(tmp_path)
    with pytest.raises(StoreRefusal):
        open_store(tmp_path)
    assert everything(tmp_path) == before


def test_a_folder_that_is_not_there_is_not_made_when_not_wanted(tmp_path):
    with pytest.raises(StoreRefusal):
        open_store(tmp_path / "nowhere", create=False)
    assert not (tmp_path / "nowhere").exists()


def test_an_up_to_date_folder_opens_without_the_migration_library(folder):
    script = (
        "import sys; from ringwright.store import open_store; open_store(sys.argv[1]).close(); "
        "sys.exit(any(name.split('.')[0] == 'alembic' for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", script, str(folder)], check=False).returncode == 0


# -- restore --------------------------------------------------------------------------------------------------------


def test_restore_keeps_what_stood_and_open_connections_see_the_new(folder, document, tmp_path):
    with open_store(folder) as store, open_store(folder) as bystander:
        backup = store.backup(tmp_path / "b.sqlite3")
        store.save_job(document.model_copy(update={"title": "Later"}), 1)
        assert bystander.job("job")[0].title == "Later"

        before = store.restore(backup)

        assert store.job("job") == (document, 1)
        assert bystander.job("job") == (document, 1)
        assert {f.code for f in store.check() if not f.ok} == set()
    with closing(sqlite3.connect(before)) as raw:
        assert "Later" in raw.execute("SELECT document FROM jobs").fetchone()[0]


@pytest.mark.parametrize("harm", ["cut", "flipped", "empty", "missing", "other"])
def test_a_harmed_backup_is_refused_and_nothing_changes(folder, document, tmp_path, harm):
    with open_store(folder) as store:
        for i in range(40):
            store.new_job(JobDocument(job_id=f"job-{i}", number=str(i), title="x", words="w" * 2000))
        backup = store.backup(tmp_path / "b.sqlite3")
        contents = backup.read_bytes()
        if harm == "cut":
            backup.write_bytes(contents[: len(contents) // 2])
        elif harm == "flipped":
            backup.write_bytes(contents[:8192] + bytes(4096) + contents[12288:])
        elif harm == "empty":
            backup.write_bytes(b"")
        elif harm == "missing":
            backup.unlink()
        else:
            backup.write_bytes(b"not a database")

        with pytest.raises(BackupFault):
            store.restore(backup)

        assert len(store.jobs()) == 41
        assert not (folder / COPIES).exists()


def test_a_backup_of_an_older_version_is_brought_up_to_date_on_the_way_in(folder, document, tmp_path):
    other = document.model_copy(update={"title": "Old one"})
    old = old_folder(tmp_path / "old", other) / FILE
    with closing(sqlite3.connect(old)) as raw:
        raw.execute("PRAGMA journal_mode=DELETE")
    before = hashlib.sha256(old.read_bytes()).hexdigest()
    with open_store(folder) as store:
        store.restore(old)
        assert store.job("job")[0] == other
    assert opening.version_of_file(folder / FILE) == HEAD
    assert hashlib.sha256(old.read_bytes()).hexdigest() == before


def test_a_backup_is_put_back_into_a_broken_folder_and_the_broken_files_stay(folder, document, tmp_path):
    with open_store(folder) as store:
        backup = store.backup(tmp_path / "b.sqlite3")
    (folder / FILE).write_bytes(b"scrap")
    with pytest.raises(StoreRefusal):
        open_store(folder)

    aside = put_back(folder, backup)

    assert (aside / FILE).read_bytes() == b"scrap"
    with open_store(folder) as store:
        assert store.job("job") == (document, 1)


def test_a_backup_never_writes_over_a_file(folder, tmp_path):
    (tmp_path / "b.sqlite3").write_text("mine")
    with open_store(folder) as store, pytest.raises(BackupFault):
        store.backup(tmp_path / "b.sqlite3")
    assert (tmp_path / "b.sqlite3").read_text() == "mine"
