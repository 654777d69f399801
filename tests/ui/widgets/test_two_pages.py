"""Two pages share the window as they were meant to, also after the text was large."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication

from tests.gallery.pairs import Look, Place
from tests.gallery.scenes import SCENES
from tests.gallery.stage import Stage
from workbench.ui.theme import Scheme


def test_text_that_was_large_does_not_shift_the_share(tmp_path: Path, qapp: QApplication) -> None:
    scenes = {scene.name: scene for scene in SCENES}
    stage = Stage(tmp_path)
    for name, percent in (("recipe, window open", 200), ("preferences", 200), ("recipe, window open", 100)):
        look = Look(Scheme.LIGHT, Place.LARGE, percent)
        stage.put_on(look)
        scenes[name].put(stage)
        stage.put_on(look)
    left, right = stage.house.workplace.pages.splitter.sizes()
    stage.close()
    assert 0.5 < left / (left + right) < 0.54
