"""Making and opening a project file: checked before it is trusted, left as it is when in doubt."""

from __future__ import annotations

import secrets
import shutil
import sqlite3
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from workbench.core.trouble import Fault, Trouble
from workbench.store import files, migrations, troubles
from workbench.store.connection import bounded, connect, read_header, transaction
from workbench.store.files import journal_of
from workbench.store.lock import HeldByOther, ProjectLock
from workbench.store.schema import APPLICATION_ID, SCHEMA, SCHEMA_VERSION, expected_structure, structure

# Up to this size the whole file is looked through on opening (tens of milliseconds);
# larger ones are looked through before every backup and by "Check this project".
_LOOKED_THROUGH_BYTES = 24_000_000


@dataclass(slots=True)
class Opened:
    """What opening found: the connection, and why it may only be read, if so."""

    path: Path
    connection: sqlite3.Connection
    project_id: str
    version: int
    lock: ProjectLock | None
    read_only_because: Trouble | None
    copy_of: tempfile.TemporaryDirectory[str] | None = None

    def close(self) -> None:
        """Let go of everything; it must not fail on a disk that is gone."""
        with suppress(sqlite3.Error):
            self.connection.close()
        if self.lock is not None:
            self.lock.release()
        if self.copy_of is not None:
            self.copy_of.cleanup()


def create(path: Path, now: datetime, project_id: str | None = None) -> None:
    """A new, empty project at `path`; it appears there whole or not at all."""
    target = files.real(path)
    if target.exists():
        raise troubles.exists(target)
    temporary = files.beside(target)
    try:
        try:
            temporary.touch(exist_ok=False)
            connection = connect(temporary)
            try:
                write_new(connection, now, project_id)
            finally:
                connection.close()
            files.sync_file(temporary)
            files.take_place(temporary, target)
        except BaseException:
            for leftover in (temporary, journal_of(temporary)):
                with suppress(OSError):
                    leftover.unlink()
            raise
    except sqlite3.Error as error:
        raise troubles.from_sqlite(error, target) from error
    except OSError as error:
        if not target.parent.is_dir():
            raise troubles.unreachable(target) from error
        raise troubles.from_os_error(error, target) from error


def write_new(connection: sqlite3.Connection, now: datetime, project_id: str | None = None) -> str:
    """Our tables in an empty file; the project's own id."""
    project = project_id or secrets.token_hex(16)
    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
    connection.executescript(f"BEGIN IMMEDIATE; {SCHEMA} PRAGMA user_version={SCHEMA_VERSION}; COMMIT;")
    with transaction(connection):
        connection.executemany(
            "INSERT INTO meta VALUES (?, ?)",
            [("project", project), ("created", now.isoformat(timespec="seconds"))],
        )
    return project


def open_file(path: Path, now: datetime, *, read_only: bool = False) -> Opened:
    """Open with every check.  Raises StoreTrouble; the file is then unchanged."""
    target = files.real(path)
    version = read_header(target)
    lock, because = (None, None) if read_only else _take_lock(target, now)
    try:
        if version > SCHEMA_VERSION:
            because = because or troubles.newer(target)
        elif version < SCHEMA_VERSION and lock is not None:
            migrations.migrate(target, version, now)
        return _open(target, version, lock, because, now)
    except BaseException:
        if lock is not None:
            lock.release()
        raise


def _take_lock(target: Path, now: datetime) -> tuple[ProjectLock | None, Trouble | None]:
    """The lock, or why this window may only read."""
    lock = ProjectLock(target)
    try:
        with target.open("rb+"):
            pass
    except OSError as error:
        return None, troubles.from_os_error(error, target)
    try:
        lock.take(now)
    except HeldByOther as held:
        return None, held
    except OSError as error:
        return None, troubles.from_os_error(error, target)
    return lock, None


def _open(
    target: Path, version: int, lock: ProjectLock | None, because: Trouble | None, now: datetime
) -> Opened:
    writable = lock is not None and because is None
    half_written = not isinstance(because, HeldByOther) and _unfinished_write(target)
    copy_of = None
    at = target
    connection: sqlite3.Connection | None = None
    try:
        if not writable and (half_written or version < SCHEMA_VERSION):
            # What cannot be put right here (a write that a crash cut off, an older
            # version's tables) is put right in a copy, and that is shown.
            copy_of = tempfile.TemporaryDirectory(prefix="balmbook-")
            at = _copy_with_journal(target, Path(copy_of.name))
            if version < SCHEMA_VERSION:
                migrations.migrate(at, version, now)
        try:
            connection = connect(at, read_only=not writable and copy_of is None)
            project_id = _examine(connection, target, max(version, SCHEMA_VERSION))
        except sqlite3.Error as error:
            raise troubles.from_sqlite(error, target) from error
        except (UnicodeError, MemoryError, OverflowError) as error:
            raise troubles.damaged(target) from error
    except BaseException:
        if connection is not None:
            connection.close()
        if copy_of is not None:
            copy_of.cleanup()
        raise
    return Opened(target, connection, project_id, version, lock, because, copy_of)


def _examine(connection: sqlite3.Connection, target: Path, version: int) -> str:
    """The project's id, once structure and pages are as they should be."""
    with bounded(connection):
        found, wanted = structure(connection), expected_structure()
        if version == SCHEMA_VERSION:
            wrong = [
                f"{kind} {name}" for (kind, name), sql in wanted.items() if found.get((kind, name)) != sql
            ]
            wrong += [f"{kind} {name}" for kind, name in found if (kind, name) not in wanted]
        else:
            wrong = [
                f"{kind} {name}" for kind, name in wanted if kind == "table" and (kind, name) not in found
            ]
        if wrong:
            faults = tuple(
                Fault(what[:80], "is not as a project of this version has it; restore a backup")
                for what in wrong[:20]
            )
            raise troubles.damaged(target, faults)
        if target.stat().st_size <= _LOOKED_THROUGH_BYTES:
            quick_check(connection, target)
        row = connection.execute("SELECT value FROM meta WHERE key = 'project'").fetchone()
    if row is None or not row[0]:
        raise troubles.damaged(target, (Fault("meta", "the project has lost its own id; restore a backup"),))
    return str(row[0])


def quick_check(connection: sqlite3.Connection, target: Path) -> None:
    """StoreTrouble with every page that is wrong (twenty at most)."""
    said = [str(row[0]) for row in connection.execute("PRAGMA quick_check(20)")]
    if said != ["ok"]:
        raise troubles.damaged(target, tuple(Fault("database", line[:200]) for line in said))


def _unfinished_write(target: Path) -> bool:
    try:
        return journal_of(target).stat().st_size > 0
    except OSError:
        return False


def _copy_with_journal(target: Path, folder: Path) -> Path:
    try:
        copy = folder / target.name
        shutil.copyfile(target, copy)
        if _unfinished_write(target):
            shutil.copyfile(journal_of(target), journal_of(copy))
    except OSError as error:
        raise troubles.from_os_error(error, target) from error
    return copy
