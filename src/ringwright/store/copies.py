"""Backup, restore, daily copies. A backup is one SQLite file, whichever database it was taken from."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, func, insert, select

from ringwright.store.opening import copy_file, migrate, quoted, sqlite_engine, stamp, version_of_file
from ringwright.store.refusals import BackupFault, StoreRefusal
from ringwright.store.schema import COPIES, FILE, HEAD, TABLES, jobs, kit


def backup(engine: Engine, folder: Path | None, target: Path) -> Path:
    """Copy everything into ``target`` while work goes on; the copy is whole or is not there.

    Raises
    ------
    BackupFault
        ``target`` exists already.
    """
    if target.exists():
        raise BackupFault(f"{target} exists already")
    if folder is not None:
        return copy_file(folder / FILE, target)
    target.parent.mkdir(parents=True, exist_ok=True)
    half = target.with_name(target.name + ".part")
    half.unlink(missing_ok=True)
    copied = sqlite_engine(half)
    try:
        migrate(copied)
        snapshot = engine.connect().execution_options(isolation_level="REPEATABLE READ")
        with snapshot as source, source.begin(), copied.connect() as to, to.execution_options(writes=True).begin():
            _move_rows(source, to)
    finally:
        copied.dispose()
    with closing(sqlite3.connect(half)) as raw:
        raw.execute("PRAGMA journal_mode=DELETE")
    half.replace(target)
    return target


def restore(engine: Engine, folder: Path | None, source: Path) -> Path | None:
    """Make everything as it is in a backup; returns where what stood before was copied to (None on PostgreSQL).

    On PostgreSQL the database has to be empty: restore into a new one, then change the setting.

    Raises
    ------
    BackupFault
        The file is no whole backup, or the PostgreSQL database is not empty. Nothing was changed.
    SchemaTooNew
        The backup is of a newer version. Nothing was changed.
    """
    with tempfile.TemporaryDirectory() as scratch:
        ready = _made_ready(source, Path(scratch))
        if folder is None:
            _restore_rows(engine, ready)
            return None
        before = copy_file(folder / FILE, folder / COPIES / f"before-restore-{stamp()}.sqlite3")
        engine.dispose()
        with closing(sqlite3.connect(ready)) as raw, closing(sqlite3.connect(folder / FILE, timeout=30)) as to:
            to.execute("PRAGMA journal_mode=WAL")
            to.execute("PRAGMA synchronous=FULL")
            raw.backup(to)
    return before


def put_back(folder: Path, source: Path) -> Path | None:
    """Put a backup into a folder whose database cannot be opened any more, or is gone.

    What was there is moved aside, never deleted; returns where to (None: there was nothing). No program may have the
    folder open.
    """
    with tempfile.TemporaryDirectory() as scratch:
        ready = _made_ready(source, Path(scratch))
        aside = folder / COPIES / f"set-aside-{stamp()}"
        standing = [file for end in ("", "-wal", "-shm") if (file := folder / (FILE + end)).exists()]
        for file in standing:
            aside.mkdir(parents=True, exist_ok=True)
            os.replace(file, aside / file.name)
        folder.mkdir(parents=True, exist_ok=True)
        copy_file(ready, folder / FILE)
    return aside if standing else None


def rotate(
    engine: Engine, folder: Path | None, into: Path, *, keep: int = 14, today: date | None = None
) -> Path | None:
    """Make today's copy when it is not there yet, then drop the oldest beyond ``keep``; returns the copy made."""
    day = today or datetime.now(UTC).date()
    target = into / f"daily-{day:%Y%m%d}.sqlite3"
    if target.exists():
        return None
    backup(engine, folder, target)
    for old in sorted(into.glob("daily-????????.sqlite3"))[:-keep]:
        old.unlink()
    return target


def _made_ready(source: Path, scratch: Path) -> Path:
    """A copy of the backup that is whole and of today's schema; the backup itself is only read."""
    if not source.is_file():
        raise BackupFault(f"there is no file {source}")
    try:
        if version_of_file(source) is None:
            raise BackupFault(f"{source.name} is empty")
    except StoreRefusal as refusal:
        if type(refusal) is StoreRefusal:
            raise BackupFault(str(refusal)) from refusal
        raise
    ready = scratch / "ready.sqlite3"
    try:
        copy_file(source, ready)
        with closing(sqlite3.connect(f"file:{quoted(ready)}?mode=ro", uri=True)) as raw:
            whole = raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            stray = raw.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as fault:
        raise BackupFault(f"{source.name} is damaged: {fault}") from fault
    if not whole or stray:
        raise BackupFault(f"{source.name} is damaged")
    if version_of_file(ready) != HEAD:
        engine = sqlite_engine(ready)
        try:
            migrate(engine)
        finally:
            engine.dispose()
        with closing(sqlite3.connect(ready)) as raw:
            raw.execute("PRAGMA journal_mode=DELETE")
    return ready


def _restore_rows(engine: Engine, ready: Path) -> None:
    copied = sqlite_engine(ready)
    try:
        with copied.connect() as source, source.begin(), engine.connect() as to, to.begin():
            if any(to.execute(select(func.count()).select_from(table)).scalar() for table in (jobs, kit)):
                raise BackupFault("the database is not empty: restore into a new one")
            _move_rows(source, to)
    finally:
        copied.dispose()


def _move_rows(source: Connection, to: Connection) -> None:
    for table in TABLES:
        for rows in source.execute(select(table)).partitions(1000):
            to.execute(insert(table), [dict(row._mapping) for row in rows])
