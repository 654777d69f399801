"""Small painted marks, so that no font has to bring them: done, now, waiting, left out."""

from __future__ import annotations

from enum import Enum

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.theme import theme_now


class Shape(Enum):
    TICK = "tick"
    DOT = "dot"
    RING = "ring"
    DASH = "dash"
    BOX = "box"
    TICKED_BOX = "ticked box"
    ALERT = "alert"


class Glyph(QWidget):
    """One mark, one text line high; its meaning stands in the words beside it."""

    def __init__(self, shape: Shape = Shape.RING, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shape = shape
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    @property
    def shape(self) -> Shape:
        return self._shape

    def show_shape(self, shape: Shape) -> None:
        if shape is not self._shape:
            self._shape = shape
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(1.2 * theme_now().em()), round(1.3 * theme_now().em()))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = theme_now(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = float(min(self.width(), self.height()))
        painter.translate((self.width() - side) / 2, (self.height() - side) / 2)
        painter.scale(side / 16, side / 16)
        role = {
            Shape.DOT: "ink",
            Shape.TICK: "good_ink",
            Shape.TICKED_BOX: "good_ink",
            Shape.ALERT: "warning_ink",
        }.get(self._shape, "edge")
        pen = theme.pen(role, 2)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        if self._shape is Shape.DOT:
            painter.setBrush(theme.colour("ink"))
            painter.drawEllipse(QPointF(8, 8), 3.6, 3.6)
        elif self._shape is Shape.RING:
            painter.setPen(theme.pen("edge", 1.5))
            painter.drawEllipse(QPointF(8, 8), 3.4, 3.4)
        elif self._shape is Shape.DASH:
            painter.drawLine(QPointF(4, 8), QPointF(12, 8))
        elif self._shape is Shape.ALERT:
            painter.drawPolygon([QPointF(8, 2), QPointF(14.5, 13.5), QPointF(1.5, 13.5)])
            painter.drawLine(QPointF(8, 6.5), QPointF(8, 9))
            painter.drawPoint(QPointF(8, 11.4))
        if self._shape in (Shape.BOX, Shape.TICKED_BOX):
            painter.setPen(theme.pen("edge", 1.4))
            painter.drawRoundedRect(QRectF(1.5, 1.5, 13, 13), 2, 2)
            painter.setPen(pen)
        if self._shape in (Shape.TICK, Shape.TICKED_BOX):
            painter.drawPolyline([QPointF(3.5, 8.5), QPointF(6.7, 11.7), QPointF(12.5, 4.8)])
        painter.end()
