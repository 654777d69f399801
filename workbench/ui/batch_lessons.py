"""Whether a batch that has just ended can teach the forecast: read, then worked out, off the window's thread.

Nothing is taken in here; the shelf offers it, and its maker says so.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from shiboken6 import isValid

from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.scent.later import Later


class BatchLessons(QObject):
    """One question at a time, about the session named last."""

    def __init__(self, context: Context, desk: ProjectDesk, parent: QObject) -> None:
        super().__init__(parent)
        self._context, self._desk = context, desk
        self._tell: Callable[[str], object] | None = None
        self._later = Later(self)
        self._later.came.connect(self._came)

    def ask(self, session: str, tell: Callable[[str], object]) -> None:
        """Give `tell` one sentence a little later; it is not called where the batch taught nothing."""
        project, writer = self._desk.project, self._desk.writer
        if project is None or writer is None:
            return
        catalogue = self._context.catalogue
        self._tell = tell

        def read() -> Callable[[], object] | None:
            entry = next((each for each in project.sessions() if each.id == session), None)
            if entry is None or not entry.ended or entry.rehearsal:
                return None
            number, events = entry.number, project.packed_events(session)

            def work() -> bool:
                from workbench.core.review.learned import PastBatch, lessons_of  # brings the solvers

                return bool(lessons_of(PastBatch(session, number, events), catalogue))

            return work

        def ended(work: Callable[[], object] | None, trouble: Trouble | None) -> None:
            if work is not None and trouble is None and isValid(self):
                self._later.start(work)

        writer.later(read, ended)

    def forget(self) -> None:
        """The page is put away: nobody waits for an answer any more."""
        self._tell = None
        self._later.forget()

    def _came(self, taught: object) -> None:
        if taught is True and self._tell is not None:
            self._tell(
                self.tr(
                    "There is something to learn from this batch: how fast the jug cools, or how the stove or oven heats. Open Shelf to take it in."
                )
            )
