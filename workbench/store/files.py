"""Plain files written whole or not at all.

A temporary file in the same folder, written and synced, takes the place of
the old one in one step, and then the folder is synced too.  A full disk or a
power cut leaves the old file as it was.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
import sys
from collections.abc import Iterator
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


def write_bytes(path: Path, data: bytes) -> None:
    """Replace or create one file; StoreTrouble when that fails."""
    with replacing(path) as file:
        file.write(data)


def write_text(path: Path, text: str) -> None:
    write_bytes(path, text.encode("utf-8"))


def read_bytes(path: Path, most_bytes: int) -> bytes:
    """A whole file that is not larger than it should be; StoreTrouble otherwise."""
    try:
        with path.open("rb") as file:
            data = file.read(most_bytes + 1)
    except OSError as error:
        raise troubles.from_os_error(error, path) from error
    if len(data) > most_bytes:
        raise troubles.too_large(path)
    return data


def beside(target: Path) -> Path:
    """A name for a temporary file in the same folder."""
    return target.with_name(f".{target.name[:80]}.{secrets.token_hex(4)}.part")


def is_part(path: Path) -> bool:
    """Whether it is such a temporary file, or the journal of one."""
    return path.name.startswith(".") and path.name.removesuffix("-journal").endswith(".part")


def take_place(temporary: Path, target: Path) -> None:
    """Give a finished file its name, which must be free; OSError (EEXIST) when it is taken."""
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
