"""A disk that loses power: every write and sync is logged, and any moment can be cut at.

The store's own code runs on APSW (another binding of SQLite, test only) with a
file layer that logs.  A cut rebuilds the files from what had been synced by
then, plus a random part of what had not: unsynced writes are kept, dropped or
torn at 512 bytes, in any combination; a file that was created or unlinked
keeps or loses its name at random until the folder is synced.  That is harsher
than any file system we know of, which is what a test wants.
"""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import apsw

SECTOR = 512


@dataclass(slots=True)
class Inode:
    """A file's bytes as synced, and what was written since."""

    synced: bytearray = field(default_factory=bytearray)
    pending: list[tuple[str, int, bytes]] = field(default_factory=list)

    def sync(self) -> None:
        for kind, offset, data in self.pending:
            apply(self.synced, kind, offset, data)
        self.pending.clear()

    def after_cut(self, chance: random.Random) -> bytes:
        content = bytearray(self.synced)
        for kind, offset, data in self.pending:
            fate = chance.random()
            if fate < 0.4:
                continue
            if kind == "write" and fate < 0.6:
                for start in range(0, len(data), SECTOR):
                    if chance.random() < 0.5:
                        apply(content, kind, offset + start, data[start : start + SECTOR])
            else:
                apply(content, kind, offset, data)
        return bytes(content)


def apply(content: bytearray, kind: str, offset: int, data: bytes) -> None:
    if kind == "truncate":
        del content[offset:]
        return
    if len(content) < offset:
        content.extend(bytes(offset - len(content)))
    content[offset : offset + len(data)] = data


Operation = tuple[Any, ...]


@dataclass(slots=True)
class Log:
    """Everything that reached the file layer, in order, with the acknowledgements between."""

    operations: list[Operation] = field(default_factory=list)
    fail_at: int = -1  # the number of a write, truncate or sync that fails; -1: none
    counted: int = 0
    for_ever: bool = False  # all after it fail too

    def add(self, *operation: Any) -> None:
        self.operations.append(operation)

    def count(self) -> None:
        """Called before each operation that can fail."""
        self.counted += 1
        if self.counted == self.fail_at or (self.for_ever and 0 < self.fail_at <= self.counted):
            raise apsw.IOError("the disk gave up")

    def cut(self, at: int, chance: random.Random, folder: Path) -> int:
        """Write the files as they may be found after a cut before operation `at`; what was acknowledged."""
        names: dict[str, Inode] = {}
        durable: dict[str, Inode] = {}
        changes: list[tuple[str, str, Inode | None]] = []  # to names, not synced yet
        acknowledged = 0

        def sync_folder() -> None:
            for kind, name, inode in changes:
                change(durable, kind, name, inode)
            changes.clear()

        for operation in self.operations[:at]:
            match operation:
                case ("ack", number):
                    acknowledged = number
                case ("open", name):
                    if name not in names:
                        names[name] = Inode()
                        changes.append(("create", name, names[name]))
                case ("write", name, offset, data):
                    names[name].pending.append(("write", offset, data))
                case ("truncate", name, size):
                    names[name].pending.append(("truncate", size, b""))
                case ("sync", name):
                    names[name].sync()
                    if any(kind == "create" and changed == name for kind, changed, _ in changes):
                        sync_folder()  # SQLite syncs the folder with the first sync of a new journal
                case ("delete", name, synced):
                    names.pop(name, None)
                    changes.append(("unlink", name, None))
                    if synced:
                        sync_folder()
        for kind, name, inode in changes:
            if chance.random() < 0.5:
                change(durable, kind, name, inode)
        for name, inode in durable.items():
            (folder / name).write_bytes(inode.after_cut(chance))
        return acknowledged


def change(durable: dict[str, Inode], kind: str, name: str, inode: Inode | None) -> None:
    if kind == "create" and inode is not None:
        durable[name] = inode
    else:
        durable.pop(name, None)


class LoggingDisk(apsw.VFS):
    """SQLite's file layer for one folder, with a log."""

    def __init__(self, name: str, log: Log) -> None:
        super().__init__(name, "")
        self.log = log

    def xOpen(self, name: Any, flags: list[int]) -> LoggingFile:
        return LoggingFile(name, flags, self.log)

    def xDelete(self, name: str, syncdir: bool) -> None:
        self.log.count()
        super().xDelete(name, syncdir)
        self.log.add("delete", Path(name).name, bool(syncdir))


class LoggingFile(apsw.VFSFile):
    def __init__(self, name: Any, flags: list[int], log: Log) -> None:
        super().__init__("", name, flags)
        self.log = log
        self.name = Path(name.filename() if hasattr(name, "filename") else str(name)).name
        log.add("open", self.name)

    def xWrite(self, data: bytes, offset: int) -> None:
        self.log.count()
        super().xWrite(data, offset)
        self.log.add("write", self.name, offset, bytes(data))

    def xTruncate(self, newsize: int) -> None:
        self.log.count()
        super().xTruncate(newsize)
        self.log.add("truncate", self.name, newsize)

    def xSync(self, flags: int) -> None:
        self.log.count()  # the real disk need not sync: only the log is judged
        self.log.add("sync", self.name)


class OnLoggingDisk:
    """APSW's connection with the few names of sqlite3's that the store uses."""

    def __init__(self, path: Path, disk: str) -> None:
        self._connection = apsw.Connection(str(path), vfs=disk)

    def execute(self, sql: str, values: Sequence[Any] = ()) -> Any:
        try:
            return self._connection.execute(sql, values)
        except apsw.Error as error:
            raise sqlite3.OperationalError(str(error)) from error

    def executemany(self, sql: str, rows: Sequence[Sequence[Any]]) -> Any:
        try:
            return self._connection.executemany(sql, rows)
        except apsw.Error as error:
            raise sqlite3.OperationalError(str(error)) from error

    def executescript(self, sql: str) -> None:
        for _ in self.execute(sql):
            pass

    @property
    def in_transaction(self) -> bool:
        return bool(self._connection.in_transaction)

    def close(self) -> None:
        self._connection.close()
