"""Prove, the papers and a job as one file: what is wanted, what is refused, what comes out."""

import io
import zipfile

import pytest
from fastapi.testclient import TestClient

from ringwright.job.demo import demo_job, demo_kit
from ringwright.job.document import Check
from ringwright.job.events import Event
from ringwright.job.sheet import Closing, Position, Provenance, RoundSheet, Row, WitnessRule
from ringwright.paper.hand_over_words import teeth_words
from ringwright.store import open_store
from ringwright.web.app import create_app
from ringwright.web.hand_back import back_steps, rounds_cut, superseded, why_not_signed
from ringwright.web.samples import NEAR, aims, spread, verdict_of, wanted, zone_middles

JOB = "screen-drum-drive-ring"


def plain_job():
    """The demo ring with one round set out, its way of dividing not yet taken."""
    job = demo_job()
    plan = job.set_out.rounds[0].model_copy(update={"way": None, "revision": 1, "teeth": None})
    return job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": (plan,)}), "state": "open"})


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path) as store:
        store.new_job(plain_job())
        store.save_kit(demo_kit(), store.kit()[1])
        yield store


@pytest.fixture
def client(store):
    return TestClient(create_app(store), base_url="http://localhost:8000", follow_redirects=False)


def send(client, store, act, **fields):
    version = store.job(JOB)[1]
    return client.post(f"/jobs/{JOB}/prove/{act}", data={"version": str(version), **fields})


def with_checks(store, *checks, **prove):
    job, version = store.job(JOB)
    changed = job.prove.model_copy(update={"checks": checks, **prove})
    store.save_job(job.model_copy(update={"prove": changed}), version)


def five_teeth(job_id=JOB, zones=("sound",) * 5):
    return RoundSheet(
        job_id=job_id,
        round_id="lead-in",
        title="Lead-in",
        teeth_on_ring=127,
        provenance=Provenance(made_by="", contract=1, tables_digest=""),
        rows=tuple(
            Row(tooth=t, move_words="", position=Position(spindle_deg=2.0 * t), zone=zone)
            for t, zone in zip((1, 2, 3, 4, 5), zones, strict=True)
        ),
        witness=WitnessRule(kind="spindle_deg", within_deg=1),
        closing=Closing(divisions=127, spindle_deg=2),
    )


def cut(store, *marks, sheet=None):
    """Start a round and put (kind, tooth, data) into its log, after a waived dry run and a released first tooth."""
    sheet = sheet or five_teeth()
    store.start_round(sheet)
    acts = [("started", None, {}), ("dry_run_closed", None, {"closes": True, "waived": "short round"})]
    acts += [("done", 1, {}), ("first_measured", 1, {"within": True}), *marks]
    store.append(
        Event(
            event_id=f"event-{n:04}",
            job_id=sheet.job_id,
            round_id=sheet.round_id,
            sheet_digest=sheet.digest,
            station="mill",
            station_seq=n,
            kind=kind,
            tooth=tooth,
            data=data,
        )
        for n, (kind, tooth, data) in enumerate(acts, 1)
    )


# -- sample teeth -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("z", "count"), [(127, 8), (40, 8), (9, 4), (1000, 6)])
def test_samples_are_spread_evenly(z, count):
    got = spread(range(1, z + 1), count)
    gaps = [(b - a) % z for a, b in zip(got, got[1:] + got[:1], strict=True)]

    assert len(set(got)) == count
    assert max(gaps) - min(gaps) <= 1


def test_the_middle_of_each_hard_or_welded_run_is_a_sample():
    zones = {1: "hard", 2: "hard", 3: "hard", 4: "sound", 5: "weld", 6: "heat_affected", 7: "heat_affected"}

    assert zone_middles(range(1, 8), zones) == (2, 5, 7)


def test_a_run_of_teeth_that_the_round_leaves_out_is_no_sample():
    assert zone_middles([4, 5], {2: "hard", 5: "hard"}) == (5,)


def by_what(job, cut=()):
    return {w.what: w for w in wanted(job, cut)}


def test_a_judged_reading_takes_its_sample_off_and_an_open_one_does_not():
    job = demo_job()
    first = by_what(job)["lead"].open[1]
    reading = Check(what="lead", tooth=first, value=1.0, unit="mm", passed=True)
    passed, unjudged = (
        job.model_copy(update={"prove": job.prove.model_copy(update={"checks": (c,)})})
        for c in (reading, reading.model_copy(update={"passed": None}))
    )

    assert first not in by_what(passed)["lead"].open
    assert len(by_what(passed)["lead"].open) == len(by_what(job)["lead"].open) - 1
    assert first in by_what(unjudged)["lead"].open


def test_a_reading_farther_off_than_said_does_not_count():
    job = demo_job()
    sample = by_what(job)["backlash"].open[0]
    far = Check(what="backlash", tooth=sample + NEAR + 1, value=0.2, unit="mm", passed=True)
    changed = job.model_copy(update={"prove": job.prove.model_copy(update={"checks": (far,)})})

    assert sample in by_what(changed)["backlash"].open


def test_engagement_is_wanted_at_each_stop_and_four_places_more():
    wanted_at = by_what(demo_job())["engagement"].open
    assert set(demo_job().map.stops_at) <= set(wanted_at)
    assert len(wanted_at) == 4 + len(demo_job().map.stops_at)


def test_the_lead_of_the_plan_is_what_was_asked_for():
    asked = demo_job().set_out.rounds[0].lead_in["target"]["lead_length_mm"]
    (aim,) = aims(demo_job())
    assert aim.of("lead") == (pytest.approx(asked, abs=0.002), demo_job().set_out.rounds[0].tolerances.lead_mm)
    assert aim.of("span") == (None, None)


@pytest.mark.parametrize(
    ("value", "passed"), [(0.7, True), (0.6999, False), (1.3, True), (1.3001, False), (1.0, True), (None, None)]
)
def test_both_ends_of_the_tolerance_pass(value, passed):
    assert verdict_of(value, 1.0, 0.3) is passed


# -- one check at a time ----------------------------------------------------------------------------------------------


def test_a_lead_is_judged_against_the_plan(client, store):
    with_checks(store)
    for value in ("1.1", "1.5"):
        assert send(client, store, "check", what="lead", tooth="17", value=value, by="hb").status_code == 303

    good, bad = store.job(JOB)[0].prove.checks
    assert (good.passed, bad.passed) == (True, False)
    assert (good.tolerance, good.unit, good.tooth) == (0.3, "mm", 17)


def test_inches_are_read_as_inches(client, store):
    with_checks(store)
    client.cookies.set("unit", "in")
    send(client, store, "check", what="lead", tooth="17", value="0.04", by="hb")
    assert store.job(JOB)[0].prove.checks[0].value == pytest.approx(1.016)


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"what": "burrs", "by": "hb"}, "Nobody has said whether it passed."),
        ({"what": "burrs", "by": "hb", "passed": "maybe"}, "Nobody has said whether it passed."),
        ({"what": "run_out", "by": "hb", "value": "0.2"}, "Nobody has said whether it passed."),
        ({"what": "lead", "by": "hb"}, "There is no reading."),
        ({"what": "burrs", "passed": "yes"}, "It is not said who looked or measured."),
        ({"what": "colour", "by": "hb", "passed": "yes"}, "It is not said what was looked at."),
        ({"what": "burrs", "by": "hb", "passed": "yes", "tooth": "128"}, "128"),
        ({"what": "lead", "by": "hb", "value": "one"}, "one"),
    ],
)
def test_nothing_is_taken_as_passed_by_itself(client, store, fields, code):
    before = store.job(JOB)
    got = send(client, store, "check", **fields)
    assert got.status_code == 422
    assert code in got.text
    assert store.job(JOB) == before


def test_an_eye_check_is_what_the_person_said(client, store):
    with_checks(store)
    for said in ("yes", "no", "later"):
        send(client, store, "check", what="burrs", by="hb", passed=said)
    assert [c.passed for c in store.job(JOB)[0].prove.checks] == [True, False, None]


def test_an_open_line_is_judged_by_its_own_figures(client, store):
    with_checks(store, Check(what="lead", tooth=1, unit="mm", wanted=1.0, tolerance=0.3))
    assert send(client, store, "answer", index="0", value="1.31", by="hb").status_code == 303
    assert store.job(JOB)[0].prove.checks[0].passed is False


def test_a_remark_does_not_judge(client, store):
    with_checks(store, Check(what="burrs"))
    send(client, store, "answer", index="0", only="remark", remark="not reached yet")
    (check,) = store.job(JOB)[0].prove.checks
    assert (check.passed, check.remark) == (None, "not reached yet")


def test_a_stale_page_is_refused(client, store):
    version = store.job(JOB)[1]
    with_checks(store)
    got = client.post(
        f"/jobs/{JOB}/prove/check", data={"version": str(version), "what": "burrs", "by": "hb", "passed": "yes"}
    )
    assert got.status_code == 409
    assert store.job(JOB)[0].prove.checks == ()


# -- signing ----------------------------------------------------------------------------------------------------------

GOOD = Check(what="burrs", passed=True, by="hb")
FAILED = Check(what="lead", tooth=9, value=2.0, unit="mm", wanted=1.0, tolerance=0.3, passed=False, by="hb")


def codes(store, not_warranted=""):
    job = store.job(JOB)[0]
    return [p.code for p in why_not_signed(job, rounds_cut(store, JOB), not_warranted)]


@pytest.mark.parametrize(
    ("checks", "not_warranted", "against"),
    [
        ((), "", ["nothing_proved"]),
        ((GOOD,), "", []),
        ((GOOD, FAILED), "", ["check_failed"]),
        ((GOOD, FAILED), "tooth 9", ["check_failed"]),
        ((GOOD, FAILED.model_copy(update={"remark": "hard spot"})), "", ["check_failed"]),
        ((GOOD, FAILED.model_copy(update={"remark": "hard spot"})), "tooth 9", []),
        ((GOOD, FAILED, FAILED.model_copy(update={"value": 1.1, "passed": True})), "", []),
        ((GOOD, FAILED.model_copy(update={"value": 1.1, "passed": True}), FAILED), "", ["check_failed"]),
        ((GOOD, Check(what="span")), "", ["check_open"]),
        ((GOOD, Check(what="span", remark="again after the cut")), "tooth 9", ["check_open"]),
    ],
)
def test_what_stands_against_signing(store, checks, not_warranted, against):
    with_checks(store, *checks)
    assert codes(store, not_warranted) == against


def test_a_reading_elsewhere_does_not_settle_a_failed_one():
    elsewhere = FAILED.model_copy(update={"tooth": 10, "passed": True})
    assert not superseded((FAILED, elsewhere), 0)


def test_teeth_passed_over_without_a_reason_stand_against_signing(store):
    with_checks(store, GOOD)
    cut(store, ("skipped", 2, {}), ("trouble", 3, {"reason": "cutter chipped"}), ("done", 4, {}))
    (one,) = rounds_cut(store, JOB)

    assert (one.done, one.skipped, one.trouble, one.untouched) == ((1, 4), (2,), (3,), (5,))
    assert codes(store) == ["teeth_not_cut", "teeth_without_reason"]
    assert codes(store, "tooth 2 has no lead") == ["teeth_not_cut"]


def test_a_reason_at_the_machine_is_enough_for_a_tooth_passed_over(store):
    with_checks(store, GOOD)
    rest = tuple(("done", t, {}) for t in (3, 4, 5))
    cut(store, ("skipped", 2, {"reason": "weld"}), *rest)
    assert codes(store) == []


def test_signing_is_refused_with_every_reason_and_what_was_typed(client, store):
    with_checks(store, GOOD, FAILED)
    got = send(client, store, "sign", signed_by="", back_on="entry face to the lever")
    assert got.status_code == 422
    assert "Did not pass: Lead on the tooth end, tooth 9." in got.text
    assert "Still to look at:" in got.text
    assert "Nobody signs yet" in got.text
    assert "entry face to the lever" in got.text
    assert store.job(JOB)[0].prove.signed_by == ""


def test_signed_stays_as_it_was_signed_until_taken_back(client, store):
    with_checks(store, GOOD)
    assert (
        send(client, store, "sign", signed_by="hb").status_code == 422
    )  # samples are still wanted, and nobody says so
    assert send(client, store, "sign", signed_by="hb", not_warranted="n").status_code == 422
    signed = send(client, store, "sign", signed_by="hb", back_on="b", not_warranted="n", unseen="yes")
    assert signed.status_code == 303
    job = store.job(JOB)[0]
    assert (job.prove.signed_by, job.prove.back_on, job.state) == ("hb", "b", "done")
    first, unseen = job.prove.not_warranted.split("\n")
    assert first == "n"
    assert unseen.startswith("Not looked at: Lead on the tooth end at 1, 17")
    assert "Burrs" not in unseen

    assert send(client, store, "take-off", index="0").status_code == 422
    assert store.job(JOB)[0].prove.checks == (GOOD,)

    assert send(client, store, "open").status_code == 303
    assert send(client, store, "take-off", index="0").status_code == 303
    assert store.job(JOB)[0].prove.checks == ()


def test_words_that_would_be_cut_off_are_refused(client, store):
    with_checks(store, GOOD)
    got = send(client, store, "sign", signed_by="hb", not_warranted="n" * 600, unseen="yes")
    assert got.status_code == 422
    assert "at most 600 letters" in got.text
    assert store.job(JOB)[0].prove.signed_by == ""


# -- the page ---------------------------------------------------------------------------------------------------------


def test_no_verdict_is_chosen_beforehand(client, store):
    text = client.get(f"/jobs/{JOB}/prove?what=burrs").text
    assert 'type="radio"' in text
    assert "checked" not in text.split('id="one"')[1]


def test_the_page_says_where_the_round_stands(client, store):
    cut(store, ("skipped", 2, {"reason": "<weld>"}), ("done", 4, {}))
    text = client.get(f"/jobs/{JOB}/prove").text
    assert "2 / 5" in text
    assert "Passed over: 2 (&lt;weld&gt;)" in text
    assert "Not cut: 3, 5 (no reason given)".replace("3, 5", teeth_words((3, 5))) in text


def test_reclocked_teeth_come_from_the_side_that_the_ring_turns_from():
    job = demo_job()
    turned = job.model_copy(
        update={"decide": job.decide.model_copy(update={"taken": "reclock", "reclock_by_teeth": 8})}
    )
    assert any("Tooth 10 then stands where tooth 18 stood." in step for step in back_steps(turned))
    back = turned.model_copy(update={"decide": turned.decide.model_copy(update={"reclock_by_teeth": -120})})
    assert any("Tooth 11 then stands where tooth 18 stood." in step for step in back_steps(back))


def test_a_ring_turned_over_is_not_put_back_as_it_was():
    job = demo_job()
    ways = {}
    for way in ("dress_and_lead_in", "turn_over"):
        changed = job.model_copy(update={"decide": job.decide.model_copy(update={"taken": way})})
        ways[way] = " ".join(back_steps(changed))
    assert "goes back as the entry face" in ways["dress_and_lead_in"]
    assert "goes back as the entry face" not in ways["turn_over"]
    assert "far face is the entry face now" in ways["turn_over"]


def test_a_tooth_touched_on_the_ring_offers_every_check_at_it(client):
    text = client.get(f"/jobs/{JOB}/prove?tooth=33").text
    assert "?what=span&amp;tooth=33#one" in text
    assert "Looked at or measured at tooth 33" in text


def test_a_refused_check_keeps_its_form(client, store):
    text = send(client, store, "check", what="lead", tooth="17", value="abc", by="hb").text
    assert 'name="what" value="lead"' in text
    assert 'value="abc"' in text


@pytest.mark.parametrize("duty", ["unknown", "holds_people_or_loads"])
def test_a_ring_that_may_hold_people_is_cautioned(client, store, duty):
    job, version = store.job(JOB)
    store.save_job(job.model_copy(update={"duty": duty}), version)
    assert "holds people or loads" in client.get(f"/jobs/{JOB}/prove").text


# -- papers and the job as one file -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["set-up-sheet", "division-table", "tooth-sheet", "hand-over"])
def test_each_paper_of_a_started_round_is_a_pdf(client, store, name):
    cut(store, ("skipped", 2, {"reason": "weld"}))
    got = client.get(f"/jobs/{JOB}/papers/{name}.pdf?round=lead-in")
    assert got.status_code == 200
    assert got.headers["content-type"] == "application/pdf"
    assert got.content.startswith(b"%PDF-")
    assert got.content.rstrip().endswith(b"%%EOF")


def test_a_paper_without_a_way_of_dividing_shows_set_out_with_the_reason(client):
    got = client.get(f"/jobs/{JOB}/papers/division-table.pdf")
    assert got.status_code == 422
    assert "No way of dividing was chosen" in got.text


def test_an_unknown_paper_is_not_here(client):
    assert client.get(f"/jobs/{JOB}/papers/poster.pdf").status_code == 404
    assert client.get("/jobs/nobody/papers/hand-over.pdf").status_code == 404
    assert client.get("/jobs/nobody/job.zip").status_code == 404


def test_a_job_goes_out_as_one_file_and_comes_in_elsewhere(client, store, tmp_path_factory):
    cut(store, ("done", 2, {}))
    packed = client.get(f"/jobs/{JOB}/job.zip")
    assert f'filename="{JOB}.zip"' in packed.headers["content-disposition"]

    with open_store(tmp_path_factory.mktemp("other")) as other:
        there = TestClient(create_app(other), base_url="http://localhost:8000", follow_redirects=False)
        got = there.post("/jobs/import", files={"file": ("job.zip", packed.content)})
        assert (got.status_code, got.headers["location"]) == (303, f"/jobs/{JOB}")
        assert other.job(JOB)[0] == store.job(JOB)[0]
        assert rounds_cut(other, JOB) == rounds_cut(store, JOB)


def broken(packed):
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(packed)) as old, zipfile.ZipFile(held, "w") as new:
        for name in old.namelist():
            new.writestr(name, b"{" if name == "job.json" else old.read(name))
    return held.getvalue()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda packed: packed, "This job is here already."),
        (lambda packed: packed[:200], "damaged"),
        (lambda packed: b"", "No file came with this."),
        (broken, "a part cannot be read"),
    ],
)
def test_a_file_that_cannot_be_taken_in_changes_nothing(client, store, change, says):
    packed = client.get(f"/jobs/{JOB}/job.zip").content
    before = store.jobs()
    got = client.post("/jobs/import", files={"file": ("job.zip", change(packed))})
    assert got.status_code == 422
    assert says in got.text
    assert store.jobs() == before


def test_a_file_beyond_the_limit_is_refused(client):
    assert client.post("/jobs/import", files={"file": ("job.zip", bytes(9 << 20))}).status_code == 413
