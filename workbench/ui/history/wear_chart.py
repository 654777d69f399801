"""Strength as reckoned and as marked, on the wearer's scale, over four hours and more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from workbench.core.review.wear_course import MOST
from workbench.core.scent.volatility import Array
from workbench.ui.palettes import SCENT_PAINTS
from workbench.ui.scent.hues import mixed
from workbench.ui.scent.time_chart import Axis, TimeChart
from workbench.ui.theme import theme_now

DASHES: tuple[list[float], ...] = (
    [],
    [7.0, 3.0],
    [2.0, 2.5],
    [10.0, 3.0, 2.0, 3.0],
)  # top, middle, base, overall
PAINTS = ("top", "middle", "base", "base")
LAST_S = 5 * 3600.0


@dataclass(frozen=True, slots=True, eq=False)
class WearLine:
    """One row as reckoned: times in s, points with what is not known of them."""

    row: int
    times_s: Array
    points: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True)
class WearMark:
    """One mark, or several together where `low` and `high` are given; `faint` for other wearers."""

    row: int
    at_s: float
    points: float
    low: float | None = None
    high: float | None = None
    faint: bool = False


class WearChart(TimeChart):
    """Lines as elsewhere by their dashes; marks by their shapes, so that no hue has to be told apart."""

    def __init__(self, name: str, axis: Axis, words: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(name, axis, parent)
        self._words = tuple(words)
        self._lines: tuple[WearLine, ...] = ()
        self._marks: tuple[WearMark, ...] = ()

    def rename(self, words: Sequence[str]) -> None:
        self._words = tuple(words)
        self.update()

    def show_wear(self, lines: Sequence[WearLine], marks: Sequence[WearMark]) -> None:
        self._lines, self._marks = tuple(lines), tuple(marks)
        self.update()

    @property
    def shown(self) -> tuple[tuple[WearLine, ...], tuple[WearMark, ...]]:
        return self._lines, self._marks

    def y_of(self, share: float) -> float:
        """A little above the axis, so that a mark of 0 does not stand on its words."""
        area = self.plot()
        return area.bottom() - area.height() * (0.05 + 0.95 * share)

    def paintEvent(self, _event: QPaintEvent) -> None:
        theme = theme_now()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.paint_axis(painter, [(value / MOST, str(value)) for value in (0, 2, 4, 6, 8, 10)])
        for line in self._lines:
            paint = mixed(QColor(SCENT_PAINTS[PAINTS[line.row]][0]), theme.colour("ink"), 0.6)
            paint.setAlpha(70)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(paint)
            painter.drawPolygon(self.between(line.times_s, line.low / MOST, line.high / MOST))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        half = 0.6 * theme.em()
        taken = [
            QRectF(self.x_of(mark.at_s) - half, self.y_of(mark.points / MOST) - half, 2 * half, 2 * half)
            for mark in self._marks
        ]
        for line in self._lines:
            pen = QPen(theme.colour("ink"), 2)
            if DASHES[line.row]:
                pen.setDashPattern(DASHES[line.row])
            painter.setPen(pen)
            painter.drawPolyline(self.line(line.times_s, line.points / MOST))
        for mark in sorted(self._marks, key=lambda each: not each.faint):
            self._mark(painter, mark)
        for line in self._lines:
            self.paint_name(
                painter, self._words[line.row], 0.06 + 0.3 * line.row, line.times_s, line.points / MOST, taken
            )
        self.paint_cursor(painter)
        painter.end()

    def _mark(self, painter: QPainter, mark: WearMark) -> None:
        theme = theme_now()
        em = theme.em()
        x, y = self.x_of(mark.at_s), self.y_of(mark.points / MOST)
        colour = theme.colour("muted" if mark.faint else "ink")
        if mark.low is not None and mark.high is not None:
            painter.setPen(QPen(colour, 2))
            for side in (-0.25, 0.25):
                for value in (mark.low, mark.high):
                    at = QPointF(x, self.y_of(value / MOST))
                    painter.drawLine(at, at + QPointF(side * em, 0))
            painter.drawLine(QPointF(x, self.y_of(mark.low / MOST)), QPointF(x, self.y_of(mark.high / MOST)))
        painter.setPen(QPen(colour, 2))
        painter.setBrush(theme.colour("page") if mark.faint else colour)
        size = (0.22 if mark.faint else 0.34) * em
        spot = QRectF(x - size, y - size, 2 * size, 2 * size)
        if mark.row == 0:
            painter.drawEllipse(spot)
        elif mark.row == 1:
            painter.drawRect(spot)
        elif mark.row == 2:
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(x, y - 1.2 * size),
                        QPointF(x + 1.2 * size, y + size),
                        QPointF(x - 1.2 * size, y + size),
                    ]
                )
            )
        else:
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(x, y - 1.4 * size),
                        QPointF(x + 1.4 * size, y),
                        QPointF(x, y + 1.4 * size),
                        QPointF(x - 1.4 * size, y),
                    ]
                )
            )
        painter.setBrush(Qt.BrushStyle.NoBrush)
