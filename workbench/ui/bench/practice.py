"""A practice run: a simulated pot stands in for the stove and answers with readings."""

from __future__ import annotations

from PySide6.QtCore import QObject

from workbench.core.batch.plan import Plan
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.rehearsal.feed import RehearsalFeed
from workbench.core.rehearsal.pot import Heating
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
        self._seen_s = 0.0  # session time of the last look
        runner.ticked.connect(self._follow)
        runner.changed.connect(self._changed)

    def read(self, stirred: bool) -> float:
        """What the simulated thermometer shows, raw °C."""
        self._follow(self._runner.now_s())
        if stirred:
            self._feed.kitchen.stir()
        return self._feed.read()

    def _changed(self, _state: SessionState, _kinds: frozenset[str]) -> None:
        self._follow(self._runner.now_s())

    def _follow(self, now_s: float) -> None:
        """Bring the kitchen to the session's time.

        A stirred reading lets it run ahead by the stirring; it waits for the session then.  But a burst
        heats for as long as it runs, also one that begins right after a reading.
        """
        kitchen = self._feed.kitchen
        passed_s, self._seen_s = max(now_s - self._seen_s, 0.0), max(now_s, self._seen_s)
        until_s = kitchen.now_s + passed_s if kitchen.heating is Heating.OVEN else max(now_s, kitchen.now_s)
        self._feed.follow(self._runner.state, until_s)
