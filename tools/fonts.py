"""Make the papers' fonts: B612 web files of the npm package to TrueType, with their licence beside them.

python tools/fonts.py web/client/node_modules/@fontsource/b612
"""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path

from fontTools.ttLib import TTFont

HERE = Path(__file__).resolve().parent.parent
FONTS = HERE / "src" / "ringwright" / "paper" / "fonts"
FACES = ("latin-400-normal", "latin-700-normal", "latin-400-italic", "latin-700-italic")


def convert(package: Path, fonts: Path = FONTS) -> list[Path]:
    """Write one TTF for each face of the package's folder; the licence goes with them."""
    fonts.mkdir(parents=True, exist_ok=True)
    made = []
    for face in FACES:
        source = package / "files" / f"b612-{face}.woff2"
        font = TTFont(source)
        font.flavor = None
        target = fonts / f"b612-{face.removeprefix('latin-')}.ttf"
        font.save(target, reorderTables=False)
        made.append(target)
    shutil.copyfile(package / "LICENSE", fonts / "LICENSE-B612.txt")
    (fonts / ".ok").touch()
    return made


def main(arguments: list[str]) -> int:
    """Convert the folder that is named on the command line."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("package", type=Path, help="folder of @fontsource/b612")
    package = reader.parse_args(arguments).package
    if not (package / "files").is_dir():
        print(f"No fonts in {package}: run npm ci in web/client first.", file=sys.stderr)
        return 1
    for path in convert(package):
        print(path.relative_to(HERE))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
