"""Words with capitals of a true height, for reading from across the room."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from workbench.ui.bench.metrics import Ruler, font_for_capitals
from workbench.ui.theme import theme_now


class BigWords(QLabel):
    """A label whose capitals have a true height; it wraps and never elides."""

    def __init__(self, millimetres: float, bold: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.millimetres = millimetres
        self._bold = bold
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def size_for(self, ruler: Ruler, percent: int) -> None:
        base = QFont(theme_now().font("body"))
        base.setBold(self._bold)
        font = font_for_capitals(base, ruler.px(self, self.millimetres * percent / 100))
        if font != self.font():
            self.setFont(font)
