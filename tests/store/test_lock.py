"""Two windows on one project: the second reads only, and a crash never leaves it locked."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from tests.store.builders import START, Calendar, new_project, started
from workbench.store import lock as locks
from workbench.store.lock import HeldByOther, Owner, ProjectLock, who_has
from workbench.store.project import Project

HOLDER = """
import sys, time
from pathlib import Path
from workbench.store.project import Project
project = Project.open(Path(sys.argv[1]))
print("read-only" if project.read_only else "open", flush=True)
time.sleep(60)
"""


def hold_elsewhere(path: Path) -> tuple[subprocess.Popen[str], str]:
    other = subprocess.Popen([sys.executable, "-c", HOLDER, str(path)], stdout=subprocess.PIPE, text=True)
    assert other.stdout is not None
    return other, other.stdout.readline().strip()


def end(process: subprocess.Popen[str]) -> None:
    process.kill()
    process.wait()
    assert process.stdout is not None
    process.stdout.close()


def test_the_second_window_reads_only_and_says_who_has_it(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        pass
    other, said = hold_elsewhere(path)
    try:
        assert said == "open"
        with Project.open(path, now=Calendar()) as mine:
            assert mine.read_only
            assert f"process {other.pid}" in str(mine.read_only_because)
            assert "reading only" in str(mine.read_only_because)
            with pytest.raises(HeldByOther):
                mine.append("s1", 1, [started()])
        owner = who_has(path)
        assert owner is not None
        assert owner.pid == other.pid
    finally:
        end(other)


def test_a_lock_left_by_a_crash_does_not_block(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        pass
    other, _ = hold_elsewhere(path)
    end(other)  # SIGKILL: no clean-up
    assert path.with_name(path.name + ".lock").exists()
    assert who_has(path) is None
    with Project.open(path) as mine:
        assert not mine.read_only
        assert mine.left_behind == ""


def test_the_lock_is_given_back_on_closing(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        with Project.open(path) as second:
            assert second.read_only
        assert who_has(path) is not None  # the reader took nothing along when it closed
    assert list(tmp_path.iterdir()) == [path]
    with Project.open(path) as third:
        assert not third.read_only


def test_the_lock_survives_a_reader_that_comes_and_goes(tmp_path: Path) -> None:
    """POSIX record locks vanish when any descriptor of the file is closed; ours must not."""
    lock = ProjectLock(tmp_path / "a.balmbook")
    lock.take(START)
    for _ in range(3):
        assert who_has(tmp_path / "a.balmbook") is not None
    with pytest.raises(HeldByOther):
        ProjectLock(tmp_path / "a.balmbook").take(START)
    lock.release()
    lock.release()
    assert not lock.held


def test_another_computer_that_did_not_close_the_project_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        pass
    left = {"user": "anna", "host": "other-kitchen", "pid": 7, "since": "2026-03-14T09:00:00+01:00"}
    path.with_name("a.balmbook.lock").write_text(json.dumps(left))
    with Project.open(path) as mine:
        assert not mine.read_only
        assert "anna on other-kitchen" in mine.left_behind


@pytest.mark.parametrize("text", ["", "null", "[]", "{", '{"user": "a"}', "[" * 5000, "\x00"])
def test_a_lock_file_that_makes_no_sense_is_no_obstacle(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.balmbook"
    with new_project(path):
        pass
    path.with_name("a.balmbook.lock").write_text(text)
    with Project.open(path) as mine:
        assert not mine.read_only


def test_a_holder_without_a_name_still_holds(tmp_path: Path) -> None:
    lock = ProjectLock(tmp_path / "a.balmbook")
    lock.take(START)
    lock.path.write_text("")
    with pytest.raises(HeldByOther, match="another window"):
        ProjectLock(tmp_path / "a.balmbook").take(START)
    lock.release()


def test_where_the_drive_cannot_lock_the_text_decides(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import errno
    import fcntl
    import socket

    def cannot(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", cannot)
    lock = ProjectLock(tmp_path / "a.balmbook")
    lock.take(START)
    owner = {"user": "a", "host": socket.gethostname(), "pid": os.getppid(), "since": ""}
    lock.path.write_text(json.dumps(owner))  # as if the parent process, which is alive, had it
    with pytest.raises(HeldByOther):
        ProjectLock(tmp_path / "a.balmbook").take(START)
    finished = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True
    )
    lock.path.write_text(json.dumps({**owner, "pid": int(finished.stdout)}))
    again = ProjectLock(tmp_path / "a.balmbook")
    again.take(START)
    again.release()
    lock.release()


def test_a_name_is_always_found(monkeypatch: pytest.MonkeyPatch) -> None:
    def nobody() -> str:
        raise KeyError("no such user")

    monkeypatch.setattr("getpass.getuser", nobody)
    assert locks.myself(START).user == "?"


def test_the_sentence_names_place_and_holder() -> None:
    says = Owner("anna", "kitchen", 12, "2026-03-14T09:00:00").says(Path("a.balmbook"))
    assert says.startswith("a.balmbook is open already: by anna on kitchen (process 12)")


def test_who_is_on_the_way_out_says_so(tmp_path: Path) -> None:
    """Its last backup may take a while; whoever comes has to know that it is a matter of moments."""
    path = tmp_path / "a.balmbook"
    with new_project(path) as first:
        first.leaving()
        with Project.open(path, now=Calendar()) as second:
            assert isinstance(second.read_only_because, HeldByOther)
            assert second.read_only_because.owner is not None
            assert second.read_only_because.owner.leaving
            assert "was closed a moment ago" in str(second.read_only_because)
            assert f"process {os.getpid()}" in str(second.read_only_because)
    assert who_has(path) is None


def test_that_it_leaves_is_written_in_one_piece(tmp_path: Path) -> None:
    """The text may be read at any moment, and must never be half of one and half of the other."""
    lock = ProjectLock(tmp_path / "a.balmbook")
    lock.take(START)
    before = len(lock.path.read_bytes())
    lock.leaving(START)
    assert len(lock.path.read_bytes()) == before
    assert json.loads(lock.path.read_bytes())["leaving"] is True
    lock.release()
    lock.leaving(START)  # after it was let go it says nothing
    assert not lock.path.exists()


# What is imported late comes first: Python's own folder may be closed to the other user.
AS_ANOTHER_USER = """
import os, sys, tempfile
from pathlib import Path
from workbench.store.project import Project
with tempfile.TemporaryDirectory() as own:
    with Project.create(Path(own) / "own.balmbook"), Project.open(Path(own) / "own.balmbook"):
        pass
os.setgroups([])
os.setgid(65534)
os.setuid(65534)
with Project.open(Path(sys.argv[1])) as project:
    print(project.read_only_because or "open")
"""


@pytest.mark.skipif(sys.platform == "win32" or os.getuid() != 0, reason="needs two users")
def test_a_crash_of_another_user_does_not_block_and_who_has_it_is_named(tmp_path: Path) -> None:
    """One kitchen computer, a folder that both may write; locks are made readable only by their maker's umask."""
    shared = Path(tempfile.mkdtemp(dir="/tmp"))  # the folders of the tests are closed to others
    try:
        shared.chmod(0o777)
        path = shared / "a.balmbook"
        with new_project(path):
            pass
        path.chmod(0o666)

        def comes() -> str:
            done = subprocess.run(
                [sys.executable, "-c", AS_ANOTHER_USER, str(path)], capture_output=True, text=True, check=True
            )
            return done.stdout.strip()

        with Project.open(path):
            path.with_name(path.name + ".lock").chmod(0o644)
            assert f"process {os.getpid()}" in comes()
        path.with_name(path.name + ".lock").write_text("{}")
        path.with_name(path.name + ".lock").chmod(0o644)
        assert comes() == "open"
    finally:
        shutil.rmtree(shared)


def test_a_lock_that_may_only_be_read_is_not_taken_for_a_free_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever waits for it would open the project again and again."""
    lock = ProjectLock(tmp_path / "a.balmbook")
    lock.take(START)
    monkeypatch.setattr(os, "access", lambda *_: False)
    owner = who_has(tmp_path / "a.balmbook")
    assert owner is not None
    assert owner.pid == os.getpid()
    lock.release()
