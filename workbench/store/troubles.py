"""What can go wrong between the program and the disk, told with its place and its remedy.

SQLite and the operating system name their errors for programmers.  Here each
becomes one sentence for the maker: which file, what happened, what to do.
"""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import sys
from enum import StrEnum
from pathlib import Path

from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import Count, say


class Kind(StrEnum):
    DISK_FULL = "disk full"
    READ_ONLY = "read-only"
    NO_PERMISSION = "no permission"
    MOVED = "moved or replaced"
    UNREACHABLE = "unreachable"
    LOCKED = "locked"
    DAMAGED = "damaged"
    NOT_OURS = "not ours"
    NEWER = "newer"
    MISSING = "missing"
    EXISTS = "exists"
    TOO_LARGE = "too large"
    OUT_OF_ORDER = "out of order"
    FAULT = "disk fault"
    INVALID = "invalid"


class StoreTrouble(Trouble):
    """Trouble with a project file; `kind` lets a caller choose the ways on to offer."""

    def __init__(self, kind: Kind, says: str, faults: tuple[Fault, ...] = ()) -> None:
        super().__init__(says, faults)
        self.kind = kind


# Below this a failed write is put down to the full disk, whatever the error was called.
_NEARLY_FULL_BYTES = 256 * 1024

_NETWORK_FILE_SYSTEMS = ("nfs", "cifs", "smb", "fuse.sshfs", "9p", "afs", "ncpfs", "davfs", "fuse.rclone")


def disk_full(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.DISK_FULL,
        say(
            "The disk that holds {place} is full. Free some space (a few megabytes are enough) and try again, "
            "or save a copy on another disk.",
            place=str(path),
        ),
    )


def moved(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.MOVED,
        say(
            "The project file is no longer at {place}: it was moved, renamed, deleted or replaced while it was open, "
            "or its disk was unplugged. Put it back there and try again, or save a copy elsewhere.",
            place=str(path),
        ),
    )


def unreachable(path: Path) -> StoreTrouble:
    if on_network(path):
        return StoreTrouble(
            Kind.UNREACHABLE,
            say(
                "{place} lies on a network drive that does not answer. Reconnect the network and try again, "
                "or save a copy on this computer; for the next batch keep the project on this computer.",
                place=str(path),
            ),
        )
    return StoreTrouble(
        Kind.UNREACHABLE,
        say(
            "{place} cannot be reached: its disk or USB stick does not answer. "
            "Plug it in again and try again, or save a copy elsewhere.",
            place=str(path),
        ),
    )


def read_only(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.READ_ONLY,
        say(
            "{place} cannot be written: the file, its folder or its disk is read-only. "
            "Take the write protection off and try again, or save a copy elsewhere.",
            place=str(path),
        ),
    )


def no_permission(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.NO_PERMISSION,
        say(
            "This user may not read or write {place}. Give yourself permission for the file and its folder "
            "and try again, or save a copy elsewhere.",
            place=str(path),
        ),
    )


def locked(path: Path) -> StoreTrouble:
    if on_network(path):
        return StoreTrouble(
            Kind.LOCKED,
            say(
                "{place} is being used by another program, or its network drive cannot lock files. "
                "Close the other program and try again, or save a copy on this computer.",
                place=str(path),
            ),
        )
    return StoreTrouble(
        Kind.LOCKED,
        say(
            "{place} is being used by another program (a backup or synchronising program, perhaps). "
            "Wait a moment or close that program, and try again.",
            place=str(path),
        ),
    )


def damaged(path: Path, faults: tuple[Fault, ...] = ()) -> StoreTrouble:
    return StoreTrouble(
        Kind.DAMAGED,
        say(
            "{place} is damaged and was left as it is. Restore a backup of it, "
            "or open a copy that was saved elsewhere.",
            place=str(path),
        ),
        faults,
    )


def not_ours(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.NOT_OURS,
        say(
            "{place} is not a Balmbook project and was left as it is. Choose a file that ends in .balmbook.",
            place=str(path),
        ),
    )


def newer(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.NEWER,
        say(
            "{place} was written by a newer version of Balmbook. It can be looked at but not changed here; "
            "update the program to go on with it.",
            place=str(path),
        ),
    )


def missing(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.MISSING,
        say(
            "There is nothing at {place}. Look whether it was moved or renamed, "
            "or whether its disk is plugged in.",
            place=str(path),
        ),
    )


def no_folder(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.MISSING,
        say(
            "{place} is not there and cannot be made there, because its folder is missing. "
            "Look whether its disk is plugged in, or choose another folder.",
            place=str(path),
        ),
    )


def no_file(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.NOT_OURS,
        say(
            "{place} is a folder or a device, not a file, and was left as it is. Choose a file.",
            place=str(path),
        ),
    )


def exists(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.EXISTS,
        say("{place} is there already and was left as it is. Choose another name.", place=str(path)),
    )


def journal_left(journal: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.EXISTS,
        say(
            "{place} is left over from a project of this name, whose last write was cut off. Put that project back "
            "beside it, or move it to another folder, or choose another name.",
            place=str(journal),
        ),
    )


def too_large(path: Path) -> StoreTrouble:
    return StoreTrouble(
        Kind.TOO_LARGE,
        say(
            "{place} holds more than this program takes in at once and was left as it is. "
            "If it really is a project of yours, restore a backup of it.",
            place=str(path),
        ),
    )


def out_of_order(path: Path, session: str, stored: int, given: int) -> StoreTrouble:
    return StoreTrouble(
        Kind.OUT_OF_ORDER,
        say(
            "{place} holds {count} entries of session {session} and entry {given} does not follow on: the file is not "
            "the one this batch was written to. Put the right file back and try again, or save a copy elsewhere.",
            "{place} holds {count} entry of session {session} and entry {given} does not follow on: the file is not "
            "the one this batch was written to. Put the right file back and try again, or save a copy elsewhere.",
            place=str(path),
            session=session,
            count=Count(stored),
            given=given,
        ),
    )


def not_answering(path: Path, waited_s: float) -> StoreTrouble:
    return StoreTrouble(
        Kind.UNREACHABLE,
        say(
            "The disk that holds {place} has not answered for {count} seconds. "
            "Wait, look whether it is plugged in, and try again.",
            "The disk that holds {place} has not answered for {count} second. "
            "Wait, look whether it is plugged in, and try again.",
            place=str(path),
            count=Count(round(waited_s)),
        ),
    )


def _fault(path: Path, what: str) -> StoreTrouble:
    return StoreTrouble(
        Kind.FAULT,
        say(
            "{place} cannot be read or written ({what}). Look at the disk and try again, or save a copy on another disk.",
            place=str(path),
            what=what,
        ),
    )


def from_os_error(error: OSError, path: Path) -> StoreTrouble:
    """A file operation failed: what that means to the maker."""
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT | errno.EFBIG:
            return disk_full(path)
        case errno.EROFS:
            return read_only(path)
        case errno.EACCES | errno.EPERM:
            return no_permission(path)
        case errno.ENOENT | errno.ENOTDIR:
            return missing(path) if _is_folder(path.parent) else no_folder(path)
        case errno.EISDIR:
            return no_file(path)
        case errno.EEXIST:
            return exists(path)
        case errno.EIO | errno.ENODEV | errno.ENXIO | errno.ESTALE | errno.ETIMEDOUT | errno.ENOTCONN:
            return unreachable(path)
        case errno.EAGAIN | errno.EBUSY:
            return locked(path)
    return _fault(path, error.strerror or str(error))


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:
        return False


def from_sqlite(error: sqlite3.Error, path: Path) -> StoreTrouble:
    """SQLite refused: what that means to the maker.

    A constraint or a misuse is our own bug and is raised again as it is.
    """
    name = getattr(error, "sqlite_errorname", "") or ""
    family = "_".join(name.split("_")[:2])
    match family:
        case "SQLITE_FULL":
            return disk_full(path)
        case "SQLITE_READONLY":
            return moved(path) if name == "SQLITE_READONLY_DBMOVED" else _why_not_writable(path)
        case "SQLITE_BUSY" | "SQLITE_LOCKED":
            return locked(path)
        case "SQLITE_CORRUPT":
            return damaged(path)
        case "SQLITE_NOTADB":
            return not_ours(path)
        case "SQLITE_PERM" | "SQLITE_AUTH":
            return no_permission(path)
        case "SQLITE_TOOBIG" | "SQLITE_INTERRUPT" | "SQLITE_NOMEM":
            return too_large(path)
        case "SQLITE_CANTOPEN":
            return _why_not_writable(path)
        case "SQLITE_IOERR":
            return _why_not_written(path, name)
        case "SQLITE_ERROR" | "SQLITE_SCHEMA" | "SQLITE_MISMATCH":
            # Our own statements are tested; on a file they fail when its structure is not ours.
            return damaged(path, (Fault("structure", str(error)),))
    if not name and "decode" in str(error):
        # Python's binding reports text that is no UTF-8 without a name of its own.
        return damaged(path, (Fault("database", "a text in it is no text any more; restore a backup"),))
    raise error


def _why_not_writable(path: Path) -> StoreTrouble:
    """SQLite says "unable to open" for a missing folder and for a forbidden one alike."""
    if not path.parent.exists():
        return unreachable(path)
    if not path.exists():
        return moved(path)
    if not os.access(path, os.R_OK):
        return no_permission(path)
    if _nearly_full(path):
        return disk_full(path)
    return read_only(path)


def _why_not_written(path: Path, name: str) -> StoreTrouble:
    if not path.parent.exists():
        return unreachable(path)
    if not path.exists():
        return moved(path)
    if _nearly_full(path) or _over_file_limit(path):
        return disk_full(path)
    if on_network(path):
        return unreachable(path)
    return _fault(path, name.removeprefix("SQLITE_").replace("_", " ").lower())


def _nearly_full(path: Path) -> bool:
    try:
        return shutil.disk_usage(path.parent).free < _NEARLY_FULL_BYTES
    except OSError:
        return False


def _over_file_limit(path: Path) -> bool:
    """A limit on the size of files set for this process looks like a broken disk to SQLite."""
    if sys.platform == "win32":
        return False
    import resource  # POSIX only

    limit, _ = resource.getrlimit(resource.RLIMIT_FSIZE)
    try:
        return limit != resource.RLIM_INFINITY and path.stat().st_size + _NEARLY_FULL_BYTES > limit
    except OSError:
        return False


def on_network(path: Path) -> bool:
    """Whether `path` lies on a network drive, as far as the system tells."""
    if sys.platform == "win32":
        import ctypes

        if str(path).startswith("\\\\"):
            return True
        return bool(ctypes.windll.kernel32.GetDriveTypeW(path.anchor) == 4)  # DRIVE_REMOTE
    try:
        mounts = Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return False  # macOS has no such list; its sentences are then the local ones
    return file_system_of(path, mounts).startswith(_NETWORK_FILE_SYSTEMS)


def file_system_of(path: Path, mounts: str) -> str:
    """The type of the file system with the longest mount point above `path`."""
    best, kind = -1, ""
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        point = fields[1].replace("\\040", " ").replace("\\011", "\t").replace("\\134", "\\")
        if (path == Path(point) or path.is_relative_to(point)) and len(point) > best:
            best, kind = len(point), fields[2]
    return kind
