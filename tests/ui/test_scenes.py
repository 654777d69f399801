"""The scenes of the gallery, looked at by computation: room, size, names, order, contrast.

Numbers: WCAG 2.2, success criteria 1.4.3 (text 4.5:1, large text 3:1) and 2.5.8 (targets of 24 px).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QLabel,
)

from tests.gallery.pairs import SCHEMES, TEXTS, Look, Place, looks
from tests.gallery.scenes import SCENES, Scene
from tests.gallery.stage import Stage
from tests.ui.contrast import faint, strongest
from workbench.ui.bench.metrics import Ruler
from workbench.ui.theme import Scheme

BY_NAME = {scene.name: scene for scene in SCENES}
BENCH = ("waiting, weigh", "warning", "danger, going on hold")
PLAIN = Look(Scheme.LIGHT, Place.LARGE, 100)


@pytest.fixture
def stage(tmp_path: Path, qapp: QApplication) -> Iterator[Stage]:
    made = Stage(tmp_path)
    yield made
    made.close()


def put(stage: Stage, name: str, look: Look) -> Scene:
    scene = BY_NAME[name]
    stage.put_on(look)
    scene.put(stage)
    stage.put_on(look)
    return scene


# which pictures are drawn


def test_the_pictures_hold_every_pair() -> None:
    """Every pair of scene, colours, place and text size; common practice in combinatorial testing."""
    seen: set[tuple[object, object]] = set()
    for index, scene in enumerate(SCENES):
        for look in looks(index, scene.far):
            seen |= set(combinations((scene.name, look.scheme, look.place, look.text_percent), 2))
    for one, other in ((SCHEMES, tuple(Place)), (SCHEMES, TEXTS), (tuple(Place), TEXTS)):
        assert all((a, b) in seen for a in one for b in other)
    for scene in SCENES:
        places = tuple(Place) if scene.far else (Place.LARGE, Place.SMALL)
        missing = [value for value in (*SCHEMES, *places, *TEXTS) if (scene.name, value) not in seen]
        assert not missing, (scene.name, missing)


# room; every page outside the bench is walked in test_access


@pytest.mark.slow
def test_text_that_was_large_leaves_nothing_behind(stage: Stage) -> None:
    """200 % and back: the window fits where it fitted before."""
    small = Look(Scheme.LIGHT, Place.SMALL, 100)
    for look in (small, Look(Scheme.LIGHT, Place.SMALL, 200), small):
        for name in ("recipe, brief open", "shelf, materials", "preferences"):
            put(stage, name, look)
    assert (stage.window.width(), stage.window.height()) == Place.SMALL.size


# size, names and order


def test_targets_names_and_order(stage: Stage) -> None:
    faults: list[str] = []
    for name in BENCH:
        put(stage, name, PLAIN)
        for widget in stage.shown():
            if widget.focusPolicy() == Qt.FocusPolicy.NoFocus or widget.inherits("QSplitterHandle"):
                continue
            face = QAccessible.queryAccessibleInterface(widget)
            named = face is not None and face.text(QAccessible.Text.Name).strip()
            if not named and not isinstance(widget, QAbstractScrollArea) and widget.parent() is not None:
                faults.append(f"{name}: no name on {type(widget).__name__}")
            if isinstance(widget, QAbstractButton) and min(widget.width(), widget.height()) < 24:
                faults.append(f"{name}: {widget.text()!r} is {widget.width()}x{widget.height()}")
    assert not faults, "\n".join(faults[:20])


@pytest.mark.parametrize("name", ["waiting, weigh", "running, melting", "danger, going on hold"])
def test_targets_of_the_bench_view_are_twelve_millimetres(stage: Stage, name: str) -> None:
    put(stage, name, Look(Scheme.LIGHT, Place.BENCH, 100))
    view = stage.view
    wanted = Ruler().px(view, 12.0)
    for one in (view.hold, view.primary):
        assert one.isVisible()
        assert min(one.width(), one.height()) >= wanted - 1


# contrast


def test_contrast_of_black_on_white() -> None:
    # WCAG 2.2, definition of contrast ratio: black and white are 21:1
    assert strongest(np.array([0xFFFFFF, 0xFFFFFF, 0], np.uint32)) == pytest.approx(21.0)


@pytest.mark.slow
@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_stands_off_its_ground(stage: Stage, scheme: Scheme) -> None:
    """A few scenes in all palettes; the pages are measured where they are walked, in test_access,
    the steps of a batch in bench/test_contrast."""
    faults: list[str] = []
    for name in ("recipe, over a limit", "recipe, brief open", "shelf, tins", "finished", *BENCH):
        stage.clear_bench()
        put(stage, name, Look(scheme, Place.LARGE, 100))
        faults += [f"{name}: {each}" for each in faint(stage.window)]
    assert not faults, "\n".join(dict.fromkeys(faults))


def test_pale_words_are_found(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    """The measure itself: the lightest grey that fails on this ground is seen, in a picture."""
    put(stage, "preferences", PLAIN)
    assert not faint(stage.window)
    label = next(each for each in stage.shown() if isinstance(each, QLabel) and each.text() == "Look")
    label.setStyleSheet("color: #8a8a8a")
    stage.settle()
    assert any("Look" in each for each in faint(stage.window))
