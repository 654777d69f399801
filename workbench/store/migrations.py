"""Numbered steps from older project files to today's, each file once, after a backup.

`STEPS[n]` takes a connection from version n to n + 1.  A step never changes
once a release has written files with it; tests/compat holds such files.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from workbench.core.trouble import Fault
from workbench.store import files, troubles
from workbench.store.connection import connect, transaction
from workbench.store.schema import SCHEMA_VERSION

Step = Callable[[sqlite3.Connection], None]

STEPS: Mapping[int, Step] = {}


def migrate(
    path: Path,
    version: int,
    now: datetime,
    *,
    steps: Mapping[int, Step] | None = None,
    to: int = SCHEMA_VERSION,
) -> Path:
    """Bring the file to version `to` in one transaction; the path of the backup made before.

    The caller holds the project's lock.  When a step is missing or fails, the
    file is as it was.
    """
    table = STEPS if steps is None else steps
    missing = [number for number in range(version, to) if number not in table]
    if missing:
        raise troubles.damaged(
            path, (Fault("user_version", f"there never was a version {version} of this file"),)
        )
    backup = keep_copy(path, version, now)
    try:
        connection = connect(path)
        try:
            with transaction(connection):
                for number in range(version, to):
                    table[number](connection)
                connection.execute(f"PRAGMA user_version={to:d}")
        finally:
            connection.close()
    except sqlite3.Error as error:
        raise troubles.from_sqlite(error, path) from error
    return backup


def keep_copy(path: Path, version: int, now: datetime) -> Path:
    """A copy `name.balmbook.bak-v3` beside the file, which an older program still opens."""
    copy = path.with_name(f"{path.name}.bak-v{version}")
    if copy.exists():
        copy = path.with_name(f"{path.name}.bak-v{version}-{now:%Y%m%d-%H%M%S}")
    temporary = files.beside(copy)
    try:
        source = connect(path)
        try:
            temporary.touch(exist_ok=False)
            target = sqlite3.connect(temporary, isolation_level=None)
            try:
                source.backup(target)
            finally:
                target.close()
        finally:
            source.close()
        files.sync_file(temporary)
        temporary.replace(copy)
        files.sync_directory(copy.parent)
    except sqlite3.Error as error:
        temporary.unlink(missing_ok=True)
        raise troubles.from_sqlite(error, path) from error
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise troubles.from_os_error(error, copy) from error
    return copy
