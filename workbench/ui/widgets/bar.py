"""A bar that shows how much of a limit is used, with the limit itself always in the picture."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.theme import theme_now


class LimitBar(QWidget):
    """0 to 125 % of a limit; the mark stands at 100 %.  Over it, the bar is hatched as well as red."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._used: float | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_used(self, used_percent: float | None, words: str = "") -> None:
        self.setAccessibleName(words)
        if used_percent != self._used:
            self._used = used_percent
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(6 * theme_now().em(), round(theme_now().em() * 0.7))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = theme_now(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        height = self.height()
        track = QRectF(0, height * 0.25, self.width(), height * 0.5)
        mark = round(self.width() * 100 / 125)
        painter.fillRect(track, theme.colour("bar_track"))
        if self._used is not None:
            over = self._used > 100
            width = self.width() * min(self._used, 125.0) / 125
            filled = QRectF(0, track.top(), max(width, 2.0 if self._used > 0 else 0.0), track.height())
            painter.fillRect(filled, theme.colour("bar_over" if over else "bar_fill"))
            if over:
                painter.setClipRect(filled)
                painter.setPen(theme.pen("page", 1.5))
                for x in range(-height, self.width(), 6):
                    painter.drawLine(x, height, x + height, 0)
                painter.setClipping(False)
        painter.setPen(theme.pen("ink", 2, Qt.PenStyle.SolidLine))
        painter.drawLine(mark, 0, mark, height)
        painter.end()
