"""Temperature over time of several batches in one picture, each told apart by its dash and its letter.

Painted by hand: it is there at once, prints as it stands, and needs no
colour to be read.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.ui.bench.words import elapsed_words
from workbench.ui.theme import theme_now
from workbench.ui.widgets.drawn import Drawn

DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (7.0, 3.0),
    (2.0, 2.2),
    (9.0, 2.5, 2.0, 2.5),
    (4.0, 1.8),
    (11.0, 2.2, 2.0, 2.2, 2.0, 2.2),
)
PAINTS = ("plot_1", "plot_2", "plot_3", "plot_1", "plot_2", "plot_3")
LETTERS = "ABCDEF"
GAP_S = 15 * 60.0  # a longer silence is no line
STEPS_S = (30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400)


@dataclass(frozen=True, slots=True)
class Line:
    """One batch: its readings as (s, °C) on the common axis."""

    letter: str
    name: str
    points: tuple[tuple[float, float], ...]
    marks: tuple[tuple[float, str], ...] = ()  # (s, word)


def pen_of(at: int, width: float = 2.0) -> QPen:
    """The pen of the batch with this number, from 0."""
    pen = QPen(theme_now().colour(PAINTS[at % len(PAINTS)]), width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    dash = DASHES[at % len(DASHES)]
    if dash:
        pen.setDashPattern(list(dash))
    return pen


def value_at(line: Line, seconds: float) -> float | None:
    """°C between the two readings around a moment; None outside of them or in a long silence."""
    times = [at for at, _ in line.points]
    place = bisect_left(times, seconds)
    if place < len(times) and times[place] == seconds:
        return line.points[place][1]
    if not 0 < place < len(times):
        return None
    (before_s, before_c), (after_s, after_c) = line.points[place - 1], line.points[place]
    if after_s - before_s > GAP_S:
        return None
    return before_c + (after_c - before_c) * (seconds - before_s) / (after_s - before_s)


class LinesChart(Drawn):
    """pointed(s)  the cursor stands at this moment of the common axis; nan when there is none"""

    pointed = Signal(float)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._lines: tuple[Line, ...] = ()
        self._shown: Callable[[float], float] = float
        self._unit = ""
        self._cursor_s: float | None = None

    def show_lines(self, lines: Sequence[Line], shown: Callable[[float], float], unit: str) -> None:
        """`shown` turns °C into the number on the axis, whose unit is `unit`."""
        self._lines, self._shown, self._unit = tuple(lines), shown, unit
        self._cursor_s = None
        self.update()

    @property
    def lines(self) -> tuple[Line, ...]:
        return self._lines

    @property
    def cursor_s(self) -> float | None:
        return self._cursor_s

    def point_at(self, seconds: float | None) -> None:
        if seconds != self._cursor_s:
            self._cursor_s = seconds
            self.update()
            self.pointed.emit(math.nan if seconds is None else seconds)

    # where things are

    def span_s(self) -> tuple[float, float]:
        times = [at for line in self._lines for at, _ in line.points]
        times += [at for line in self._lines for at, _ in line.marks]
        if not times:
            return 0.0, 1200.0
        first, last = min(times), max(times)
        room = max(60.0, 0.03 * (last - first))
        return first - room / 3, last + room

    def span_c(self) -> tuple[float, float]:
        values = [self._shown(celsius) for line in self._lines for _, celsius in line.points]
        if not values:
            return self._shown(20.0), self._shown(95.0)
        low, high = min(values), max(values)
        room = max(2.0, 0.08 * (high - low))
        return low - room, high + room

    def plot(self) -> QRectF:
        em = theme_now().em()
        return QRectF(self.rect()).adjusted(3.4 * em, 1.5 * em, -1.4 * em, -2.2 * em)

    def x_of(self, seconds: float) -> float:
        (first, last), area = self.span_s(), self.plot()
        return area.left() + area.width() * (seconds - first) / (last - first)

    def seconds_at(self, x: float) -> float:
        (first, last), area = self.span_s(), self.plot()
        share = min(1.0, max(0.0, (x - area.left()) / max(1.0, area.width())))
        return first + share * (last - first)

    def y_of(self, number: float) -> float:
        (low, high), area = self.span_c(), self.plot()
        return area.bottom() - area.height() * (number - low) / (high - low)

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(18 * em, 14 * em)

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(40 * em, 17 * em)

    # hands

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.plot().contains(event.position()):
            self.point_at(self.seconds_at(event.position().x()))

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        if not self.hasFocus():
            self.point_at(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and right move the cursor, Home and End go to the ends, Escape takes it away."""
        first, last = self.span_s()
        now = self._cursor_s if self._cursor_s is not None else max(first, min(0.0, last))
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            step = (last - first) / 50 * (1 if key == Qt.Key.Key_Right else -1)
            self.point_at(min(last, max(first, now + step)))
        elif key == Qt.Key.Key_Home:
            self.point_at(first)
        elif key == Qt.Key.Key_End:
            self.point_at(last)
        elif key == Qt.Key.Key_Escape and self._cursor_s is not None:
            self.point_at(None)
        else:
            super().keyPressEvent(event)

    # painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_axes(painter)
        for at, line in enumerate(self._lines):
            self._paint_line(painter, at, line)
        self._paint_letters(painter)
        self._paint_cursor(painter)
        painter.end()

    def _paint_axes(self, painter: QPainter) -> None:
        theme, area = theme_now(), self.plot()
        painter.setFont(theme.font("small"))
        metrics, em = QFontMetricsF(theme.font("small")), theme.em()
        low, high = self.span_c()
        step = nice_step((high - low) / max(2.0, area.height() / (2.6 * em)))
        number = math.ceil(low / step) * step
        while number <= high:
            y = self.y_of(number)
            painter.setPen(theme.pen("hairline"))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(theme.colour("muted"))
            spot = QRectF(0, y - metrics.height() / 2, area.left() - 0.5 * em, metrics.height())
            painter.drawText(
                spot,
                Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
                f"{number:g}".replace("-", "−"),
            )
            number += step
        painter.drawText(QPointF(0, metrics.ascent()), self._unit)
        first, last = self.span_s()
        widest = metrics.horizontalAdvance("−0:00:00") + em
        room = max(1.0, area.width() / widest)
        apart = next((each for each in STEPS_S if (last - first) / each <= room), STEPS_S[-1])
        seconds = math.ceil(first / apart) * apart
        while seconds <= last:
            x = self.x_of(seconds)
            painter.setPen(theme.pen("hairline"))
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
            text = elapsed_words(seconds).replace("-", "−")
            wide = metrics.horizontalAdvance(text)
            painter.setPen(theme.colour("muted"))
            left = min(max(0.0, x - wide / 2), self.width() - wide)
            painter.drawText(QPointF(left, area.bottom() + 0.4 * em + metrics.ascent()), text)
            seconds += apart
        painter.setPen(theme.pen("edge"))
        painter.drawLine(area.bottomLeft(), area.bottomRight())
        painter.drawLine(area.topLeft(), area.bottomLeft())
        if first < 0 < last:  # what the batches are laid beside
            painter.setPen(theme.pen("ink", 1.2))
            painter.drawLine(QPointF(self.x_of(0), area.top()), QPointF(self.x_of(0), area.bottom()))

    def _paint_line(self, painter: QPainter, at: int, line: Line) -> None:
        pieces: list[list[QPointF]] = [[]]
        before: float | None = None
        for seconds, celsius in line.points:
            if before is not None and seconds - before > GAP_S:
                pieces.append([])
            pieces[-1].append(QPointF(self.x_of(seconds), self.y_of(self._shown(celsius))))
            before = seconds
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen_of(at))
        for piece in pieces:
            painter.drawPolyline(QPolygonF(piece))
        colour = theme_now().colour(PAINTS[at % len(PAINTS)])
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        for piece in pieces:
            for point in piece:
                painter.drawEllipse(point, 2.6, 2.6)

    def _paint_letters(self, painter: QPainter) -> None:
        """The letter of each batch at its peak, or as near to it as another letter leaves room."""
        if len(self._lines) < 2:
            return
        theme = theme_now()
        em, area = theme.em(), self.plot()
        side = 1.25 * em
        taken: list[QRectF] = []
        painter.setFont(theme.font("strong"))
        for at, line in enumerate(self._lines):
            peak = max(line.points, key=lambda each: each[1], default=None)
            if peak is None:
                continue
            x, y = self.x_of(peak[0]), self.y_of(self._shown(peak[1])) - 0.9 * em
            spot = QRectF(x - side / 2, y - side / 2, side, side)
            for turn in range(12):
                shift = (turn + 1) // 2 * (1.4 * em) * (1 if turn % 2 else -1)
                spot.moveLeft(min(max(x + shift - side / 2, area.left()), area.right() - side))
                if not any(spot.intersects(other) for other in taken):
                    break
            spot.moveTop(max(0.0, spot.top()))
            taken.append(QRectF(spot))
            badge(painter, spot, at, line.letter)

    def _paint_cursor(self, painter: QPainter) -> None:
        theme, area = theme_now(), self.plot()
        if self._cursor_s is not None:
            x = self.x_of(self._cursor_s)
            painter.setPen(theme.pen("ink"))
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
        if self.hasFocus():
            painter.setPen(theme.pen("focus", 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)


def badge(painter: QPainter, spot: QRectF, at: int, letter: str) -> None:
    """A letter in a ring of its batch's colour, on paper."""
    theme = theme_now()
    painter.setPen(QPen(QColor(theme.colour(PAINTS[at % len(PAINTS)])), 1.6))
    painter.setBrush(theme.colour("page"))
    painter.drawEllipse(spot)
    painter.setPen(theme.colour("ink"))
    painter.setFont(theme.font("strong"))
    painter.drawText(spot, Qt.AlignmentFlag.AlignCenter, letter)


class Sample(QWidget):
    """The dash and the letter of one batch, to stand beside its name."""

    def __init__(self, at: int, letter: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._at, self._letter = at, letter
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(round(4.6 * em), round(1.5 * em))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self.updateGeometry()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, em = QPainter(self), theme_now().em()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle, side = self.height() / 2, 1.3 * em
        painter.setPen(pen_of(self._at))
        painter.drawLine(QPointF(side + 0.3 * em, middle), QPointF(self.width() - 0.3 * em, middle))
        badge(painter, QRectF(1, middle - side / 2, side - 1, side - 1), self._at, self._letter)
        painter.end()


def nice_step(rough: float) -> float:
    """1, 2 or 5 times a power of ten, at least as large as `rough`."""
    if not rough > 0 or not math.isfinite(rough):
        return 1.0
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * each for each in (1, 2, 5, 10) if power * each >= rough * (1 - 1e-9))
