"""Every page at 360, 820 and 1440 px, light and dark, and every paper, as PNG under ``pictures/``."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parent.parent
OUT = ROOT / "pictures"
RINGWRIGHT = str(Path(sys.executable).with_name("ringwright"))
JOB = "/jobs/screen-drum-drive-ring"
PAGES = {
    "slate": "/jobs",
    "find-out": f"{JOB}/find-out",
    "map": f"{JOB}/map?tooth=83",
    "decide": f"{JOB}/decide",
    "set-out": f"{JOB}/set-out",
    "set-out-cut": f"{JOB}/set-out/cut",
    "set-out-cutter": f"{JOB}/set-out/cutter",
    "cut": f"{JOB}/cut",
    "prove": f"{JOB}/prove",
    "kit": "/kit",
    "sums-divide": "/sums/divide?divisions=127",
    "sums-gear": "/sums/gear?teeth=127&pitch=5",
    "sums-mesh": "/sums/mesh?teeth=127&pitch=5&face_width=60&mate_teeth=20&play=centres&play_mm=367.8",
    "sums-tolerance": "/sums/tolerance?teeth=127&pitch=5&face_width=60&single_pitch_um=40",
    "sums-gash": "/sums/gash?teeth=40&pitch=5&face_width=30&cutter=involute_form&diameter=80&passes=3",
    "sums-face": "/sums/face?teeth=127&pitch=5&face_width=60&teeth_1=13-21&deep_1=2&mate_face=50&mate_from=2",
    "sums-speed": "/sums/speed?diameter=12&flutes=4&hardness=250&speeds=80+660+1320+1750&travel=26&teeth=127",
    "sums-edge": "/sums/edge?teeth=127&seconds=12&speed=60&hard=12",
    "sums-plate": "/sums/plate?divisions=127&ratio=40&hole_diameter_mm=2.5",
    "sums-detent": "/sums/detent?teeth=127&pitch=5&plus_mm=0.1&cut=31-58&damaged=40,44-46,80",
}
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"]
FLAGS += ["--disable-background-networking", "--disable-component-update", "--disable-sync"]


def main() -> int:
    """Take them all."""
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        _pages(Path(folder))
        _papers(Path(folder))
    print(f"{len(list(OUT.glob('*.png')))} pictures in {OUT.name}/")
    return 0


def _pages(folder: Path) -> None:
    port = 18431
    command = [RINGWRIGHT, "serve", "--demo", "--no-browser", "--port", str(port), "--data", str(folder / "data")]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert server.stdout is not None
        server.stdout.readline()  # said when it listens
        with sync_playwright() as p:
            browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
            for scheme in ("light", "dark"):
                for width, height in ((360, 780), (820, 1180), (1440, 1000)):
                    size = {"width": width, "height": height}
                    context = browser.new_context(viewport=size, color_scheme=scheme)
                    page = context.new_page()
                    for name, path in PAGES.items():
                        page.goto(f"http://127.0.0.1:{port}{path}", wait_until="networkidle")
                        page.screenshot(path=OUT / f"{name}-{width}-{scheme}.png", full_page=True)
                    context.close()
            browser.close()
    finally:
        server.terminate()
        server.wait(20)


def _papers(folder: Path) -> None:
    subprocess.run([RINGWRIGHT, "demo", str(folder / "demo")], check=True, stdout=subprocess.DEVNULL)
    for path in sorted((folder / "demo").glob("*.pdf")):
        document = pypdfium2.PdfDocument(path)
        for n in range(len(document)):
            document[n].render(scale=1.5).to_pil().save(OUT / f"{path.stem}-{n + 1}.png")
        document.close()


if __name__ == "__main__":
    raise SystemExit(main())
