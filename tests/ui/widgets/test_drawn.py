"""What is painted by hand follows size and font."""

from __future__ import annotations

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from workbench.ui.widgets.drawn import Drawn


class Square(Drawn):
    def __init__(self) -> None:
        super().__init__()
        self.painted = 0

    def paintEvent(self, _event: QPaintEvent) -> None:
        self.painted += 1


def test_it_is_painted_anew_at_another_size_and_in_another_font(qtbot: QtBot) -> None:
    holder, made = QWidget(), Square()
    qtbot.addWidget(holder)
    QVBoxLayout(holder).addWidget(made)
    holder.resize(200, 200)
    holder.show()
    qtbot.waitUntil(lambda: made.painted > 0)
    before = made.painted
    holder.resize(150, 120)  # smaller: by itself nothing of it would be uncovered
    QApplication.processEvents()
    assert made.painted > before
    before, font = made.painted, made.font()
    font.setPointSize(font.pointSize() + 6)
    made.setFont(font)
    QApplication.processEvents()
    assert made.painted > before
