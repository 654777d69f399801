"""The short way round for a newcomer: at most four steps, by keyboard, and out of it at any time."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from tests.gallery.stage import Stage
from workbench.core.units import MassUnit, TemperatureUnit
from workbench.ui.first_steps import FirstSteps


@pytest.fixture
def stage(tmp_path: Path, qapp: QApplication) -> Iterator[Stage]:
    made = Stage(tmp_path)
    yield made
    if made.house.batches.room is not None:
        made.house.batches.put_away()
    made.close()


def way(stage: Stage) -> FirstSteps:
    QTest.keyClick(stage.window.first.practise, Qt.Key.Key_Space)
    stage.settle()
    page = stage.window.stack.currentWidget()
    assert isinstance(page, FirstSteps)
    return page


def test_the_first_key_press_leads_into_it_and_the_fourth_into_the_practice_run(stage: Stage) -> None:
    page = way(stage)
    assert not stage.window.strip.isVisible()  # there is no project yet
    presses = 1
    while stage.window.stack.currentWidget() is page:
        QTest.keyClick(page.next, Qt.Key.Key_Space)
        stage.settle()
        presses += 1
        assert presses <= 4
    room = stage.house.batches.room
    assert room is not None
    assert room.pace is not None  # only a practice has a pace
    assert room.page.preflight is not None


def test_it_can_be_left_out_at_once(stage: Stage) -> None:
    page = way(stage)
    QTest.keyClick(page.skip, Qt.Key.Key_Space)
    stage.settle()
    assert stage.house.batches.room is not None


def test_escape_goes_back_to_the_first_page(stage: Stage) -> None:
    page = way(stage)
    (escape,) = page.findChildren(QShortcut)
    assert escape.key() == QKeySequence(Qt.Key.Key_Escape)
    escape.activated.emit()  # without a window manager no window is active, and no shortcut fires
    assert stage.window.stack.currentWidget() is stage.window.first


def test_units_take_effect_at_once_and_back_leads_back(stage: Stage) -> None:
    page = way(stage)
    page._boxes["mass"].chosen.emit(MassUnit.OUNCE.value)
    assert stage.house.context.preferences.mass is MassUnit.OUNCE
    QTest.keyClick(page.next, Qt.Key.Key_Space)
    assert page.at == 1
    QTest.keyClick(page.back, Qt.Key.Key_Space)
    assert page.at == 0


def test_who_has_practised_needs_no_introduction(stage: Stage) -> None:
    stage.house.set_preferences({"practised": True})
    QTest.keyClick(stage.window.first.practise, Qt.Key.Key_Space)
    stage.settle()
    assert stage.house.batches.room is not None


def test_a_practice_that_went_to_its_end_is_remembered(stage: Stage) -> None:
    stage.project("harbour-evening")
    project = stage.house.desk.project
    assert project is not None
    works = stage.house.batches
    works._practised("")  # left before it began
    assert not stage.house.context.preferences.practised
    works._practised(next(one.id for one in project.sessions() if one.end == "finished"))
    assert stage.house.context.preferences.practised


def test_how_a_step_will_read_follows_what_is_chosen(stage: Stage) -> None:
    page = way(stage)
    assert "20.0 g" in page.sample.text()
    assert "70 °C" in page.sample.text()
    page.changed.emit({"mass": MassUnit.OUNCE.value, "temperature": TemperatureUnit.FAHRENHEIT.value})
    stage.settle()
    assert "0.705 oz" in page.sample.text()  # 20 g / 28.349523 g, the avoirdupois ounce
    assert "158 °F" in page.sample.text()
