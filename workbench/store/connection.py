"""Opening the SQLite file: its header first, then the settings that keep it whole.

`synchronous=EXTRA` is set before `journal_mode=DELETE`: with them no
acknowledged entry was lost and no file was damaged in the power-cut
simulation (tests/store/test_power_cut.py), which weaker settings fail.  WAL is
out because a copy of the main file alone would lose the end of a batch.
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from workbench.core.trouble import Fault
from workbench.store import files, troubles
from workbench.store.schema import APPLICATION_ID, HEADER

# Bounds for a file that lies about itself; a real project stays far below them.
_LONGEST_VALUE = 16_000_000  # bytes
_STEPS_BETWEEN_LOOKS = 100_000
_MOST_STEPS = 60_000_000  # virtual machine instructions for one bounded piece of reading, about a second
_MOST_CHARACTERS = 16_000_000  # of one kind of thing that is read at once
_ROW_COSTS = 200  # what a row takes in memory beside its texts, in the same coin
_BUSY_TIMEOUT_MS = 3_000


def read_header(path: Path) -> int:
    """The schema version of the project at `path`, read without SQLite.

    Raises StoreTrouble when there is no file, it cannot be read, or it is not ours.
    """
    try:
        with files.open_regular(path) as file:
            head = file.read(100)
    except OSError as error:
        raise troubles.from_os_error(error, path) from error
    if len(head) < 100 or not head.startswith(HEADER):
        raise troubles.not_ours(path)
    version, application = struct.unpack_from(">I", head, 60)[0], struct.unpack_from(">I", head, 68)[0]
    if application != APPLICATION_ID:
        raise troubles.not_ours(path)
    if (head[18], head[19]) != (1, 1):
        says = "another program changed the way it is written; restore a backup, or undo that there"
        raise troubles.damaged(path, (Fault("header", says),))
    return int(version)


def connect(path: Path, *, read_only: bool = False) -> sqlite3.Connection:
    """A connection with our settings; the file must exist (or be empty, while it is being made).

    It may be used from any thread, one at a time: the caller holds a lock.
    """
    mode = "ro" if read_only else "rw"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        isolation_level=None,
        check_same_thread=False,
        timeout=_BUSY_TIMEOUT_MS / 1000,
    )
    try:
        guard(connection)
        settle(connection, read_only=read_only)
    except BaseException:  # also what is no error of SQLite: its message may hold bytes that are no text
        connection.close()
        raise
    return connection


def settle(connection: sqlite3.Connection, *, read_only: bool = False) -> None:
    """The settings that keep the file whole; the order of the first two matters."""
    connection.execute("PRAGMA synchronous=EXTRA")
    if not read_only:
        connection.execute("PRAGMA journal_mode=DELETE").fetchone()
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA recursive_triggers=ON")
    connection.execute("PRAGMA secure_delete=ON")  # erased words leave no trace in free pages


def guard(connection: sqlite3.Connection) -> None:
    """Take nothing from the file on trust: no functions in its schema, no huge values."""
    connection.execute("PRAGMA trusted_schema=OFF")
    connection.execute("PRAGMA cell_size_check=ON")
    connection.execute("PRAGMA mmap_size=0")
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST_VALUE)
    connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)


@contextmanager
def bounded(connection: sqlite3.Connection, steps: int = _MOST_STEPS) -> Iterator[None]:
    """Stop any query in this block after so many steps of SQLite's machine.

    Steps, not seconds: a slow stick is not a hostile file.
    """
    left = steps

    def look() -> int:
        nonlocal left
        left -= _STEPS_BETWEEN_LOOKS
        return 1 if left < 0 else 0

    connection.set_progress_handler(look, _STEPS_BETWEEN_LOOKS)
    try:
        yield
    finally:
        connection.set_progress_handler(None, 0)


class TooMuch(Exception):
    """A file holds more than any project would."""


def rows_within(cursor: sqlite3.Cursor, most_characters: int = _MOST_CHARACTERS) -> Iterator[Any]:
    """The rows of a query, as long as they stay within what a project can hold; TooMuch beyond."""
    left = most_characters
    for row in cursor:
        left -= _ROW_COSTS
        for value in row:
            if isinstance(value, (str, bytes)):
                left -= len(value)
        if left < 0:
            raise TooMuch
        yield row


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All of it or nothing.  On a full disk SQLite has rolled back already."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            _roll_back(connection)
        raise


def _roll_back(connection: sqlite3.Connection) -> None:
    """A disk that is gone refuses the rollback too; the journal then undoes it when it is back."""
    try:
        connection.execute("ROLLBACK")
    except sqlite3.OperationalError:
        return
