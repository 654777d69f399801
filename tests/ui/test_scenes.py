"""The scenes of the gallery, looked at by computation: room, size, names, order, contrast.

Numbers: WCAG 2.2, success criteria 1.4.3 (text 4.5:1, large text 3:1) and 2.5.8 (targets of 24 px).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QImage
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QLabel,
)

from tests.gallery.pairs import SCHEMES, TEXTS, Look, Place, looks
from tests.gallery.scenes import SCENES, Scene
from tests.gallery.stage import Stage
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


Pixels = NDArray[np.float64]  # red, green, blue from 0 to 1 in the last axis


def brightness(pixels: Pixels) -> NDArray[np.float64]:
    """Relative luminance as WCAG 2.2 defines it."""
    linear = np.where(pixels <= 0.04045, pixels / 12.92, ((pixels + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def strongest(pixels: Pixels) -> float:
    """Contrast of the ink with the ground.

    The ground is the colour that fills most of the rectangle; the ink is the
    pixel that stands off most, as thin strokes are washed out at their edges.
    """
    flat = pixels.reshape(-1, 3)
    colours, counts = np.unique(flat, axis=0, return_counts=True)
    ground = float(brightness(colours[counts.argmax()]))
    light = brightness(colours)
    return float(((np.maximum(light, ground) + 0.05) / (np.minimum(light, ground) + 0.05)).max())


def pixels_of(picture: QImage) -> Pixels:
    plain = picture.convertToFormat(QImage.Format.Format_RGBA8888)
    held = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.width(), 4)
    return np.asarray(held[:, :, :3] / 255.0)


def test_contrast_of_black_on_white() -> None:
    # WCAG 2.2, definition of contrast ratio: black and white are 21:1
    assert strongest(np.array([[[1.0, 1.0, 1.0], [1.0, 1.0, 1.0], [0.0, 0.0, 0.0]]])) == pytest.approx(21.0)


@pytest.mark.slow
@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_stands_off_its_ground(stage: Stage, scheme: Scheme) -> None:
    faults: list[str] = []
    for name in ("recipe, over a limit", "scent, a wish", "shelf, tins", "preferences", *BENCH):
        put(stage, name, Look(scheme, Place.LARGE, 100))
        picture = pixels_of(stage.picture())
        for label in stage.window.findChildren(QLabel):
            seen = label.visibleRegion().boundingRect()
            if not label.isVisible() or not label.text().strip() or seen.height() < max(label.height(), 2):
                continue
            at = label.mapTo(stage.window, seen.topLeft())
            part = picture[max(at.y(), 0) : at.y() + seen.height(), max(at.x(), 0) : at.x() + seen.width()]
            found = strongest(part)
            large = label.font().pointSizeF() >= 18 or (
                label.font().bold() and label.font().pointSizeF() >= 14
            )
            if found < (3.0 if large else 4.4):  # a tenth for strokes thinner than a pixel
                faults.append(f"{name}: {label.text()[:40]!r} {found:.1f}:1")
    assert not faults, "\n".join(faults[:20])
