"""The whole window for a test: furnished, with a scripted user and a clock of its own."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.conftest import NOW
from tests.ui.editor.kitchen import OPEN
from workbench import app
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import VirtualClock
from workbench.ui.batch_kit import BatchKit
from workbench.ui.batch_room import BatchRoom
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.context import Context
from workbench.ui.house import House
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.window import MainWindow, Places


class Bench:
    """A furnished window with a scripted user and a clock of its own."""

    def __init__(
        self,
        tables: Catalogue,
        starter: Shelf,
        folder: Path,
        samples: tuple[Path, ...] = (),
        preferences: Preferences | None = None,
    ) -> None:
        self.ask = ScriptedAsk()
        self.clock = VirtualClock(NOW)
        self.kept: list[Preferences] = []
        self.window = MainWindow(Places(folder, samples))
        kit = BatchKit(
            clock=lambda: self.clock, rules=app.session_rules, sound=SilentSound, speech=SilentSpeech, awake=NoAwake
        )  # fmt: skip
        context = Context(tables, starter, preferences or Preferences(), lambda: date(2026, 8, 15), self.ask)
        desk = ProjectDesk(lambda: NOW)
        self.house = House(context, desk, starter, app.planner, kit, self.kept.append)
        self.window.furnish(self.house)
        self.window.resize(1280, 800)
        self.window.show()

    def make_project(self, path: Path) -> None:
        """A new project with one recipe in hand."""
        self.house.desk.create(path, self.house._starter)
        self.house.model.open(OPEN)
        self.house.batches.plan()


def started(bench: Bench) -> BatchRoom:
    """The batch of the recipe in hand, from its first press on; its first entries may still wait."""
    bench.house.batches.make(False)
    room = bench.house.batches.room
    assert room is not None
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    return room


def begun(bench: Bench, qtbot: QtBot) -> SessionRunner:
    """The same, once the record has it."""
    room = started(bench)
    runner = room.page.runner
    assert runner is not None
    qtbot.waitUntil(lambda: room.running and not runner.conductor.pending)
    return runner


def said(bench: Bench) -> str:
    """What the banner says; "" while it is hidden."""
    return "" if bench.window.banner.isHidden() else bench.window.banner.words.text()


def offers(bench: Bench) -> dict[str, Any]:
    """The buttons of the banner, by their words."""
    buttons: list[Any] = bench.window.banner._actions
    return {one.text(): one for one in buttons}


def swept_away(qapp: QApplication) -> None:
    """What was put away is gone, as it is once the event loop runs again."""
    QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
    qapp.processEvents()
