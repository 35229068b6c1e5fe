"""The tables, as SQLAlchemy Core sees them; the migrations make them, one test compares the two."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Integer, MetaData, String, Table, Text, UniqueConstraint

#: The schema version this program writes: the last migration.
HEAD = "0002"
#: Every version it can bring up to date.
KNOWN = ("0001", "0002")

#: In the data folder: the database, and the folder of its copies.
FILE, COPIES = "ringwright.sqlite3", "copies"

metadata = MetaData()

jobs = Table(
    "jobs",
    metadata,
    Column("job_id", String(40), primary_key=True),
    Column("version", Integer, nullable=False),
    Column("number", String(20), nullable=False),
    Column("document", Text, nullable=False),
    Column("saved_at", String(40), nullable=False),
)

kit = Table(
    "kit",
    metadata,
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("version", Integer, nullable=False),
    Column("document", Text, nullable=False),
)

sheets = Table(
    "sheets",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("job_id", String(40), ForeignKey("jobs.job_id"), nullable=False),
    Column("round_id", String(40), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("sheet", Text, nullable=False),
    Column("frozen_at", String(40), nullable=False),
    UniqueConstraint("job_id", "round_id", "revision", name="sheets_one_revision"),
)

events = Table(
    "events",
    metadata,
    Column("job_id", String(40), ForeignKey("jobs.job_id"), primary_key=True),
    Column("round_id", String(40), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("event_id", String(64), nullable=False, unique=True),
    Column("sheet_digest", String(64), ForeignKey("sheets.digest"), nullable=False),
    Column("station", String(40), nullable=False),
    Column("station_seq", Integer, nullable=False),
    Column("event", Text, nullable=False),
    Column("received_at", String(40), nullable=False),
    Index("events_station", "station", "station_seq"),
)

#: In the order in which rows can be put in.
TABLES = (jobs, kit, sheets, events)
