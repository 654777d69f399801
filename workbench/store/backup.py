"""Backups: copies that were looked through before they count, a bounded number of them.

They stand in a folder beside the project, so that a person finds them without
the program.  The copy itself is checked, page by page, before older ones may
go: a damaged project never pushes out a good backup.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from workbench.core.trouble import Fault
from workbench.core.wording import say
from workbench.store import files, opening, troubles
from workbench.store.connection import connect, read_header
from workbench.store.lock import ProjectLock
from workbench.store.project import Project
from workbench.store.schema import SUFFIX

EVERY = timedelta(hours=1)
KEEP_NEWEST = 6
KEEP_DAYS = 6  # and the newest of each of six earlier days
_STAMP = "%Y-%m-%d %H%M%S"


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup; `at` is the local time it was made."""

    path: Path
    at: datetime
    size_bytes: int


def folder_of(project: Path) -> Path:
    return project.with_name(project.name + ".backups")


def backups(project: Path) -> tuple[Backup, ...]:
    """All backups of a project file, newest first."""
    project = files.real(project)
    found = []
    for path in _listed(folder_of(project)):
        with suppress(ValueError, OSError):
            at = datetime.strptime(path.stem.removeprefix(project.stem + " "), _STAMP)  # noqa: DTZ007 - a local name
            found.append(Backup(path, at, path.stat().st_size))
    return tuple(sorted(found, key=lambda backup: backup.at, reverse=True))


def _listed(folder: Path) -> list[Path]:
    try:
        return [path for path in folder.iterdir() if path.suffix == SUFFIX]
    except OSError:
        return []


def make(project: Project, now: datetime) -> Backup:
    """Make a backup now, then let go of those that are no longer needed.

    Raises StoreTrouble when the disk refuses or the project is damaged; the
    older backups are then all still there.
    """
    folder = folder_of(project.path)
    target = folder / f"{project.path.stem} {now:{_STAMP}}{SUFFIX}"
    temporary = files.beside(target)
    try:
        folder.mkdir(exist_ok=True)
        try:
            project.copy_to(temporary, target)
            look_through(temporary, project.path)
            temporary.replace(target)
        except BaseException:
            with suppress(OSError):
                temporary.unlink()
            with suppress(OSError):
                folder.rmdir()  # an empty one would lie in the way where the stick is plugged in again
            raise
        files.sync_directory(folder)
    except OSError as error:
        raise troubles.from_os_error(error, folder) from error
    for old in _not_kept([one for one in backups(project.path) if _id_in(one.path) == project.id]):
        with suppress(OSError):
            old.path.unlink()
    if not project.read_only:
        _clear_cut_off(folder, ProjectLock(project.path).path)
    return Backup(target, now.replace(tzinfo=None, microsecond=0), target.stat().st_size)


def _id_in(backup: Path) -> str | None:
    """Whose backup it is: a project that was lost must not lose its backups to the next one of its name."""
    try:
        read_header(backup)
        connection = connect(backup, read_only=True)
        try:
            row = connection.execute("SELECT value FROM meta WHERE key = 'project'").fetchone()
        finally:
            connection.close()
    except (sqlite3.Error, UnicodeError, troubles.StoreTrouble):
        return None
    return None if row is None else str(row[0])


def _clear_cut_off(folder: Path, lock: Path) -> None:
    """Copies that a crash cut off are older than our lock; one that is under way here is not."""
    with suppress(OSError):
        since_ns = lock.stat().st_mtime_ns
        for path in folder.iterdir():
            if (
                files.is_part(path)
                and path.stat().st_mtime_ns < since_ns
                and not files.under_way(path)  # on Windows all of ours are
            ):
                path.unlink()


def due(project: Project, now: datetime) -> bool:
    """Whether an hour has passed since the last backup and something was written since."""
    if project.read_only:
        return False
    there = backups(project.path)
    if not there:
        return True
    age = now.replace(tzinfo=None) - there[0].at
    # A wall clock set back makes the age negative; then the file's own times decide.
    return (age >= EVERY or age < timedelta(0)) and changed_since(project.path, there[0])


def make_if_due(project: Project, now: datetime) -> Backup | None:
    return make(project, now) if due(project, now) else None


def changed_since(path: Path, backup: Backup) -> bool:
    try:
        return path.stat().st_mtime_ns > backup.path.stat().st_mtime_ns
    except OSError:
        return True


def on_close(project: Project, now: datetime) -> Backup | None:
    """A last backup when something was written since the newest one."""
    if project.read_only:
        return None
    there = backups(project.path)
    if there and not changed_since(project.path, there[0]):
        return None
    return make(project, now)


def renew(project: Project, now: datetime) -> Backup:
    """One fresh backup in place of all others of this project: after personal words were erased."""
    fresh = make(project, now)
    for old in backups(project.path):
        if old.path != fresh.path and _id_in(old.path) in (project.id, None):
            with suppress(OSError):
                old.path.unlink()
    return fresh


def look_through(copy: Path, project: Path) -> None:
    """StoreTrouble (about the project) unless the copy is sound in every page and on the disk."""
    try:
        files.sync_file(copy)
        connection = connect(copy, read_only=True)
        try:
            opening.quick_check(connection, project)
        finally:
            connection.close()
    except sqlite3.Error as error:
        raise troubles.from_sqlite(error, project) from error


def _not_kept(newest_first: Sequence[Backup]) -> list[Backup]:
    kept = list(newest_first[:KEEP_NEWEST])
    days: set[date] = set()
    for backup in newest_first[KEEP_NEWEST:]:
        if backup.at.date() not in days and len(days) < KEEP_DAYS:
            days.add(backup.at.date())
            kept.append(backup)
    return [backup for backup in newest_first if backup not in kept]


def restore(project: Path, backup: Path, now: datetime) -> Path | None:
    """Put a backup in the place of a project that is not open; where the present file was set aside.

    Nothing is deleted: the present file (and a journal that belongs to it) is
    renamed.  Raises StoreTrouble when the backup is no good, HeldByOther when
    the project is open somewhere.
    """
    target = files.real(project)
    read_header(backup)
    lock = ProjectLock(target)
    try:
        lock.take(now)
        temporary = files.beside(target)
        try:
            _copy(backup, temporary)
            look_through(temporary, backup)
            aside = _set_aside(target, now)
            temporary.replace(target)
        except BaseException:
            with suppress(OSError):
                temporary.unlink()
            raise
        files.sync_directory(target.parent)
        files.clear_left(target.parent)
    except OSError as error:
        raise troubles.from_os_error(error, target) from error
    finally:
        lock.release()
    return aside


def _copy(source: Path, target: Path) -> None:
    with source.open("rb") as read, target.open("xb") as file:
        while piece := read.read(1 << 20):
            if file.write(piece) != len(piece):
                raise troubles.disk_full(target)


def _set_aside(target: Path, now: datetime) -> Path | None:
    """The present file and its journal under another name, so that no cut between leaves one without the other.

    A journal that lies there without its file is set aside, too: it would be
    played into the backup.
    """
    aside = target.with_name(f"{target.stem} set aside {now:{_STAMP}}{SUFFIX}")
    journal, journal_aside = files.journal_of(target), files.journal_of(aside)
    if aside.exists() or journal_aside.exists():
        raise troubles.StoreTrouble(
            troubles.Kind.EXISTS,
            say("{place} is there already. Wait a second and try again.", place=str(aside)),
            (Fault(str(aside), "a file set aside in the same second"),),
        )
    there = target.exists()
    if journal.exists():
        if there:
            _copy(journal, journal_aside)
            files.sync_file(journal_aside)
        else:
            journal.rename(journal_aside)
    if there:
        target.rename(aside)
        files.sync_directory(target.parent)
        journal.unlink(missing_ok=True)
    return aside if there else None
