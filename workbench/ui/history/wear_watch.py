"""Looks whether a wear test is waiting to be marked, while the window is open."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from PySide6.QtCore import QObject, QTimer, Signal

from workbench.core.review.wear import WearTest, coming, due, moment_words
from workbench.core.trouble import Trouble
from workbench.ui.history.port import Shelved
from workbench.ui.history.wear_data import all_kept
from workbench.ui.writing import Writer

LONG_AGO = timedelta(hours=12)  # a test that was dabbed on before that is over, marked or not
_LOOK_MS = 10_000


class WearWatch(QObject):
    """smell_now(words, session)  a moment of a wear test has come

    Nothing is said while the program is closed: on opening, `look_again` says
    once what came due meanwhile.  A tick only says to look at the clock.
    """

    smell_now = Signal(str, str)

    def __init__(
        self,
        shelved: Shelved,
        writer: Callable[[], Writer],
        now: Callable[[], datetime],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._shelved, self._writer, self._now = shelved, writer, now
        self._said: set[tuple[str, int, int]] = set()
        self._running: tuple[tuple[str, str, WearTest], ...] = ()
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self.look)

    @property
    def looking(self) -> bool:
        return self._timer.isActive()

    def look_again(self) -> None:
        """Another project is open, or a test was changed: read what is running, then look."""
        now = self._now()
        try:
            kept = all_kept(self._shelved)
        except Trouble:
            kept = {}  # whoever opens the page is told why
        self._running = tuple(
            (session, each.recipe_name, test)
            for session, each in kept.items()
            for test in each.tests
            if test.dabbed is not None and now - test.dabbed < LONG_AGO
        )
        self.look()

    def look(self) -> None:
        """What is due by the clock; the newest moment of a test is said once."""
        now, ahead = self._now(), False
        for session, recipe, test in self._running:
            late = due(test, now)
            ahead = ahead or coming(test, now) is not None
            if late and (session, test.number, late[-1].after_min) not in self._said:
                self._said.add((session, test.number, late[-1].after_min))
                self.smell_now.emit(self._words(recipe, test, late[-1].after_min, late[-1].by_s), session)
        if ahead and not self._timer.isActive():
            self._timer.start()
        elif not ahead:
            self._timer.stop()

    def stop(self) -> None:
        """No more looking at the clock; for leaving the window."""
        self._timer.stop()

    def _words(self, recipe: str, test: WearTest, moment: int, by_s: float) -> str:
        name = self._writer().sentence(moment_words(moment))
        if by_s < 120.0:
            return self.tr("Smell “{recipe}” on the skin now: {moment}.").format(recipe=recipe, moment=name)
        minutes = round(by_s / 60.0)
        return self.tr("Smell “{recipe}” on the skin: {moment}. It has been due for {count} min.").format(
            recipe=recipe, moment=name, count=minutes
        )
