"""The project that is open: its recipes, its shelf, what is saved and what is only typed.

Everything goes through here to the store.  What cannot be done is told by
`troubled`, with the sentence of the store; the window shows it and goes on.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError
from PySide6.QtCore import QObject, Qt, QTimer, Signal

from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.store.project import Project
from workbench.store.shelving import RecipeEntry
from workbench.store.writer import Writer

if TYPE_CHECKING:
    from workbench.store.check import Report

DRAFT = "recipe"
ENDING = ".balmbook"


class ProjectDesk(QObject):
    """opened()        another project is open (or none)
    listed()        the list of recipes is different
    troubled(object) a Trouble to be shown
    """

    opened = Signal()
    listed = Signal()
    troubled = Signal(object)
    _post = Signal(object)

    def __init__(self, now: Callable[[], datetime], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.project: Project | None = None
        self.writer: Writer | None = None
        self.entries: tuple[RecipeEntry, ...] = ()
        self._now = now
        self._draft: str | None = None
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(1500)
        self._later.timeout.connect(self._write_draft)
        self._post.connect(self._run, Qt.ConnectionType.QueuedConnection)

    # opening

    def open(self, path: Path) -> bool:
        return self._take(lambda: Project.open(path, now=self._now))

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

    def look_through(self, done: Callable[[tuple[str, ...], tuple[int, int]], object]) -> None:
        """Check the whole file in the background; `done` gets the faults and (recipes, batches)."""
        from workbench.store.check import check_project

        project, writer = self.project, self.writer
        if project is None or writer is None:
            return

        def found(report: Report | None, trouble: Trouble | None) -> None:
            if trouble is not None:
                self.troubled.emit(trouble)
            elif report is not None:
                done(tuple(str(fault) for fault in report.faults), (report.recipes, report.sessions))

        path = project.path
        writer.later(lambda: check_project(path), found)

    def export(self, target: Path) -> bool:
        from workbench.store import interchange

        project = self.project
        if project is None:
            return False
        return self._try(lambda: interchange.export_project(project, target))

    def close(self) -> None:
        """Write what waits and let go of the file; may be called twice."""
        if self._later.isActive():
            self._later.stop()
            self._write_draft()
        if self.writer is not None:
            self.writer.close()
            self.writer = None
        if self.project is not None:
            self.project.close()
            self.project = None

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
        if text:
            writer.later(lambda: project.save_draft(DRAFT, text), self._written)
        else:
            writer.later(lambda: project.drop_draft(DRAFT), self._written)

    def _written(self, _result: object, trouble: Trouble | None) -> None:
        if trouble is not None:
            self.troubled.emit(trouble)

    # how it is done

    def _take(self, make: Callable[[], Project]) -> bool:
        try:
            project = make()
        except Trouble as trouble:
            self.troubled.emit(trouble)
            return False
        self.close()
        self.project = project
        self.writer = Writer(project, self._post.emit)
        self._list(quietly=True)
        self.opened.emit()
        if project.read_only_because is not None:
            self.troubled.emit(project.read_only_because)
        elif project.left_behind:
            self.troubled.emit(Trouble(project.left_behind))
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

    def _run(self, work: Callable[[], None]) -> None:
        work()
