"""New batches to learn from: read by the store's thread, worked out in the pool, taken in when the maker says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QSizePolicy, QWidget

from workbench.core.catalogue.shelf import Lesson, Shelf
from workbench.core.review.learned import PastBatch, lessons_of, taken_in
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.scent.later import Later
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, button, row

AT_ONCE = 10  # batches that are asked in one go, oldest first; the rest waits for the next


@dataclass(frozen=True, slots=True)
class Fetched:
    """Real batches that have ended and were not asked yet, oldest first; `up_to` is the last number read."""

    batches: tuple[PastBatch, ...]
    up_to: int
    more: int = 0  # that wait for another round


class Past(Protocol):
    @property
    def project(self) -> str:
        """Which project it is; "" for none."""

    def fetch(self, after: int, done: Callable[[Fetched], object]) -> None:
        """Give `done` what came after that session, in the window's thread, a little later."""


class PastOfDesk:
    """The sessions of the project that is open."""

    def __init__(self, desk: ProjectDesk) -> None:
        self._desk = desk

    @property
    def project(self) -> str:
        return "" if self._desk.project is None else self._desk.project.id

    def fetch(self, after: int, done: Callable[[Fetched], object]) -> None:
        project, writer = self._desk.project, self._desk.writer
        if project is None or writer is None or project.read_only:
            return

        def read() -> Fetched:
            waiting = sorted(
                (entry for entry in project.sessions() if entry.number > after and entry.ended),
                key=lambda entry: entry.number,
            )
            real = [entry for entry in waiting if not entry.rehearsal]
            now, later = real[:AT_ONCE], real[AT_ONCE:]
            up_to = now[-1].number if later else waiting[-1].number if waiting else after
            batches = tuple(
                PastBatch(entry.id, entry.number, project.packed_events(entry.id)) for entry in now
            )
            return Fetched(batches, up_to, len(later))

        def ended(found: Fetched | None, trouble: Trouble | None) -> None:
            if found is not None and trouble is None and self._desk.project is project:
                done(found)

        writer.later(read, ended)


@dataclass(frozen=True, slots=True)
class _Learned:
    lessons: tuple[Lesson, ...]
    batches: int  # that taught something
    up_to: int
    more: int
    project: str  # whose batches they were: they belong on no other shelf


class LessonsBar(QFrame):
    """Hidden until there is a batch to learn from; then one sentence and one button.

    taken()   the lessons are on the shelf
    """

    taken = Signal()

    def __init__(
        self,
        context: Context,
        past: Past | None,
        keep_shelf: Callable[[Shelf], str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        as_role(self, "hint")
        self._context, self._past, self._keep_shelf = context, past, keep_shelf
        self.words = Words("")
        self.words.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.take = button(self.tr("Take it in"), self._take)
        line = row(self.words, self.take, gap=3)
        line.setStretch(0, 1)
        line.setContentsMargins(6 * GRID_PX, 2 * GRID_PX, 6 * GRID_PX, 2 * GRID_PX)
        self.setLayout(line)
        self._later = Later(self)
        self._later.came.connect(self._came)
        self._found: _Learned | None = None
        self._asked: dict[str, int] = {}  # project -> last session that was asked and taught nothing
        self.hide()

    def look(self) -> None:
        """Ask for batches that came since; the answer shows itself."""
        self._found = None
        self.hide()
        self._later.forget()
        if self._past is not None:
            asked = self._asked.get(self._past.project, 0)
            self._past.fetch(max(self._context.shelf.learned_up_to, asked), self._fetched)

    def _fetched(self, found: Fetched) -> None:
        if not found.batches or self._past is None:
            return
        catalogue, project = self._context.catalogue, self._past.project

        def work() -> _Learned:
            lessons: list[Lesson] = []
            taught = 0
            for batch in found.batches:
                each = lessons_of(batch, catalogue)
                taught += bool(each)
                lessons += each
            return _Learned(tuple(lessons), taught, found.up_to, found.more, project)

        self._later.start(work)

    def _came(self, result: object) -> None:
        if not isinstance(result, _Learned) or not self._of_this_project(result):
            return
        if not result.lessons:  # too few readings: nothing is offered, and it need not be asked again
            self._asked[result.project] = result.up_to
            if result.more:
                self.look()
            return
        self._found = result
        self.words.say(
            self.tr(
                "One new batch to learn from: it says how fast your jug cools and how your stove or oven heats."
            )
            if result.batches == 1
            else self.tr(
                "%n new batches to learn from: they say how fast your jugs cool and how your stove or oven heats.",
                "",
                result.batches,
            )
        )
        self.take.setText(self.tr("Take it in") if result.batches == 1 else self.tr("Take them in"))
        self.setAccessibleName(self.words.text())
        self.show()

    def _of_this_project(self, found: _Learned) -> bool:
        return self._past is not None and self._past.project == found.project

    def _take(self) -> None:
        found = self._found
        if found is None:
            return
        if not self._of_this_project(found):
            self.look()
            return
        context = self._context
        says = self._keep_shelf(taken_in(context.shelf, found.lessons, found.up_to, context.today()))
        if says:
            self.words.say(says)
            return
        self.taken.emit()
        self.look()
