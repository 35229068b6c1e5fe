"""A job as one zip, out and in: its document, its frozen sheets, its log, and the schema of these files.

Inside: ``about.json`` (what this is, by whom, which version), ``job.json``, ``sheets.json``, ``events.json`` and
``schema.json``. Reading is bounded and whole: every fault is found before anything is taken in.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from functools import cache
from typing import Any

from pydantic import Field, TypeAdapter, ValidationError

from ringwright import __version__
from ringwright.job.base import Kept
from ringwright.job.document import JobDocument
from ringwright.job.events import Event, Logged, read_event
from ringwright.job.sheet import RoundSheet, canonical

FORMAT = "ringwright job"
VERSION = 1
#: What is looked at at most: of the zip, of all files unpacked, sheets and events of one job.
MAX_ZIP, MAX_UNPACKED, MAX_SHEETS, MAX_EVENTS = 50_000_000, 200_000_000, 400, 200_000
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
    about = _checked(About.model_validate, contents["about.json"], "about.json")
    if about.format != FORMAT:
        raise ArchiveFault("not_a_job_archive", "about.json", about.format[:60])
    if about.version > VERSION:
        raise ArchiveFault("newer_format", "about.json", str(about.version))
    archive = Archive(
        document=_checked(JobDocument.model_validate_json, json.dumps(contents["job.json"]), "job.json"),
        sheets=tuple(
            _checked(RoundSheet.model_validate_json, json.dumps(one), f"sheets.json[{i}]")
            for i, one in enumerate(_listed(contents["sheets.json"], MAX_SHEETS, "sheets.json"))
        ),
        log=tuple(
            _checked(_logged, one, f"events.json[{i}]")
            for i, one in enumerate(_listed(contents["events.json"], MAX_EVENTS, "events.json"))
        ),
    )
    _holds_together(archive)
    return archive


def _contents(packed: bytes) -> dict[str, Any]:
    contents: dict[str, Any] = {}
    left = MAX_UNPACKED
    try:
        with zipfile.ZipFile(io.BytesIO(packed)) as opened:
            for name in FILES[:-1]:  # the schema is for people and other programs
                if name not in opened.namelist():
                    raise ArchiveFault("missing_file", name)
                with opened.open(name) as file:
                    text = file.read(left + 1)  # what the zip says about its sizes is not believed
                left -= len(text)
                if left < 0:
                    raise ArchiveFault("too_large", name)
                contents[name] = json.loads(text, parse_constant=_refuse_constant)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, RuntimeError) as fault:
        if isinstance(fault, RecursionError):
            raise ArchiveFault("not_json") from None
        raise ArchiveFault("not_a_zip", detail=type(fault).__name__) from None
    except ArchiveFault:
        raise
    except (
        Exception
    ) as fault:  # zlib.error, UnicodeDecodeError, JSONDecodeError and their like: all are faults of the file
        raise ArchiveFault("not_json", detail=type(fault).__name__) from None
    return contents


def _refuse_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _listed(content: Any, most: int, where: str) -> Sequence[Any]:
    if not isinstance(content, list):
        raise ArchiveFault("faulty", where)
    if len(content) > most:
        raise ArchiveFault("too_large", where)
    return content


def _logged(one: Any) -> Logged:
    if not isinstance(one, dict) or set(one) != {"seq", "event"} or not isinstance(one["event"], dict):
        raise ValueError("not a logged event")
    return Logged(seq=one["seq"], event=read_event(one["event"]))


def _checked(read: Any, content: Any, where: str) -> Any:
    try:
        return read(content)
    except ValidationError as faults:
        first = faults.errors(include_url=False)[0]
        path = ".".join(str(step) for step in first["loc"])
        raise ArchiveFault("faulty", f"{where}.{path}" if path else where, first["type"]) from None
    except ValueError as fault:
        raise ArchiveFault("faulty", where, str(fault)) from None


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
