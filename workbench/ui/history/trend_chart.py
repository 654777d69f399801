"""One figure of the last batches, in the order they were made: a small chart with the odd one ringed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.history.lines_chart import nice_step
from workbench.ui.theme import theme_now
from workbench.ui.widgets.drawn import Drawn


@dataclass(frozen=True, slots=True)
class Dot:
    """One batch: `session` to open it, `when` in words, the number on the axis and as it is written."""

    session: str
    when: str
    number: float
    text: str
    odd: bool = False


class TrendChart(Drawn):
    """opened(session)  a batch is wanted; pointed(words)  what the cursor stands on, "" for nothing"""

    opened = Signal(str)
    pointed = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._dots: tuple[Dot, ...] = ()
        self._usual: tuple[float, float] | None = None
        self._line: float | None = None
        self._write: Callable[[float, int], str] = lambda value, digits: f"{value:.{digits}f}"
        self._at = -1

    def show_dots(
        self,
        dots: tuple[Dot, ...],
        write: Callable[[float, int], str],
        usual: tuple[float, float] | None = None,
        line: float | None = None,
    ) -> None:
        """Oldest first.  `write` says a number of the axis with so many decimals; `usual` is the stretch in which most lie, `line` the middle or the target."""
        self._dots, self._write, self._usual, self._line = dots, write, usual, line
        self._at = -1
        self.update()

    @property
    def dots(self) -> tuple[Dot, ...]:
        return self._dots

    # where things are

    def span(self) -> tuple[float, float]:
        values = [dot.number for dot in self._dots]
        values += [*(self._usual or ()), *(() if self._line is None else (self._line,))]
        low, high = min(values, default=0.0), max(values, default=1.0)
        room = max(1.0, 0.05 * abs(high)) if high - low < 1e-9 else 0.18 * (high - low)
        return low - room if low < 0 else max(
            0.0, low - room
        ), high + room  # what cannot be less than none is not drawn so

    def plot(self) -> QRectF:
        em = theme_now().em()
        wide = max((self._metrics().horizontalAdvance(text) for _, text in self._ticks()), default=2.0 * em)
        return QRectF(self.rect()).adjusted(wide + 0.8 * em, 0.7 * em, -0.8 * em, -1.7 * em)

    def _metrics(self) -> QFontMetricsF:
        return QFontMetricsF(theme_now().font("small"))

    def _ticks(self) -> list[tuple[float, str]]:
        """Two to four numbers on the upright axis."""
        low, high = self.span()
        for parts in (2.5, 4, 6):
            step = nice_step((high - low) / parts)
            digits = max(0, -math.floor(math.log10(step) + 1e-9))
            found = range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)
            if len(found) >= 2:
                break
        return [(at * step, self._write(at * step, digits)) for at in found]

    def spot(self, at: int) -> QPointF:
        area, (low, high) = self.plot(), self.span()
        count = len(self._dots)
        share = 0.5 if count < 2 else at / (count - 1)
        inner = area.adjusted(0.7 * theme_now().em(), 0, -0.7 * theme_now().em(), 0)
        y = area.bottom() - area.height() * (self._dots[at].number - low) / (high - low)
        return QPointF(inner.left() + inner.width() * share, y)

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(22 * em, 9 * em)

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(14 * em, 9 * em)

    # hands

    def point_at(self, at: int) -> None:
        if at != self._at:
            self._at = at
            self.update()
            if 0 <= at < len(self._dots):
                dot = self._dots[at]
                self.pointed.emit(self.tr("{when}: {value}").format(when=dot.when, value=dot.text))
            else:
                self.pointed.emit("")

    def _near(self, place: QPointF) -> int:
        reach = 1.2 * theme_now().em()
        far = [(self.spot(at) - place).manhattanLength() for at in range(len(self._dots))]
        best = min(range(len(far)), key=far.__getitem__, default=-1)
        return best if best >= 0 and far[best] <= reach else -1

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.point_at(self._near(event.position()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        near = self._near(event.position())
        if event.button() == Qt.MouseButton.LeftButton and near >= 0:
            self.opened.emit(self._dots[near].session)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        if not self.hasFocus():
            self.point_at(-1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and right go from batch to batch, Enter reads the one pointed at."""
        key, last = Qt.Key(event.key()), len(self._dots) - 1
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and last >= 0:
            step = 1 if key == Qt.Key.Key_Right else -1
            self.point_at(min(last, max(0, self._at + step)) if self._at >= 0 else last)
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End) and last >= 0:
            self.point_at(0 if key == Qt.Key.Key_Home else last)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and 0 <= self._at <= last:
            self.opened.emit(self._dots[self._at].session)
        elif key == Qt.Key.Key_Escape and self._at >= 0:
            self.point_at(-1)
        else:
            super().keyPressEvent(event)

    # painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._dots:
            self._paint_ground(painter)
            self._paint_dots(painter)
        if self.hasFocus():
            painter.setPen(theme_now().pen("focus", 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
        painter.end()

    def _y(self, number: float) -> float:
        (low, high), area = self.span(), self.plot()
        return area.bottom() - area.height() * (number - low) / (high - low)

    def _paint_ground(self, painter: QPainter) -> None:
        theme, area, metrics = theme_now(), self.plot(), self._metrics()
        em = theme.em()
        painter.setFont(theme.font("small"))
        if self._usual is not None:
            low, high = self._usual
            painter.fillRect(
                QRectF(area.left(), self._y(high), area.width(), self._y(low) - self._y(high)),
                theme.colour("raised"),
            )
        for number, text in self._ticks():
            y = self._y(number)
            painter.setPen(theme.pen("hairline"))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(theme.colour("muted"))
            spot = QRectF(0, y - metrics.height() / 2, area.left() - 0.4 * em, metrics.height())
            painter.drawText(spot, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)
        if self._line is not None:
            painter.setPen(theme.pen("muted", 1.2, Qt.PenStyle.DashLine))
            painter.drawLine(
                QPointF(area.left(), self._y(self._line)), QPointF(area.right(), self._y(self._line))
            )
        painter.setPen(theme.pen("edge"))
        painter.drawLine(area.bottomLeft(), area.bottomRight())
        painter.setPen(theme.colour("muted"))
        base = area.bottom() + 0.35 * em + metrics.ascent()
        first, last = self._dots[0].when, self._dots[-1].when
        painter.drawText(QPointF(area.left(), base), first)
        wide = metrics.horizontalAdvance(last)
        if len(self._dots) > 1 and area.left() + metrics.horizontalAdvance(first) + em < area.right() - wide:
            painter.drawText(QPointF(area.right() - wide, base), last)

    def _paint_dots(self, painter: QPainter) -> None:
        theme = theme_now()
        em = theme.em()
        painter.setPen(theme.pen("plot_1", 1.6))
        painter.drawPolyline(QPolygonF([self.spot(at) for at in range(len(self._dots))]))
        small = 3.2 if len(self._dots) <= 20 else 2.2
        for at, dot in enumerate(self._dots):
            spot = self.spot(at)
            if dot.odd:  # a ring and a sign, not a colour alone
                painter.setPen(theme.pen("danger_ink", 2))
                painter.setBrush(theme.colour("page"))
                painter.drawEllipse(spot, 0.45 * em, 0.45 * em)
                painter.setFont(theme.font("strong"))
                painter.drawText(
                    QRectF(spot.x() - 0.45 * em, spot.y() - 0.45 * em, 0.9 * em, 0.9 * em),
                    Qt.AlignmentFlag.AlignCenter,
                    "!",
                )
            else:
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(theme.colour("plot_1"))
                painter.drawEllipse(spot, small, small)
            if at == self._at:
                painter.setPen(theme.pen("ink", 1.6))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(spot, 0.6 * em, 0.6 * em)
