"""Opening the place where things are kept: durable connections, the schema's version, a copy before each migration."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import make_url

from ringwright.store.refusals import SchemaTooNew, StoreRefusal
from ringwright.store.schema import COPIES, FILE, HEAD, KNOWN
from ringwright.store.store import Store


def open_store(where: str | Path, *, create: bool = True) -> Store:
    """Open the data folder at ``where``, or the PostgreSQL database at that address.

    Parameters
    ----------
    where : str or Path
        A folder ("~/shop"), or an address that begins with "postgresql".
    create : bool
        Make the folder and the tables when they are not there yet.

    Raises
    ------
    SchemaTooNew
        The data are of a newer version; nothing was touched.
    StoreRefusal
        With ``create`` false: there is nothing.
    """
    if isinstance(where, str) and where.startswith("postgresql"):
        return _open_postgres(where)
    folder = Path(where).expanduser()
    return _open_folder(folder, create)


def _open_folder(folder: Path, create: bool) -> Store:
    file = folder / FILE
    if not create and not file.exists():
        raise StoreRefusal(f"there is no {FILE} in {folder}")
    standing = version_of_file(file)
    folder.mkdir(parents=True, exist_ok=True)
    if standing is not None and standing != HEAD:
        copy_file(file, folder / COPIES / f"before-{HEAD}-{stamp()}.sqlite3")
    engine = sqlite_engine(file)
    try:
        if standing != HEAD:
            migrate(engine)
    except BaseException:
        engine.dispose()
        raise
    return Store(engine, folder)


def _open_postgres(address: str) -> Store:
    url = make_url(address)
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    engine = create_engine(url, pool_pre_ping=True)
    _stay_durable_postgres(engine)
    try:
        with engine.connect() as connection:
            standing = _version(connection)
        _refuse_newer(standing, address.rpartition("@")[2])
        if standing != HEAD:
            migrate(engine, copy=standing is not None)
    except BaseException:
        engine.dispose()
        raise
    return Store(engine, None)


def stamp() -> str:
    """Now, as it stands in the names of copies."""
    return datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")


# -- SQLite ---------------------------------------------------------------------------------------------------------


def sqlite_engine(file: Path, *, synchronous: str = "FULL") -> Engine:
    """An engine on that file; every connection of its pool writes ahead, syncs each commit, and holds foreign keys."""
    engine = create_engine(f"sqlite:///{file}")

    @event.listens_for(engine, "connect")
    def _(raw: Any, record: Any) -> None:
        raw.isolation_level = None  # we say BEGIN ourselves, below
        cursor = raw.cursor()
        for setting in (
            "busy_timeout=10000",
            "journal_mode=WAL",
            f"synchronous={synchronous}",
            "foreign_keys=ON",
        ):
            cursor.execute(f"PRAGMA {setting}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # who writes takes the lock at once, so that no reader finds itself unable to become a writer half-way
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def version_of_file(file: Path) -> str | None:
    """The schema version of a SQLite file, read without writing; None when there is no file or no schema.

    Raises
    ------
    SchemaTooNew, StoreRefusal
        Newer than this program; or no database of ours.
    """
    if not file.exists() or file.stat().st_size == 0:
        return None
    try:
        # without a write-ahead log nothing is pending; "immutable" then keeps SQLite from laying files beside it
        how = "mode=ro" if file.with_name(file.name + "-wal").exists() else "immutable=1"
        with closing(sqlite3.connect(f"file:{quoted(file)}?{how}", uri=True)) as raw:
            names = {row[0] for row in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            if not names:
                return None
            if "alembic_version" not in names:
                raise StoreRefusal(f"{file.name} is a database of something else")
            rows = raw.execute("SELECT version_num FROM alembic_version").fetchall()
    except sqlite3.DatabaseError as fault:
        raise StoreRefusal(f"{file.name} cannot be read as a database: {fault}") from fault
    standing = str(rows[0][0]) if rows else None
    _refuse_newer(standing, str(file))
    return standing


def copy_file(file: Path, target: Path) -> Path:
    """An online copy of a SQLite file by SQLite's own backup, moved into place only when it is whole."""
    target.parent.mkdir(parents=True, exist_ok=True)
    half = target.with_name(target.name + ".part")
    half.unlink(missing_ok=True)
    with (
        closing(sqlite3.connect(f"file:{quoted(file)}?mode=ro", uri=True)) as source,
        closing(sqlite3.connect(half)) as to,
    ):
        source.backup(to)
        to.execute("PRAGMA journal_mode=DELETE")
    half.replace(target)
    return target


def quoted(file: Path) -> str:
    """A path as SQLite's file addresses want it."""
    from urllib.parse import quote

    return quote(str(file.resolve()))


# -- PostgreSQL -----------------------------------------------------------------------------------------------------


def _stay_durable_postgres(engine: Engine) -> None:
    @event.listens_for(engine, "connect")
    def _(raw: Any, record: Any) -> None:
        with raw.cursor() as cursor:
            cursor.execute("SET synchronous_commit = on")
        raw.commit()


# -- schema ---------------------------------------------------------------------------------------------------------


def _version(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _refuse_newer(standing: str | None, where: str) -> None:
    if standing is not None and standing not in KNOWN:
        raise SchemaTooNew(
            f"{where} has schema {standing}; this program knows {KNOWN[0]} to {HEAD}. Nothing was touched."
        )


def migrate(engine: Engine, to: str = HEAD, *, copy: bool = False) -> None:
    """Bring the schema to version ``to``, whole or not at all; ``copy``: keep the old rows beside it first."""
    from alembic import command
    from alembic.config import Config

    settings = Config()
    settings.set_main_option("script_location", "ringwright.store:migrations")
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        if connection.dialect.name == "postgresql":
            # two stations that start together: the second waits and then finds nothing to do
            connection.execute(text("SELECT pg_advisory_xact_lock(727401)"))
            if copy:
                _copy_rows(connection)
        settings.attributes["connection"] = connection
        command.upgrade(settings, to)


def _copy_rows(connection: Connection) -> None:
    """On PostgreSQL the copy before a migration is a schema of its own that holds every table as it stood."""
    beside = f"before_{HEAD}_{stamp().lower()}"
    names = inspect(connection).get_table_names()
    connection.execute(text(f'CREATE SCHEMA "{beside}"'))
    for name in names:
        connection.execute(text(f'CREATE TABLE "{beside}"."{name}" AS TABLE "{name}"'))
