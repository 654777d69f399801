"""What every chart over time has in common: the axis, the cursor and the keys that move it.

The time axis is stretched towards the beginning, because the first minutes
change as much as the hours after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.core.scent.volatility import Array
from workbench.ui.theme import theme_now
from workbench.ui.widgets.drawn import Drawn


@dataclass(frozen=True, slots=True)
class Axis:
    """Seconds from 0 to `last_s` with words at some of them; even up to about `knee_s`, logarithmic beyond."""

    last_s: float
    ticks: tuple[tuple[float, str], ...]
    knee_s: float = 240.0

    def share(self, seconds: float) -> float:
        return float(np.log1p(seconds / self.knee_s) / np.log1p(self.last_s / self.knee_s))

    def seconds(self, share: float) -> float:
        return float(self.knee_s * np.expm1(share * np.log1p(self.last_s / self.knee_s)))


class TimeChart(Drawn):
    """pointed(seconds)  the time cursor stands elsewhere; -1 when there is none"""

    pointed = Signal(float)

    def __init__(self, name: str, axis: Axis, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.axis = axis
        self._cursor_s: float | None = None

    def set_axis(self, axis: Axis) -> None:
        self.axis = axis
        self.update()

    def point_at(self, seconds: float | None) -> None:
        if seconds != self._cursor_s:
            self._cursor_s = seconds
            self.update()
            self.pointed.emit(-1.0 if seconds is None else seconds)

    @property
    def cursor_s(self) -> float | None:
        return self._cursor_s

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(16 * em, 11 * em)

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(36 * em, 17 * em)

    # where things are

    def plot(self) -> QRectF:
        em = theme_now().em()
        return QRectF(self.rect()).adjusted(4.6 * em, 0.8 * em, -0.8 * em, -2.0 * em)

    def x_of(self, seconds: float) -> float:
        area = self.plot()
        return area.left() + area.width() * self.axis.share(seconds)

    def seconds_at(self, x: float) -> float:
        area = self.plot()
        return self.axis.seconds(min(1.0, max(0.0, (x - area.left()) / max(area.width(), 1.0))))

    def y_of(self, share: float) -> float:
        area = self.plot()
        return area.bottom() - area.height() * share

    def line(self, times_s: Array, shares: Array) -> QPolygonF:
        return QPolygonF(
            [QPointF(self.x_of(float(t)), self.y_of(float(s))) for t, s in zip(times_s, shares, strict=True)]
        )

    def between(self, times_s: Array, low: Array, high: Array) -> QPolygonF:
        shape = self.line(times_s, high)
        for point in reversed(self.line(times_s, low).toList()):
            shape.append(point)
        return shape

    # mouse and keys

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        point = event.position()
        if self.plot().adjusted(-2, 0, 2, 0).contains(point):
            self.point_at(self.seconds_at(point.x()))

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        if not self.hasFocus():
            self.point_at(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and right move the time cursor along the axis; Escape takes it away."""
        step = {Qt.Key.Key_Left: -0.04, Qt.Key.Key_Right: 0.04}.get(Qt.Key(event.key()))
        if step is not None:
            share = self.axis.share(self._cursor_s or 0.0) + step
            self.point_at(self.axis.seconds(min(1.0, max(0.0, share))))
        elif event.key() == Qt.Key.Key_Home:
            self.point_at(0.0)
        elif event.key() == Qt.Key.Key_End:
            self.point_at(self.axis.last_s)
        elif event.key() == Qt.Key.Key_Escape and self._cursor_s is not None:
            self.point_at(None)
        else:
            super().keyPressEvent(event)

    # painting

    def paint_name(
        self, painter: QPainter, text: str, first: float, times_s: Array, shares: Array, taken: list[QRectF]
    ) -> None:
        """The word of a line over it, where no other word stands; tried from `first`, a share of the width, on."""
        theme, area = theme_now(), self.plot()
        metrics = QFontMetricsF(theme.font("small"))
        painter.setFont(theme.font("small"))
        width = metrics.horizontalAdvance(text) + 6
        for step in range(40):
            x = area.left() + area.width() * ((first + 0.04 * step) % 0.88)
            y = self.y_of(float(np.interp(self.seconds_at(x + width / 2), times_s, shares)))
            spot = QRectF(x, y - metrics.height() - 3, width, metrics.height())
            if not any(spot.intersects(other) for other in taken) and spot.top() >= 0:
                taken.append(spot)
                ground = theme.colour("page")
                ground.setAlpha(215)
                painter.fillRect(spot, ground)
                painter.setPen(theme.colour("ink"))
                painter.drawText(QPointF(x + 3, spot.bottom() - metrics.descent()), text)
                return

    def paint_axis(self, painter: QPainter, levels: Sequence[tuple[float, str]] = ()) -> None:
        """The axis with its words; `levels` are (share, word) of the upright axis."""
        theme, area = theme_now(), self.plot()
        painter.setFont(theme.font("small"))
        metrics = QFontMetricsF(theme.font("small"))
        em = theme.em()
        placed: list[tuple[float, float, str]] = []
        last = len(self.axis.ticks) - 1
        # the ends first, then whatever still has room: the beginning and the day are always named
        for at in dict.fromkeys((0, last, *range(last + 1))):
            seconds, text = self.axis.ticks[at]
            x, width = self.x_of(seconds), metrics.horizontalAdvance(text)
            left = min(x - width / 2, area.right() - width + 0.6 * em)
            painter.setPen(QPen(theme.colour("hairline"), 1))
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
            painter.setPen(QPen(theme.colour("edge"), 1))
            painter.drawLine(QPointF(x, area.bottom()), QPointF(x, area.bottom() + 4))
            gap = 0.7 * em
            if all(left + width + gap < other or left > other + wide + gap for other, wide, _ in placed):
                placed.append((left, width, text))
        painter.setPen(theme.colour("muted"))
        for left, _width, text in placed:
            painter.drawText(QPointF(left, area.bottom() + 5 + metrics.ascent()), text)
        for share, text in levels:
            y = self.y_of(share)
            painter.setPen(QPen(theme.colour("hairline"), 1))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(theme.colour("muted"))
            spot = QRectF(0, y - metrics.height() / 2, area.left() - 0.5 * em, metrics.height())
            painter.drawText(spot, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)
        painter.setPen(QPen(theme.colour("edge"), 1))
        painter.drawLine(area.bottomLeft(), area.bottomRight())

    def paint_cursor(self, painter: QPainter) -> None:
        area = self.plot()
        if self._cursor_s is not None:
            x = self.x_of(self._cursor_s)
            painter.setPen(QPen(theme_now().colour("ink"), 1))
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
        if self.hasFocus():
            painter.setPen(QPen(theme_now().colour("focus"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
