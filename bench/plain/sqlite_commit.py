"""The least that a durable event can cost: one row, one commit, straight on SQLite with the same settings."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from pathlib import Path


def commit_each(file: Path, rows: Iterable[str]) -> int:
    """Write each text as one row in a transaction of its own, synced before it returns; gives the number of rows."""
    connection = sqlite3.connect(file, isolation_level=None)
    for setting in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {setting}")
    connection.execute("CREATE TABLE log (seq INTEGER PRIMARY KEY, event TEXT NOT NULL)")
    for row in rows:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO log (event) VALUES (?)", (row,))
        connection.execute("COMMIT")
    (written,) = connection.execute("SELECT count(*) FROM log").fetchone()
    connection.close()
    return int(written)
