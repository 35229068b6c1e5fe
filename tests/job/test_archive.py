"""A job as one zip: the same out and in, bounded, and taken whole or not at all."""

from __future__ import annotations

import io
import json
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.job import archive
from ringwright.job.archive import FILES, Archive, ArchiveFault, pack, unpack
from ringwright.job.document import JobDocument


@pytest.fixture
def whole(rounds):
    r = rounds.Round().begin().done(2, 3)
    document = JobDocument(job_id="job", number="1", title="Ring of the Müller mixer")
    return Archive(document=document, sheets=(r.sheet,), log=tuple(r.log))


def changed(packed, name, change):
    """The zip with one of its files changed: ``change`` takes and gives plain data, or gives None to leave it out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(packed)) as old, zipfile.ZipFile(out, "w") as new:
        for one in old.namelist():
            content = json.loads(old.read(one))
            content = change(content) if one == name else content
            if content is not None:
                new.writestr(one, content if isinstance(content, bytes) else json.dumps(content))
    return out.getvalue()


def test_out_and_in_is_the_same_job_and_the_same_bytes(whole):
    packed = pack(whole)
    assert unpack(packed) == whole
    assert pack(unpack(packed)) == packed


def test_the_zip_carries_its_schema_and_holds_to_it(whole):
    with zipfile.ZipFile(io.BytesIO(pack(whole))) as opened:
        assert tuple(opened.namelist()) == FILES
        schema = json.loads(opened.read("schema.json"))
        assert set(schema) == set(FILES[:-1])
        event = json.loads(opened.read("events.json"))[0]["event"]
    assert set(schema["events.json"]["$defs"]["Event"]["properties"]) == set(event)


CHANGES = {
    "no document": ("job.json", lambda c: None, "missing_file", "job.json"),
    "another program's": ("about.json", lambda c: {**c, "format": "x"}, "not_a_job_archive", "about.json"),
    "newer": ("about.json", lambda c: {**c, "version": 2}, "newer_format", "about.json"),
    "a field too many": ("job.json", lambda c: {**c, "colour": "red"}, "faulty", "job.json.colour"),
    "sheets no list": ("sheets.json", lambda c: {}, "faulty", "sheets.json"),
    "a newer event": ("events.json", lambda c: [_event(c[0], v=2), *c[1:]], "faulty", "events.json[0]"),
    "a faulty event": (
        "events.json",
        lambda c: [c[0], _event(c[1], kind="x"), *c[2:]],
        "faulty",
        "events.json[1].kind",
    ),
    "a hole in the numbers": ("events.json", lambda c: c[:1] + c[2:], "does_not_hold_together", "events.json[1]"),
    "an id twice": ("events.json", lambda c: [*c, {**c[0], "seq": 7}], "does_not_hold_together", "events.json"),
    "an event of another job": (
        "events.json",
        lambda c: [_event(c[0], job_id="other"), *c[1:]],
        "does_not_hold_together",
        "events.json[0]",
    ),
    "a sheet that was changed": (
        "sheets.json",
        lambda c: [{**c[0], "title": "Else"}],
        "does_not_hold_together",
        "events.json[0]",
    ),
    "a sheet of another job": (
        "sheets.json",
        lambda c: [{**c[0], "job_id": "other"}],
        "does_not_hold_together",
        "sheets.json",
    ),
    "not a number": ("job.json", lambda c: b'{"v": NaN}', "not_json", ""),
    "not UTF-8": ("job.json", lambda c: b'"\xff"', "not_json", ""),
    "nested without end": ("job.json", lambda c: b"[" * 200_000, "not_json", ""),
}


def _event(logged, **change):
    return {**logged, "event": {**logged["event"], **change}}


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_wrong_is_said_with_its_place(whole, name):
    file, change, code, where = CHANGES[name]
    with pytest.raises(ArchiveFault) as refused:
        unpack(changed(pack(whole), file, change))
    assert (refused.value.code, refused.value.where) == (code, where)


def test_a_small_zip_that_unpacks_to_much_is_stopped(whole, monkeypatch):
    monkeypatch.setattr(archive, "MAX_UNPACKED", 1_000_000)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in FILES:
            packed.writestr(name, b" " * 50_000_000 if name == "job.json" else b"{}")
    assert len(out.getvalue()) < 100_000
    with pytest.raises(ArchiveFault, match="too_large"):
        unpack(out.getvalue())
    with pytest.raises(ArchiveFault, match="too_large"):
        unpack(b"x" * (archive.MAX_ZIP + 1))


@pytest.mark.parametrize("contents", [b"", b"PK", b"not a zip"])
def test_no_zip(contents):
    with pytest.raises(ArchiveFault, match="not_a_zip"):
        unpack(contents)


@given(st.integers(0, 10**6), st.binary(min_size=1, max_size=4))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_a_damaged_zip_is_read_right_or_refused(rounds, at, noise):
    """Whatever a few wrong bytes do: the job as it was, or a refusal; never another error, never another job."""
    r = rounds.Round().begin()
    document = JobDocument(job_id="job", number="1", title="Ring")
    packed = pack(Archive(document=document, sheets=(r.sheet,), log=tuple(r.log)))
    at %= len(packed)
    damaged = packed[:at] + noise + packed[at + len(noise) :]
    try:
        read = unpack(damaged)
    except ArchiveFault:
        return
    assert pack(read) == packed
