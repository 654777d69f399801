"""The way from the window to keeping: its menu entries, and what a window that only reads may do."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QAction

from workbench.core.trouble import Trouble
from workbench.store import troubles
from workbench.store.lock import HeldByOther
from workbench.store.troubles import Kind, StoreTrouble
from workbench.ui.context import Context
from workbench.ui.keeping.taking_up import TakingUp
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
    """`batch_runs()` is asked before what must not come in its way; `pending()` is what its record still lacks;
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
        self._taking = TakingUp(self)
        self._taking.free.connect(desk.open_again)
        self._taking.left.connect(self._say_left)
        desk.parting.connect(self._taking.stop)
        desk.unkept.connect(self._say_unkept)

    def move_in(self, window: MainWindow) -> None:
        """The entries of the project menu."""
        self._window = window
        act, menu = window.act, window.project_menu
        self._actions = [
            act(menu, self.tr("Look whether the project is sound"), self.check),
            act(menu, self.tr("Save a copy elsewhere …"), self.save_copy),
            act(menu, self.tr("Make a backup now"), self.back_up),
            act(menu, self.tr("Restore a backup …"), self.restore),
            act(menu, self.tr("Temperatures of all batches as CSV …"), self._readings),
            act(menu, self.tr("Weights of all batches as CSV …"), self._weights),
        ]
        self._erase = act(menu, self.tr("Erase a wearer’s words …"), self.erase)
        self._desk.opened.connect(self.look)
        self._desk.refused.connect(self._refused)
        self._desk.emptied.connect(self._emptied)
        self.look()

    def look(self) -> None:
        there = self._desk.project is not None
        for action in self._actions:
            action.setEnabled(there)
        self._erase.setEnabled(there and not self._desk.read_only)

    def _emptied(self) -> None:
        """No project is behind the pages any more: what was typed there would go nowhere."""
        self._window.setWindowTitle("Balmbook")
        self._window.show_page("")
        self.look()

    def _stands_back(self) -> bool:
        """While a batch runs its entries come first: that is said, with what can be done at once."""
        if not self._batch_runs():
            return False
        self._window.banner.tell(
            self.tr(
                "A batch is running, and nothing may come in the way of its entries. This can be done once the batch is finished or ended. A copy of the project, with all its entries so far, can be saved on another disk at once."
            ),
            (self.tr("Save a copy elsewhere …"), self.save_copy),
        )
        return True

    # backups

    def back_up(self) -> None:
        """A backup because somebody wants one; a running batch is let in between."""
        if self._desk.read_only:
            self._window.banner.tell(self._context.writer.sentence(self.why_not()))
        else:
            self._desk.back_up_now(self._backed_up)

    def _backed_up(self, made: Backup) -> None:
        words = self.tr("The backup is made: {name}, in the folder {folder}.")
        said = words.format(name=made.path.name, folder=str(made.path.parent))
        self._window.banner.tell(said, trouble=False)

    def restore(self) -> None:
        if self._desk.project is not None:
            self.restore_for(self._desk.project.path)

    def restore_for(self, path: Path) -> None:
        """Choose a backup of this project, which need not be one that can be opened."""
        from workbench.ui.keeping.sheets import RestoreSheet

        if self._stands_back() or not self._settled():
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
        if self._desk.project is None or self._desk.checking or self._stands_back():
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
        if report.only_summaries and not self._desk.read_only:
            words = self.tr(
                "The record is whole. What lists and trends read of it has to be built again. Batches: {sessions}."
            )
            self._window.banner.tell(
                words.format(sessions=report.sessions),
                (self.tr("Build the summaries again"), self._build_summaries),
            )
            return
        faults = [str(fault) for fault in report.faults]
        said = self.tr("The project is not sound. Faults found: {count}.").format(count=len(faults))
        path = report.path
        self._window.banner.tell(
            "\n".join([said, *faults[:_FAULTS_IN_BANNER]]),
            (self.tr("See them all"), lambda: self._show(said, [*faults, *report.notes])),
            (self.tr("Restore a backup …"), lambda: self.restore_for(path)),
        )

    def _build_summaries(self) -> None:
        if not self._stands_back():
            self._desk.build_summaries(self._built)

    def _built(self, count: int) -> None:
        self._desk.show_again()
        words = self.tr("Summaries built again: {count}.")
        self._window.banner.tell(words.format(count=count), trouble=False)

    def _show(self, heading: str, lines: list[str]) -> None:
        from workbench.ui.keeping.sheets import FoundSheet

        text = self.tr("Nothing was changed. A backup from before may be whole.")
        FoundSheet(heading, text, lines, self._window).open()

    # copies and tables

    def export(self) -> None:
        """The whole project as JSON; a large one takes its time, so not while a batch runs."""
        project = self._desk.project
        if project is None or self._stands_back() or not self._settled():
            return
        wish = FileWish(
            "export", self.tr("Export the project"), self.tr("Exported project (*.json)"), True,
            self._window.places.projects / f"{project.name}.json",
        )  # fmt: skip
        self._context.ask.ask_file(wish, self._export_to)

    def _export_to(self, path: Path | None) -> None:
        if path is not None:
            self._desk.export(path, self._exported)

    def _exported(self, path: Path) -> None:
        self._window.banner.tell(self.tr("Exported to {name}.").format(name=path.name), trouble=False)

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
            "{trouble}\nEntries that are not in the record: {count}. A copy that you save elsewhere has them. If you leave without one, they are put into a copy on this computer where that can be done."
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
        if project is None or self._stands_back():
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

        if self._desk.project is None or self._desk.read_only or self._stands_back() or not self._settled():
            return
        EraseSheet(
            self._desk.personal_words(),
            self._ask_erase,
            self._window,
            self._desk.batches_made(),
            self._desk.at_work.rescued(self._desk.project.name),
        ).open()

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

    # whose project it is, and what could not be told before

    def say_whose(self) -> None:
        """After opening: who has the project, where it can only be read, or who did not close it; what was untold."""
        project, banner, w = self._desk.project, self._window.banner, self._context.writer
        if project is None:
            return
        why = project.read_only_because
        if why is not None:
            leaving = isinstance(why, HeldByOther) and why.owner is not None and why.owner.leaving
            banner.tell(
                w.sentence(why.says), (self.tr("Look again"), self._desk.open_again), trouble=not leaving
            )
            if isinstance(why, HeldByOther):
                self._taking.start(project.path, leaving)
            if leaving:
                return  # what is untold may be settled by then
        elif project.left_behind:
            self._beside(w.sentence(project.left_behind))
        self._say_untold()

    def _beside(self, said: str, *actions: tuple[str, Callable[[], object]]) -> None:
        """Say it with what can be done; where an offer stands already, that keeps its buttons."""
        banner = self._window.banner
        if banner.isHidden():
            banner.tell(said, *actions)
        else:
            banner.words.say(f"{said}\n{banner.words.text()}")

    def _say_untold(self) -> None:
        """What came up when nobody was there to be told."""
        project, w = self._desk.project, self._context.writer
        if project is None:
            return
        untold, key = self._desk.untold, project.id
        for copy in untold.copies(key, project.path):
            self._beside(
                w.sentence(copy.says),
                (self.tr("Open that copy"), partial(self._desk.open, copy.path)),
                (self.tr("I have seen to it"), partial(untold.seen, key)),
            )
        lost = untold.says_lost(key)
        if lost is not None:
            self._beside(w.sentence(lost), (self.tr("I have seen to it"), partial(untold.seen, key)))
        why = untold.why_no_backup(key, project.path)
        if why is not None:
            ways = () if project.read_only else ((self.tr("Make a backup now"), self.back_up),)
            self._beside(w.sentence(why), *ways)

    def _say_unkept(self, name: str, trouble: Trouble) -> None:
        """The last backup of a project that is closed already failed, and another page is in front by now."""
        self._beside(
            self.tr("The last backup of “{name}” could not be made. {why}").format(
                name=name, why=self._context.writer.sentence(trouble.says)
            )
        )

    def _say_left(self) -> None:
        """Not by itself: somebody may be reading here."""
        self._window.banner.tell(
            self.tr("The other window has closed this project."),
            (self.tr("Work on it here"), self._desk.open_again),
            trouble=False,
        )

    def why_not(self) -> str:
        """Why nothing can be changed here (not yet put into the user's words), or ""."""
        project = self._desk.project
        if project is None or not project.read_only:
            return ""
        return (project.read_only_because or troubles.read_only(project.path)).says
