"""A job as one zip, out and in: its document, its frozen sheets, its log, and the schema of these files.

Inside: ``about.json`` (what this is, by whom, which version), ``job.json``, ``sheets.json``, ``events.json`` and
``schema.json``. Reading is bounded and whole: every fault is found before anything is taken in.
"""

from __future__ import annotations

import io
import json
import zipfile
from functools import cache
from typing import Annotated, Any, TypeVar

from pydantic import FailFast, Field, PlainValidator, TypeAdapter, ValidationError

from ringwright import __version__
from ringwright.job.base import Kept
from ringwright.job.document import JobDocument
from ringwright.job.events import Event, Logged, read_event
from ringwright.job.sheet import RoundSheet, canonical

FORMAT = "ringwright job"
VERSION = 1
#: Bytes of each file at most, unpacked. A round of 1000 teeth takes about 0.5 MB of sheet and 0.6 MB of events, a job
#: with each of 1000 teeth mapped less than 1 MB; each may be at least four times that.
MAX_BYTES = {"about.json": 10_000, "job.json": 4_000_000, "sheets.json": 8_000_000, "events.json": 12_000_000}
#: Lists and objects, and commas, of one file at most, so that a small file cannot fill the memory when it is read.
MAX_BRACKETS, MAX_COMMAS = 150_000, 1_000_000
#: Bytes of the zip at most, and sheets of one job.
MAX_ZIP, MAX_SHEETS = 30_000_000, 400
FILES = ("about.json", "job.json", "sheets.json", "events.json", "schema.json")


class ArchiveFault(ValueError):
    """This is no job archive that can be taken in; ``code`` says why, ``where`` in which of its files."""

    def __init__(self, code: str, where: str = "", detail: str = "") -> None:
        super().__init__(" ".join(part for part in (code, where, detail) if part))
        self.code, self.where, self.detail = code, where, detail


class About(Kept):
    """``about.json``."""

    format: str = FORMAT
    version: int = Field(VERSION, ge=1)
    made_by: str = f"ringwright {__version__}"


class Archive(Kept):
    """All of one job."""

    document: JobDocument
    sheets: tuple[RoundSheet, ...] = ()
    log: tuple[Logged, ...] = ()


T = TypeVar("T")


@cache
def schema() -> dict[str, Any]:
    """The published JSON schema of the files in an archive, one entry per file."""
    return {
        "about.json": About.model_json_schema(),
        "job.json": JobDocument.model_json_schema(),
        "sheets.json": TypeAdapter(tuple[RoundSheet, ...]).json_schema(),
        "events.json": TypeAdapter(tuple[Logged, ...]).json_schema(),
    }


def pack(archive: Archive) -> bytes:
    """The zip; the same job gives the same bytes."""
    contents = {
        "about.json": About().model_dump(mode="json"),
        "job.json": archive.document.model_dump(mode="json"),
        "sheets.json": [sheet.model_dump(mode="json") for sheet in archive.sheets],
        "events.json": [logged.model_dump(mode="json") for logged in archive.log],
        "schema.json": schema(),
    }
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in contents.items():
            packed.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), canonical(content), zipfile.ZIP_DEFLATED)
    return held.getvalue()


def unpack(packed: bytes) -> Archive:
    """Read a zip that `pack` made, here or elsewhere.

    Raises
    ------
    ArchiveFault
        "too_large", "not_a_zip", "missing_file", "not_json", "newer_format", "not_a_job_archive", "faulty" (a record
        does not hold to the schema) or "does_not_hold_together" (an event without its sheet, a number twice).
    """
    if len(packed) > MAX_ZIP:
        raise ArchiveFault("too_large")
    contents = _contents(packed)
    about = _checked(_ABOUT, contents["about.json"], "about.json")
    if about.format != FORMAT:
        raise ArchiveFault("not_a_job_archive", "about.json", about.format[:60])
    if about.version > VERSION:
        raise ArchiveFault("newer_format", "about.json", str(about.version))
    archive = Archive(
        document=_checked(_JOB, contents["job.json"], "job.json"),
        sheets=_checked(_SHEETS, contents["sheets.json"], "sheets.json"),
        log=_checked(_LOG, contents["events.json"], "events.json"),
    )
    _only_numbers(archive.document)
    _holds_together(archive)
    return archive


def _contents(packed: bytes) -> dict[str, bytes]:
    """The raw files, each looked at before it is read: its size as declared, as it is, and how much it holds."""
    try:
        with zipfile.ZipFile(io.BytesIO(packed)) as opened:
            return {name: _content(opened, name) for name in FILES[:-1]}  # the schema is for people and other programs
    except ArchiveFault:
        raise
    except Exception as fault:  # BadZipFile, zlib.error, NotImplementedError and their like: all are faults of the file
        raise ArchiveFault("not_a_zip", detail=type(fault).__name__) from None


def _content(opened: zipfile.ZipFile, name: str) -> bytes:
    if name not in opened.namelist():
        raise ArchiveFault("missing_file", name)
    most = MAX_BYTES[name]
    if opened.getinfo(name).file_size > most:
        raise ArchiveFault("too_large", name)
    with opened.open(name) as file:
        raw = file.read(most + 1)  # what the zip says about its sizes is not believed
    if len(raw) > most or raw.count(b"[") + raw.count(b"{") > MAX_BRACKETS or raw.count(b",") > MAX_COMMAS:
        raise ArchiveFault("too_large", name)
    return raw


def _logged(one: Any) -> Logged:
    if not isinstance(one, dict) or set(one) != {"seq", "event"} or not isinstance(one["event"], dict):
        raise ValueError("not a logged event")
    return Logged(seq=one["seq"], event=read_event(one["event"]))


#: the files as they are read, no further than the first fault
_ABOUT, _JOB = TypeAdapter(About), TypeAdapter(JobDocument)
_SHEETS = TypeAdapter(Annotated[tuple[RoundSheet, ...], Field(max_length=MAX_SHEETS), FailFast()])
_LOG = TypeAdapter(Annotated[tuple[Annotated[Logged, PlainValidator(_logged)], ...], FailFast()])


def _checked(read: TypeAdapter[T], raw: bytes, where: str) -> T:
    try:
        return read.validate_json(raw)
    except ValidationError as faults:
        first = faults.errors(include_url=False, include_input=False, include_context=False)[0]
        if first["type"] == "json_invalid":
            raise ArchiveFault("not_json", where) from None
        place = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in first["loc"])
        raise ArchiveFault("faulty", where + place, first["type"]) from None


def _only_numbers(document: JobDocument) -> None:
    """No NaN and no infinity in the requests that a job keeps as they were asked."""
    try:
        json.dumps(document.model_dump(), allow_nan=False)
    except ValueError:
        raise ArchiveFault("faulty", "job.json", "finite_number") from None


def _holds_together(archive: Archive) -> None:
    """Every sheet is of this job, every event names one of its sheets, and each round counts 1, 2, 3 without a hole."""
    job_id = archive.document.job_id
    of_round = {sheet.digest: sheet.round_id for sheet in archive.sheets}
    revisions = {(sheet.round_id, sheet.revision) for sheet in archive.sheets}
    if len(revisions) != len(archive.sheets) or any(sheet.job_id != job_id for sheet in archive.sheets):
        raise ArchiveFault("does_not_hold_together", "sheets.json")
    events: list[Event] = [logged.event for logged in archive.log]
    if len({event.event_id for event in events}) != len(events):
        raise ArchiveFault("does_not_hold_together", "events.json", "event_id twice")
    next_seq: dict[str, int] = {}
    for i, logged in enumerate(archive.log):
        event = logged.event
        wanted = next_seq.get(event.round_id, 1)
        if event.job_id != job_id or of_round.get(event.sheet_digest) != event.round_id or logged.seq != wanted:
            raise ArchiveFault("does_not_hold_together", f"events.json[{i}]")
        next_seq[event.round_id] = wanted + 1
