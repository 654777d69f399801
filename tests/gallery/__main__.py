"""Draw every window and every kind of step; no screen is needed.

python -m tests.gallery OUT        single pictures and contact sheets
python -m tests.gallery OUT WORD   only the scenes with WORD in their names
python -m tests.gallery --readme   the pictures of the README
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtGui import QImage, QImageWriter

from tests.gallery.pairs import Look, Place, looks
from tests.gallery.scenes import SCENES, Scene, melting, no_window, one_past, open_window
from tests.gallery.sheets import save_sheets
from tests.gallery.stage import Stage, dressed_application
from workbench.ui.theme import Scheme

README = Path(__file__).resolve().parents[2] / "resources" / "pictures"


def draw(out: Path, word: str) -> int:
    out.mkdir(parents=True, exist_ok=True)
    dressed_application()
    began = time.perf_counter()
    drawn: dict[tuple[int, int], tuple[str, QImage]] = {}
    with tempfile.TemporaryDirectory() as folder:
        stage = Stage(Path(folder))
        for index, turn, scene, look in in_order(word):
            stage.put_on(look)  # before the scene is put up: few widgets to dress
            stage.clear_bench()
            stage.window.banner.hide()
            scene.put(stage)
            stage.put_on(look)
            image = stage.picture()
            name = f"{index:02d} {scene.name} ({look.label})"
            image.save(str(out / f"{name.replace(' ', '_').replace('%', 'pc')}.png"))
            drawn[index, turn] = (name, image)
        stage.close()
    pictures = [drawn[key] for key in sorted(drawn)]
    sheets = save_sheets(pictures, out)
    print(f"{len(pictures)} pictures on {sheets} sheets in {time.perf_counter() - began:.0f} s: {out}")
    return 0


def in_order(word: str) -> list[tuple[int, int, Scene, Look]]:
    """(scene number, which of its looks, scene, look), sorted so that the theme changes seldom."""
    wanted = [
        (index, turn, scene, look)
        for index, scene in enumerate(SCENES)
        if word in scene.name
        for turn, look in enumerate(looks(index, scene.far))
    ]
    return sorted(wanted, key=lambda one: (one[3].scheme, one[3].text_percent, one[0]))


def readme() -> int:
    """Four pictures for the README, small enough to clone."""
    README.mkdir(parents=True, exist_ok=True)
    dressed_application()
    with tempfile.TemporaryDirectory() as folder:
        stage = Stage(Path(folder))
        for name, put, scheme in (
            ("recipe", open_window, Scheme.LIGHT),
            ("melting", melting, Scheme.DARK),  # of the recipe that is open
            ("no-window", no_window, Scheme.LIGHT),
            ("past-batch", one_past, Scheme.LIGHT),
        ):
            stage.clear_bench()
            put(stage)
            stage.put_on(Look(scheme, Place.LARGE, 100))
            path = README / f"{name}.png"
            small = stage.picture().convertToFormat(QImage.Format.Format_RGB32)
            writer = QImageWriter(str(path), b"png")
            writer.setCompression(100)
            writer.write(small)
            print(f"{path.name}: {path.stat().st_size // 1024} KiB")
        stage.close()
    return 0


def main(argv: list[str]) -> int:
    if argv == ["--readme"]:
        return readme()
    if not argv or argv[0].startswith("-"):
        print(__doc__)
        return 2
    return draw(Path(argv[0]), argv[1] if len(argv) > 1 else "")


sys.exit(main(sys.argv[1:]))
