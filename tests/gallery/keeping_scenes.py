"""Keeping what was recorded: backups, checks, erasing, windows that only read, a disk that is full."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing, suppress
from datetime import timedelta
from pathlib import Path

from PySide6.QtWidgets import QDialog

from tests.gallery.stage import NOW, Stage
from tests.ui.editor.kitchen import OPEN
from workbench.core.batch.commands import ReadTemperature
from workbench.core.recipe.model import Brief
from workbench.core.trouble import Trouble
from workbench.store import backup, troubles
from workbench.store.check import check_project
from workbench.store.lock import HeldByOther, Owner
from workbench.store.project import Project
from workbench.testing import MemoryJournal

OWNER = Owner("kitchen", "pantry-laptop", 4711, "2026-03-14T08:12:00+01:00")
PLACE = Path("/media/blue stick/balms/Kitchen.balmbook")
WORDS = (
    ("M. R.", "dry woods, tea; nothing that smells of sun cream"),
    ("A.", "everything citrus, but her skin reddens in the sun"),
    ("", "for the long walk by the water"),
)


def put_away(stage: Stage) -> None:
    """Close what a scene before left open."""
    for one in stage.window.findChildren(QDialog):
        one.reject()
    stage.settle()


def kitchen(stage: Stage) -> Path:
    """A project with words of three wearers and a week of backups."""
    put_away(stage)
    path = stage.folder / "Kitchen shelf.balmbook"
    if not path.exists():
        with Project.create(path, now=lambda: NOW) as project:
            project.save_shelf(stage.starter)
            for who, liked in WORDS:
                brief = Brief(for_whom=who, liked=liked)
                project.save_recipe(
                    OPEN.model_copy(update={"name": f"Balm for {who or 'nobody'}", "brief": brief})
                )
            for hours in (170, 145, 97, 49, 25, 3, 2, 1):
                backup.make(project, NOW - timedelta(hours=hours))
    stage.house.model.stack.setClean()
    stage.house.desk.close(keep=False)
    assert stage.house.desk.open(path)
    stage.house.to_recipe()
    stage.window.banner.hide()
    stage.settle()
    return path


def restore(stage: Stage) -> None:
    kitchen(stage)
    stage.house.keeping.restore()
    stage.settle()


def no_backup(stage: Stage) -> None:
    put_away(stage)
    path = stage.folder / "Nothing kept yet.balmbook"
    if not path.exists():
        Project.create(path, now=lambda: NOW).close()
    stage.house.model.stack.setClean()
    stage.house.desk.close(keep=False)
    shutil.rmtree(backup.folder_of(path), ignore_errors=True)
    assert stage.house.desk.open(path)
    stage.window.banner.hide()
    stage.house.keeping.restore()
    stage.settle()


def restored(stage: Stage) -> None:
    path = kitchen(stage)
    stage.house.keeping._restored(path.with_name("Kitchen shelf set aside 2026-03-14 090000.balmbook"))
    stage.settle()


def sound(stage: Stage) -> None:
    stage.house.keeping._checked(check_project(kitchen(stage)))
    stage.settle()


def damaged_report(stage: Stage) -> None:
    """A check of a copy in which somebody changed the second half of its pages."""
    path = kitchen(stage)
    broken = path.with_name("Broken.balmbook")
    broken.unlink(missing_ok=True)
    with closing(sqlite3.connect(path)) as file, closing(sqlite3.connect(broken)) as copy:
        file.backup(copy)
    whole = bytearray(broken.read_bytes())
    for page in range(8, len(whole) // 4096, 3):
        whole[page * 4096 : page * 4096 + 300] = bytes(300)
    broken.write_bytes(whole)
    stage.house.keeping._checked(check_project(broken))
    stage.settle()


def all_faults(stage: Stage) -> None:
    damaged_report(stage)
    stage.window.banner._actions[0].click()  # type: ignore[attr-defined]
    stage.settle()


def erase(stage: Stage) -> None:
    kitchen(stage)
    stage.house.keeping.erase()
    stage.settle()


def copied(stage: Stage) -> None:
    from workbench.store.rescue import SavedCopy

    kitchen(stage)
    stage.house.keeping._saved(SavedCopy(Path("/media/red stick/Kitchen copy.balmbook"), False, "s1"))
    stage.settle()


def locked(stage: Stage) -> None:
    """Another window has the project: it is shown for reading only."""
    path = kitchen(stage)
    reads_only(stage, HeldByOther(path, OWNER))


def newer(stage: Stage) -> None:
    reads_only(stage, troubles.newer(kitchen(stage)))


def reads_only(stage: Stage, why: Trouble) -> None:
    project = stage.house.desk.project
    assert project is not None
    project.read_only_because = why
    stage.house.model.locked = stage.house.keeping.why_not()
    with suppress(AttributeError):
        stage.house.batches.plan()
    stage.house.keeping.look()
    stage.house.keeping.say_whose()
    stage.settle()


def disk_full(stage: Stage) -> None:
    """A hot step on hold because the record cannot be written."""
    from tests.gallery.scenes import melting

    put_away(stage)
    melting(stage)
    journal = stage.runner.conductor._journal
    assert isinstance(journal, MemoryJournal)
    journal.fail_on = set(range(journal.appends + 1, journal.appends + 50))
    journal.trouble = troubles.disk_full(PLACE)
    stage.maker.wait(20.0)
    stage.runner.conductor.send(ReadTemperature("melt:bath", 55.0, "55.0", True))
    stage.view.show_state()
    stage.settle()
