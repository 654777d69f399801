"""Plain files: whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from workbench.store import files
from workbench.store.connection import read_header
from workbench.store.troubles import Kind, StoreTrouble


def test_a_file_is_made_and_replaced(tmp_path: Path) -> None:
    target = tmp_path / "Öl liste.txt"
    files.write_text(target, "één")
    files.write_text(target, "twee")
    assert target.read_text(encoding="utf-8") == "twee"
    assert list(tmp_path.iterdir()) == [target]


def test_what_fails_in_the_middle_changes_nothing(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    files.write_text(target, "old")

    def half() -> None:
        with files.replacing(target) as file:
            file.write(b"half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        half()
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.skipif(sys.platform == "win32", reason="mode bits and links as POSIX has them")
def test_mode_and_link_stay(tmp_path: Path) -> None:
    real = tmp_path / "real.txt"
    real.write_text("old")
    real.chmod(0o640)
    link = tmp_path / "link.txt"
    link.symlink_to(real)
    files.write_text(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_the_file_and_its_folder_are_synced_before_it_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order that survives a power cut: sync the new file, rename, sync the folder
    (Pillai et al., OSDI 2014, on what file systems may reorder)."""
    done: list[str] = []
    sync, rename = os.fsync, Path.replace

    def fsync(descriptor: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(descriptor).st_mode) else "file")
        sync(descriptor)

    def replace(self: Path, target: Path) -> Path:
        done.append("rename")
        return rename(self, target)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(Path, "replace", replace)
    files.write_text(tmp_path / "a.txt", "x")
    assert done == ["file", "rename", "folder"] if sys.platform != "win32" else ["file", "rename"]


def test_a_place_that_is_taken_is_not_taken_again(tmp_path: Path) -> None:
    new, taken = tmp_path / "new", tmp_path / "taken"
    new.write_text("new")
    taken.write_text("old")
    with pytest.raises(FileExistsError):
        files.take_place(new, taken)
    assert taken.read_text() == "old"


def test_sticks_without_links_are_served_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    new = tmp_path / "new"
    new.write_text("new")
    files.take_place(new, tmp_path / "target")
    assert (tmp_path / "target").read_text() == "new"
    new.write_text("newer")
    with pytest.raises(FileExistsError):
        files.take_place(new, tmp_path / "target")
    assert (tmp_path / "target").read_text() == "new"


def test_a_folder_that_cannot_be_synced_is_let_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(number: int) -> None:
        def fsync(_: int) -> None:
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr(os, "fsync", fsync)

    fails(errno.EINVAL)
    files.sync_directory(tmp_path)
    fails(errno.EIO)
    with pytest.raises(OSError, match="Input/output"):
        files.sync_directory(tmp_path)


def test_reading_stops_at_what_is_sensible(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"12345")
    assert files.read_bytes(tmp_path / "a", 5) == b"12345"
    with pytest.raises(StoreTrouble) as caught:
        files.read_bytes(tmp_path / "a", 4)
    assert caught.value.kind is Kind.TOO_LARGE


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="its folder is missing") as caught:
        files.write_text(tmp_path / "nowhere" / "a.txt", "x")
    assert caught.value.kind is Kind.MISSING


def test_a_place_that_cannot_even_be_looked_at_is_a_trouble_with_its_remedy(tmp_path: Path) -> None:
    """A name that is too long, a folder nobody may look into: the system refuses the look itself."""
    with pytest.raises(StoreTrouble, match="cannot be read or written"):
        files.write_text(tmp_path / ("x" * 300) / "a.txt", "x")


CUT_OFF = """
import os, signal, sys
from pathlib import Path
from workbench.store import files
from workbench.store.connection import read_header
with files.replacing(Path(sys.argv[1])) as file:
    file.write(b"half of it")
    file.flush()
    if sys.argv[2] == "killed":
        os.kill(os.getpid(), signal.SIGKILL)
    print("at it", flush=True)
    sys.stdin.read()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is cleared there")
def test_what_a_kill_cut_off_is_cleared_by_the_next_write_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "Kitchen.json"
    subprocess.run([sys.executable, "-c", CUT_OFF, str(target), "killed"], check=False)
    (left,) = tmp_path.iterdir()  # a real one: its process wrote half and was killed
    alive = subprocess.Popen(
        [sys.executable, "-c", CUT_OFF, str(tmp_path / "Other.json"), "at it"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert alive.stdin is not None
    assert alive.stdout is not None
    alive.stdout.readline()
    under_way = [path for path in tmp_path.iterdir() if path != left]
    elsewhere = left.name.replace(files._home(), "0123456789ab")
    stays = [
        files.beside(target),  # of this very process
        tmp_path / elsewhere,  # of another computer, which may be at it
        tmp_path / ".Kitchen.json.0a1b2c3d.part",  # nobody knows whose
        tmp_path / ".holiday film.part",
        tmp_path / left.name.removeprefix("."),
        tmp_path / left.name.removesuffix(".part"),
        tmp_path / "notes.part",
    ]
    for path in stays:
        path.write_bytes(b"not ours to take")
    folder = tmp_path / left.name.replace("Kitchen", "Folder")
    folder.mkdir()
    link = tmp_path / left.name.replace("Kitchen", "Link")
    link.symlink_to(stays[-1])
    try:
        files.write_text(target, "whole")
        assert sorted(tmp_path.iterdir()) == sorted([target, *under_way, *stays, folder, link])
    finally:
        alive.communicate(b"")
    assert (tmp_path / "Other.json").read_bytes() == b"half of it"  # it was let to its end


def test_the_longest_name_a_file_system_takes_can_be_written(tmp_path: Path) -> None:
    """255 bytes on ext4, NTFS counts 255 letters; the temporary name must not be longer."""
    target = tmp_path / ("ö" * 125 + ".json")
    files.write_text(target, "x")
    assert [path.name for path in tmp_path.iterdir()] == [target.name]


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such files")
@pytest.mark.parametrize("read", [lambda path: files.read_bytes(path, 100), read_header])
def test_nobody_waits_at_a_pipe_that_calls_itself_a_file(
    tmp_path: Path, read: Callable[[Path], object]
) -> None:
    pipe = tmp_path / "Kitchen.balmbook"
    os.mkfifo(pipe)
    said: list[StoreTrouble] = []

    def look() -> None:
        try:
            read(pipe)
        except StoreTrouble as trouble:
            said.append(trouble)

    reader = threading.Thread(target=look)
    reader.start()
    reader.join(10)
    if reader.is_alive():
        os.close(os.open(pipe, os.O_RDWR))  # let it go before the test fails
    assert [trouble.kind for trouble in said] == [Kind.NOT_OURS]
    assert str(pipe) in said[0].says


@pytest.mark.parametrize("make", [Path.mkdir, lambda path: os.mkfifo(path)])
def test_only_a_file_is_replaced(tmp_path: Path, make: Callable[[Path], object]) -> None:
    """Whoever may write anything (an administrator) would lose /dev/null to an export else."""
    target = tmp_path / "there"
    make(target)
    before = target.stat()
    with pytest.raises(StoreTrouble, match="not a file"):
        files.write_text(target, "x")
    assert target.stat().st_ino == before.st_ino
    assert list(tmp_path.iterdir()) == [target]
