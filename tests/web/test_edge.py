"""The cutter of a round on its page, and what the machinist says of its edge."""

from __future__ import annotations

import re

import pytest

from ringwright.job.document import SetOut
from ringwright.reckon.asking_cut import order_of
from ringwright.reckon.demo_round import presses
from ringwright.web import ring

JOB = "/jobs/screen-drum-drive-ring"
PAGE = f"{JOB}/set-out/cutter"


def chance(text):
    return int(re.search(r"This edge finishes the round.*?(\d+) in 100", text, re.S)[1])


def started(shop):
    page = f"{JOB}/set-out"
    if not shop.job().set_out.rounds[0].way:
        assert shop.post(f"{page}/way", round_id="lead-in", index="0").status_code == 303
    assert shop.post(f"{page}/start", round_id="lead-in").status_code == 303
    return shop


def test_the_cutter_says_what_it_pushes_with_and_whether_it_lasts(shop):
    page = shop.get(PAGE).text
    for line in ("Force at its peak", "Power at the spindle", "The tip gives way by", "Edges to have at hand"):
        assert line in page
    assert 0 < chance(page) < 100
    assert "Into the log" not in page  # there is no log before the round is started


def test_a_worn_edge_pushes_harder(shop):
    def push(query):
        return int(re.search(r"Push at the reference circle.*?(\d+)<", shop.get(PAGE + query).text, re.S)[1])

    assert push("?wear=sharp") < push("") < push("?wear=worn")


def test_an_edge_gone_at_tooth_23_is_logged_and_the_chance_follows(shop):
    started(shop)
    before = chance(shop.get(PAGE).text)
    assert shop.post(f"{PAGE}/seen", round_id="lead-in", tooth="23", what="gone").status_code == 303
    page = shop.get(PAGE).text
    assert "After tooth 23" in page
    assert chance(page) < before
    (logged,) = shop.store.events("screen-drum-drive-ring", "lead-in")
    assert (logged.event.kind, logged.event.tooth, logged.event.data["edge"]) == ("note", 23, "gone")
    assert f"{chance(page)} in 100" in shop.get(f"{JOB}/cut").text  # at the machine too
    assert f"{chance(page)} in 100" in shop.get(f"{JOB}/set-out").text
    assert shop.post(f"{PAGE}/seen", round_id="lead-in", tooth="40", what="fine").status_code == 303
    assert [one.event.station_seq for one in shop.store.events("screen-drum-drive-ring", "lead-in")] == [1, 2]


def test_trouble_at_the_machine_is_asked_about_until_somebody_says(shop):
    started(shop)
    (sheet,) = shop.store.rounds("screen-drum-drive-ring")
    log = [
        event.model_copy(update={"kind": "trouble", "tooth": 23, "data": {"reason": "squealed"}})
        for event in presses(sheet, until=0)
    ][:1]
    shop.store.append(log)
    page = shop.get(PAGE).text
    assert "Trouble at tooth 23" in page
    assert "squealed" in page
    assert re.search(r'name="tooth" value="23"', page)
    before = chance(page)
    shop.post(f"{PAGE}/seen", round_id="lead-in", tooth="23", what="chipped")
    page = shop.get(PAGE).text
    assert "Trouble at tooth 23" not in page
    assert chance(page) < before


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"tooth": "900", "what": "gone"}, "Tooth 900 is not cut in this round."),
        ({"tooth": "23", "what": ""}, "It is not said how the edge was found."),
        ({"tooth": "x", "what": "gone"}, "x"),
    ],
)
def test_what_cannot_be_is_refused_and_not_logged(shop, told, said):
    started(shop)
    got = shop.post(f"{PAGE}/seen", round_id="lead-in", **told)
    assert got.status_code == 422
    assert said in got.text
    assert shop.store.events("screen-drum-drive-ring", "lead-in") == ()


def test_before_the_round_is_started_nothing_goes_into_a_log(shop):
    got = shop.post(f"{PAGE}/seen", round_id="lead-in", tooth="23", what="gone")
    assert got.status_code == 422
    assert "not started yet" in got.text


def test_the_push_reckoned_goes_into_the_set_up(shop):
    old = shop.job().set_out.rounds[0].setup["push_n"]
    got = shop.post(f"{PAGE}/push", version=str(shop.store.job("screen-drum-drive-ring")[1]), round_id="lead-in")
    assert got.status_code == 303
    new = shop.job().set_out.rounds[0].setup["push_n"]
    assert new != old
    worn = int(re.search(r"Push at the reference circle.*?(\d+)<", shop.get(PAGE + "?wear=worn").text, re.S)[1])
    assert new == worn


def test_without_a_cut_or_a_hardness_the_page_says_what_to_do(shop):
    made = shop.client.post("/jobs", data={"title": "Mixer ring"}).headers["location"].removesuffix("/find-out")
    assert "No cut is set out yet." in shop.get(f"{made}/set-out/cutter").text
    job, version = shop.store.job("screen-drum-drive-ring")
    shop.store.save_job(job.model_copy(update={"map": job.map.model_copy(update={"hardness": ()})}), version)
    page = shop.get(PAGE)
    assert page.status_code == 200
    assert "Put a reading on the map" in page.text


def test_set_out_says_how_it_is_set(shop):
    page = shop.get(f"{JOB}/set-out").text
    for line in ("Pass 1, from touch-off", "Pass 2, from touch-off", "From a sound tip to the finished cut", "climb"):
        assert line in page
    assert f"{JOB}/set-out/cut?round=lead-in" in page
    assert f"{JOB}/set-out/cutter?round=lead-in" in page


def test_a_cutter_that_is_no_end_mill_is_said_to_be_reckoned_as_one(shop):
    job, version = shop.store.job("screen-drum-drive-ring")
    plan = job.set_out.rounds[0]
    assert "begin slower" not in shop.get(PAGE).text
    angle = next(c for c in shop.store.kit()[0].cutters if c.kind == "double_angle")
    lead_in = {**plan.lead_in, "cutter": angle.as_asked()}
    other = plan.model_copy(update={"cutter": angle.name, "lead_in": lead_in})
    shop.store.save_job(job.model_copy(update={"set_out": SetOut(rounds=(other,))}), version)
    got = shop.get(PAGE)
    assert got.status_code == 200
    assert "begin slower" in got.text


def test_the_force_figures_open_to_their_sums(shop):
    page = shop.get(PAGE).text
    for formula in ("k_c1.1 · max(h, 0.03)^-m_c", "k_cm · K · A · v_f", "60000 P / (2π n)", "1000 · M_ring / r", "F_q"):
        assert formula in page


def test_the_way_that_was_taken_for_a_pass_is_said(shop):
    assert "its infeed from touch-off and 2 mm of run-in" in shop.get(PAGE).text
    job, version = shop.store.job("screen-drum-drive-ring")
    plan = job.set_out.rounds[0]
    lead_in = {**plan.lead_in, "pose": {"tool_axis": [1, 0, 0], "feed": [0, 0, 1], "depth": [-1, 0, 0],
                                        "tip": [345, 0, -20]}, "target": {"infeed_mm": 3}}  # fmt: skip
    locked = plan.model_copy(update={"lead_in": lead_in})
    shop.store.save_job(job.model_copy(update={"set_out": SetOut(rounds=(locked,))}), version)
    page = shop.get(PAGE).text
    assert "each pass is taken to run by lead, cutter diameter and 2 mm of run-in" in page
    assert "its infeed from touch-off" not in page


def test_the_ring_marks_the_space_that_is_cut_next(shop):
    job = shop.job()
    first = order_of(job, job.set_out.rounds[0]).teeth[0]
    scriber = re.compile(r'<[^>]*class="scr[^>]*>')
    space, tooth = (scriber.findall(str(ring.views(job, first, between=between).whole)) for between in (True, False))
    assert space != tooth
    page = scriber.findall(shop.get(PAGE).text)
    assert set(space) <= set(page)
    assert not set(tooth) & set(page)
