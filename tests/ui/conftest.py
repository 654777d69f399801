"""A dressed application for every test of the window, and a watch for what is left behind."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QLocale, QStandardPaths, QThreadPool, QTimer
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.store.resources import load_catalogue, load_starter_shelf, resources_folder
from workbench.ui import theme
from workbench.ui.context import Context
from workbench.ui.preferences import Preferences
from workbench.ui.sweeping import sweep
from workbench.ui.widgets.ask import ScriptedAsk

if TYPE_CHECKING:
    from tests.ui.whole import Bench

NOW = datetime(2026, 3, 14, 9, 0, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture(scope="session")
def qapp_args() -> list[str]:
    return ["balmbook"]


@pytest.fixture(autouse=True)
def dressed(qapp: QApplication) -> Iterator[QApplication]:
    """Fonts and the light theme, once; a test that changes the look puts it back here."""
    QStandardPaths.setTestModeEnabled(True)
    QLocale.setDefault(QLocale("en_GB"))
    if qapp.property("theme") is None:
        assert theme.load_fonts(resources_folder() / "fonts") == ()
        theme.apply(qapp, theme.Theme())
    before = qapp.property("theme")
    yield qapp
    if qapp.property("theme") != before:
        theme.apply(qapp, before)


@pytest.fixture(autouse=True)
def nothing_left(qapp: QApplication, qtbot: QtBot) -> Iterator[None]:
    """No timer still running, no window still open, no thread still alive after a test."""
    threads = set(threading.enumerate())
    timers = {timer for timer in _timers() if timer.isActive()}
    yield
    QThreadPool.globalInstance().waitForDone(5000)
    for widget in list(getattr(qtbot._request.node, "qt_widgets", [])):
        held = widget[0]() if isinstance(widget, tuple) else widget
        if held is not None:
            held.close()
            held.deleteLater()
    getattr(qtbot._request.node, "qt_widgets", []).clear()
    for _ in range(3):
        QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
        qapp.processEvents()
    left = [widget for widget in qapp.topLevelWidgets() if widget.isVisible()]
    assert not left, f"windows left open: {left}"
    running = [timer for timer in _timers() if timer.isActive() and timer not in timers]
    assert not running, f"timers left running: {[(timer, timer.parent()) for timer in running]}"
    alive = [one for one in threading.enumerate() if one not in threads and not one.name.startswith("Dummy")]
    assert not alive, f"threads left alive: {alive}"


def _timers() -> list[QTimer]:
    found: list[QTimer] = []
    for widget in QApplication.topLevelWidgets():
        found += widget.findChildren(QTimer)
    return found


@pytest.fixture(scope="session")
def tables() -> Catalogue:
    return load_catalogue()


@pytest.fixture(scope="session")
def starter() -> Shelf:
    return load_starter_shelf()


@pytest.fixture
def ask() -> ScriptedAsk:
    return ScriptedAsk()


@pytest.fixture(autouse=True, scope="package")
def no_collector_of_its_own() -> Iterator[None]:
    """As in the program: a thread of the pool must not sweep up Qt objects."""
    gc.disable()
    yield
    gc.enable()


@pytest.fixture(autouse=True)
def swept(no_collector_of_its_own: None) -> Iterator[None]:
    yield
    sweep()


@pytest.fixture
def context(qapp: QApplication, tables: Catalogue, starter: Shelf, ask: ScriptedAsk) -> Iterator[Context]:
    made = Context(tables, starter, Preferences(), lambda: date(2026, 8, 15), ask)
    yield made
    made.deleteLater()


@pytest.fixture
def make_bench(
    tables: Catalogue, starter: Shelf, tmp_path: Path, qtbot: QtBot
) -> Iterator[Callable[..., Bench]]:
    """Whole windows, closed again without a question about unsaved work."""
    from tests.ui.whole import Bench  # which needs what stands above

    made: list[Bench] = []

    def make(samples: tuple[Path, ...] = (), preferences: Preferences | None = None) -> Bench:
        made.append(Bench(tables, starter, tmp_path, samples, preferences))
        return made[-1]

    yield make
    for bench in made:
        bench.house.model.stack.setClean()
        bench.window.close()
        bench.window.deleteLater()


@pytest.fixture
def settle(qapp: QApplication) -> Callable[[], None]:
    """Let queued signals and pool threads come to rest."""

    def run() -> None:
        for _ in range(4):
            qapp.processEvents()
        QThreadPool.globalInstance().waitForDone(5000)
        for _ in range(4):
            qapp.processEvents()

    return run


def all_below(root: QWidget) -> list[QWidget]:
    return [root, *root.findChildren(QWidget)]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    gc.collect(0)
    return tmp_path
