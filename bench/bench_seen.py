"""The turnable view of the cut, ready with the browser's processor slowed four times; beside it a bare drawing surface.

Ready: from the start of the navigation to the moment when all that was asked of the drawing surface stands on it.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

RINGWRIGHT = str(Path(sys.executable).with_name("ringwright"))
PORT = 18437
PAGE = f"http://127.0.0.1:{PORT}/jobs/screen-drum-drive-ring/set-out/cut"
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
TIMES = 9
#: What the browser itself needs for one empty drawing surface.
BARE = """() => { const t0 = performance.now(); const c = document.createElement("canvas");
const g = c.getContext("webgl2"); g.clear(g.COLOR_BUFFER_BIT); g.readPixels(0, 0, 1, 1, g.RGBA, g.UNSIGNED_BYTE,
new Uint8Array(4)); return performance.now() - t0; }"""
READ = """() => ({ ready: performance.getEntriesByName("cut-drawn")[0].startTime,
page: performance.getEntriesByType("navigation")[0].responseEnd })"""


def main() -> int:
    """Print the lines; the first opening reckons the cut and compiles everything, the later ones find it kept."""
    if shutil.which("chromium") is None:
        print("no Chromium on this machine: not measured")
        return 0
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder:
        command = [RINGWRIGHT, "serve", "--demo", "--no-browser", "--port", str(PORT), "--data", folder]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            server.stdout.readline()  # said when it listens
            with sync_playwright() as p:
                browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
                for slow in (1, 4):
                    _measured(browser, slow)
                browser.close()
        finally:
            server.terminate()
            server.wait(20)
    return 0


def _measured(browser: Any, slow: int) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slow})
    ready, served = [], []
    for _ in range(TIMES):
        page.goto(PAGE, wait_until="load")
        page.wait_for_selector("canvas[data-drawn]", timeout=120_000)
        told = page.evaluate(READ)
        ready.append(told["ready"])
        served.append(told["page"])
    page.goto(PAGE.split("/jobs")[0] + "/health")
    bare = statistics.median(page.evaluate(BARE) for _ in range(5))
    print(
        f"processor slowed {slow} times: ready {statistics.median(ready[1:]):.0f} ms median, {max(ready[1:]):.0f} ms "
        f"worst of {TIMES - 1}, first {ready[0]:.0f} ms; page served after {statistics.median(served[1:]):.0f} ms; "
        f"a bare drawing surface {bare:.0f} ms"
    )
    context.close()


if __name__ == "__main__":
    raise SystemExit(main())
