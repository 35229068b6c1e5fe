"""The store: jobs and kit with versions, frozen sheets, and the log.

Every method is one transaction. A method that returns has its change on disk.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, func, insert, select, text, update

from ringwright.job.archive import Archive, pack, unpack
from ringwright.job.document import JobDocument
from ringwright.job.events import Event, Logged, Receipt, read_event
from ringwright.job.kit import Kit
from ringwright.job.sheet import RoundSheet, canonical
from ringwright.store.health import Finding
from ringwright.store.refusals import EventClash, JobExists, Missing, SheetClash, Stale, UnknownSheet
from ringwright.store.schema import COPIES, events, jobs, kit, sheets

#: One lock for everything that gives numbers (PostgreSQL; SQLite has one writer anyway).
_LOCK = 727402


@dataclass(frozen=True, slots=True)
class JobLine:
    """One line of the slate."""

    job_id: str
    version: int
    saved_at: str
    document: JobDocument


class Store:
    """Open one with `ringwright.store.open_store`; `close` it, or use it in a ``with``."""

    def __init__(self, engine: Engine, folder: Path | None) -> None:
        self.engine = engine
        self.folder = folder

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        isolation = {} if self.engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
        with self.engine.connect().execution_options(**isolation) as connection, connection.begin():
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with self.engine.connect().execution_options(writes=True) as connection, connection.begin():
            if connection.dialect.name == "postgresql":
                connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
            yield connection

    # -- jobs and kit -----------------------------------------------------------------------------------------------

    def jobs(self) -> tuple[JobLine, ...]:
        """All jobs: urgent first, then by due day (none last), then by number."""
        with self._reading() as connection:
            rows = connection.execute(select(jobs)).all()
        lines = [JobLine(r.job_id, r.version, r.saved_at, JobDocument.model_validate_json(r.document)) for r in rows]

        def order(line: JobLine) -> tuple[bool, bool, str, str]:
            document = line.document
            return (not document.urgent, not document.due, document.due, document.number)

        return tuple(sorted(lines, key=order))

    def job(self, job_id: str) -> tuple[JobDocument, int]:
        """A job's document and its version; `Missing` when there is none."""
        with self._reading() as connection:
            row = connection.execute(select(jobs.c.document, jobs.c.version).where(jobs.c.job_id == job_id)).first()
        if row is None:
            raise Missing(f"job {job_id}")
        return JobDocument.model_validate_json(row.document), row.version

    def new_job(self, document: JobDocument) -> int:
        """Put in a new job; returns its version, 1. `JobExists` when the id is taken."""
        with self._writing() as connection:
            if connection.execute(select(jobs.c.job_id).where(jobs.c.job_id == document.job_id)).first():
                raise JobExists(f"job {document.job_id}")
            connection.execute(insert(jobs).values(job_id=document.job_id, version=1, **_job_columns(document)))
        return 1

    def save_job(self, document: JobDocument, seen_version: int) -> int:
        """Replace a job's document; returns the new version.

        Raises
        ------
        Stale
            Somebody saved since ``seen_version`` was shown.
        Missing
            There is no such job.
        """
        with self._writing() as connection:
            changed = connection.execute(
                update(jobs)
                .where(jobs.c.job_id == document.job_id, jobs.c.version == seen_version)
                .values(version=seen_version + 1, **_job_columns(document))
            )
            if changed.rowcount == 0:
                now = connection.execute(select(jobs.c.version).where(jobs.c.job_id == document.job_id)).scalar()
                if now is None:
                    raise Missing(f"job {document.job_id}")
                raise Stale(f"job {document.job_id}", seen_version, now)
        return seen_version + 1

    def kit(self) -> tuple[Kit, int]:
        """The shop's kit and its version; an empty one is version 0."""
        with self._reading() as connection:
            row = connection.execute(select(kit.c.document, kit.c.version)).first()
        return (Kit(), 0) if row is None else (Kit.model_validate_json(row.document), row.version)

    def save_kit(self, document: Kit, seen_version: int) -> int:
        """Replace the kit; returns the new version; `Stale` as with `save_job`."""
        with self._writing() as connection:
            now = connection.execute(select(kit.c.version)).scalar() or 0
            if now != seen_version:
                raise Stale("kit", seen_version, now)
            values = {"version": now + 1, "document": document.model_dump_json()}
            connection.execute(insert(kit).values(one=1, **values) if now == 0 else update(kit).values(**values))
        return now + 1

    # -- round sheets -----------------------------------------------------------------------------------------------

    def start_round(self, sheet: RoundSheet) -> str:
        """Freeze a round sheet; returns its digest. Freezing the same sheet twice is harmless.

        Raises
        ------
        SheetClash
            That revision of the round is frozen with other contents: make a new revision.
        Missing
            There is no such job.
        """
        with self._writing() as connection:
            if not connection.execute(select(jobs.c.job_id).where(jobs.c.job_id == sheet.job_id)).first():
                raise Missing(f"job {sheet.job_id}")
            standing = connection.execute(
                select(sheets.c.digest).where(
                    sheets.c.job_id == sheet.job_id,
                    sheets.c.round_id == sheet.round_id,
                    sheets.c.revision == sheet.revision,
                )
            ).scalar()
            if standing is None:
                connection.execute(insert(sheets).values(**_sheet_columns(sheet)))
            elif standing != sheet.digest:
                raise SheetClash(f"round {sheet.round_id}, revision {sheet.revision}")
        return sheet.digest

    def sheet(self, digest: str) -> RoundSheet:
        """The frozen sheet of that digest; `Missing` when there is none."""
        with self._reading() as connection:
            kept = connection.execute(select(sheets.c.sheet).where(sheets.c.digest == digest)).scalar()
        if kept is None:
            raise Missing(f"sheet {digest}")
        return RoundSheet.model_validate_json(kept)

    def rounds(self, job_id: str) -> tuple[RoundSheet, ...]:
        """All frozen sheets of a job: by the time each round was first started, then by revision."""
        with self._reading() as connection:
            rows = connection.execute(
                select(sheets.c.sheet, sheets.c.round_id, sheets.c.revision, sheets.c.frozen_at).where(
                    sheets.c.job_id == job_id
                )
            ).all()
        begun: dict[str, str] = {}
        for row in rows:
            begun[row.round_id] = min(row.frozen_at, begun.get(row.round_id, row.frozen_at))
        in_order = sorted(rows, key=lambda r: (begun[r.round_id], r.round_id, r.revision))
        return tuple(RoundSheet.model_validate_json(r.sheet) for r in in_order)

    # -- the log ----------------------------------------------------------------------------------------------------

    def append(self, arrived: Iterable[Event]) -> tuple[Receipt, ...]:
        """Write events to the log, all or none; a receipt means that the event is on disk.

        Sending an event again is harmless: its receipt says ``again``. Within the call events take their numbers in the
        order given.

        Raises
        ------
        UnknownSheet
            An event names a sheet that is not here, or that is of another job or round.
        EventClash
            An event of that id is here with other contents.
        """
        with self._writing() as connection:
            return tuple(_append_one(connection, event) for event in arrived)

    def events(self, job_id: str, round_id: str, after_seq: int = 0) -> tuple[Logged, ...]:
        """The log of one round behind ``after_seq``, in order."""
        with self._reading() as connection:
            return _logged(connection, job_id, round_id, after_seq)

    # -- out and in -------------------------------------------------------------------------------------------------

    def export_job(self, job_id: str) -> bytes:
        """The job as one zip (`ringwright.job.archive`); `Missing` when there is none."""
        with self._reading() as connection:
            return pack(_archive(connection, job_id))

    def import_job(self, packed: bytes) -> str:
        """Take a job's zip in, whole or not at all; returns the job's id. Its events keep their numbers.

        Raises
        ------
        ArchiveFault
            The zip is faulty, too large or of a newer version.
        JobExists
            A job of that id is here already.
        EventClash
            One of its events is here already, under another job.
        """
        archive = unpack(packed)
        document = archive.document
        with self._writing() as connection:
            if connection.execute(select(jobs.c.job_id).where(jobs.c.job_id == document.job_id)).first():
                raise JobExists(f"job {document.job_id}")
            connection.execute(insert(jobs).values(job_id=document.job_id, version=1, **_job_columns(document)))
            if archive.sheets:
                connection.execute(insert(sheets), [_sheet_columns(sheet) for sheet in archive.sheets])
            for logged in archive.log:
                if connection.execute(select(events.c.seq).where(events.c.event_id == logged.event.event_id)).first():
                    raise EventClash(f"event {logged.event.event_id}")
                body = canonical(logged.event.model_dump(mode="json"))
                connection.execute(insert(events).values(**_event_columns(logged.event, logged.seq, body)))
        return document.job_id

    def backup(self, target: Path) -> Path:
        """Copy everything into one new file while work goes on; see `ringwright.store.copies.backup`."""
        from ringwright.store import copies

        return copies.backup(self.engine, self.folder, target)

    def restore(self, source: Path) -> Path | None:
        """Make everything as it is in a backup, keeping a copy of what stood; see `ringwright.store.copies.restore`."""
        from ringwright.store import copies

        return copies.restore(self.engine, self.folder, source)

    def daily_copy(self, into: Path | None = None, *, keep: int = 14) -> Path | None:
        """Today's copy, once a day; the last ``keep`` stay. ``into``: where, by default the data folder's own place.

        Returns the copy made, None when today's is there already or (on PostgreSQL) no place was given.
        """
        from ringwright.store import copies

        place = into or (self.folder / COPIES if self.folder else None)
        return copies.rotate(self.engine, self.folder, place, keep=keep) if place else None

    def check(self) -> tuple[Finding, ...]:
        """Look whether everything is durable, whole and readable."""
        from ringwright.store import health

        with self._reading() as connection:
            return tuple(health.look(connection))


def _job_columns(document: JobDocument) -> dict[str, Any]:
    return {"number": document.number, "document": document.model_dump_json(), "saved_at": _now()}


def _sheet_columns(sheet: RoundSheet) -> dict[str, Any]:
    return {
        "digest": sheet.digest,
        "job_id": sheet.job_id,
        "round_id": sheet.round_id,
        "revision": sheet.revision,
        "sheet": sheet.canonical(),
        "frozen_at": _now(),
    }


def _append_one(connection: Connection, event: Event) -> Receipt:
    body = canonical(event.model_dump(mode="json"))
    kept = connection.execute(select(events.c.seq, events.c.event).where(events.c.event_id == event.event_id)).first()
    if kept is not None:
        if kept.event != body:
            raise EventClash(f"event {event.event_id}")
        return Receipt(event_id=event.event_id, seq=kept.seq, again=True)
    of = connection.execute(
        select(sheets.c.job_id, sheets.c.round_id).where(sheets.c.digest == event.sheet_digest)
    ).first()
    if of is None or tuple(of) != (event.job_id, event.round_id):
        raise UnknownSheet(f"event {event.event_id}: sheet {event.sheet_digest}")
    last = connection.execute(
        select(func.max(events.c.seq)).where(events.c.job_id == event.job_id, events.c.round_id == event.round_id)
    ).scalar()
    seq = (last or 0) + 1
    connection.execute(insert(events).values(**_event_columns(event, seq, body)))
    return Receipt(event_id=event.event_id, seq=seq)


def _event_columns(event: Event, seq: int, body: str) -> dict[str, Any]:
    return {
        "job_id": event.job_id,
        "round_id": event.round_id,
        "seq": seq,
        "event_id": event.event_id,
        "sheet_digest": event.sheet_digest,
        "station": event.station,
        "station_seq": event.station_seq,
        "event": body,
        "received_at": _now(),
    }


def _logged(connection: Connection, job_id: str, round_id: str, after_seq: int = 0) -> tuple[Logged, ...]:
    rows = connection.execute(
        select(events.c.seq, events.c.event)
        .where(events.c.job_id == job_id, events.c.round_id == round_id, events.c.seq > after_seq)
        .order_by(events.c.seq)
    ).all()
    return tuple(Logged(seq=row.seq, event=read_event(json.loads(row.event))) for row in rows)


def _archive(connection: Connection, job_id: str) -> Archive:
    document = connection.execute(select(jobs.c.document).where(jobs.c.job_id == job_id)).scalar()
    if document is None:
        raise Missing(f"job {job_id}")
    rows = connection.execute(
        select(sheets.c.sheet).where(sheets.c.job_id == job_id).order_by(sheets.c.round_id, sheets.c.revision)
    ).all()
    named = connection.execute(
        select(events.c.round_id).where(events.c.job_id == job_id).distinct().order_by(events.c.round_id)
    ).scalars()
    return Archive(
        document=JobDocument.model_validate_json(document),
        sheets=tuple(RoundSheet.model_validate_json(row.sheet) for row in rows),
        log=tuple(logged for round_id in list(named) for logged in _logged(connection, job_id, round_id)),
    )


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="microseconds")
