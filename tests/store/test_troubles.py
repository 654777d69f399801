"""Every failure of disk and database is told with its place and a remedy."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path

import pytest

from workbench.core.wording import Said, say_again
from workbench.store import troubles
from workbench.store.troubles import Kind, StoreTrouble

HERE = Path("/kitchen/Öl & Wachs.balmbook")


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        (errno.ENOSPC, Kind.DISK_FULL),
        (errno.EDQUOT, Kind.DISK_FULL),
        (errno.EFBIG, Kind.DISK_FULL),
        (errno.EROFS, Kind.READ_ONLY),
        (errno.EACCES, Kind.NO_PERMISSION),
        (errno.EPERM, Kind.NO_PERMISSION),
        (errno.ENOENT, Kind.MISSING),
        (errno.ENOTDIR, Kind.MISSING),
        (errno.EEXIST, Kind.EXISTS),
        (errno.EIO, Kind.UNREACHABLE),
        (errno.ENODEV, Kind.UNREACHABLE),
        (errno.ESTALE, Kind.UNREACHABLE),
        (errno.EBUSY, Kind.LOCKED),
        (errno.EXDEV, Kind.FAULT),
    ],
)
def test_what_the_system_says(number: int, kind: Kind) -> None:
    trouble = troubles.from_os_error(OSError(number, "x"), HERE)
    assert trouble.kind is kind
    assert str(HERE) in trouble.says


def sqlite_error(name: str, kind: type[sqlite3.Error] = sqlite3.OperationalError) -> sqlite3.Error:
    error = kind("as SQLite says it")
    error.sqlite_errorname = name
    return error


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("SQLITE_FULL", Kind.DISK_FULL),
        ("SQLITE_READONLY_DBMOVED", Kind.MOVED),
        ("SQLITE_BUSY", Kind.LOCKED),
        ("SQLITE_BUSY_SNAPSHOT", Kind.LOCKED),
        ("SQLITE_LOCKED", Kind.LOCKED),
        ("SQLITE_CORRUPT", Kind.DAMAGED),
        ("SQLITE_CORRUPT_INDEX", Kind.DAMAGED),
        ("SQLITE_NOTADB", Kind.NOT_OURS),
        ("SQLITE_PERM", Kind.NO_PERMISSION),
        ("SQLITE_AUTH", Kind.NO_PERMISSION),
        ("SQLITE_TOOBIG", Kind.TOO_LARGE),
        ("SQLITE_INTERRUPT", Kind.TOO_LARGE),
        ("SQLITE_ERROR", Kind.DAMAGED),
    ],
)
def test_what_the_database_says(tmp_path: Path, name: str, kind: Kind) -> None:
    path = tmp_path / "a.balmbook"
    path.write_bytes(b"x")
    trouble = troubles.from_sqlite(sqlite_error(name), path)
    assert trouble.kind is kind
    assert str(path) in trouble.says


@pytest.mark.parametrize("name", ["SQLITE_IOERR_WRITE", "SQLITE_CANTOPEN"])
def test_a_failed_write_is_looked_into(tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    error = sqlite_error(name)
    gone = tmp_path / "stick" / "a.balmbook"
    assert troubles.from_sqlite(error, gone).kind is Kind.UNREACHABLE
    assert troubles.from_sqlite(error, tmp_path / "a.balmbook").kind is Kind.MOVED
    path = tmp_path / "a.balmbook"
    path.write_bytes(b"x")
    expected = Kind.FAULT if name == "SQLITE_IOERR_WRITE" else Kind.READ_ONLY
    assert troubles.from_sqlite(error, path).kind is expected
    monkeypatch.setattr(troubles, "_NEARLY_FULL_BYTES", 1 << 60)
    assert troubles.from_sqlite(error, path).kind is Kind.DISK_FULL


@pytest.mark.parametrize("error", [sqlite3.IntegrityError("x"), sqlite3.ProgrammingError("x")])
def test_a_mistake_of_ours_stays_one(error: sqlite3.Error) -> None:
    with pytest.raises(type(error)):
        troubles.from_sqlite(error, HERE)


MOUNTS = """\
/dev/sda1 / ext4 rw 0 0
server:/share /media/share nfs4 rw 0 0
//box/kitchen /media/with\\040space cifs rw 0 0
tmpfs /media/share/local tmpfs rw 0 0
broken line
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/a.balmbook", "ext4"),
        ("/media/share/a.balmbook", "nfs4"),
        ("/media/share/local/a.balmbook", "tmpfs"),
        ("/media/with space/a.balmbook", "cifs"),
        ("/media/sharex/a.balmbook", "ext4"),
    ],
)
def test_the_file_system_under_a_path(path: str, kind: str) -> None:
    """The table as proc(5) describes it: mount point in the second field, space as \\040."""
    assert troubles.file_system_of(Path(path), MOUNTS) == kind


def test_a_network_drive_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(troubles, "on_network", lambda path: True)
    assert "network drive" in troubles.unreachable(HERE).says
    assert "network drive" in troubles.locked(HERE).says
    assert "keep the project on this computer" in troubles.unreachable(HERE).says


@pytest.mark.parametrize(
    "make",
    [
        troubles.disk_full,
        troubles.moved,
        troubles.unreachable,
        troubles.read_only,
        troubles.no_permission,
        troubles.locked,
        troubles.damaged,
        troubles.not_ours,
        troubles.newer,
        troubles.missing,
        troubles.no_folder,
        troubles.no_file,
        troubles.exists,
        troubles.too_large,
        lambda path: troubles.out_of_order(path, "s1", 3, 5),
        lambda path: troubles.not_answering(path, 5.0),
    ],
)
def test_every_sentence_names_its_place_and_can_be_said_again(make: object) -> None:
    trouble = make(HERE)  # type: ignore[operator]
    assert isinstance(trouble, StoreTrouble)
    assert isinstance(trouble.says, Said)
    assert str(HERE) in trouble.says
    assert trouble.says.count(". ") >= 1 or trouble.says.count(", ") >= 1  # what happened, and what to do
    again = say_again(trouble.says, lambda template: "»" + template, str)
    assert again == "»" + trouble.says
