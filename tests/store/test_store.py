"""Jobs and kit with versions, sheets that stay, and a log that takes each event once; SQLite and PostgreSQL alike."""

from __future__ import annotations

import threading
from datetime import date

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from ringwright.job.kit import Kit, Rates
from ringwright.store import (
    EventClash,
    JobExists,
    Missing,
    SheetClash,
    Stale,
    UnknownSheet,
    open_store,
)

# -- jobs and kit ---------------------------------------------------------------------------------------------------


def test_a_job_comes_back_as_it_was_saved(store, document):
    assert store.new_job(document) == 1
    changed = document.model_copy(update={"customer": "Müller & Söhne", "urgent": True})
    assert store.save_job(changed, 1) == 2
    assert store.job("job") == (changed, 2)


def test_a_stale_page_is_refused_and_changes_nothing(store, document):
    store.new_job(document)
    first = document.model_copy(update={"title": "First"})
    store.save_job(first, 1)

    with pytest.raises(Stale) as refused:
        store.save_job(document.model_copy(update={"title": "Second"}), 1)

    assert (refused.value.seen, refused.value.now) == (1, 2)
    assert store.job("job") == (first, 2)


def test_what_is_not_there_is_said(store, document):
    with pytest.raises(Missing):
        store.job("job")
    with pytest.raises(Missing):
        store.save_job(document, 1)
    with pytest.raises(Missing):
        store.sheet("0" * 64)
    with pytest.raises(Missing):
        store.export_job("job")
    store.new_job(document)
    with pytest.raises(JobExists):
        store.new_job(document)


def test_the_slate_puts_urgent_first_then_the_due_day(store, document):
    for job_id, urgent, due in (
        ("a", False, ""),
        ("b", False, "2026-12-24"),
        ("c", True, ""),
        ("d", False, "2026-12-01"),
    ):
        store.new_job(document.model_copy(update={"job_id": job_id, "urgent": urgent, "due": due}))
    assert [line.job_id for line in store.jobs()] == ["c", "d", "b", "a"]


def test_kit_has_versions_too(store):
    assert store.kit() == (Kit(), 0)
    kit = Kit(rates=Rates(hour=75))
    assert store.save_kit(kit, 0) == 1
    with pytest.raises(Stale):
        store.save_kit(Kit(), 0)
    assert store.kit() == (kit, 1)
    assert store.save_kit(Kit(), 1) == 2


# -- sheets ---------------------------------------------------------------------------------------------------------


def test_a_frozen_sheet_comes_back_with_its_digest(begun):
    store, sheet = begun
    assert store.sheet(sheet.digest).digest == sheet.digest
    assert store.start_round(sheet) == sheet.digest, "freezing it again is harmless"


def test_another_plan_needs_another_revision(begun, rounds):
    store, sheet = begun
    with pytest.raises(SheetClash):
        store.start_round(rounds.sheet_of(every=4))
    second = rounds.sheet_of(every=4, revision=2)
    store.start_round(second)
    assert [s.digest for s in store.rounds("job")] == [sheet.digest, second.digest]


def test_a_round_needs_its_job(store, rounds):
    with pytest.raises(Missing):
        store.start_round(rounds.sheet_of())


# -- the log --------------------------------------------------------------------------------------------------------


def test_events_are_numbered_as_they_arrive_and_sending_twice_is_harmless(begun, rounds):
    store, sheet = begun
    first, second = rounds.event_of(sheet, 1, "started"), rounds.event_of(sheet, 2, "done", 1, seen_seq=1)

    assert [(r.seq, r.again) for r in store.append([first])] == [(1, False)]
    assert [(r.seq, r.again) for r in store.append([first, second])] == [(1, True), (2, False)]

    assert [(one.seq, one.event) for one in store.events("job", "r1")] == [(1, first), (2, second)]
    assert [one.seq for one in store.events("job", "r1", after_seq=1)] == [2]


def test_an_event_without_its_sheet_is_refused_with_all_it_came_with(begun, rounds):
    store, sheet = begun
    stranger = rounds.event_of(rounds.sheet_of(every=9), 2, "done", 1)

    with pytest.raises(UnknownSheet):
        store.append([rounds.event_of(sheet, 1, "started"), stranger])

    assert store.events("job", "r1") == ()


def test_an_event_may_not_name_a_sheet_of_another_round(begun, rounds):
    store, sheet = begun
    with pytest.raises(UnknownSheet):
        store.append([rounds.event_of(sheet, 1, "started").model_copy(update={"round_id": "r2"})])


def test_the_same_id_with_other_contents_is_refused(begun, rounds):
    store, sheet = begun
    store.append([rounds.event_of(sheet, 1, "done", 1)])
    with pytest.raises(EventClash):
        store.append([rounds.event_of(sheet, 1, "trouble", 1)])
    assert [one.event.kind for one in store.events("job", "r1")] == ["done"]


@pytest.mark.parametrize("act", ["UPDATE events SET station = 'x'", "DELETE FROM events", "DELETE FROM sheets"])
def test_the_database_itself_refuses_to_change_the_log(begun, rounds, act):
    store, sheet = begun
    store.append([rounds.event_of(sheet, 1, "started")])
    with pytest.raises(DatabaseError, match="append-only"), store.engine.connect() as connection, connection.begin():
        connection.execute(text(act))
    assert len(store.events("job", "r1")) == 1


def test_two_stations_at_once_get_every_number_once(begun, rounds, place):
    """Eight threads; afterwards the numbers run 1 to 80 and each station's order holds."""
    store, sheet = begun
    faults = []

    def station(name):
        try:
            # even ones share one store, as the threads of one server do; odd ones are programs of their own
            own = store if name in ("st0", "st2", "st4", "st6") else open_store(place)
            for n in range(1, 11):
                own.append([rounds.event_of(sheet, n, "note", station=name, event_id=f"{name}-{n:05d}")])
            if own is not store:
                own.close()
        except Exception as fault:
            faults.append(fault)

    threads = [threading.Thread(target=station, args=(f"st{i}",)) for i in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert faults == []
    log = store.events("job", "r1")
    assert [one.seq for one in log] == list(range(1, 81))
    for i in range(8):
        assert [one.event.station_seq for one in log if one.event.station == f"st{i}"] == list(range(1, 11))


def test_of_two_who_save_at_once_one_is_stale(store, document, place):
    store.new_job(document)
    came = []

    def save(title):
        with open_store(place) as own:
            try:
                came.append(own.save_job(document.model_copy(update={"title": title}), 1))
            except Stale:
                came.append("stale")

    threads = [threading.Thread(target=save, args=(f"title {i}",)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(map(str, came)) == ["2", "stale", "stale", "stale"]


# -- out and in, check ----------------------------------------------------------------------------------------------


def test_a_job_goes_from_one_store_to_another_with_its_numbers(begun, rounds, tmp_path):
    store, sheet = begun
    store.append([rounds.event_of(sheet, 1, "started"), rounds.event_of(sheet, 2, "done", 1, seen_seq=1)])
    packed = store.export_job("job")

    with open_store(tmp_path / "other") as other:
        assert other.import_job(packed) == "job"
        assert other.job("job")[0] == store.job("job")[0]
        assert other.events("job", "r1") == store.events("job", "r1")
        assert other.export_job("job") == packed
        with pytest.raises(JobExists):
            other.import_job(packed)


def test_an_import_that_fails_half_way_leaves_nothing(begun, rounds, tmp_path):
    store, sheet = begun
    store.append([rounds.event_of(sheet, 1, "started")])
    packed = store.export_job("job")
    with open_store(tmp_path / "other") as other:
        other.new_job(store.job("job")[0].model_copy(update={"job_id": "else"}))
        foreign = rounds.sheet_of().model_copy(update={"job_id": "else"})
        other.start_round(foreign)
        clash = rounds.event_of(foreign, 1, "started")
        other.append([clash.model_copy(update={"job_id": "else"})])

        with pytest.raises(EventClash):
            other.import_job(packed)

        assert [line.job_id for line in other.jobs()] == ["else"]
        assert other.rounds("job") == ()


def test_check_finds_what_is_wrong_and_nothing_else(begun, rounds):
    store, sheet = begun
    store.append([rounds.event_of(sheet, 1, "started"), rounds.event_of(sheet, 4, "done", 1)])

    wrong = {finding.code: finding.detail for finding in store.check() if not finding.ok}

    expected = {"stations_complete"}
    if store.engine.dialect.name == "postgresql":
        expected.add("durable")  # the tests' server runs without fsync, and check says so
    assert set(wrong) == expected
    assert "2–3" in wrong["stations_complete"]


def test_check_sees_a_sheet_that_was_tampered_with(begun):
    store, _ = begun
    with store.engine.connect() as connection, connection.begin():
        if store.engine.dialect.name == "sqlite":
            connection.execute(text("DROP TRIGGER sheets_no_update"))
        else:
            connection.execute(text("DROP TRIGGER sheets_append_only ON sheets"))
        connection.execute(text("""UPDATE sheets SET sheet = replace(sheet, '"title":"Lead-in"', '"title":"Else"')"""))
    assert "sheets_true" in {finding.code for finding in store.check() if not finding.ok}


def test_a_daily_copy_is_made_once_and_the_oldest_go(begun, tmp_path):
    from ringwright.store import copies

    store, _ = begun
    place = tmp_path / "daily"
    for day in range(1, 8):
        assert copies.rotate(store.engine, store.folder, place, keep=3, today=date(2026, 12, day))
    assert copies.rotate(store.engine, store.folder, place, keep=3, today=date(2026, 12, 7)) is None
    assert [file.name for file in sorted(place.iterdir())] == [f"daily-2026120{day}.sqlite3" for day in (5, 6, 7)]


def test_the_daily_copy_of_a_folder_lies_in_the_folder(begun, tmp_path):
    store, _ = begun
    if store.folder is None:
        assert store.daily_copy() is None, "a server has no folder of its own"
        assert store.daily_copy(tmp_path / "copies").exists()
    else:
        made = store.daily_copy()
        assert made.parent == store.folder / "copies"
        assert store.daily_copy() is None


def test_a_backup_of_either_database_opens_as_a_folders_and_goes_back(begun, rounds, tmp_path, request, place):
    store, sheet = begun
    store.append([rounds.event_of(sheet, 1, "started")])
    store.save_kit(Kit(rates=Rates(hour=75)), 0)
    file = store.backup(tmp_path / "backup.sqlite3")
    packed = store.export_job("job")

    with open_store(tmp_path / "fresh") as fresh:
        fresh.restore(file)
        assert fresh.export_job("job") == packed
        assert fresh.kit() == store.kit()
        assert [f.code for f in fresh.check() if not f.ok] == []
    if isinstance(place, str):
        with open_store(request.getfixturevalue("postgres").new_database()) as fresh:
            fresh.restore(file)
            assert fresh.export_job("job") == packed
            assert [r.seq for r in fresh.append([rounds.event_of(sheet, 2, "done", 1)])] == [2]
