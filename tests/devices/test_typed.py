"""Digits that nothing in the window wanted go to whoever listens."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from workbench.devices.typed import ScriptedNumbers, TypedNumbers, takes_text


def window(qtbot: QtBot) -> tuple[QWidget, QPushButton, QLineEdit, list[str]]:
    made = QWidget()
    heard: list[str] = []
    button, edit = QPushButton("A button", made), QLineEdit(made)
    box = QVBoxLayout(made)
    box.addWidget(button)
    box.addWidget(edit)
    numbers = TypedNumbers(made)
    numbers.listen(heard.append)
    numbers.watch(made)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    return made, button, edit, heard


def test_a_digit_over_a_button_is_handed_on(qtbot: QtBot) -> None:
    _made, button, _edit, heard = window(qtbot)
    button.setFocus()
    QTest.keyClicks(button, "6,5")
    assert heard == ["6", ",", "5"]


def test_a_digit_in_a_text_field_stays_there(qtbot: QtBot) -> None:
    _made, _button, edit, heard = window(qtbot)
    edit.setFocus()
    QTest.keyClicks(edit, "65")
    assert heard == []
    assert edit.text() == "65"


def test_letters_and_shortcuts_are_left_alone(qtbot: QtBot) -> None:
    _made, button, _edit, heard = window(qtbot)
    button.setFocus()
    QTest.keyClicks(button, "x")
    QTest.keyClick(button, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    assert heard == []


def test_it_stops_when_told(qtbot: QtBot) -> None:
    made, button, _edit, heard = window(qtbot)
    numbers = made.findChild(TypedNumbers)
    assert numbers is not None
    numbers.watch(None)
    button.setFocus()
    QTest.keyClicks(button, "7")
    assert heard == []


def test_what_takes_text(qtbot: QtBot) -> None:
    edit = QLineEdit()
    qtbot.addWidget(edit)
    assert takes_text(edit)
    edit.setReadOnly(True)
    assert not takes_text(edit)
    assert not takes_text(None)


def test_the_scripted_side_types_for_a_test() -> None:
    heard: list[str] = []
    numbers = ScriptedNumbers()
    numbers.listen(heard.append)
    numbers.type("12")
    assert heard == ["1", "2"]
