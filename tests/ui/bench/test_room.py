"""The bench in its window: the bench view has it for itself, and a finished batch leads on."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path
from weakref import ref

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from tests.gallery.scenes import melting
from tests.gallery.stage import Stage
from tests.ui.editor.kitchen import OPEN
from workbench.core.batch.commands import EndBatch, Start
from workbench.core.batch.state import Phase


@pytest.fixture
def stage(tmp_path: Path, qapp: QApplication) -> Iterator[Stage]:
    made = Stage(tmp_path)
    yield made
    made.house.batches.put_away()
    made.close()


def frame(stage: Stage) -> tuple[bool, bool]:
    return stage.window.menuBar().isVisible(), stage.window.strip.isVisible()


def test_the_bench_view_has_the_window_for_itself(stage: Stage) -> None:
    melting(stage)
    assert frame(stage) == (True, True)
    stage.view.show_far(True)
    stage.settle()
    assert frame(stage) == (False, False)
    assert stage.view.foot.far.isVisible()  # the way back
    stage.window.show_page("recipe")
    assert frame(stage) == (True, True)
    stage.window.show_page("batch")
    assert frame(stage) == (False, False)
    stage.view.toggle_far()
    assert frame(stage) == (True, True)
    stage.view.show_far(True)
    stage.clear_bench()
    assert frame(stage)[0]


def test_a_batch_that_is_over_leads_to_another(stage: Stage, qtbot: QtBot) -> None:
    stage.kitchen(OPEN)
    works = stage.house.batches
    works.make(False)
    stage.settle()
    first = works.room
    assert first is not None
    plan = stage.house.workplace.answers.plan
    assert plan is not None
    first.page._start(Start(plan, maker="M"))
    stage.settle()
    runner = first.page.runner
    assert runner is not None
    assert runner.send(EndBatch("The jar broke.", safe=True)) is None
    qtbot.waitUntil(lambda: runner.state.phase is Phase.ENDED_EARLY)  # once it is on disk
    stage.settle()
    view = first.page.view
    assert view is not None
    printed: list[str] = []
    works.print_asked.connect(printed.append)
    view.finished.read_button.click()
    stage.settle()
    assert stage.window.stack.currentWidget() is stage.window._pages["history"]
    stage.house.to_batch()
    view.finished.print_button.click()
    stage.settle()
    assert printed == [runner.session_id]
    view.finished.again_button.click()
    stage.settle()
    again = works.room
    assert again is not None
    assert again is not first
    assert again.page.preflight is not None  # the look round comes first, as always


def test_batches_put_away_leave_nothing_of_themselves(stage: Stage, qtbot: QtBot) -> None:
    """Begun, read, ended and put away again and again: no widget more, and no page held by anybody."""
    stage.kitchen(OPEN)
    works = stage.house.batches
    held, counts = list[ref[object]](), list[int]()
    for _ in range(4):
        works.make(False)
        stage.settle()
        room, plan = works.room, stage.house.workplace.answers.plan
        assert room is not None
        assert plan is not None
        room.page._start(Start(plan, maker="M"))
        runner = room.page.runner
        assert runner is not None
        assert runner.send(EndBatch("The jar broke.", safe=True)) is None
        qtbot.waitUntil(lambda runner=runner: runner.state.phase is Phase.ENDED_EARLY)  # type: ignore[misc]
        held += [ref(room), ref(room.page), ref(runner), ref(room.page.view)]
        room.over.emit()
        del room, runner
        QCoreApplication.sendPostedEvents(None, int(QEvent.Type.DeferredDelete))
        stage.settle()
        gc.collect()
        counts.append(len(QApplication.allWidgets()))
    assert len(set(counts[1:])) == 1, counts
    assert [one() for one in held if one() is not None and isValid(one())] == []
