"""All six stages in a real browser over a real server; the server is killed between two acknowledged teeth."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import playwright.sync_api as playwright
import pytest

from ringwright.job.demo import demo_job
from ringwright.job.fold import fold
from ringwright.store import open_store
from ringwright.web.serving import put_demo

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        shutil.which("chromium") is None and os.environ.get("CI") != "true", reason="no Chromium on this machine"
    ),
]
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"]
FLAGS += ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
JOB = "screen-drum-drive-ring"


class Server:
    """``ringwright serve`` as a process of its own, on a port that stays."""

    def __init__(self, folder):
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.process = None

    def start(self):
        command = [str(Path(sys.executable).with_name("ringwright")), "serve", "--no-browser"]
        command += ["--port", str(self.port), "--data", str(self.folder)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        said = self.process.stdout.readline()  # said when it listens
        assert self.url in said
        with urllib.request.urlopen(f"{self.url}/health", timeout=20) as reply:
            assert reply.status == 200

    def kill(self):
        os.kill(self.process.pid, signal.SIGKILL)
        self.process.wait(20)
        self.process.stdout.close()


@pytest.fixture
def server(tmp_path):
    with open_store(tmp_path) as store:
        put_demo(store, cut=None)
        job, version = store.job(JOB)
        plan = job.set_out.rounds[0].model_copy(update={"least_seconds": 0, "teeth": (1, 2, 3, 4, 5, 6)})
        plan = plan.model_copy(update={"witness_every": 4})
        store.save_job(job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": (plan,)})}), version)
    running = Server(tmp_path)
    running.start()
    yield running
    if running.process.poll() is None:
        running.kill()


@pytest.fixture
def page():
    with playwright.sync_playwright() as p:
        browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        opened = browser.new_context(viewport={"width": 1180, "height": 900}).new_page()
        opened.set_default_timeout(20_000)
        yield opened
        browser.close()


def _state(folder):
    with open_store(folder) as store:
        sheet = store.rounds(JOB)[-1]
        return fold(sheet, store.events(JOB, sheet.round_id))


def _acknowledged(page):
    playwright.expect(page.locator("#kept")).to_have_text("All at the desk.")


def test_one_ring_through_all_six_stages(server, page, tmp_path):
    expect = playwright.expect
    at = f"{server.url}/jobs/{JOB}"

    page.goto(f"{at}/find-out")
    expect(page.locator(".middle")).to_contain_text(re.compile("module 5", re.IGNORECASE))
    page.goto(f"{at}/map?tooth=83")
    expect(page.locator(".middle")).to_contain_text("of 127")
    page.goto(f"{at}/decide")
    expect(page.locator("main")).to_contain_text("Chance of butting on entry")

    page.goto(f"{at}/set-out")
    page.get_by_role("button", name=re.compile("take this way", re.IGNORECASE)).first.click()
    page.get_by_role("button", name="Start the round").click()
    page.wait_for_url("**/cut*")

    for tooth in range(1, 7):
        page.get_by_role("button", name=f"Touched {tooth}", exact=True).click()
    expect(page.locator("#move")).to_contain_text("On to tooth 1 again")
    page.get_by_role("button", name="It closes").click()
    page.get_by_role("button", name="Cut", exact=True).click()
    page.get_by_label("Lead-in at the pitch line").fill("1.02")
    page.get_by_role("button", name="It is right: go on").click()
    expect(page.locator("#cap")).to_have_text("Next move, to tooth 2")
    page.keyboard.press("Space")
    expect(page.locator("#cap")).to_have_text("Next move, to tooth 3")
    _acknowledged(page)

    server.kill()
    page.get_by_role("button", name="Done", exact=True).click()
    expect(page.locator("#kept")).to_contain_text("Kept on this device, 1 still to send")
    before = _state(tmp_path)
    assert {m.tooth for m in before.marks} == {1, 2}, "every acknowledged tooth is there, and no other"

    server.start()
    page.reload()
    _acknowledged(page)
    after = _state(tmp_path)
    assert {m.tooth for m in after.marks} == {1, 2, 3}, "what was kept on the device came through a reload"

    page.get_by_role("button", name="Done", exact=True).click()
    page.get_by_label("Painted number").fill("9")
    page.get_by_role("button", name="That is what stands there").click()
    expect(page.locator("#body")).to_contain_text("The ring and the log do not agree")
    page.get_by_label("Painted number").fill("4")
    page.get_by_role("button", name="That is what stands there").click()
    expect(page.locator("#cap")).to_have_text("Next move, to tooth 5")

    page.get_by_role("button", name="Pause", exact=True).click()
    page.get_by_label("Reason").fill("a pump shaft")
    page.get_by_role("button", name="Pause the round").click()
    expect(page.locator("#move")).to_contain_text("a pump shaft")
    page.get_by_role("button", name="Go on").click()
    expect(page.locator("#word")).to_have_text("Every line has to be looked at first.")
    for box in page.locator("#body input[type=checkbox]").all():
        box.check()
    page.get_by_role("button", name="Go on").click()
    page.get_by_label("Painted number").fill("4")
    page.get_by_role("button", name="That is what stands there").click()

    for tooth in (5, 6):
        expect(page.locator("#cap")).to_have_text(f"Next move, to tooth {tooth}")
        page.get_by_role("button", name="Done", exact=True).click()
    expect(page.locator("#body")).to_contain_text("more than one move away")
    page.get_by_role("button", name="It falls in the first").click()
    expect(page.locator("#word")).to_contain_text("Read the spindle's degrees first")
    page.get_by_label("Spindle").fill("0")
    page.get_by_role("button", name="It falls in the first").click()
    page.get_by_role("button", name="Finish the round").click()
    expect(page.locator("#move")).to_have_text("Finished")
    _acknowledged(page)
    assert _state(tmp_path).phase == "finished"

    page.get_by_role("link", name="Prove it").click()
    expect(page.locator("main")).to_contain_text("not warranted")
    for paper in ("set-up-sheet", "division-table", "tooth-sheet", "hand-over"):
        reply = page.request.get(f"{at}/papers/{paper}.pdf")
        assert reply.status == 200
        assert reply.body().startswith(b"%PDF")


def test_a_press_too_soon_does_not_count(tmp_path, page):
    with open_store(tmp_path) as store:
        put_demo(store, cut=5)
    running = Server(tmp_path)
    running.start()
    try:
        page.goto(f"{running.url}/jobs/{demo_job().job_id}/cut")
        playwright.expect(page.locator("#cap")).to_have_text("Next move, to tooth 6")
        page.get_by_role("button", name="Done", exact=True).click()
        playwright.expect(page.locator("#cap")).to_have_text("Next move, to tooth 7")
        page.keyboard.press("Enter")
        with page.expect_response(lambda reply: "too_soon" in (reply.request.post_data or "")):
            page.keyboard.press("Enter")
        playwright.expect(page.locator("#word")).to_contain_text("not counted")
        playwright.expect(page.locator("#cap")).to_have_text("Next move, to tooth 7")
        _acknowledged(page)
        state = _state(tmp_path)
        assert state.at_tooth == 6
        assert state.too_soon >= 1
    finally:
        running.kill()


def test_skip_and_trouble_are_kept_with_their_reason(tmp_path, page):
    with open_store(tmp_path) as store:
        put_demo(store, cut=5)
    running = Server(tmp_path)
    running.start()
    try:
        page.goto(f"{running.url}/jobs/{demo_job().job_id}/cut")
        playwright.expect(page.locator("#cap")).to_have_text("Next move, to tooth 6")
        page.get_by_role("button", name="Skip", exact=True).click()
        playwright.expect(page.locator("#cap")).to_have_text("Skip tooth 6")
        page.get_by_role("button", name="Back", exact=True).click()
        playwright.expect(page.locator("#cap")).to_have_text("Next move, to tooth 6")
        page.keyboard.press("s")
        page.get_by_role("button", name="weld, later").click()
        playwright.expect(page.locator("#cap")).to_have_text("Next move, to tooth 7")
        page.get_by_role("button", name="Trouble", exact=True).click()
        page.get_by_label("Reason").fill("it chattered")
        with page.expect_response(lambda reply: "it chattered" in (reply.request.post_data or "")):
            page.keyboard.press("Enter")
        playwright.expect(page.locator("#word")).to_contain_text("Trouble at tooth 7")
        _acknowledged(page)
        with open_store(tmp_path) as store:
            log = [one.event for one in store.events(JOB, store.rounds(JOB)[-1].round_id)]
        told = [(e.kind, e.tooth, e.data.get("reason")) for e in log if e.kind in ("skipped", "trouble")]
        assert told == [("skipped", 6, "weld, later"), ("trouble", 7, "it chattered")]
    finally:
        running.kill()
