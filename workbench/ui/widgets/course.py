"""The course of a batch in six small drawings: it tells a newcomer what the program is for."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.theme import theme_now
from workbench.ui.widgets.drawn import Drawn

LEAST_EM = 6.4


class CourseView(Drawn):
    """Write, check, melt, scent, pour, keep; as many in a row as fit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._steps = (
            ("paper", self.tr("Write the recipe")),
            ("scale", self.tr("Weigh it")),
            ("jug", self.tr("Melt the base")),
            ("drop", self.tr("Add the scent")),
            ("tin", self.tr("Pour the tins")),
            ("book", self.tr("Keep the record")),
        )
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(self.tr("The course of a batch"))
        self.setAccessibleDescription(", ".join(text for _key, text in self._steps))

    def _columns(self, width: int) -> int:
        fits = max(1, int(width / (LEAST_EM * theme_now().em())))
        return 6 if fits >= 6 else 3 if fits >= 3 else 2

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        rows = -(-len(self._steps) // self._columns(width))
        return round(rows * 6.4 * theme_now().em())

    def sizeHint(self) -> QSize:
        width = round(6 * LEAST_EM * theme_now().em())
        return QSize(width, self.heightForWidth(width))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = theme_now(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        em, columns = theme.em(), self._columns(self.width())
        cell = self.width() / columns
        font = theme.font("small")
        painter.setFont(font)
        height = 6.4 * em
        for index, (key, text) in enumerate(self._steps):
            left, top = (index % columns) * cell, (index // columns) * height
            painter.save()
            painter.translate(left, top + 0.2 * em)
            painter.scale(3.2 * em / 100, 3.2 * em / 100)
            pen = QPen(theme.colour("ink"), 4.2)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            getattr(self, f"_draw_{key}")(painter)
            painter.restore()
            painter.setPen(theme.colour("ink"))
            box = QRectF(left, top + 3.7 * em, cell - em * 0.5, QFontMetricsF(font).height() * 2.2)
            painter.drawText(box, int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignTop), text)
        painter.end()

    # each drawing in a field of 100 by 100

    def _draw_paper(self, painter: QPainter) -> None:
        painter.drawPolyline(
            [
                QPointF(62, 8),
                QPointF(16, 8),
                QPointF(16, 92),
                QPointF(80, 92),
                QPointF(80, 26),
                QPointF(62, 8),
                QPointF(62, 26),
                QPointF(80, 26),
            ]
        )
        for y in (44, 58, 72):
            painter.drawLine(QPointF(30, y), QPointF(66, y))

    def _draw_scale(self, painter: QPainter) -> None:
        painter.drawPolyline([QPointF(10, 34), QPointF(90, 34)])
        painter.drawLine(QPointF(50, 34), QPointF(50, 50))
        painter.drawRoundedRect(QRectF(14, 50, 72, 38), 8, 8)
        painter.drawLine(QPointF(40, 69), QPointF(60, 69))
        painter.drawEllipse(QPointF(50, 22), 10, 10)

    def _draw_jug(self, painter: QPainter) -> None:
        path = QPainterPath(QPointF(22, 12))
        path.lineTo(72, 12)
        path.lineTo(66, 66)
        path.lineTo(28, 66)
        path.closeSubpath()
        painter.drawPath(path)
        painter.drawArc(QRectF(62, 20, 28, 30), -100 * 16, 190 * 16)
        painter.drawLine(QPointF(25, 38), QPointF(69, 38))
        for x in (34, 47, 60):
            painter.drawArc(QRectF(x - 5, 76, 10, 16), 90 * 16, 180 * 16)

    def _draw_drop(self, painter: QPainter) -> None:
        path = QPainterPath(QPointF(50, 10))
        path.cubicTo(66, 36, 78, 50, 78, 64)
        path.cubicTo(78, 82, 64, 92, 50, 92)
        path.cubicTo(36, 92, 22, 82, 22, 64)
        path.cubicTo(22, 50, 34, 36, 50, 10)
        painter.drawPath(path)
        painter.drawArc(QRectF(34, 50, 30, 30), 190 * 16, 80 * 16)

    def _draw_tin(self, painter: QPainter) -> None:
        painter.drawEllipse(QRectF(10, 30, 80, 24))
        painter.drawLine(QPointF(10, 42), QPointF(10, 68))
        painter.drawLine(QPointF(90, 42), QPointF(90, 68))
        painter.drawArc(QRectF(10, 56, 80, 24), 180 * 16, 180 * 16)

    def _draw_book(self, painter: QPainter) -> None:
        painter.drawRoundedRect(QRectF(18, 10, 64, 80), 5, 5)
        painter.drawLine(QPointF(32, 10), QPointF(32, 90))
        painter.drawPolyline([QPointF(46, 50), QPointF(54, 59), QPointF(70, 38)])
