"""A job as one zip: the same out and in, bounded, and taken whole or not at all."""

from __future__ import annotations

import io
import json
import tracemalloc
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
    "not a number": ("job.json", lambda c: {**c, "decide": {"asked": {"x": [float("nan")]}}}, "faulty", "job.json"),
    "not UTF-8": ("job.json", lambda c: b'"\xff"', "not_json", "job.json"),
    "nested without end": ("job.json", lambda c: b"[" * 100_000, "not_json", "job.json"),
}


def _event(logged, **change):
    return {**logged, "event": {**logged["event"], **change}}


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_wrong_is_said_with_its_place(whole, name):
    file, change, code, where = CHANGES[name]
    with pytest.raises(ArchiveFault) as refused:
        unpack(changed(pack(whole), file, change))
    assert (refused.value.code, refused.value.where) == (code, where)


BOMBS = {
    "blanks": ("job.json", b" " * 50_000_000),
    "empty lists": ("job.json", b"[" + b"[]," * 6_000_000 + b"[]]"),
    "empty lists within the bytes": ("job.json", b"[" + b"[]," * 1_300_000 + b"[]]"),
    "empty objects as events": ("events.json", b"[" + b"{}," * 3_900_000 + b"{}]"),
    "numbers as sheets": ("sheets.json", b"[" + b"0," * 3_900_000 + b"0]"),
}


def with_file(packed, file, content):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(packed)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for one in old.namelist():
            new.writestr(one, content if one == file else old.read(one))
    return out.getvalue()


@pytest.mark.parametrize("name", BOMBS)
def test_a_small_zip_that_unpacks_to_much_is_refused_before_it_is_read(whole, name, monkeypatch):
    file, content = BOMBS[name]
    packed = with_file(pack(whole), file, content)
    assert len(packed) < 200_000

    def never(*_):
        raise AssertionError("it was read as JSON")

    monkeypatch.setattr(archive, "_checked", never)
    tracemalloc.start()
    try:
        with pytest.raises(ArchiveFault) as refused:
            unpack(packed)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert (refused.value.code, refused.value.where) == ("too_large", file)
    assert most < 40_000_000


def test_a_file_that_says_it_is_smaller_than_it_is_is_refused(whole):
    packed = bytearray(with_file(pack(whole), "job.json", b" " * 5_000_000))
    told, lied = (5_000_000).to_bytes(4, "little"), (1000).to_bytes(4, "little")
    assert packed.count(told) == 2  # beside the file and in the directory
    with pytest.raises(ArchiveFault):
        unpack(bytes(packed.replace(told, lied)))


def test_a_zip_that_is_too_large_is_not_opened():
    with pytest.raises(ArchiveFault, match="too_large"):
        unpack(b"x" * (archive.MAX_ZIP + 1))


def test_a_round_of_a_thousand_teeth_has_room_four_times_over(rounds):
    sheet = rounds.sheet_of(range(1, 1001), on_ring=1000)
    words = {"move_words": "w" * 60, "infeed_words": "w" * 60, "speed_words": "w" * 60}
    sheet = sheet.model_copy(update={"rows": tuple(row.model_copy(update=words) for row in sheet.rows)})
    r = rounds.Round(sheet).begin().done(*range(2, 1001))
    document = JobDocument(job_id="job", number="1", title="Ring")
    whole = Archive(document=document, sheets=(r.sheet,), log=tuple(r.log))
    packed = pack(whole)
    with zipfile.ZipFile(io.BytesIO(packed)) as opened:
        for file, most in archive.MAX_BYTES.items():
            raw = opened.read(file)
            assert 4 * len(raw) < most
            assert 4 * (raw.count(b"[") + raw.count(b"{")) < archive.MAX_BRACKETS
            assert 4 * raw.count(b",") < archive.MAX_COMMAS
    assert unpack(packed) == whole


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
