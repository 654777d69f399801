"""After the last step: whether the batch can teach the forecast is said there, a little later, for real batches only."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QThreadPool
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.gallery.stage import Stage
from tests.ui.editor.kitchen import OPEN
from workbench.core.batch.commands import EndBatch, Start
from workbench.core.batch.state import Phase
from workbench.ui.batch_lessons import BatchLessons


@pytest.fixture
def stage(tmp_path: Path, qapp: QApplication) -> Iterator[Stage]:
    made = Stage(tmp_path)
    yield made
    made.house.batches.put_away()
    made.close()


def rest(stage: Stage, qtbot: QtBot) -> None:
    writer = stage.house.desk.writer
    assert writer is not None
    qtbot.waitUntil(lambda: writer.waiting == 0)
    QThreadPool.globalInstance().waitForDone(8000)
    stage.settle()


def test_a_batch_with_readings_of_its_cooling_says_so_and_one_without_says_nothing(
    stage: Stage, qtbot: QtBot
) -> None:
    stage.project("harbour-evening")  # two real batches with their temperatures
    lessons = BatchLessons(stage.house.context, stage.house.desk, stage.window)
    project = stage.house.desk.project
    assert project is not None
    real = next(entry.id for entry in project.sessions() if not entry.rehearsal)
    told: list[str] = []
    lessons.ask(real, told.append)
    assert told == []  # the window is never kept waiting for it
    rest(stage, qtbot)
    assert len(told) == 1
    assert "Open Shelf" in told[0]
    lessons.ask("no such session", told.append)
    rest(stage, qtbot)
    assert len(told) == 1
    lessons.ask(real, told.append)
    lessons.forget()  # the page was closed before the answer came
    rest(stage, qtbot)
    assert len(told) == 1


@pytest.mark.parametrize("practice", [False, True])
def test_one_that_taught_nothing_says_nothing_on_its_last_page(
    stage: Stage, qtbot: QtBot, practice: bool
) -> None:
    stage.kitchen(OPEN)
    works = stage.house.batches
    works.make(practice)
    stage.settle()
    assert works.room is not None
    page, plan = works.room.page, stage.house.workplace.answers.plan
    assert page._kit.after_batch == works.room._lessons.ask
    assert plan is not None
    page._start(Start(plan, maker="M", rehearsal=practice))
    stage.settle()
    runner, view = page.runner, page.view
    assert runner is not None
    assert view is not None
    assert runner.send(EndBatch("The jar broke.", safe=True)) is None
    qtbot.waitUntil(lambda: runner.state.phase is Phase.ENDED_EARLY)
    rest(stage, qtbot)
    assert view.finished.isVisible()
    assert view.finished.learned.isHidden()
    assert (works.room._lessons._tell is None) == practice  # a practice run is not even asked
