"""Disks that are full, read-only, pulled out, and files that are moved under us.

Real file systems: a small one in memory where the tests run as root, and the
forms that need no rights elsewhere.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.builders import Calendar, at, batch, new_project, reading, recipe, started
from workbench.core.batch.events import AnyEvent, Noted
from workbench.store import backup, files, rescue
from workbench.store.check import chain_faults
from workbench.store.project import Project
from workbench.store.rescue import Pending
from workbench.store.troubles import Kind, StoreTrouble

AS_ROOT = sys.platform.startswith("linux") and os.geteuid() == 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 768 KiB."""
    folder = tmp_path / "stick"
    folder.mkdir()
    mounted = AS_ROOT and (
        subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=768k", "tmpfs", str(folder)],
            capture_output=True,
            check=False,
        ).returncode
        == 0
    )
    if not mounted:
        pytest.skip("needs the right to mount a small disk; the test with RLIMIT_FSIZE runs everywhere")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=False)


def note(seq: int) -> Noted:
    return Noted(**at(float(seq)), step="melt", words="a word or two about the colour " * 40)


def fill_until_refused(project: Project, session: str) -> tuple[int, StoreTrouble]:
    """(last acknowledged, what was said)"""
    last = project.append(session, 1, [started()])
    for seq in range(last + 1, 5000):
        try:
            last = project.append(session, seq, [note(seq)])
        except StoreTrouble as trouble:
            return last, trouble
    raise AssertionError("the disk never filled up")


def test_a_full_disk_keeps_what_was_acknowledged_and_goes_on_when_there_is_room(small_disk: Path) -> None:
    filler = small_disk / "film.bin"
    path = small_disk / "a.balmbook"
    with new_project(path) as project:
        filler.write_bytes(bytes(200_000))
        session = project.new_session()
        last, trouble = fill_until_refused(project, session)
        assert trouble.kind is Kind.DISK_FULL
        assert str(path) in trouble.says
        assert "Free some space" in trouble.says
        assert len(project.events(session)) == last
        with pytest.raises(StoreTrouble):  # still full
            project.append(session, last + 1, [note(last + 1)] * 40)
        filler.unlink()
        assert project.append(session, last + 1, [note(last + 1)]) == last + 1
        assert chain_faults(project) == ()
    with Project.open(path) as project:
        assert project.events(session) == (started(), *(note(n) for n in range(2, last + 2)))


def test_while_the_disk_is_full_a_copy_can_be_saved_elsewhere_at_once(
    small_disk: Path, tmp_path: Path
) -> None:
    with new_project(small_disk / "a.balmbook") as project:
        session = project.new_session()
        last, _ = fill_until_refused(project, session)
        waiting = Pending(session, last + 1, (note(last + 1), note(last + 2)))
        saved = rescue.save_copy(project, tmp_path / "copy.balmbook", [waiting])
        assert (saved.whole, saved.session) == (True, session)
        with pytest.raises(StoreTrouble, match="full") as caught:
            rescue.save_copy(project, small_disk / "copy.balmbook", [waiting])
        assert str(small_disk / "copy.balmbook") in str(
            caught.value
        )  # the name that was given, not a hidden one
        assert not (small_disk / "copy.balmbook").exists()
    with Project.open(tmp_path / "copy.balmbook") as copy:
        assert len(copy.events(session)) == last + 2
        assert copy.append(session, last + 3, [note(last + 3)]) == last + 3
    assert {path.name for path in small_disk.iterdir()} == {"a.balmbook"}


def test_a_backup_that_does_not_fit_costs_no_older_one(small_disk: Path) -> None:
    calendar = Calendar()
    with new_project(small_disk / "a.balmbook") as project:
        backup.make(project, calendar())
        project.append(project.new_session(), 1, [started()])
        before = backup.backups(project.path)
        (small_disk / "film.bin").write_bytes(bytes(shutil.disk_usage(small_disk).free - 8_000))
        with pytest.raises(StoreTrouble, match="full"):
            backup.make(project, calendar())
        assert backup.backups(project.path) == before
        assert [path.name for path in backup.folder_of(project.path).iterdir()] == [before[0].path.name]


def test_a_plain_file_on_a_full_disk_stays_as_it_was(small_disk: Path) -> None:
    """Where a well-known way of saving replaced the good file by a short one."""
    target = small_disk / "settings.json"
    files.write_bytes(target, b"old" * 100)
    (small_disk / "film.bin").write_bytes(bytes(shutil.disk_usage(small_disk).free - 8_000))
    with pytest.raises(StoreTrouble) as caught:
        files.write_bytes(target, bytes(100_000))
    assert caught.value.kind is Kind.DISK_FULL
    assert target.read_bytes() == b"old" * 100
    assert sorted(path.name for path in small_disk.iterdir()) == ["film.bin", "settings.json"]


def test_a_new_project_on_a_full_disk_leaves_nothing(small_disk: Path) -> None:
    (small_disk / "film.bin").write_bytes(bytes(shutil.disk_usage(small_disk).free - 8_000))
    with pytest.raises(StoreTrouble) as caught:
        Project.create(small_disk / "a.balmbook")
    assert caught.value.kind is Kind.DISK_FULL
    assert [path.name for path in small_disk.iterdir()] == ["film.bin"]


def test_a_write_protected_disk(small_disk: Path) -> None:
    path = small_disk / "a.balmbook"
    with new_project(path) as project:
        project.append(project.new_session(), 1, batch())
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    try:
        with Project.open(path) as project:
            assert project.read_only
            assert "read-only" in str(project.read_only_because)
            assert project.events("s1") == batch()
            with pytest.raises(StoreTrouble, match="Take the write protection off"):
                project.append("s1", 99, [reading(1)])
        with pytest.raises(StoreTrouble) as caught:
            Project.create(small_disk / "b.balmbook")
        assert caught.value.kind is Kind.READ_ONLY
    finally:
        subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)


def test_a_stick_that_is_pulled_out_and_put_back(small_disk: Path, tmp_path: Path) -> None:
    path = small_disk / "a.balmbook"
    with new_project(path) as project:
        session = project.new_session()
        project.append(session, 1, [started(), reading(1)])
        hidden = tmp_path / "hidden"
        hidden.mkdir()
        subprocess.run(["mount", "--move", str(small_disk), str(hidden)], check=True)
        try:
            small_disk.rmdir()
            with pytest.raises(StoreTrouble) as caught:
                project.append(session, 3, [reading(2)])
            assert caught.value.kind is Kind.UNREACHABLE
            assert "Plug it in again" in caught.value.says
            small_disk.mkdir()
        finally:
            subprocess.run(["mount", "--move", str(hidden), str(small_disk)], check=True)
        assert project.append(session, 3, [reading(2)]) == 3
        assert project.events(session) == (started(), reading(1), reading(2))


LIMITED = """
import resource, signal, sys
from pathlib import Path
from tests.store.test_disk import fill_until_refused, note
from workbench.store.project import Project
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
project = Project.create(Path(sys.argv[1]))
session = project.new_session()
resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, resource.RLIM_INFINITY))
last, trouble = fill_until_refused(project, session)
assert len(project.events(session)) == last
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
print(last, project.append(session, last + 1, [note(last + 1)]), trouble.kind.value)
project.close()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="RLIMIT_FSIZE is of POSIX")
def test_a_limit_on_the_size_of_files_is_told_as_a_full_disk(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(path)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    last, after, kind = done.stdout.strip().split(" ", 2)
    assert (int(after), kind) == (int(last) + 1, "disk full")
    with Project.open(path) as project:
        assert len(project.events("s1")) == int(after)


@pytest.mark.skipif(
    sys.platform == "win32" or AS_ROOT, reason="root may write anywhere; see the mounted disk"
)
def test_a_folder_without_permission(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    with new_project(folder / "a.balmbook"):
        pass
    folder.chmod(0o555)
    try:
        with Project.open(folder / "a.balmbook") as project:
            assert project.read_only
        with pytest.raises(StoreTrouble):
            Project.create(folder / "b.balmbook")
    finally:
        folder.chmod(0o755)


OTHER_USER = """
import os, sys, urllib.parse  # all of Python that is needed, before its own folder may be out of reach
from pathlib import Path
from workbench.store.project import Project
from workbench.store.troubles import StoreTrouble
os.setuid(65534)
try:
    with Project.open(Path(sys.argv[1])) as project:
        print("read-only" if project.read_only else "open", project.read_only_because)
except StoreTrouble as trouble:
    print(trouble.kind.value, trouble.says)
"""


@pytest.mark.skipif(not AS_ROOT, reason="becomes another user")
@pytest.mark.parametrize(("mode", "says"), [(0o600, "no permission"), (0o644, "read-only")])
def test_a_file_of_another_user(tmp_path: Path, mode: int, says: str) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        pass
    path.chmod(mode)
    for folder in (tmp_path, *tmp_path.parents):
        if folder == Path(tempfile.gettempdir()):
            break
        folder.chmod(0o755)
    done = subprocess.run(
        [sys.executable, "-c", OTHER_USER, str(path)], capture_output=True, text=True, check=False
    )
    assert done.stdout.startswith(says), done.stdout + done.stderr
    assert "Give yourself permission" in done.stdout


# -- files that are moved, replaced or changed under us


def test_a_file_that_is_moved_away_and_put_back(tmp_path: Path) -> None:
    path, away = tmp_path / "a.balmbook", tmp_path / "b.balmbook"
    with new_project(path) as project:
        session = project.new_session()
        project.append(session, 1, [started()])
        path.rename(away)
        with pytest.raises(StoreTrouble) as caught:
            project.append(session, 2, [reading(1)])
        assert caught.value.kind is Kind.MOVED
        assert "Put it back there" in caught.value.says
        with pytest.raises(StoreTrouble, match="Put it back"):
            project.recipes()
        away.rename(path)
        assert project.append(session, 2, [reading(1)]) == 2
        assert project.events(session) == (started(), reading(1))


def test_a_file_that_is_replaced_by_another_project_is_not_written_to(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(tmp_path / "other.balmbook"):
        pass
    with new_project(path) as project:
        session = project.new_session()
        project.append(session, 1, [started()])
        (tmp_path / "other.balmbook").replace(path)
        before = path.read_bytes()
        with pytest.raises(StoreTrouble) as caught:
            project.append(session, 2, [reading(1)])
        assert caught.value.kind is Kind.MOVED
        assert path.read_bytes() == before


def test_a_file_that_is_replaced_by_an_older_copy_of_itself_is_not_written_to(tmp_path: Path) -> None:
    """A synchronising program puts back yesterday's file: what was acknowledged since is not in it."""
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        session = project.new_session()
        project.append(session, 1, [started()])
        shutil.copyfile(path, tmp_path / "older")
        project.append(session, 2, [reading(1)])
        (tmp_path / "older").replace(path)
        with pytest.raises(StoreTrouble) as caught:
            project.append(session, 3, [reading(2)])
        assert caught.value.kind is Kind.MOVED


def test_a_file_that_is_replaced_by_an_equal_copy_is_gone_on_with(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        session = project.new_session()
        project.append(session, 1, [started()])
        shutil.copyfile(path, tmp_path / "equal")
        (tmp_path / "equal").replace(path)
        assert project.append(session, 2, [reading(1)]) == 2
    with Project.open(path) as project:
        assert project.events(session) == (started(), reading(1))


@pytest.mark.parametrize("content", [b"", b"shopping list"])
def test_a_file_that_is_replaced_by_something_else(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        project.append(project.new_session(), 1, [started()])
        (tmp_path / "x").write_bytes(content)
        (tmp_path / "x").replace(path)
        with pytest.raises(StoreTrouble) as caught:
            project.append("s1", 2, [reading(1)])
        assert caught.value.kind is Kind.MOVED
    assert path.read_bytes() == content


def test_another_program_that_holds_the_file_for_a_while(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sqlite3

    monkeypatch.setattr("workbench.store.connection._BUSY_TIMEOUT_MS", 50)
    path = tmp_path / "a.balmbook"
    with new_project(path) as project:
        session = project.new_session()
        project.append(session, 1, [started()])
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreTrouble) as caught:
            project.append(session, 2, [reading(1)])
        assert caught.value.kind is Kind.LOCKED
        assert "try again" in caught.value.says
        other.execute("ROLLBACK")
        other.close()
        assert project.append(session, 2, [reading(1)]) == 2


# -- copies from memory


def test_when_the_disk_is_gone_the_batch_in_hand_is_saved_from_memory(tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    events: list[AnyEvent] = list(batch())
    with new_project(folder / "a.balmbook") as project:
        project.save_recipe(recipe())
        project.append(project.new_session(), 1, batch())  # an earlier batch
        session = project.new_session()
        project.append(session, 1, events[:3])
        project.append(session, 4, events[3:5])
        shutil.rmtree(folder)
        with pytest.raises(StoreTrouble):
            project.append(session, 6, events[5:7])
        saved = rescue.save_copy(
            project, tmp_path / "saved.balmbook", [Pending(session, 6, tuple(events[5:7]))]
        )
        assert (saved.whole, saved.session) == (False, "s1")
    with Project.open(tmp_path / "saved.balmbook") as copy:
        assert list(copy.events("s1")) == events[:7]
        assert copy.open_session() == "s1"
        assert [entry.recipe for entry in copy.recipes()] == [recipe()]
        assert copy.append("s1", 8, events[7:]) == len(events)


def test_a_batch_that_was_taken_up_again_is_in_memory_too(tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    events = batch()
    with new_project(folder / "a.balmbook") as project:
        project.append(project.new_session(), 1, events[:4])
    with Project.open(folder / "a.balmbook") as project:
        project.append("s1", 5, events[4:6])
        shutil.rmtree(folder)
        saved = rescue.save_copy(project, tmp_path / "saved.balmbook")
    assert not saved.whole
    with Project.open(tmp_path / "saved.balmbook") as copy:
        assert copy.events("s1") == events[:6]


def test_a_copy_takes_no_place_that_is_taken(tmp_path: Path) -> None:
    (tmp_path / "taken.balmbook").write_bytes(b"mine")
    with new_project(tmp_path / "a.balmbook") as project:
        with pytest.raises(StoreTrouble, match="is there already"):
            rescue.save_copy(project, tmp_path / "taken.balmbook")
        with pytest.raises(StoreTrouble) as caught:
            rescue.save_copy(project, tmp_path / "nowhere" / "b.balmbook")
        assert str(tmp_path / "nowhere" / "b.balmbook") in str(caught.value)
    assert (tmp_path / "taken.balmbook").read_bytes() == b"mine"
