"""The whole window for a test: furnished, with a scripted user and a clock of its own."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from tests.ui.conftest import NOW
from workbench import app
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import VirtualClock
from workbench.ui.batch_kit import BatchKit
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
