"""Leaving: nobody waits for ever, nothing that was shown is lost, and what could not be told is told the next time."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any, cast

import pytest
from PySide6.QtCore import QThreadPool, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.conftest import NOW
from tests.ui.editor.kitchen import OPEN
from tests.ui.whole import Bench, begun, offers, said
from workbench.core.batch.commands import WriteNote
from workbench.core.recipe import change
from workbench.core.recipe.model import Recipe
from workbench.store import backup, check, troubles
from workbench.store.project import Project
from workbench.store.untold import Untold
from workbench.ui import project_desk
from workbench.ui.keeping import farewell
from workbench.ui.keeping.at_work import AtWork
from workbench.ui.keeping.farewell import Farewell


class Held:
    """A call that comes to its end only when `go_on` is set."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, of: Any, name: str) -> None:
        self.go_on, self.begun = threading.Event(), threading.Event()
        real = getattr(of, name)

        def held(*given: Any) -> Any:
            self.begun.set()
            assert self.go_on.wait(30)
            return real(*given)

        monkeypatch.setattr(of, name, held)
        monkeypatch.setattr(project_desk, "PATIENCE_S", 0.02)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "Kitchen.balmbook"


@pytest.fixture
def bench(make_bench: Callable[[], Bench], path: Path) -> Bench:
    made = make_bench()
    keep_in(made, path)
    made.make_project(path)
    assert made.house.recipes.save()
    return made


def keep_in(bench: Bench, path: Path) -> None:
    """The program's own folder of this computer, as `app.furnish` gives it."""
    own = path.parent / "own"
    at_work = bench.house.desk.at_work
    at_work._rescue_to, at_work._untold = own / "rescued", Untold(own / "untold")
    bench.house.desk.untold = at_work._untold


def opened(make_bench: Callable[[], Bench], path: Path) -> Bench:
    made = make_bench()
    keep_in(made, path)
    assert made.window.open_path(path)
    return made


# --- how long


def test_nobody_waits_for_what_nobody_asks_for_any_more(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    """A solver is let be, a look through the project is given up and not told of, and no last window comes."""
    done, going, go_on, steps = threading.Event(), threading.Event(), threading.Event(), []

    def solver() -> None:
        go_on.wait(20)
        done.set()

    def looks(_path: Path, progress: check.Progress) -> None:
        going.set()
        assert go_on.wait(20)
        for step in range(10):
            progress(step, 10)
            steps.append(step)

    monkeypatch.setattr(check, "check_project", looks)
    monkeypatch.setattr(project_desk, "PATIENCE_S", 0.02)
    told: list[object] = []
    bench.house.desk.troubled.connect(told.append)
    QThreadPool.globalInstance().start(solver)
    bench.house.keeping.check()
    assert going.wait(20)
    assert bench.window.close()
    assert not done.is_set()
    go_on.set()
    assert bench.house.desk.at_work.let_go(20)
    assert steps == []
    qtbot.waitUntil(lambda: not bench.house.desk.checking)
    assert told == []
    last = Farewell(bench.house.desk.at_work)  # all files are let go of
    shown: list[bool] = []
    QTimer.singleShot(0, last, lambda: shown.append(last.isVisible()))
    assert last.wait()
    assert shown == []
    last.deleteLater()


def test_a_look_at_a_disk_that_hangs_keeps_no_batch_of_the_next_project_waiting(
    bench: Bench, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = bench.house.desk
    held = Held(monkeypatch, check, "check_project")
    bench.house.keeping.check()
    assert held.begun.wait(20)
    looking = [desk.checking]
    assert desk.create(path.with_name("Other.balmbook"), bench.house._starter)
    looking.append(desk.checking)
    held.go_on.set()
    assert desk.at_work.let_go(20)
    assert looking == [True, False]


def test_what_takes_longer_than_a_moment_is_said_and_goes_by_itself_or_is_ended(
    bench: Bench, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held(monkeypatch, backup, "on_close")
    assert bench.window.close()
    desk = bench.house.desk
    monkeypatch.setattr(farewell, "MOMENT_S", 0.02)
    last = Farewell(desk.at_work)
    QTimer.singleShot(0, last.end.click)
    assert not last.wait()
    last.deleteLater()
    project_id = desk.at_work.closings[0].project_id
    says = desk.untold.why_no_backup(project_id, path)  # here the process would have ended
    assert says is not None
    assert "was not finished when the program ended" in says
    assert str(path) in says
    last = Farewell(desk.at_work)
    seen: list[str] = []

    def look() -> None:
        seen.extend([last.text.text(), last.hint.text()] if last.isVisible() else ["not there"])
        held.go_on.set()

    QTimer.singleShot(0, last, look)
    assert last.wait()
    assert seen[0] == "The last backup of “Kitchen” is still being made."
    assert "after 3 min at the latest" in seen[1]
    assert not last.isVisible()
    assert len(backup.backups(path)) == 1
    assert desk.untold.why_no_backup(project_id, path) is None
    last.deleteLater()


def test_a_disk_that_does_not_answer_keeps_nobody_and_what_it_lacks_goes_elsewhere(
    bench: Bench,
    make_bench: Callable[[], Bench],
    path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """After the limit there is a copy with every entry and draft, and the next opening says where."""
    runner = begun(bench, qtbot)
    before = runner.state.seq
    held = Held(monkeypatch, Project, "append")
    assert runner.send(WriteNote("smells of honey")) is None
    bench.house.desk.keep_draft(change.set_load(OPEN, 5))
    assert bench.window.close()
    monkeypatch.setattr(farewell, "MOMENT_S", 0.02)
    clock = iter([0.0, 0.0, 1.0, *[farewell.WRITING_S] * 1000])
    last = Farewell(bench.house.desk.at_work, lambda: next(clock))
    assert not last.wait()
    last.deleteLater()
    (copy,) = (path.parent / "own" / "rescued").iterdir()
    with Project.open(copy, read_only=True) as rescued:
        assert [event.kind for event in rescued.events("s1")[before:]] == ["noted"]
        (draft,) = rescued.drafts()
        assert Recipe.model_validate_json(draft.text).load_percent == 5
    held.go_on.set()  # too late for that process; here the file has to be let go for the next window
    assert bench.house.desk.at_work.let_go(20)
    again = opened(make_bench, path)
    assert str(copy) in said(again)
    assert "Go on with it" in offers(again)  # the offer that stood there already stays
    assert check.check_project(copy).sound


class Hanging:
    """A disk that never answers, and a copy on this computer that takes a while."""

    writing = True

    def __init__(self) -> None:
        self.begun, self.go_on, self.kept = threading.Event(), threading.Event(), False

    def let_go(self, _seconds: float) -> bool:
        return False

    def says(self) -> str:
        return "“Kitchen” is still being written to its disk."

    def cut_off(self) -> None:
        self.begun.set()
        self.kept = self.go_on.wait(30)


def test_a_second_press_does_not_cut_off_the_copy_of_what_is_not_written(qapp: QApplication) -> None:
    """Whoever closes a window that does not go closes it again: nothing may be lost by that."""
    disk = Hanging()
    last = Farewell(cast(AtWork, disk))
    closed: list[bool] = []

    def press() -> None:
        if closed:  # the press before this one has had its turn
            disk.go_on.set()
        elif disk.begun.is_set():
            closed.append(last.close())

    again = QTimer(last)
    again.setInterval(1)
    again.timeout.connect(press)
    again.start()
    QTimer.singleShot(0, last, last.close)
    try:
        assert not last.wait()
        assert closed == [False]
        assert disk.kept
    finally:
        disk.go_on.set()
        again.stop()
        last.deleteLater()


def test_entries_the_disk_refuses_at_the_last_moment_are_kept_on_this_computer(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk fills up while the window closes: nobody is there to be asked."""
    runner = begun(bench, qtbot)
    before = runner.state.seq
    held = Held(monkeypatch, Project, "append")
    assert runner.send(WriteNote("smells of honey")) is None
    assert held.begun.wait(20)
    assert bench.window.close()

    def full(*_: object) -> int:
        raise troubles.disk_full(path)

    with monkeypatch.context() as disk:
        disk.setattr(Project, "append", full)
        # the order that waits goes on with the real one and is written; refuse that one, too
        disk.setattr("workbench.store.journal.append", refuse_in(path))
        held.go_on.set()
        qtbot.waitUntil(lambda: bench.house.desk.at_work.let_go(0))
    (copy,) = (path.parent / "own" / "rescued").iterdir()
    with Project.open(path, read_only=True) as project:
        assert len(project.events("s1")) == before
    again = opened(make_bench, path)
    assert str(copy) in said(again)


def test_what_this_computer_does_not_take_either_is_owned_up_to(
    bench: Bench, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    runner = begun(bench, qtbot)
    (path.parent / "own").mkdir()
    (path.parent / "own" / "rescued").write_text("in the way")
    monkeypatch.setattr("workbench.store.journal.append", refuse_in(path))
    bench.ask.answers["leave lacking"] = "leave"
    assert runner.send(WriteNote("smells of honey")) is None
    qtbot.waitUntil(lambda: runner.conductor.trouble is not None)
    project = bench.house.desk.project
    assert project is not None
    bench.window.close()
    qtbot.waitUntil(lambda: not bench.window.isVisible() and bench.house.desk.at_work.let_go(0))
    says = bench.house.desk.untold.says_lost(project.id)
    assert says is not None
    assert "did not take 2 entries" in says  # the note, and the hold that the trouble brought


def refuse_in(path: Path) -> Callable[..., int]:
    """The journal as it is, but for one file."""
    from workbench.store import journal

    real = journal.append

    def append(connection: Any, *given: Any, **named: Any) -> int:
        if connection.execute("PRAGMA database_list").fetchone()[2] == str(path):
            raise troubles.disk_full(path)
        return real(connection, *given, **named)

    return append


def test_copies_and_exports_on_their_way_keep_the_project_open_till_they_are_whole(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from workbench.store import interchange

    held, exporting = Held(monkeypatch, Project, "copy_to"), Held(monkeypatch, interchange, "export_project")
    bench.house.desk.save_copy(tmp_path / "Copy.balmbook", (), lambda _saved: None)
    bench.ask.answers["export"] = tmp_path / "Kitchen.json"
    bench.house.keeping.export()  # comes back at once, and is on its way
    assert held.begun.wait(20)
    assert exporting.begun.wait(20)
    assert bench.window.close()
    assert bench.house.desk.at_work.says() != ""
    held.go_on.set()
    exporting.go_on.set()
    assert bench.house.desk.at_work.let_go(20)
    assert interchange.read_document(tmp_path / "Kitchen.json").recipes[0].name == OPEN.name
    with Project.open(tmp_path / "Copy.balmbook", read_only=True) as copy:
        assert [one.name for one in copy.recipes()] == [OPEN.name]


# --- what is told the next time


def test_a_backup_that_failed_on_closing_is_told_until_one_is_made(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot
) -> None:
    folder = backup.folder_of(path)
    folder.write_text("in the way", encoding="utf-8")
    assert bench.window.close()
    again = opened(make_bench, path)
    assert "The newest state of Kitchen has no backup" in said(again)
    assert str(folder) in said(again)  # place; the reason and the remedy come with it
    assert again.house.desk.open_again()  # and at every opening, though nothing was written meanwhile
    assert "The newest state of Kitchen has no backup" in said(again)
    offers(again)["Make a backup now"].click()
    qtbot.waitUntil(lambda: "is there already" in said(again))  # still in the way, and said again
    folder.unlink()
    again.house.keeping.back_up()
    qtbot.waitUntil(lambda: "The backup is made" in said(again))
    assert again.house.desk.open_again()
    assert said(again) == ""


def test_one_that_failed_in_use_is_told_the_next_time_and_where_another_project_is_opened(
    bench: Bench, path: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    """The hourly one was said, but perhaps to nobody; and opening another project hides what stood there."""
    desk, folder = bench.house.desk, backup.folder_of(path)
    folder.write_text("in the way", encoding="utf-8")
    desk.back_up()
    writer, project = desk.writer, desk.project
    assert writer is not None
    assert project is not None
    qtbot.waitUntil(lambda: not writer.waiting)
    assert desk.untold.why_no_backup(project.id, path) is not None
    other = tmp_path / "Other.balmbook"
    assert desk.create(other, bench.house._starter)
    qtbot.waitUntil(lambda: "The last backup of “Kitchen” could not be made." in said(bench))
    assert str(folder) in said(bench)
    folder.unlink()
    assert desk.open(path)
    assert desk.writer is not None
    desk._now = lambda: NOW + timedelta(hours=2)
    desk.back_up()
    qtbot.waitUntil(lambda: desk.writer is not None and not desk.writer.waiting)
    assert desk.untold.why_no_backup(project.id, path) is None


# --- coming back within seconds


def test_a_project_that_is_just_being_let_go_is_taken_up_by_itself(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held(monkeypatch, backup, "on_close")
    assert bench.window.close()
    assert held.begun.wait(20)
    again = opened(make_bench, path)
    assert again.house.desk.read_only
    assert "was closed a moment ago" in said(again)
    taking = again.house.keeping._taking
    assert taking._timer.isActive()
    looks = 0
    while taking._timer.isActive():  # a disk that never answers is not looked at for ever
        taking.look()
        looks += 1
    assert looks <= 1000
    offers(again)["Look again"].click()  # that begins it anew
    assert taking._timer.isActive()
    held.go_on.set()
    qtbot.waitUntil(lambda: not again.house.desk.read_only)
    assert again.house.workplace.editor.save.isEnabled()
    assert not taking.waiting
    assert "reading only" not in again.window.windowTitle()
    assert said(again) == ""


def test_who_works_in_it_is_named_and_not_asked_again_and_again(
    bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot
) -> None:
    other = opened(make_bench, path)
    assert "is open already" in said(other)
    assert not other.house.keeping._taking.waiting  # no looking for ever
    bench.window.close()
    qtbot.waitUntil(lambda: "has closed this project" in said(other))  # the system told of it
    assert "reading only" in other.window.windowTitle()  # somebody may be reading here
    offers(other)["Work on it here"].click()
    assert "reading only" not in other.window.windowTitle()


# --- while a batch runs


def test_what_stands_back_while_a_batch_runs_says_so_and_offers_a_copy(
    bench: Bench, tmp_path: Path, qtbot: QtBot
) -> None:
    begun(bench, qtbot)
    keeping = bench.house.keeping
    for at, ask in enumerate(
        (keeping.check, keeping.restore, keeping.erase, keeping.export, keeping._readings)
    ):
        ask()
        assert "A batch is running" in said(bench)
        assert "once the batch is finished or ended" in said(bench)
        copy = tmp_path / f"Copy {at}.balmbook"
        bench.ask.answers["save copy"] = copy
        offers(bench)["Save a copy elsewhere …"].click()
        qtbot.waitUntil(lambda copy=copy: str(copy) in said(bench))  # type: ignore[misc]
    assert not bench.house.desk.checking


def test_a_backup_that_is_put_back_while_the_window_closes_opens_nothing_behind_it(
    bench: Bench, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The restoring is waited for; its project is opened by who comes next."""
    desk = bench.house.desk
    assert desk.project is not None
    kept = backup.make(desk.project, NOW)
    held = Held(monkeypatch, backup, "restore")
    desk.restore(path, kept.path, lambda _aside: None)
    assert held.begun.wait(20)
    assert bench.window.close()
    monkeypatch.setattr(farewell, "MOMENT_S", 0.02)
    last = Farewell(desk.at_work)
    QTimer.singleShot(0, last, held.go_on.set)
    assert last.wait()
    last.deleteLater()
    QApplication.processEvents()
    found: Project | None = bench.house.desk.project
    assert found is None
    with Project.open(path) as free:
        assert free.read_only_because is None
