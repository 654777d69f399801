"""Looks whether a wear test is waiting to be marked, while the window is open."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from workbench.core.review.keeping import WEAR_TEST, read_kept
from workbench.core.review.wear import WearTest, WearTests, coming, due, moment_words
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.writing import Writer

if TYPE_CHECKING:
    from workbench.ui.project_desk import ProjectDesk

LONG_AGO = timedelta(hours=12)  # a test that was dabbed on before that is over, marked or not
_LOOK_MS = 10_000


class WearWatch(QObject):
    """`tell(words, session)` says that a moment has come; False: it could not be said now, try again.

    `kept` gives the wear tests of the open project by session.  Nothing is said
    while the program is closed: on opening, `look_again` says once what came
    due meanwhile.  A tick only says to look at the clock.
    """

    def __init__(
        self,
        kept: Callable[[], Mapping[str, WearTests]],
        writer: Callable[[], Writer],
        now: Callable[[], datetime],
        tell: Callable[[str, str], bool],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._kept, self._writer, self._now, self._tell = kept, writer, now, tell
        self._said: set[tuple[str, int, datetime | None, int]] = set()
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
            kept = self._kept()
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
            if not late:
                continue
            # with the time of the dab: a wearing that is begun anew is called anew
            moment = (session, test.number, test.dabbed, late[-1].after_min)
            if moment not in self._said:
                if self._tell(self._words(recipe, test, late[-1].after_min, late[-1].by_s), session):
                    self._said.add(moment)
                else:
                    ahead = True
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


def wall_now() -> datetime:
    return datetime.now().astimezone()


def watch_wear(
    context: Context, desk: ProjectDesk, tell: Callable[[str, str], bool], parent: QObject
) -> WearWatch:
    """A watch over the project that is open, looking anew whenever another one is."""

    def kept() -> dict[str, WearTests]:
        held = desk.project.documents(WEAR_TEST) if desk.project is not None else ()
        read = {each.key: read_kept(WearTests, each.body) for each in held}
        return {key: each for key, each in read.items() if each is not None}

    watch = WearWatch(kept, lambda: context.writer, wall_now, tell, parent)
    desk.opened.connect(watch.look_again)
    return watch
