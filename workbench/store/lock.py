"""One writer per project file: a lock that says who holds it and dies with its holder.

The lock is the operating system's own (flock, or a locked byte on Windows) on
a small file beside the project.  The system lets go of it when the process
ends, however it ends, so a crash never blocks the next start; a lock that
only compares process numbers cannot promise that.  The text in the file says
who has the project, for the sentence that the second window shows.  (Qt's lock
file would do the first half, but the terminal commands run without Qt.)

On a network drive another computer's lock may be invisible; then the text that
it left is all there is, and `left_behind` carries it for a caution.
"""

from __future__ import annotations

import errno
import getpass
import json
import os
import socket
import stat
import sys
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import IO

from workbench.core.trouble import Trouble
from workbench.core.wording import Said, say
from workbench.store.files import alive

_LOCKED_BYTE = 1 << 30  # far behind the text, so that the text can be read on Windows
_LONGEST = 4_000


@dataclass(frozen=True, slots=True)
class Owner:
    """Who has a project open."""

    user: str
    host: str
    pid: int
    since: str  # ISO 8601
    leaving: bool = False  # it only finishes what it began; the project is free in a moment

    def says(self, path: Path) -> Said:
        """The sentence for the second window."""
        if self.leaving:
            return say(
                "{place} was closed a moment ago by {user} on {host} (process {pid}), which still writes "
                "what is left and the last backup. It is shown here for reading only until that is done; "
                "then it can be worked on here.",
                place=str(path),
                user=self.user,
                host=self.host,
                pid=self.pid,
            )
        return say(
            "{place} is open already: by {user} on {host} (process {pid}) since {since}. "
            "It is shown here for reading only; close the other window to work on it here.",
            place=str(path),
            user=self.user,
            host=self.host,
            pid=self.pid,
            since=self.since[:16].replace("T", " "),  # to the minute, in the clock of that computer
        )


def myself(now: datetime) -> Owner:
    try:
        user = getpass.getuser()
    except (OSError, KeyError, ImportError):  # no such user entry, as in some containers
        user = "?"
    return Owner(user, socket.gethostname(), os.getpid(), now.isoformat(timespec="seconds"))


NAMELESS = Owner("?", "?", 0, "")  # somebody, whose text cannot be read


def lock_of(project: Path) -> Path:
    """Where the lock of a project stands."""
    return project.with_name(project.name + ".lock")


class HeldByOther(Trouble):
    """Another window has the project; `owner` is None when its text cannot be read."""

    def __init__(self, path: Path, owner: Owner | None) -> None:
        super().__init__(
            owner.says(path)
            if owner
            else say(
                "{place} is open already in another window. It is shown here for reading only; "
                "close the other window to work on it here.",
                place=str(path),
            )
        )
        self.owner = owner


class ProjectLock:
    """Held from `take` until `release` or the end of the process."""

    def __init__(self, project: Path) -> None:
        self.project = project
        self.path = lock_of(project)
        self.left_behind: Owner | None = None  # of another computer that did not close the project
        self._file: IO[bytes] | None = None

    @property
    def held(self) -> bool:
        return self._file is not None

    def take(self, now: datetime) -> None:
        """Take the lock or raise `HeldByOther`; OSError where no lock file can be made."""
        for _ in range(5):  # once more when the holder removed its file between our open and our lock
            file = self._open()
            if not _try_lock(file):
                owner = _read_owner(file)
                file.close()
                raise HeldByOther(self.project, owner)
            if _same_file(file, self.path):
                before = _read_owner(file)
                if before is not None and before.host != socket.gethostname():
                    self.left_behind = before
                if file.writable() or not _remove_quietly(self.path):
                    break  # what a crash of another user left is made anew, where that can be done
            file.close()
        else:
            raise HeldByOther(self.project, None)
        if file.writable():
            self._write_owner(file, now)
        self._file = file

    def _write_owner(self, file: IO[bytes], now: datetime) -> None:
        try:
            file.seek(0)
            file.truncate()
            file.write(json.dumps(asdict(myself(now))).encode())
            file.flush()
        except OSError as error:
            # The lock stands without its text (a full disk, say); only the name is then unknown.
            if error.errno not in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
                file.close()
                raise

    def leaving(self, now: datetime) -> None:
        """Tell whoever comes that this window is on its way out; a disk that refuses leaves it unsaid."""
        if self._file is None or not self._file.writable():
            return
        text = json.dumps(asdict(replace(myself(now), leaving=True))).encode()
        try:
            length = os.fstat(self._file.fileno()).st_size
            self._file.seek(0)
            self._file.write(text.ljust(length))  # in one piece: it may be read at any moment
        except OSError:
            return

    def release(self) -> None:
        """Let go and remove the lock file; it must not fail on a disk that is gone."""
        file, self._file = self._file, None
        if file is None:
            return
        if sys.platform == "win32":
            _close_quietly(file)
            _remove_quietly(self.path)
        else:
            # Removed while still held, so that nobody else's fresh lock can be removed.
            _remove_quietly(self.path)
            _close_quietly(file)

    def _open(self) -> IO[bytes]:
        flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0)
        try:
            descriptor = os.open(self.path, flags, 0o644)
        except PermissionError:
            if not self.path.exists():
                raise
            return self.path.open("rb", buffering=0)  # of another user; it can be held all the same
        with suppress(OSError):  # whoever may write the project may write its lock
            self.path.chmod(stat.S_IMODE(self.project.stat().st_mode) & 0o666)
        return os.fdopen(descriptor, "r+b", buffering=0)


def who_has(project: Path) -> Owner | None:
    """Who has the project open now, or None; nothing is created or changed."""
    try:
        path = lock_of(project)
        with path.open("r+b" if os.access(path, os.W_OK) else "rb", buffering=0) as file:
            return None if _try_lock(file) else _read_owner(file) or NAMELESS
    except OSError:
        return None


if sys.platform == "win32":
    import msvcrt

    def _try_lock(file: IO[bytes]) -> bool:
        file.seek(_LOCKED_BYTE)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        finally:
            file.seek(0)
        return True

else:
    import fcntl

    def _try_lock(file: IO[bytes]) -> bool:
        """flock, which belongs to this open file: a second window of one process is refused too."""
        try:
            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            if error.errno in (errno.EWOULDBLOCK, errno.EACCES):
                return False
            if error.errno in (errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS):
                return not _alive_here(_read_owner(file))  # a drive that cannot lock: the text must do
            raise
        return True


def _alive_here(owner: Owner | None) -> bool:
    """Whether the named process still runs on this computer."""
    if owner is None or owner.host != socket.gethostname() or owner.pid == os.getpid():
        return False
    return alive(owner.pid)


def _read_owner(file: IO[bytes]) -> Owner | None:
    try:
        file.seek(0)
        found = json.loads(file.read(_LONGEST) or b"null")
        user, host, pid, since = (found[key] for key in ("user", "host", "pid", "since"))
        return Owner(str(user), str(host), int(pid), str(since), found.get("leaving") is True)
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None


def _same_file(file: IO[bytes], path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except OSError:
        return False


def _close_quietly(file: IO[bytes]) -> None:
    try:
        file.close()
    except OSError:
        return


def _remove_quietly(path: Path) -> bool:
    """Whether it is gone."""
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return False
    return True
