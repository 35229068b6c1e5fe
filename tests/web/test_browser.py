"""The pages in a real browser: they fit from phone to desk, in paper and in soot, and work by touch and by key."""

import os
import re
import shutil
import threading
import time

import axe_playwright_python.sync_playwright as axe
import playwright.sync_api as playwright
import pytest
import uvicorn

from ringwright.job.demo import demo_job, demo_kit
from ringwright.store import open_store
from ringwright.web import pages
from ringwright.web.app import create_app

JOB = "/jobs/screen-drum-drive-ring"
PAGES = (
    "/jobs",
    "/kit",
    "/sums/divide?divisions=127",
    "/sums/gear?teeth=127&pitch=5",
    "/sums",
    "/sums/mesh?teeth=127&pitch=5&face_width=60&mate_teeth=20&play=centres&play_mm=367.8",
    "/sums/tolerance?teeth=127&pitch=5&face_width=60&single_pitch_um=40",
    "/sums/speed?diameter=12&flutes=4&hardness=250&speeds=80+660+1320+1750&travel=26&teeth=127",
    "/sums/edge?teeth=127&hard=12&hard_hb=430&seconds=4&speed=62",
    "/sums/gash?teeth=40&pitch=5&face_width=30&cutter=involute_form&diameter=80&passes=3",
    "/sums/face?teeth=127&pitch=5&face_width=60&teeth_1=13-21&deep_1=2&mate_face=50&mate_from=2",
    *(
        f"{JOB}/{stage}"
        for stage in ("find-out", "map?tooth=83", "decide", "set-out", "set-out/cut", "set-out/cutter", "prove")
    ),
)
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        shutil.which("chromium") is None and os.environ.get("CI") != "true", reason="no Chromium on this machine"
    ),
]


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    with open_store(tmp_path_factory.mktemp("shop")) as store:
        store.new_job(demo_job())
        store.save_kit(demo_kit(), 0)
        server = uvicorn.Server(uvicorn.Config(create_app(store), port=0, log_level="error"))
        runs = threading.Thread(target=server.run)
        runs.start()
        until = time.monotonic() + 30
        while not server.started and time.monotonic() < until:
            time.sleep(0.02)  # the server's own thread says when it listens
        port = server.servers[0].sockets[0].getsockname()[1]
        yield f"http://127.0.0.1:{port}"
        server.should_exit = True
        runs.join(30)


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as p:
        opened = p.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        yield opened
        opened.close()


def _bad(said):
    """Faults and warnings, but not the remark that a browser without a graphics card copies its drawings back."""
    return said.type in ("error", "warning") and "GPU stall due to ReadPixels" not in said.text


@pytest.fixture
def open_page(browser, address):
    contexts = []

    def opened(path, width=1440, height=900, **more):
        context = browser.new_context(viewport={"width": width, "height": height}, **more)
        contexts.append(context)
        page = context.new_page()
        page.trouble = []
        page.on("console", lambda said: page.trouble.append(said.text) if _bad(said) else None)
        page.on("pageerror", lambda fault: page.trouble.append(str(fault)))
        page.on("request", lambda r: None if r.url.startswith((address, "data:")) else page.trouble.append(r.url))
        page.goto(address + path)
        return page

    yield opened
    for context in contexts:
        context.close()


TARGETS = """() => [...document.querySelectorAll(
    "button, input:not([type=hidden]), select, textarea, summary, nav a, a.act")]
  .filter(e => e.offsetParent !== null && !e.matches("label.tick input"))
  .map(e => [e.outerHTML.slice(0, 90), e.getBoundingClientRect().width, e.getBoundingClientRect().height])
  .filter(([, w, h]) => h < 43.5 || w < 43.5)"""


@pytest.mark.parametrize("path", PAGES)
def test_a_page_fits_from_phone_to_desk(open_page, path):
    for width in (360, 820, 1440):
        page = open_page(path, width, color_scheme="dark" if width == 820 else "light")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.trouble == []
        assert page.evaluate(TARGETS) == []


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_page_has_no_barriers(open_page, path, scheme):
    page = open_page(path, 1440, color_scheme=scheme)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    found = axe.Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def heading(page):
    return page.locator("h1")


def tooth(page, n):
    """The middle of a tooth's target on the whole ring, in the window."""
    box = page.locator(f".wholesheet [data-tooth='{n}']").bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_tooth_is_marked_by_touch_and_again_by_touch(open_page):
    page = open_page(f"{JOB}/map")
    page.mouse.click(*tooth(page, 60))
    playwright.expect(heading(page)).to_have_text("Tooth 60")
    page.mouse.click(*tooth(page, 60))
    playwright.expect(page.locator(".ledger .row").first).to_contain_text("wornseen")
    page.mouse.click(*tooth(page, 60))
    playwright.expect(page.locator(".ledger .row").first).to_contain_text("chewed endseen")
    page.mouse.dblclick(*tooth(page, 60))  # two quick touches are two
    playwright.expect(page.locator(".ledger .row").first).to_contain_text("crackedseen")
    assert page.trouble == []


def test_a_stretch_is_marked_by_dragging_the_short_way_round(open_page):
    page = open_page(f"{JOB}/map")
    page.mouse.move(*tooth(page, 3))
    page.mouse.down()
    for n in (2, 1, 127, 126):
        page.mouse.move(*tooth(page, n))
    page.mouse.up()
    playwright.expect(heading(page)).to_have_text("Teeth 126 to 3")
    page.get_by_role("button", name="worn", exact=True).click()
    for n in (126, 127, 1, 2, 3):
        page.goto(page.url.split("?")[0] + f"?tooth={n}")
        playwright.expect(page.locator(".ledger .row").first).to_contain_text("worn")


def test_marking_works_by_keys_alone(open_page):
    page = open_page(f"{JOB}/map?tooth=70")
    page.keyboard.press("ArrowRight")
    playwright.expect(heading(page)).to_have_text("Tooth 71")
    page.keyboard.press("3")
    playwright.expect(page.locator(".ledger .row").first).to_contain_text("chippedseen")
    page.keyboard.press("ArrowRight")
    playwright.expect(heading(page)).to_have_text("Tooth 72")
    page.keyboard.press("r")
    playwright.expect(page.locator(".ledger .row").first).to_contain_text("chipped")
    page.keyboard.press("u")
    playwright.expect(page.locator(".ledger")).to_contain_text("Sound, as far as anybody has said.")


def test_marking_works_without_scripts(open_page):
    page = open_page(f"{JOB}/map?tooth=75", java_script_enabled=False)
    page.get_by_role("button", name="cracked", exact=True).click()
    playwright.expect(heading(page)).to_have_text("Tooth 75")
    playwright.expect(page.locator(".ledger .row").first).to_contain_text("cracked")


def test_on_a_phone_the_strip_stands_at_the_tooth(open_page):
    page = open_page(f"{JOB}/map?tooth=83", 360, 800, has_touch=True)
    assert not page.locator(".wholesheet > svg").is_visible()
    seen = page.locator(".striphold").bounding_box()
    at = page.locator(".strip [data-tooth='83']").bounding_box()
    assert abs((at["x"] + at["width"] / 2) - (seen["x"] + seen["width"] / 2)) < 30
    assert at["width"] >= 44


def test_on_a_phone_the_open_stage_can_be_seen_on_the_rule(open_page):
    page = open_page(f"{JOB}/prove", 360, 800, has_touch=True)
    here = page.locator(".rule a[aria-current]").bounding_box()
    assert here["x"] >= 0
    assert here["x"] + here["width"] <= 360


def test_a_reading_goes_in_with_enter(open_page):
    page = open_page(f"{JOB}/find-out")
    page.get_by_label("What is read").select_option("whole_depth")
    page.get_by_label(re.compile("^Reading")).fill("0.39 in")
    page.keyboard.press("Enter")
    playwright.expect(page.locator(".ledger")).to_contain_text("0.39 in")


def test_calipers_that_type_put_in_one_reading_after_another(open_page):
    page = open_page(f"{JOB}/find-out")
    page.get_by_label("What is read").select_option("tip_diameter")
    assert not page.get_by_label("Teeth spanned").is_visible()
    page.get_by_label(re.compile("^Reading")).focus()
    for typed in ("642.31", "642.28"):
        page.keyboard.type(typed)
        page.keyboard.press("Enter")
        playwright.expect(page.locator(".ledger")).to_contain_text(typed)
        playwright.expect(page.get_by_label(re.compile("^Reading"))).to_be_focused()
        page.get_by_label("What is read").select_option("span")
        playwright.expect(page.get_by_label("Teeth spanned")).to_be_visible()
        page.get_by_label("What is read").select_option("tip_diameter")
        page.get_by_label(re.compile("^Reading")).focus()


def test_a_figure_opens_to_its_sum_by_key(open_page):
    page = open_page("/sums/gear?teeth=127&pitch=5")
    first = page.locator("details.row > summary").first
    first.focus()
    page.keyboard.press("Enter")
    playwright.expect(page.locator(".working").first).to_be_visible()
    playwright.expect(page.locator(".working").first).to_contain_text("635")


def test_the_focus_is_always_seen(open_page):
    page = open_page(f"{JOB}/map")
    for _ in range(12):
        page.keyboard.press("Tab")
        style = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert style == "solid", page.evaluate("document.activeElement.outerHTML.slice(0, 80)")


def test_soot_and_inch_are_kept_for_this_browser(open_page):
    page = open_page(f"{JOB}/set-out")
    page.get_by_role("button", name="dark", exact=True).click()
    page.get_by_role("button", name="in", exact=True).click()
    assert page.evaluate("document.documentElement.dataset.look") == "dark"
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(20, 22, 26)"
    playwright.expect(page.locator(".middle .big")).to_contain_text("in")
    assert page.url.endswith("/set-out")


def test_the_letters_come_from_here_when_the_client_is_built(open_page):
    assert pages._MANIFEST.exists(), "make client builds it"
    page = open_page("/jobs")
    assert page.evaluate("document.fonts.ready.then(() => document.fonts.check('18px B612'))")
    assert page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').length") >= 1


def test_the_cut_can_be_turned_and_fed(open_page):
    page = open_page(f"{JOB}/set-out/cut", 1280, 900)
    page.wait_for_selector("canvas[data-drawn]", timeout=60_000)
    canvas = page.locator("canvas")

    def seen():
        page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        return canvas.screenshot()

    first = seen()
    canvas.focus()
    page.keyboard.press("ArrowLeft")
    turned = seen()
    assert turned != first
    page.locator("#infeed").fill("0")
    playwright.expect(page.locator("output")).to_have_text("0.00 mm")
    before = seen()
    assert before != turned
    page.get_by_label("the cutter in place").uncheck()
    assert seen() != before
    assert page.trouble == []


def test_without_a_drawing_surface_the_sections_stay(open_page):
    page = open_page("/jobs")
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(page.url.removesuffix("/jobs") + f"{JOB}/set-out/cut")
    playwright.expect(page.get_by_text("This browser shows no turnable view")).to_be_visible()
    assert not page.locator("canvas").is_visible()
    assert page.locator("figure svg").count() == 3
