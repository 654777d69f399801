"""The project that is open: its recipes, its shelf, what is saved and what is only typed.

Everything goes through here to the store.  What cannot be done is told by
`troubled`, with the sentence of the store; the window shows it and goes on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING, TypeVar

from pydantic import ValidationError
from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.store.project import Project
from workbench.store.shelving import RecipeEntry
from workbench.store.untold import Untold
from workbench.store.writer import Writer
from workbench.ui.keeping.at_work import AtWork
from workbench.ui.post import application_post

if TYPE_CHECKING:
    from workbench.store.backup import Backup
    from workbench.store.check import Report
    from workbench.store.erasing import PersonalWords
    from workbench.store.rescue import Pending, SavedCopy
    from workbench.store.sessions import SessionEntry
    from workbench.ui.keeping.closing import Closing

Result = TypeVar("Result")
Done = Callable[[Result | None, Trouble | None], None]

DRAFT = "recipe"
ENDING = ".balmbook"
BACKUP_LOOKS_MS = 5 * 60_000  # whether one is due; it is at most once an hour
PATIENCE_S = 2.0  # the window waits no longer for a file to be let go


class ProjectDesk(QObject):
    """parting()       the open project is about to be let go: last words for its record
    opened()        another project is open
    emptied()       none is open any more: it was let go of, and could not be opened again
    listed()        the list of recipes is different
    troubled(object) a Trouble to be shown
    refused(Path, object)  a project that cannot be opened, and the Trouble
    unkept(str, object)  a project that was closed got no last backup: its name, and the Trouble
    """

    parting = Signal()
    opened = Signal()
    emptied = Signal()
    listed = Signal()
    troubled = Signal(object)
    refused = Signal(object, object)
    unkept = Signal(str, object)

    def __init__(
        self,
        now: Callable[[], datetime],
        parent: QObject | None = None,
        untold: Untold | None = None,
        rescue_to: Path | None = None,
    ) -> None:
        """`rescue_to`: the folder on this computer for what a project's disk does not take at the end."""
        super().__init__(parent)
        self.untold = Untold() if untold is None else untold
        self.at_work = AtWork(now, self.untold, rescue_to, self)
        self.at_work.closed.connect(self._closed)
        self._left = False  # the window has closed
        self.checking = False  # the file is being looked through
        self._stop_checking: Callable[[], object] = bool
        self.project: Project | None = None
        self.writer: Writer | None = None
        self.entries: tuple[RecipeEntry, ...] = ()
        self._now = now
        self._draft: str | None = None
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(1500)
        self._later.timeout.connect(self._write_draft)
        self._backup_told = False  # a disk that refuses backups is said once, not every few minutes
        self._looks = QTimer(self)
        self._looks.setInterval(BACKUP_LOOKS_MS)
        self._looks.timeout.connect(self.back_up)

    # opening

    def open(self, path: Path) -> bool:
        return self._take(lambda: Project.open(path, now=self._now), path)

    @property
    def read_only(self) -> bool:
        """Whether the open project can only be looked at."""
        return self.project is not None and self.project.read_only

    def open_again(self) -> bool:
        """Let go of the project and open it anew: another window may have closed it meanwhile."""
        if self.project is None:
            return False
        path = self.project.path
        self.close()
        if self.open(path):
            return True
        self.emptied.emit()
        return False

    def create(self, path: Path, shelf: Shelf) -> bool:
        """A new project with the starter shelf."""

        def make() -> Project:
            project = Project.create(path, now=self._now)
            project.save_shelf(shelf)
            return project

        return self._take(make)

    def copy_of(self, source: Path, target: Path) -> bool:
        """A project of one's own made from an exported file; an earlier copy is opened as it is."""

        def make() -> Project:
            from workbench.store import interchange  # brings every kind of event; not before it is wanted

            target.parent.mkdir(parents=True, exist_ok=True)
            if not target.exists():
                interchange.import_project(source, target, self._now())
            return Project.open(target, now=self._now)

        return self._take(make)

    def look_through(self, done: Callable[[Report], object]) -> None:
        """Check the whole file in the background; until then writing waits, and `checking` says so."""
        from workbench.store.check import check_project

        project, writer = self.project, self.writer
        if project is None or writer is None or self.checking:
            return
        path, tell, stop = project.path, self._telling(done), Event()
        self._stop_checking = stop.set

        def go_on(_done: int, _total: int) -> None:
            if stop.is_set():
                raise Trouble(
                    say("The project was not looked through to the end. Look again once no batch runs.")
                )

        def ended(report: Report | None, trouble: Trouble | None) -> None:
            if self.writer is writer:  # else it was closed meanwhile
                self.checking = False
                tell(report, trouble)

        self.checking = True
        writer.later(lambda: check_project(path, go_on), ended)

    def stop_checking(self) -> None:
        """A batch goes on, and beside a hot jug nobody waits for a look through the file."""
        self._stop_checking()

    def export(self, target: Path, done: Callable[[Path], object]) -> None:
        """Write the whole project as JSON in the background; `done` gets where it is."""
        project = self.project
        if project is None:
            return

        def work() -> Path:
            from workbench.store import interchange  # brings every kind of event

            interchange.export_project(project, target)
            return target

        says = self.tr("The project is still being exported to {place}.").format(place=str(target))
        self.at_work.aside(work, self._telling(done), says, project)

    def close(self, keep: bool = True) -> None:
        """Write what waits and let go of the file, with a last backup if something is new; may be called twice."""
        if self.project is not None:
            self.parting.emit()
        if self._later.isActive():
            self._later.stop()
            self._write_draft()
        self._looks.stop()
        self.stop_checking()  # nobody waits for what it finds any more, and no batch of the next project
        self.checking = False
        project, writer = self.project, self.writer
        self.project = self.writer = None
        if project is None or writer is None:
            return
        self.at_work.close(project, writer, self._now() if keep else None).wait(PATIENCE_S)

    def leave(self) -> None:
        """The window closes: nothing is opened here any more."""
        self._left = True
        self.close()

    def _closed(self, closing: Closing) -> None:
        here = self.project is not None and self.project.id == closing.project_id  # then opening it told
        if closing.trouble is not None and not here:
            self.unkept.emit(closing.name, closing.trouble)

    def show_again(self) -> None:
        """Everything is read anew from the file, as after opening."""
        self._list(quietly=True)
        self.opened.emit()

    # keeping: backups, copies, personal words, tables

    def back_up(self) -> None:
        """Make a backup if one is due, off this thread."""
        project = self.project
        if project is not None and self.writer is not None and not self.read_only:
            self.writer.back_up(self._now(), lambda made, trouble: self._backed_up(project, made, trouble))

    def back_up_now(self, done: Callable[[Backup], object]) -> None:
        """Make one in any case; trouble is told each time."""
        project = self.project
        if project is None or self.writer is None or self.read_only:
            return

        def ended(made: Backup | None, trouble: Trouble | None) -> None:
            self._backup_told = False
            self._backed_up(project, made, trouble)
            if made is not None:
                done(made)

        self.writer.back_up(self._now(), ended, due=True)

    def _backed_up(self, project: Project, made: Backup | None, trouble: Trouble | None) -> None:
        if trouble is not None:
            self.untold.no_backup(project.id, project.path, trouble.says, self._now())
            if not self._backup_told:
                self.troubled.emit(trouble)
        elif made is not None:
            self.untold.backup_made(project.id, project.path)
        self._backup_told = trouble is not None

    def backups(self, path: Path) -> tuple[Backup, ...]:
        """The backups of a project, which may be one that cannot be opened; newest first."""
        from workbench.store import backup

        return backup.backups(path)

    def restore(self, path: Path, chosen: Path, done: Callable[[Path | None], object]) -> None:
        """Put a backup in the place of a project and open it; `done` gets where the former file is now."""
        from workbench.store import backup

        self.close(keep=False)  # a fresh backup could push out the very one that is wanted
        closings, now = tuple(self.at_work.closings), self._now

        def put_back() -> Path | None:
            for closing in closings:
                closing.wait()
            return backup.restore(path, chosen, now())

        def put(aside: Path | None, trouble: Trouble | None) -> None:
            if self._left:  # whoever opens it next has what was put back
                return
            if self.project is None and (path.exists() or trouble is None):
                self.open(path)
            if self.project is None:
                self.emptied.emit()
            if trouble is not None:
                self.troubled.emit(trouble)
            else:
                done(aside)

        self.at_work.aside(put_back, put, self.tr("A backup is still being put in its place."))

    def save_copy(
        self, target: Path, pending: Sequence[Pending], done: Callable[[SavedCopy], object]
    ) -> None:
        """Save a copy with what still waits to be written.  Not in the writer's turn: that may be what hangs."""
        from workbench.store import rescue

        project = self.project
        if project is not None:
            says = self.tr("A copy is still being saved to {place}.").format(place=str(target))
            self.at_work.aside(
                lambda: rescue.save_copy(project, target, pending), self._telling(done), says, project
            )

    def personal_words(self) -> tuple[PersonalWords, ...]:
        return self._held(Project.personal_words)

    def batches_made(self) -> tuple[SessionEntry, ...]:
        return self._held(Project.sessions)

    def _held(self, ask: Callable[[Project], tuple[Result, ...]]) -> tuple[Result, ...]:
        """What the open project answers; nothing without one, or where its trouble is told."""
        project = self.project
        found: list[Result] = []
        if project is not None:
            self._try(lambda: found.extend(ask(project)))
        return tuple(found)

    def erase(self, pieces: Sequence[PersonalWords], reason: str, done: Callable[[int], object]) -> None:
        """Erase words for good, then replace the backups that still hold them; `done` gets how many went."""
        from workbench.store import backup

        project, writer, now = self.project, self.writer, self._now
        if project is None or writer is None:
            return
        if (
            self._later.isActive()
        ):  # what is typed is written first, so that a draft of the same wearer goes too
            self._later.stop()
            self._write_draft()

        def work() -> int:
            gone = project.erase(pieces, reason)
            backup.renew(project, now())
            return gone

        writer.later(work, self._telling(done))

    def build_summaries(self, done: Callable[[int], object]) -> None:
        """All summaries anew from the record; `done` gets how many there are."""
        project, writer, tell = self.project, self.writer, self._telling(done)
        if project is None or writer is None or self.checking:
            return

        def ended(count: int | None, trouble: Trouble | None) -> None:
            if self.writer is writer:
                self.checking = False
                tell(count, trouble)

        self.checking = True  # no batch begins meanwhile: its first entry would have to wait
        writer.later(project.rebuild_summaries, ended)

    def write_table(self, what: str, target: Path, done: Callable[[int], object]) -> None:
        """ "readings" or "weights" of every batch as CSV; `done` gets the number of rows."""
        from workbench.store import tables

        project, writer = self.project, self.writer
        export = {"readings": tables.export_readings, "weights": tables.export_weights}[what]
        if project is not None and writer is not None:
            writer.later(lambda: export(project, target), self._telling(done))

    def aside(self, work: Callable[[], object], done: Callable[[], object]) -> None:
        """Write something of its own where a slow disk keeps nobody waiting; trouble is told, `done` called else."""

        def ended(_result: object, trouble: Trouble | None) -> None:
            if trouble is not None:
                self.troubled.emit(trouble)
            else:
                done()

        self.at_work.aside(work, ended, self.tr("A file is still being written."))

    def _telling(self, done: Callable[[Result], object]) -> Done[Result]:
        """Trouble is told; a result goes on to `done`."""

        def ended(result: Result | None, trouble: Trouble | None) -> None:
            if trouble is not None:
                self.troubled.emit(trouble)
            elif result is not None:
                done(result)

        return ended

    # recipes

    def recipe(self, name: str) -> RecipeEntry | None:
        return next((entry for entry in self.entries if entry.name == name), None)

    def visible(self) -> tuple[RecipeEntry, ...]:
        return tuple(entry for entry in self.entries if not entry.put_away)

    def save(self, recipe: Recipe, was: str | None) -> int | None:
        """Keep a revision; its number, or None when it could not be kept."""
        project, kept = self.project, [0]
        if project is None:
            return None

        def write() -> None:
            kept[0] = project.save_recipe(recipe, was)
            project.drop_draft(DRAFT)

        self._later.stop()
        self._draft = None
        if not self._try(write):
            return None
        self._list()
        return kept[0]

    def put_away(self, name: str, away: bool = True) -> None:
        project = self.project
        if project is not None and self._try(lambda: project.put_away(name, away)):
            self._list()

    def save_shelf(self, shelf: Shelf) -> bool:
        project = self.project
        return project is not None and self._try(lambda: project.save_shelf(shelf))

    # drafts: what is typed and not saved yet

    def keep_draft(self, recipe: Recipe) -> None:
        """Remember unsaved work; written in a moment, off this thread."""
        self._draft = recipe.model_dump_json()
        self._later.start()

    def forget_draft(self) -> None:
        self._draft = ""
        self._later.start()

    def draft(self) -> Recipe | None:
        """Unsaved work from last time, if there is any and it can still be read."""
        if self.project is None:
            return None
        try:
            for held in self.project.drafts():
                if held.key == DRAFT and held.text:
                    return Recipe.model_validate_json(held.text)
        except ValidationError:
            return None
        except Trouble as trouble:
            self.troubled.emit(trouble)
        return None

    def _write_draft(self) -> None:
        project, writer, text = self.project, self.writer, self._draft
        if project is None or writer is None or text is None or project.read_only:
            return
        self._draft = None
        writer.keep_draft(DRAFT, text, self._written)

    def _written(self, _result: object, trouble: Trouble | None) -> None:
        if trouble is not None:
            self.troubled.emit(trouble)

    # how it is done

    def _take(self, make: Callable[[], Project], path: Path | None = None) -> bool:
        for closing in self.at_work.closings_of(path):
            closing.wait(PATIENCE_S)  # it may be the same file
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)  # a slow stick is read for seconds
        try:
            project = make()
        except Trouble as trouble:
            if path is None:
                self.troubled.emit(trouble)
            else:
                self.refused.emit(path, trouble)
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self.close()
        self.project = project
        self._backup_told = False
        if not project.read_only:
            self._looks.start()
        self.writer = Writer(project, application_post().to(self))
        self._list(quietly=True)
        self.opened.emit()
        return True

    def _try(self, work: Callable[[], object]) -> bool:
        try:
            work()
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return False
        return True

    def _list(self, quietly: bool = False) -> None:
        project = self.project

        def read() -> None:
            self.entries = project.recipes() if project is not None else ()

        self._try(read)
        if not quietly:
            self.listed.emit()
