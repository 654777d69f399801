"""Nothing that was decided is lost where the window lets go of a batch: it closes, ends one, opens another project."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.editor.kitchen import OPEN
from tests.ui.whole import Bench, begun, swept_away
from workbench.core.batch.commands import EndBatch, WriteNote
from workbench.core.trouble import Trouble
from workbench.store import check, troubles
from workbench.store.project import Project
from workbench.store.writer import Answers
from workbench.ui import project_desk
from workbench.ui.widgets.ask import Question


class SlowDisk:
    """Every entry waits for `works`."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.works = threading.Event()
        real: Callable[..., int] = Project.append

        def append(*given: Any) -> int:
            self.works.wait(20)
            return real(*given)

        monkeypatch.setattr(Project, "append", append)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "Kitchen.balmbook"


@pytest.fixture
def bench(make_bench: Callable[[], Bench], path: Path) -> Bench:
    made = make_bench()
    made.make_project(path)
    return made


def kinds(path: Path) -> list[str]:
    with Project.open(path, read_only=True) as project:
        (session,) = project.sessions()
        return [event.kind for event in project.events(session.id)]


def test_entries_that_wait_for_a_slow_disk_are_written_though_the_window_closes(
    bench: Bench, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    runner = begun(bench, qtbot)
    before = runner.state.seq
    monkeypatch.setattr(project_desk, "PATIENCE_S", 0.02)
    disk = SlowDisk(monkeypatch)
    for words in ("first", "second", "third"):
        assert runner.send(WriteNote(words)) is None
    assert bench.window.close()
    disk.works.set()
    assert bench.house.desk.at_work.let_go(20)
    assert kinds(path)[before:] == ["noted", "noted", "noted"]


def end_there(bench: Bench) -> None:
    room = bench.house.batches.room
    assert room is not None
    assert room.page.resume is not None
    room.page.resume.ended.emit(EndBatch("the wax ran out"))


def interrupted(bench: Bench, make_bench: Callable[[], Bench], path: Path, qtbot: QtBot) -> Bench:
    """Another window, on the page that offers to go on with a batch of the first."""
    begun(bench, qtbot)
    bench.window.close()
    again = make_bench()
    assert again.window.open_path(path)
    again.house.batches.take_up("s1")
    return again


def test_a_look_through_the_project_is_given_up_where_an_interrupted_batch_goes_on(
    bench: Bench,
    make_bench: Callable[[], Bench],
    path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The jug may be hot: its first entry does not wait until thousands of old ones were read."""
    begun(bench, qtbot)
    bench.window.close()
    again = make_bench()
    assert again.window.open_path(path)
    real, going, go_on, gave_up = check.check_project, threading.Event(), threading.Event(), []

    def looks(path: Path, progress: check.Progress) -> check.Report:
        going.set()
        assert go_on.wait(20)
        try:
            progress(0, 2000)
        except Trouble:
            gave_up.append(path)
            raise
        return real(path)

    monkeypatch.setattr(check, "check_project", looks)
    again.house.keeping.check()
    assert going.wait(20)
    again.house.batches.take_up("s1")
    go_on.set()
    qtbot.waitUntil(lambda: not again.house.desk.checking)
    assert gave_up == [path]
    assert "Look again once no batch runs" in again.window.banner.words.text()


def test_a_batch_that_was_interrupted_and_is_ended_there_stays_ended(
    bench: Bench,
    make_bench: Callable[[], Bench],
    path: Path,
    qapp: QApplication,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Taken up and ended in one breath: the second is still to be written when its page has gone."""
    again = interrupted(bench, make_bench, path, qtbot)
    disk = SlowDisk(monkeypatch)
    end_there(again)
    assert again.house.batches.room is None
    swept_away(qapp)
    disk.works.set()
    writer, project = again.house.desk.writer, again.house.desk.project
    assert writer is not None
    assert project is not None
    qtbot.waitUntil(lambda: not writer.waiting)
    assert project.open_session() is None
    assert kinds(path)[-2:] == ["taken up", "ended early"]


def test_an_end_that_the_record_does_not_take_is_said_though_its_page_has_gone(
    bench: Bench,
    make_bench: Callable[[], Bench],
    path: Path,
    qapp: QApplication,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    again = interrupted(bench, make_bench, path, qtbot)
    full = troubles.disk_full(path)

    def append(*_given: object) -> int:
        raise full

    monkeypatch.setattr(Project, "append", append)
    end_there(again)
    swept_away(qapp)
    says = again.house.context.writer.sentence(full.says)
    qtbot.waitUntil(lambda: says in again.window.banner.words.text())


@pytest.mark.parametrize("made", ["looked round", "ended"])
def test_a_bench_without_a_running_batch_goes_with_its_project(
    bench: Bench, tmp_path: Path, qapp: QApplication, qtbot: QtBot, made: str
) -> None:
    """Else a batch could be begun, or a note written, in a file that is closed."""
    if made == "ended":
        runner = begun(bench, qtbot)
        assert runner.send(EndBatch("the wax ran out")) is None
        qtbot.waitUntil(lambda: not runner.conductor.pending)
    else:
        bench.house.batches.make(False)
    works = bench.house.batches
    assert works.room is not None
    other = tmp_path / "Other.balmbook"
    bench.ask.answers["new project"] = other
    bench.house.new_project()
    swept_away(qapp)
    project = bench.house.desk.project
    assert project is not None
    assert project.path == other
    assert bench.house.batches.room is None
    assert bench.window.strip.ways["batch"].isHidden()


def test_leaving_with_a_record_that_lacks_something_asks_first(
    bench: Bench, path: Path, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    runner = begun(bench, qtbot)
    before, works, real = runner.state.seq, [False], Project.append

    def append(*given: Any) -> int:
        if not works[0]:
            raise troubles.disk_full(path)
        return real(*given)

    monkeypatch.setattr(Project, "append", append)
    assert runner.send(WriteNote("the wax smells of honey")) is None
    qtbot.waitUntil(lambda: runner.conductor.trouble is not None)
    copy = tmp_path / "Elsewhere.balmbook"
    bench.ask.answers |= {"leave lacking": "copy", "save copy": copy}
    assert not bench.window.close()
    qtbot.waitUntil(copy.exists)
    assert bench.window.isVisible()
    asked = next(one for one in bench.ask.asked if isinstance(one, Question))
    assert bench.house.context.writer.sentence(troubles.disk_full(path).says) in asked.text
    assert asked.choices[0].key == "stay"  # what Escape does
    works[0] = True  # somebody made room meanwhile; the last order tries once more
    bench.ask.answers["leave lacking"] = "leave"
    assert not bench.window.close()
    qtbot.waitUntil(lambda: not bench.window.isVisible())
    assert kinds(path)[before:] == ["noted", "hold asked"]
    assert kinds(copy)[before:] == ["noted", "hold asked"]


def held_by(work: object) -> list[object]:
    """What a job holds on to: what it closes over, what it was given, whose method it is."""
    parts: list[object] = [getattr(work, "__self__", None)]
    if isinstance(work, partial):
        parts += [work.func, *work.args, *work.keywords.values()]
    parts += [cell.cell_contents for cell in getattr(work, "__closure__", None) or ()]
    below = [
        each for part in parts if callable(part) and not isinstance(part, type) for each in held_by(part)
    ]
    return [part for part in parts if part is not None] + below


def test_no_order_of_the_desk_holds_an_object_of_the_window(
    bench: Bench, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last to let go of one would be another thread."""
    ordered: list[Callable[[], object]] = []

    def order(_self: Answers, _thread: object, work: Callable[[], object], _done: object) -> Future[object]:
        ordered.append(work)
        done: Future[object] = Future()
        done.set_result(None)
        return done

    monkeypatch.setattr(Answers, "order", order)
    desk = bench.house.desk
    desk.look_through(print)
    desk.back_up()
    desk.save_copy(tmp_path / "copy.balmbook", (), print)
    desk.erase((), "asked", print)
    desk.write_table("readings", tmp_path / "readings.csv", print)
    desk.export(tmp_path / "all.json", print)
    desk.keep_draft(OPEN)
    desk.restore(path, path, print)
    assert len(ordered) == 8
    assert [each for work in ordered for each in held_by(work) if isinstance(each, QObject)] == []
