"""Backups: of sound files only, a bounded number, restorable."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.builders import START, batch, new_project, reading, recipe, started
from workbench.store import backup, files, rescue
from workbench.store.backup import Backup
from workbench.store.files import journal_of
from workbench.store.lock import HeldByOther
from workbench.store.project import Project
from workbench.store.troubles import Kind, StoreTrouble


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with new_project(tmp_path / "Kitchen Öl.balmbook") as project:
        yield project


def left_by_another(target: Path) -> Path:
    """The name of a temporary file of a process that is gone, as it names one itself."""
    code = "import sys; from pathlib import Path; from workbench.store import files; print(files.beside(Path(sys.argv[1])))"
    told = subprocess.run([sys.executable, "-c", code, str(target)], capture_output=True, check=True)
    return Path(told.stdout.decode().rstrip("\n"))


def spoil(path: Path) -> None:
    """Overwrite a page in the middle, past the first two."""
    with path.open("r+b") as file:
        file.seek(3 * 4096)
        file.write(b"\xa5" * 4096)


def test_a_backup_is_a_whole_project(project: Project) -> None:
    project.save_recipe(recipe())
    project.append(project.new_session(), 1, batch())
    made = backup.make(project, START)
    assert made.path.name == "Kitchen Öl 2026-03-14 093000.balmbook"
    assert made.path.parent.name == "Kitchen Öl.balmbook.backups"
    with Project.open(made.path, read_only=True) as copy:
        assert copy.id == project.id
        assert copy.events("s1") == batch()
        assert copy.recipes() == project.recipes()
    assert backup.backups(project.path) == (made,)


def test_at_most_hourly_and_only_when_something_changed(project: Project) -> None:
    assert backup.due(project, START)
    made = backup.make(project, START)
    os.utime(made.path, (1e9, 1e9))
    os.utime(project.path, (1e9, 1e9))
    later = START + timedelta(hours=2)
    assert not backup.due(project, later)  # nothing changed
    project.save_recipe(recipe())
    assert not backup.due(project, START + timedelta(minutes=59))
    assert backup.due(project, later)
    assert backup.due(project, START - timedelta(hours=1))  # the clock was set back


def test_on_closing_when_something_changed(project: Project) -> None:
    first = backup.on_close(project, START)
    assert first is not None
    os.utime(first.path, (4e9, 4e9))
    assert backup.on_close(project, START + timedelta(minutes=1)) is None
    os.utime(first.path, (1e9, 1e9))
    assert backup.on_close(project, START + timedelta(minutes=2)) is not None
    with Project.open(project.path) as reader:
        assert reader.read_only
        assert backup.on_close(reader, START) is None
        assert not backup.due(reader, START + timedelta(days=1))


def test_a_bounded_number_is_kept_newest_and_one_a_day(project: Project) -> None:
    for hours in range(0, 24 * 20, 6):
        backup.make(project, START + timedelta(hours=hours))
    there = backup.backups(project.path)
    assert len(there) == backup.KEEP_NEWEST + backup.KEEP_DAYS
    newest = START.replace(tzinfo=None) + timedelta(hours=24 * 20 - 6)
    assert [each.at for each in there[:6]] == [newest - timedelta(hours=6 * n) for n in range(6)]
    days = [each.at.date() for each in there[6:]]
    assert len(set(days)) == backup.KEEP_DAYS
    assert days == sorted(days, reverse=True)


def test_a_damaged_project_pushes_no_good_backup_out(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A large file is not looked through on opening; its backup finds the damage."""
    project.append(project.new_session(), 1, batch(200))
    for minutes in range(15):
        backup.make(project, START + timedelta(minutes=minutes))
    before = backup.backups(project.path)
    project.close()
    spoil(project.path)
    monkeypatch.setattr("workbench.store.opening._LOOKED_THROUGH_BYTES", 0)
    with Project.open(project.path) as damaged:
        for minutes in range(60, 80):
            with pytest.raises(StoreTrouble, match="damaged") as caught:
                backup.make(damaged, START + timedelta(minutes=minutes))
            assert caught.value.kind is Kind.DAMAGED
    assert backup.backups(project.path) == before
    assert len(list(backup.folder_of(project.path).iterdir())) == len(before)


def test_restoring_sets_the_present_file_aside(project: Project, tmp_path: Path) -> None:
    project.append(project.new_session(), 1, batch(200))
    made = backup.make(project, START)
    project.append("s1", len(batch(200)) + 1, [reading(5000)])
    project.close()
    spoil(project.path)
    present = project.path.read_bytes()
    with pytest.raises(StoreTrouble, match="damaged"):
        Project.open(project.path)
    journal_of(project.path).write_bytes(b"rest of a journal")
    aside = backup.restore(project.path, made.path, START + timedelta(hours=1))
    assert aside is not None
    assert aside.read_bytes() == present
    assert journal_of(aside).read_bytes() == b"rest of a journal"
    with Project.open(project.path) as again:
        assert again.events("s1") == batch(200)
    assert made.path.exists()


def test_a_project_that_is_lost_can_be_restored(project: Project) -> None:
    project.append(project.new_session(), 1, batch())
    made = backup.make(project, START)
    project.close()
    project.path.unlink()
    assert backup.restore(project.path, made.path, START) is None
    with Project.open(project.path) as again:
        assert again.events("s1") == batch()


def test_a_bad_backup_is_not_restored(project: Project, tmp_path: Path) -> None:
    project.append(project.new_session(), 1, batch(200))
    made = backup.make(project, START)
    project.close()
    before = project.path.read_bytes()
    spoil(made.path)
    with pytest.raises(StoreTrouble, match="damaged"):
        backup.restore(project.path, made.path, START)
    (tmp_path / "x.balmbook").write_bytes(b"shopping list")
    with pytest.raises(StoreTrouble, match="not a Balmbook project"):
        backup.restore(project.path, tmp_path / "x.balmbook", START)
    assert project.path.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "Kitchen Öl.balmbook",
        "Kitchen Öl.balmbook.backups",
        "x.balmbook",
    ]


def test_an_open_project_is_not_restored_over(project: Project) -> None:
    made = backup.make(project, START)
    with pytest.raises(HeldByOther):
        backup.restore(project.path, made.path, START)


def test_two_restores_in_one_second_lose_nothing(project: Project) -> None:
    made = backup.make(project, START)
    project.close()
    backup.restore(project.path, made.path, START)
    with pytest.raises(StoreTrouble, match="Wait a second"):
        backup.restore(project.path, made.path, START)
    with Project.open(project.path) as again:
        assert again.sessions() == ()


CUT_OFF = """
import os, signal, sqlite3, sys
file = sqlite3.connect(sys.argv[1], isolation_level=None)
file.execute("PRAGMA cache_size=5")
file.execute("BEGIN IMMEDIATE")
for number in range(3000):
    file.execute("INSERT INTO drafts VALUES (?, '', ?)", (str(number), "x" * 300))
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.fixture
def cut_off(project: Project) -> Backup:
    """A project with a backup, and then a write that was killed with half of its pages in the file."""
    project.append(project.new_session(), 1, batch(200))
    made = backup.make(project, START)
    project.append("s1", len(batch(200)) + 1, [reading(5000)])
    project.close()
    subprocess.run([sys.executable, "-c", CUT_OFF, str(project.path)], check=False)
    assert journal_of(project.path).stat().st_size > 0
    return made


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed like that there")
def test_a_journal_without_its_project_is_not_played_into_a_backup(project: Project, cut_off: Backup) -> None:
    """SQLite would undo the lost file's write in the file that took its place."""
    project.path.unlink()
    assert backup.restore(project.path, cut_off.path, START) is None
    assert not journal_of(project.path).exists()
    assert project.path.read_bytes() == cut_off.path.read_bytes()
    with Project.open(project.path) as again:
        assert again.events("s1") == batch(200)


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed like that there")
@pytest.mark.parametrize("step", ["rename", "unlink", "replace"])
def test_a_restore_that_is_cut_off_leaves_a_file_never_without_its_journal(
    project: Project, cut_off: Backup, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    real = getattr(Path, step)

    def stop(path: Path, *given: object, **named: object) -> object:
        if step == "unlink" and not path.name.endswith("-journal"):
            return real(path, *given, **named)
        raise KeyboardInterrupt

    with monkeypatch.context() as cut:
        cut.setattr(Path, step, stop)
        with pytest.raises(KeyboardInterrupt):
            backup.restore(project.path, cut_off.path, START + timedelta(hours=1))
    there = [path for path in project.path.parent.glob("*.balmbook") if path.stat().st_size]
    for path in there:
        with Project.open(path, read_only=True) as whole:
            assert len(whole.events("s1")) == len(batch(200)) + 1
    assert len(there) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed like that there")
def test_nothing_new_takes_the_place_beside_a_journal_that_was_left(
    project: Project, cut_off: Backup, tmp_path: Path
) -> None:
    whole = tmp_path / "moved.balmbook"
    project.path.rename(whole)  # without its journal, as people move files
    before = journal_of(project.path).read_bytes()
    with pytest.raises(StoreTrouble, match="last write was cut off"):
        Project.create(project.path)
    with Project.open(cut_off.path) as other, pytest.raises(StoreTrouble, match="last write was cut off"):
        rescue.save_copy(other, project.path)
    assert not project.path.exists()
    assert journal_of(project.path).read_bytes() == before
    whole.rename(project.path)  # put back, it is whole again
    with Project.open(project.path) as again:
        assert len(again.events("s1")) == len(batch(200)) + 1


def test_the_next_project_of_a_name_pushes_out_no_backup_of_the_lost_one(project: Project) -> None:
    project.append(project.new_session(), 1, batch())
    for days in range(4):
        backup.make(project, START + timedelta(days=days))
    lost = backup.backups(project.path)
    project.close()
    project.path.unlink()
    with Project.create(project.path) as other:
        for hours in range(0, 24 * 20, 6):
            backup.make(other, START + timedelta(days=10, hours=hours))
        there = backup.backups(project.path)
        assert len(there) == backup.KEEP_NEWEST + backup.KEEP_DAYS + len(lost)
        assert there[-len(lost) :] == lost
        backup.renew(other, START + timedelta(days=40))  # words of this project were erased
        assert backup.backups(project.path)[1:] == lost


def test_after_erasing_the_old_backups_go(project: Project) -> None:
    project.append(project.new_session(), 1, batch())
    backup.make(project, START)
    backup.make(project, START + timedelta(hours=1))
    project.erase(project.personal_words(), "asked")
    fresh = backup.renew(project, START + timedelta(hours=2))
    assert backup.backups(project.path) == (fresh,)
    assert b"gestern" not in fresh.path.read_bytes()


def test_copies_that_a_crash_cut_off_go_with_the_next_backup(project: Project) -> None:
    """They would fill the disk unseen, and hold words that were erased since; one under way is let be."""
    folder = backup.folder_of(project.path)
    folder.mkdir()
    old = [left_by_another(folder / f"Kitchen Öl 2026-03-1{day} 093000.balmbook") for day in (1, 2)]
    old += [journal_of(old[0]), folder / ".Kitchen Öl 2026-03-13 093000.balmbook.0a1b2c3d.part"]
    under_way = files.beside(folder / "Kitchen Öl 2026-03-14 093000.balmbook")
    for path in (*old, under_way):
        path.write_bytes(b"cut off")
    for path in old:
        os.utime(path, (1e9, 1e9))  # of a process that is gone: from before this one opened the project
    made = backup.make(project, START)
    assert sorted(folder.iterdir()) == sorted([made.path, under_way])


def test_other_files_in_the_folder_are_let_be(project: Project) -> None:
    folder = backup.folder_of(project.path)
    folder.mkdir()
    for name in ("notes.txt", "Kitchen Öl yesterday.balmbook", "Other 2026-03-14 093000.balmbook"):
        (folder / name).write_bytes(b"x")
    for hours in range(20):
        backup.make(project, START + timedelta(hours=hours))
    assert {"notes.txt", "Kitchen Öl yesterday.balmbook", "Other 2026-03-14 093000.balmbook"} <= {
        path.name for path in folder.iterdir()
    }


def test_a_running_batch_is_written_while_a_backup_is_made(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The copy is made in pieces and lets entries in between; they are in the copy, too."""
    monkeypatch.setattr("workbench.store.project._PAGES_AT_ONCE", 5)
    session = project.new_session()
    project.append(session, 1, batch(2000, ended=False))
    first = len(batch(2000, ended=False)) + 1
    waited: list[int] = []
    copying = threading.Event()
    let_in = Project._let_others_in

    def noted(self: Project, *pieces: int) -> None:
        copying.set()
        let_in(self, *pieces)

    monkeypatch.setattr(Project, "_let_others_in", noted)

    def record() -> None:
        assert copying.wait(20)
        for seq in range(first, first + 10):
            waited.append(project.append(session, seq, [reading(50_000.0 + seq)]))

    recorder = threading.Thread(target=record)
    recorder.start()
    made = backup.make(project, START)
    recorder.join()
    assert waited == list(range(first, first + 10))
    assert len(project.events(session)) == first + 9
    with Project.open(made.path, read_only=True) as copy:
        stored = copy.events(session)
        assert stored == project.events(session)[: len(stored)]
        assert len(stored) >= first


def test_nothing_is_backed_up_before_there_is_a_folder(project: Project) -> None:
    assert backup.backups(project.path) == ()
    project.append(project.new_session(), 1, [started()])
    assert not backup.folder_of(project.path).exists()
