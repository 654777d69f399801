"""A practice run: a simulated pot stands in for the stove and answers with readings."""

from __future__ import annotations

from PySide6.QtCore import QObject

from workbench.core.batch.plan import Plan
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.rehearsal.feed import RehearsalFeed
from workbench.ui.bench.runner import SessionRunner


class Practice(QObject):
    """Keeps the simulated kitchen at the time of the session."""

    def __init__(
        self,
        runner: SessionRunner,
        plan: Plan,
        catalogue: Catalogue,
        seed: int,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._runner = runner
        self._feed = RehearsalFeed(plan, catalogue, seed)
        runner.ticked.connect(self._follow)

    def read(self, stirred: bool) -> float:
        """What the simulated thermometer shows, raw °C."""
        self._follow(self._runner.now_s())
        if stirred:
            self._feed.kitchen.stir()
        return self._feed.read()

    def _follow(self, now_s: float) -> None:
        if now_s > self._feed.kitchen.now_s:
            self._feed.follow(self._runner.state, now_s)
