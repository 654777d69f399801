"""Plain files written whole or not at all.

A temporary file in the same folder, written and synced, takes the place of
the old one in one step, and then the folder is synced too.  A full disk or a
power cut leaves the old file as it was.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import socket
import stat
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import IO

from workbench.store import troubles


def real(path: Path) -> Path:
    """The file behind links, so that a link stays a link when its file is replaced."""
    return Path(os.path.realpath(path))


@contextlib.contextmanager
def replacing(path: Path) -> Iterator[IO[bytes]]:
    """A file to write to; it becomes `path` when the block ends well.

    Raises StoreTrouble with the place and the remedy; the old file is then untouched.
    """
    target = real(path)
    temporary = beside(target)
    try:
        if target.exists() and not target.is_file():
            raise troubles.no_file(target)  # the place of a device is not ours to take
        try:
            with temporary.open("xb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            _keep_mode(target, temporary)
            temporary.replace(target)
        except BaseException:
            with contextlib.suppress(OSError):
                temporary.unlink()
            raise
        sync_directory(target.parent)
    except OSError as error:
        raise troubles.from_os_error(error, target) from error
    clear_left(target.parent)


def write_bytes(path: Path, data: bytes) -> None:
    """Replace or create one file; StoreTrouble when that fails."""
    with replacing(path) as file:
        file.write(data)


def write_text(path: Path, text: str) -> None:
    write_bytes(path, text.encode("utf-8"))


def read_bytes(path: Path, most_bytes: int) -> bytes:
    """A whole file that is not larger than it should be; StoreTrouble otherwise."""
    try:
        with open_regular(path) as file:
            data = file.read(most_bytes + 1)
    except OSError as error:
        raise troubles.from_os_error(error, path) from error
    if len(data) > most_bytes:
        raise troubles.too_large(path)
    return data


def open_regular(path: Path) -> IO[bytes]:
    """A file to be read; StoreTrouble for a folder, a pipe or a device, at which one could wait for ever."""
    flags = (
        os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    )
    if path.is_dir():  # Windows opens none
        raise troubles.no_file(path)
    file = os.fdopen(os.open(path, flags), "rb")
    if stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        return file
    file.close()
    raise troubles.no_file(path)


def beside(target: Path) -> Path:
    """A name for a temporary file in the same folder, which says whose it is (`clear_left`)."""
    name = target.name.encode()[:_LONGEST_NAME].decode(errors="ignore")
    return target.with_name(f".{name}.{_home()}-{os.getpid():x}-{secrets.token_hex(4)}.part")


def is_part(path: Path) -> bool:
    """Whether it is such a temporary file, or the journal of one."""
    return path.name.startswith(".") and path.name.removesuffix("-journal").endswith(".part")


def clear_left(folder: Path) -> None:
    """Remove the temporary files in a folder whose process is gone, because a crash or a kill cut it off.

    Only files whose name says that this program made them on this computer, in
    a process that is not there any more.  Of another computer's nothing is
    known, and a number that was given to a new process counts as alive.  Done
    after a write, where a slow disk keeps nobody waiting.
    """
    if sys.platform == "win32":
        return  # to ask there whether a process is alive could end it
    with contextlib.suppress(OSError):
        for path in list(folder.iterdir()):
            process = _made_by(path)
            if process is not None and not alive(process):
                with contextlib.suppress(OSError):
                    if stat.S_ISREG(path.lstat().st_mode):
                        path.unlink()


def under_way(path: Path) -> bool:
    """Whether it is a temporary file of a process that runs on this computer."""
    process = _made_by(path)
    return process is not None and alive(process)


def _made_by(path: Path) -> int | None:
    """The process on this computer that made a temporary file; None for any other file."""
    made = _PART.fullmatch(path.name)
    return int(made["process"], 16) if made is not None and made["home"] == _home() else None


_LONGEST_NAME = 120  # bytes, of the 255 that a file system gives a name
_PART = re.compile(
    r"\..+\.(?P<home>[0-9a-f]{12})-(?P<process>[0-9a-f]{1,8})-[0-9a-f]{8}\.part(-journal)?", re.DOTALL
)


@cache
def _home() -> str:
    """Where our process numbers mean something: this computer, and on it this space of process numbers."""
    told = [socket.gethostname(), "", ""]
    with contextlib.suppress(OSError, UnicodeError):
        told[1] = Path("/etc/machine-id").read_text("utf-8")
    with contextlib.suppress(OSError):
        told[2] = str(Path("/proc/self/ns/pid").readlink())
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:12]


def alive(process: int) -> bool:
    """Whether a process of that number runs on this computer; True where that cannot be told."""
    if sys.platform == "win32":
        return True  # signal 0 is none there
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


def journal_of(path: Path) -> Path:
    """Where SQLite writes down how to undo a write that is under way in the file at `path`."""
    return path.with_name(path.name + "-journal")


def take_place(temporary: Path, target: Path) -> None:
    """Give a finished file its name, which must be free; OSError (EEXIST) when it is taken.

    StoreTrouble where a journal of another file of that name is left: SQLite
    would undo that one's write in ours.
    """
    with contextlib.suppress(FileNotFoundError):
        if journal_of(target).stat().st_size > 0:
            raise troubles.journal_left(journal_of(target))
    try:
        os.link(temporary, target)
    except FileExistsError:
        raise
    except OSError:
        # FAT sticks know no links: look, then rename.
        if target.exists():
            raise FileExistsError(17, "File exists", str(target)) from None
        temporary.rename(target)
    else:
        temporary.unlink()
    sync_directory(target.parent)
    clear_left(target.parent)


def sync_file(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def sync_directory(folder: Path) -> None:
    """Make a new or changed name survive a power cut; Windows has no such call."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno != 22:  # EINVAL: a file system that cannot sync folders (some network drives)
            raise
    finally:
        os.close(descriptor)


def _keep_mode(target: Path, temporary: Path) -> None:
    with contextlib.suppress(FileNotFoundError):
        temporary.chmod(stat.S_IMODE(target.stat().st_mode))
