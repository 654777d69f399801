"""The way from the window to keeping: its menu entries, and what a window that only reads may do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QAction

from workbench.core.trouble import Trouble
from workbench.store import troubles
from workbench.store.troubles import Kind, StoreTrouble
from workbench.ui.context import Context
from workbench.ui.project_desk import ENDING, ProjectDesk
from workbench.ui.widgets.ask import Choice, FileWish, Question

if TYPE_CHECKING:
    from workbench.store.backup import Backup
    from workbench.store.check import Report
    from workbench.store.erasing import PersonalWords
    from workbench.store.rescue import Pending, SavedCopy
    from workbench.ui.window import MainWindow

_A_BACKUP_HELPS = (Kind.DAMAGED, Kind.NOT_OURS, Kind.MISSING, Kind.MOVED, Kind.TOO_LARGE)
_FAULTS_IN_BANNER = 3


class KeepingRoom(QObject):
    """`batch_runs()` says so (and answers True) while a batch runs; `pending()` is what its record still lacks;
    `settled()` reads whatever is open in an editor."""

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        batch_runs: Callable[[], bool],
        pending: Callable[[], tuple[Pending, ...]],
        settled: Callable[[], bool],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._desk = context, desk
        self._batch_runs, self._pending, self._settled = batch_runs, pending, settled
        self._window: MainWindow
        self._actions: list[QAction] = []
        self._erase: QAction
        self._may_lack = False  # the maker leaves though the record lacks something

    def move_in(self, window: MainWindow) -> None:
        """The entries of the project menu."""
        self._window = window
        act, menu = window.act, window.project_menu
        self._actions = [
            act(menu, self.tr("Look whether the project is sound"), self.check),
            act(menu, self.tr("Save a copy elsewhere …"), self.save_copy),
            act(menu, self.tr("Restore a backup …"), self.restore),
            act(menu, self.tr("Temperatures of all batches as CSV …"), self._readings),
            act(menu, self.tr("Weights of all batches as CSV …"), self._weights),
        ]
        self._erase = act(menu, self.tr("Erase a wearer’s words …"), self.erase)
        self._desk.opened.connect(self._look)
        self._desk.refused.connect(self._refused)
        self._look()

    def _look(self) -> None:
        there = self._desk.project is not None
        for action in self._actions:
            action.setEnabled(there)
        self._erase.setEnabled(there and not self._desk.read_only)

    # backups

    def restore(self) -> None:
        if self._desk.project is not None:
            self.restore_for(self._desk.project.path)

    def restore_for(self, path: Path) -> None:
        """Choose a backup of this project, which need not be one that can be opened."""
        from workbench.ui.keeping.sheets import RestoreSheet

        if self._batch_runs() or not self._settled():
            return

        def put(chosen: Backup) -> None:
            self._desk.restore(path, chosen.path, self._restored)

        RestoreSheet(path.stem, self._desk.backups(path), put, self._window).open()

    def _restored(self, aside: Path | None) -> None:
        words = self.tr("The backup is in its place.")
        if aside is not None:
            words = self.tr(
                "The backup is in its place. The file as it was before is kept as {name}."
            ).format(name=aside.name)
        self._window.banner.tell(words, trouble=False)

    def _refused(self, path: Path, trouble: Trouble) -> None:
        """A project that cannot be opened; where backups are there, the way back is offered with the sentence."""
        helps = isinstance(trouble, StoreTrouble) and trouble.kind in _A_BACKUP_HELPS
        if helps and self._desk.backups(path):
            self._window.banner.tell(
                self._context.writer.sentence(trouble.says),
                (self.tr("Restore a backup …"), lambda: self.restore_for(path)),
            )
        else:
            self._window.tell_trouble(trouble)

    # looking through

    def check(self) -> None:
        """Look through the whole file, off this thread, and say what was found."""
        if self._desk.project is None or self._desk.checking or self._batch_runs():
            return
        self._window.banner.tell(
            self.tr("Looking through the whole project. A batch can begin once that is done."), trouble=False
        )
        self._desk.look_through(self._checked)

    def _checked(self, report: Report) -> None:
        w = self._context.writer
        if report.sound:
            words = self.tr(
                "The project is sound. Recipes: {recipes}, batches: {sessions}, entries: {entries}."
            )
            said = words.format(recipes=report.recipes, sessions=report.sessions, entries=report.entries)
            self._window.banner.tell("\n".join([said, *map(w.sentence, report.notes)]), trouble=False)
            return
        faults = [str(fault) for fault in report.faults]
        said = self.tr("The project is not sound. Faults found: {count}.").format(count=len(faults))
        path = report.path
        self._window.banner.tell(
            "\n".join([said, *faults[:_FAULTS_IN_BANNER]]),
            (self.tr("See them all"), lambda: self._show(said, [*faults, *report.notes])),
            (self.tr("Restore a backup …"), lambda: self.restore_for(path)),
        )

    def _show(self, heading: str, lines: list[str]) -> None:
        from workbench.ui.keeping.sheets import FoundSheet

        text = self.tr("Nothing was changed. A backup from before may be whole.")
        FoundSheet(heading, text, lines, self._window).open()

    # copies and tables

    def save_copy(self) -> None:
        """A copy on another disk, with whatever a running batch has not been able to store."""
        project = self._desk.project
        if project is None:
            return
        wish = FileWish(
            "save copy", self.tr("Save a copy on another disk"),
            self.tr("Balmbook project (*.balmbook)"), True,
            Path.home() / f"{self.tr('{name} copy').format(name=project.name)}{ENDING}",
        )  # fmt: skip
        self._context.ask.ask_file(wish, self._save_copy_to)

    def _save_copy_to(self, target: Path | None) -> None:
        if target is not None:
            self._desk.save_copy(target, self._pending(), self._saved)

    def _saved(self, saved: SavedCopy) -> None:
        words = (
            self.tr("A whole copy is in {place}.")
            if saved.whole
            else self.tr(
                "The project could not be read any more. {place} holds the batch in hand, the shelf and the newest recipes."
            )
        )
        self._window.banner.tell(words.format(place=str(saved.path)), trouble=not saved.whole)

    def may_leave(self, lacking: Trouble | None) -> bool:
        """Whether the window may close at once; where a batch's record lacks something, it is asked first."""
        if lacking is None or self._may_lack:
            self._may_lack = False
            return True
        count = sum(len(each.events) for each in self._pending())
        text = self.tr(
            "{trouble}\nEntries that are not in the record: {count}. They are lost with this window."
        )
        question = Question(
            "leave lacking",
            self.tr("Leave though the record of this batch is not whole?"),
            text.format(trouble=self._context.writer.trouble(lacking), count=count),
            (
                Choice("stay", self.tr("Stay here"), True),
                Choice("copy", self.tr("Save a copy elsewhere …")),
                Choice("leave", self.tr("Leave without them")),
            ),
        )

        def answered(key: str) -> None:
            if key == "copy":
                self.save_copy()
            elif key == "leave":
                self._may_lack = True
                QTimer.singleShot(0, self._window, self._window.close)  # not while it is being refused

        self._context.ask.ask(question, answered)
        return False

    def _readings(self) -> None:
        self._table("readings", self.tr("temperatures"))

    def _weights(self) -> None:
        self._table("weights", self.tr("weights"))

    def _table(self, what: str, name: str) -> None:
        project = self._desk.project
        if project is None or self._batch_runs():
            return

        def written(rows: int) -> None:
            self._window.banner.tell(self.tr("Rows written: {count}.").format(count=rows), trouble=False)

        def chosen(target: Path | None) -> None:
            if target is not None:
                self._desk.write_table(what, target, written)

        wish = FileWish(
            what, self.tr("Save a table"), self.tr("Table (*.csv)"), True,
            project.path.with_name(f"{project.name} {name}.csv"),
        )  # fmt: skip
        self._context.ask.ask_file(wish, chosen)

    # a wearer's words

    def erase(self) -> None:
        from workbench.ui.keeping.sheets import EraseSheet

        if self._desk.project is None or self._desk.read_only or self._batch_runs() or not self._settled():
            return
        EraseSheet(self._desk.personal_words(), self._ask_erase, self._window).open()

    def _ask_erase(self, pieces: tuple[PersonalWords, ...], reason: str) -> None:
        question = Question(
            "erase words",
            self.tr("Erase these words for good?"),
            self.tr("Pieces of text: {count}. They cannot be brought back.").format(count=len(pieces)),
            (Choice("keep", self.tr("Keep them")), Choice("erase", self.tr("Erase them"), True)),
        )

        def answered(key: str) -> None:
            if key == "erase":
                self._desk.erase(pieces, reason, self._erased)

        self._context.ask.ask(question, answered)

    def _erased(self, count: int) -> None:
        self._desk.show_again()
        words = self.tr("Pieces of text erased: {count}. The backups were replaced by a fresh one.")
        self._window.banner.tell(words.format(count=count), trouble=False)

    # whose project it is

    def say_whose(self) -> None:
        """After opening: who has the project, where it can only be read, or who did not close it."""
        project, banner, w = self._desk.project, self._window.banner, self._context.writer
        if project is None:
            return
        why = project.read_only_because
        if why is not None:
            banner.tell(w.sentence(why.says), (self.tr("Look again"), self._desk.open_again))
        elif project.left_behind:
            said = w.sentence(project.left_behind)
            if banner.isHidden():
                banner.tell(said)
            else:  # an offer stands there and keeps its buttons
                banner.words.say(f"{said}\n{banner.words.text()}")

    def why_not(self) -> str:
        """Why nothing can be changed here (not yet put into the user's words), or ""."""
        project = self._desk.project
        if project is None or not project.read_only:
            return ""
        return (project.read_only_because or troubles.read_only(project.path)).says
