"""What `Store.check` looks at: is it durable, is it whole, can everything be read, does anything miss."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, select, text

from ringwright.job.document import JobDocument
from ringwright.job.events import read_event
from ringwright.job.kit import Kit
from ringwright.job.sheet import RoundSheet
from ringwright.store.schema import HEAD, events, jobs, kit, sheets
from ringwright.words import _


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at; ``detail`` is for people."""

    code: str
    ok: bool
    detail: str


#: What each database must say so that an acknowledged event outlives a power cut.
DURABLE = {
    "sqlite": {"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1"},
    "postgresql": {"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"},
}


def durability(connection: Connection) -> dict[str, str]:
    """The settings that `DURABLE` names, as this connection has them."""
    name = connection.dialect.name
    ask = "PRAGMA {}" if name == "sqlite" else "SHOW {}"
    return {setting: str(connection.execute(text(ask.format(setting))).scalar()) for setting in DURABLE[name]}


def look(connection: Connection) -> Iterator[Finding]:
    """All findings, one after the other."""
    yield _durable(connection)
    yield _schema(connection)
    if connection.dialect.name == "sqlite":
        yield _sqlite_whole(connection)
    yield from _readable(connection)
    yield _counts_without_holes(connection)
    yield _stations(connection)


def _durable(connection: Connection) -> Finding:
    found = durability(connection)
    wrong = {name: value for name, value in found.items() if value != DURABLE[connection.dialect.name][name]}
    said = ", ".join(f"{name}={value}" for name, value in (wrong or found).items())
    return Finding("durable", not wrong, said)


def _schema(connection: Connection) -> Finding:
    version = str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar())
    return Finding("schema", version == HEAD, _("schema {version}", version=version))


def _sqlite_whole(connection: Connection) -> Finding:
    faults = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check")) if row[0] != "ok"]
    faults += [str(tuple(row)) for row in connection.execute(text("PRAGMA foreign_key_check"))]
    return Finding("file_whole", not faults, "; ".join(faults[:3]) or _("the file is whole"))


def _readable(connection: Connection) -> Iterator[Finding]:
    def sheet_is_its_digest(kept: str, digest: str) -> None:
        if RoundSheet.model_validate_json(kept).digest != digest:
            raise ValueError(_("the digest is of other contents"))

    readers: tuple[tuple[str, list[tuple[str, ...]], Callable[..., object]], ...] = (
        (
            "jobs_readable",
            [(r.job_id, r.document) for r in connection.execute(select(jobs))],
            JobDocument.model_validate_json,
        ),
        ("kit_readable", [("kit", r.document) for r in connection.execute(select(kit))], Kit.model_validate_json),
        (
            "sheets_true",
            [(r.digest[:12], r.sheet, r.digest) for r in connection.execute(select(sheets))],
            sheet_is_its_digest,
        ),
        (
            "events_readable",
            [(r.event_id, r.event) for r in connection.execute(select(events))],
            lambda kept: read_event(json.loads(kept)),
        ),
    )
    for code, records, read in readers:
        faults = []
        for name, *kept in records:
            try:
                read(*kept)
            except ValueError as fault:
                faults.append(f"{name}: {str(fault).splitlines()[0]}")
        yield Finding(code, not faults, "; ".join(faults[:3]) or _("{n} read", n=len(records)))


def _counts_without_holes(connection: Connection) -> Finding:
    wrong, wanted = [], dict[tuple[str, str], int]()
    columns = (events.c.job_id, events.c.round_id, events.c.seq)
    for job_id, round_id, seq in connection.execute(select(*columns).order_by(*columns)):
        if seq != wanted.get((job_id, round_id), 1):
            wrong.append(f"{job_id} {round_id}: {seq}")
        wanted[job_id, round_id] = seq + 1
    return Finding("log_without_holes", not wrong, "; ".join(wrong[:3]) or _("no number is missing"))


def _stations(connection: Connection) -> Finding:
    """A hole in a station's own numbers: an event that it made and that never arrived."""
    gaps, last = [], dict[str, int]()
    columns = (events.c.station, events.c.station_seq)
    for station, number in connection.execute(select(*columns).order_by(*columns)):
        if number > last.get(station, number - 1) + 1:
            gaps.append(f"{station}: {last[station] + 1}–{number - 1}")
        last[station] = number
    told = _("events that have not arrived: {gaps}", gaps="; ".join(gaps[:5])) if gaps else _("nothing is missing")
    return Finding("stations_complete", not gaps, told)
