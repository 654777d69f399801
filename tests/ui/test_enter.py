"""Enter presses the button that has the keyboard, everywhere but beside the pot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from tests.ui.editor.kitchen import OPEN
from tests.ui.whole import Bench
from workbench.ui.widgets.enter import enter_presses, want_enter


def kitchen(made: Bench, path: Path) -> Bench:
    made.house.desk.create(path, made.house._starter)
    made.house.model.open(OPEN)
    made.house.batches.plan()
    made.window.activateWindow()
    return made


def test_enter_presses_the_button_that_has_the_keyboard(
    make_bench: Callable[..., Bench], tmp_path: Path, qtbot: QtBot
) -> None:
    made = make_bench()
    made.ask.answers["new project"] = tmp_path / "Mine.balmbook"
    made.window.activateWindow()
    new = made.window.first.new
    new.setFocus()
    qtbot.waitUntil(new.hasFocus)
    QTest.keyClick(new, Qt.Key.Key_A)
    assert made.house.desk.project is None
    QTest.keyClick(new, Qt.Key.Key_Return)
    assert made.house.desk.project is not None


def test_the_nearest_part_decides(qtbot: QtBot) -> None:
    outer = QWidget()
    qtbot.addWidget(outer)
    part = QWidget(outer)
    button = QPushButton("x", part)
    assert enter_presses(button)
    want_enter(outer, False)
    assert not enter_presses(button)
    want_enter(part, True)
    assert enter_presses(button)


def test_a_running_step_is_not_ended_by_enter(
    make_bench: Callable[..., Bench], tmp_path: Path, qapp: QApplication, qtbot: QtBot
) -> None:
    """The look round begins with the keyboard in it; from there on Enter is for the field."""
    made = kitchen(make_bench(), tmp_path / "Kitchen.balmbook")
    made.window.strip.recipes.setFocus()
    made.house.batches.make(False)
    room = made.house.batches.room
    assert room is not None
    look_round = room.page.preflight
    assert look_round is not None
    qtbot.waitUntil(look_round.maker.hasFocus)  # and not the list of recipes, where an arrow key changes it
    look_round.begin.setFocus()
    QTest.keyClick(look_round.begin, Qt.Key.Key_Return)
    runner = room.page.runner
    assert runner is not None
    qtbot.waitUntil(lambda: room.running and not runner.conductor.pending)
    view = room.page.view
    assert view is not None
    before = len(runner.state.entries), runner.state.step_id, runner.state.phase
    for button in (view.primary, view.hold):
        button.setFocus()
        made.clock.advance(5.0)
        QTest.keyClick(button, Qt.Key.Key_Return)
    qapp.processEvents()
    assert (len(runner.state.entries), runner.state.step_id, runner.state.phase) == before
