"""Two pages share the window as they were meant to, also after the text was large."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication

from tests.gallery.pairs import Look, Place
from tests.gallery.scenes import SCENES
from tests.gallery.stage import Stage
from workbench.ui import theme
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


def test_large_text_never_widens_the_window(tmp_path: Path, qapp: QApplication) -> None:
    """As the preference does it: the text becomes large while the window stands."""
    scenes = {scene.name: scene for scene in SCENES}
    stage = Stage(tmp_path)
    for name in ("recipe, window open", "preferences", "recipe, steps"):
        stage.put_on(Look(Scheme.LIGHT, Place.SMALL, 100))
        scenes[name].put(stage)
        stage.put_on(Look(Scheme.LIGHT, Place.SMALL, 100))
        theme.apply(qapp, theme.Theme(Scheme.LIGHT, 200))
        stage.settle()
        assert stage.window.width() == 1024, name
        stage.house.to_recipe()  # what stood behind has the larger text now, too
        stage.settle()
        assert stage.window.width() == 1024, name
    stage.close()
