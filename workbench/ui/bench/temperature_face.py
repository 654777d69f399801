"""The temperature with everything that keeps it from standing naked.

Target, band, trend arrow and rate, and how old the reading is.  A stale
reading looks stale: it is struck pale, its frame is dashed and the words say
so; colour is never the only sign.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QFontMetricsF, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from workbench.ui.bench.measures import Measures
from workbench.ui.bench.sheet import figure_font
from workbench.ui.theme import as_role, theme_now


class Where(Enum):
    """Where the reading lies, for the frame and the words."""

    NO_BAND = "no band"
    BELOW = "below"
    INSIDE = "inside"
    ABOVE = "above"
    DANGER = "danger"


@dataclass(frozen=True, slots=True)
class TemperatureShown:
    """What is known about the temperature now; °C, seconds, K per minute."""

    celsius: float | None = None
    age_s: float | None = None
    stale: bool = False
    stirred: bool = False
    rate_k_min: float | None = None
    aim_c: float | None = None
    low_c: float | None = None
    high_c: float | None = None
    danger_c: float | None = None  # the ceiling that counts now
    danger_label: str = ""

    @property
    def where(self) -> Where:
        if self.celsius is None:
            return Where.NO_BAND
        if self.danger_c is not None and self.celsius >= self.danger_c:
            return Where.DANGER
        if self.low_c is None and self.high_c is None:
            return Where.NO_BAND
        if self.low_c is not None and self.celsius < self.low_c:
            return Where.BELOW
        if self.high_c is not None and self.celsius > self.high_c:
            return Where.ABOVE
        return Where.INSIDE


STEADY_K_MIN = 0.15


class Trend(Enum):
    RISING = "↗"
    FALLING = "↘"
    STEADY = "→"


def trend_of(rate_k_min: float | None) -> Trend | None:
    if rate_k_min is None:
        return None
    if abs(rate_k_min) < STEADY_K_MIN:
        return Trend.STEADY
    return Trend.RISING if rate_k_min > 0 else Trend.FALLING


class BandBar(QWidget):
    """A horizontal scale: the band, the target, the ceiling and a pointer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = TemperatureShown()
        self._measures = Measures()
        self._em = 0.0  # of the bench view, in px; 0: the theme's own
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_em(self, em_px: float) -> None:
        """Larger, for the bench view."""
        if em_px != self._em:
            self._em = em_px
            self.updateGeometry()
            self.update()

    @property
    def em(self) -> float:
        return self._em or float(theme_now().em())

    def _font(self) -> QFont:
        font = theme_now().font("small")
        if self._em:
            font.setPixelSize(round(self._em))
        return font

    @staticmethod
    def tall_at(em_px: float) -> int:
        """The height at this size of letters."""
        font = theme_now().font("small")
        font.setPixelSize(max(1, round(em_px)))
        return round(em_px * 1.4 + QFontMetricsF(font).height())

    def show_temperature(self, shown: TemperatureShown, measures: Measures) -> None:
        if (shown, measures) != (self._shown, self._measures):
            self._shown, self._measures = shown, measures
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(12 * self.em), self.minimumSizeHint().height())

    def minimumSizeHint(self) -> QSize:
        return QSize(round(6 * self.em), round(self.em * 1.4 + QFontMetricsF(self._font()).height()))

    def span(self) -> tuple[float, float]:
        """The stretch of °C the bar covers."""
        shown = self._shown
        values = [
            value
            for value in (shown.celsius, shown.aim_c, shown.low_c, shown.high_c, shown.danger_c)
            if value is not None
        ]
        if not values:
            return 20.0, 100.0
        low, high = min(values), max(values)
        room = max(5.0, 0.15 * (high - low))
        return low - room, high + room

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, shown = theme_now(), self._shown
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        font = self._font()
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        em = self.em
        low, high = self.span()
        left, right = 0.5 * em, self.width() - 0.5 * em

        def x(celsius: float) -> float:
            return left + (right - left) * (min(high, max(low, celsius)) - low) / (high - low)

        track = QRectF(left, em * 0.72, right - left, em * 0.42)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour("bar_track"))
        painter.drawRoundedRect(track, 3, 3)
        if shown.low_c is not None or shown.high_c is not None:
            begin = x(low if shown.low_c is None else shown.low_c)
            end = x(high if shown.high_c is None else shown.high_c)
            band = QRectF(begin, track.top(), max(2.0, end - begin), track.height())
            painter.setBrush(theme.colour("window_fill"))
            painter.setPen(theme.pen("window_edge", 1.5))
            painter.drawRect(band)
        if shown.danger_c is not None:
            at = x(shown.danger_c)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.colour("bar_over"))
            painter.drawRect(QRectF(at - 1.5, track.top() - 3, 3, track.height() + 6))
        self._labels(painter, metrics, x, track.bottom() + metrics.ascent() + 3)
        if shown.celsius is not None:
            at, size = x(shown.celsius), em * 0.42
            tip = QPolygonF(
                [
                    QPointF(at, track.top() + 1),
                    QPointF(at - size, track.top() - 1.5 * size),
                    QPointF(at + size, track.top() - 1.5 * size),
                ]
            )
            painter.setBrush(Qt.BrushStyle.NoBrush if shown.stale else theme.colour("ink"))
            painter.setPen(theme.pen("ink", 1.5))
            painter.drawPolygon(tip)
        painter.end()

    def labels(self) -> list[tuple[float, str, str]]:
        """°C, words and colour of each, as the words of a step round them: a ceiling never up."""
        shown, say = self._shown, self._measures.temperature
        found: list[tuple[float, str, str]] = []
        if shown.danger_c is not None:
            found.append((shown.danger_c, say(math.floor(shown.danger_c), digits=0), "danger_ink"))
        found += [(at, say(at), "muted") for at in (shown.low_c, shown.high_c) if at is not None]
        if shown.aim_c is not None:
            found.append((shown.aim_c, say(shown.aim_c, digits=0), "muted"))
        return found

    def _labels(self, painter: QPainter, metrics: QFontMetricsF, x: object, baseline: float) -> None:
        """The edges of the band and the ceiling, in the order of their weight; none over another."""
        theme = theme_now()
        assert callable(x)
        taken: list[tuple[float, float]] = []
        apart = 0.8 * self.em  # nearer together two of them read as one
        for value, text, role in self.labels():
            width = metrics.horizontalAdvance(text)
            begin = min(max(0.0, x(value) - width / 2), self.width() - width)
            if any(begin < end + apart and begin + width > start - apart for start, end in taken):
                continue
            taken.append((begin, begin + width))
            painter.setPen(theme.colour(role))
            painter.drawText(QPointF(begin, baseline), text)


class TemperatureFace(QWidget):
    """Large number, trend, band, age."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = Measures()
        self._shown = TemperatureShown()
        self._flat, self._has_bar = False, True
        self.number = QLabel(self)
        as_role(self.number, "display")
        self.trend = QLabel(self)
        as_role(self.trend, "body")
        self.trend.setWordWrap(True)
        self.bar = BandBar(self)
        self.age = QLabel(self)
        as_role(self.age, "muted")
        self.age.setWordWrap(True)
        box = self._box = QBoxLayout(QBoxLayout.Direction.TopToBottom, self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(theme_now().space(1))
        self._beside = QVBoxLayout()
        self._beside.setSpacing(theme_now().space(1))
        self._beside.addWidget(self.trend)
        self._beside.addWidget(self.bar)
        self._beside.addWidget(self.age)
        box.addWidget(self.number)
        box.addLayout(self._beside, 1)
        self.setAccessibleName(self.tr("Temperature"))
        self._refresh()

    def show_temperature(self, shown: TemperatureShown, measures: Measures | None = None) -> None:
        measures = measures or self._measures
        if (shown, measures) == (self._shown, self._measures):
            return
        self._shown, self._measures = shown, measures
        self._refresh()

    def set_form(self, flat: bool, bar: bool) -> None:
        """Large, or in one line with what belongs to it, with or without the bar."""
        if (flat, bar) == (self._flat, self._has_bar):
            return
        self._flat, self._has_bar = flat, bar
        way = QBoxLayout.Direction.LeftToRight if flat else QBoxLayout.Direction.TopToBottom
        self._box.setDirection(way)
        self._box.setSpacing(theme_now().space(3 if flat else 1))
        self._refresh()

    def tall_at(self, width: int, flat: bool, bar: bool) -> int:
        """The height it needs in this form, in px."""
        number = QFontMetrics(figure_font(theme_now(), flat))
        gap = theme_now().space(1)
        if flat:
            width = max(1, width - number.horizontalAdvance(self.number.text()) - theme_now().space(3))
        parts = [self.age.heightForWidth(width)]
        if self.trend.text():
            parts.append(self.trend.heightForWidth(width))
        if bar:
            parts.append(self.bar.minimumSizeHint().height())
        beside = sum(parts) + gap * (len(parts) - 1)
        return max(number.height(), beside) if flat else number.height() + gap + beside

    def words(self) -> str:
        """The same in one line, for who listens."""
        return " ".join(part for part in (self.number.text(), self.trend.text(), self.age.text()) if part)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._refresh()
        super().changeEvent(event)

    def _refresh(self) -> None:
        shown = self._shown
        if shown.celsius is None:
            self.number.setText(self.tr("– {unit}").format(unit=self._measures.temperature_unit))
        else:
            self.number.setText(self._measures.temperature(shown.celsius))
        # a stale number is pale and thin; the words below say that it is old
        role = "display_stale" if shown.stale or shown.celsius is None else "display"
        role = "display_danger" if shown.where is Where.DANGER else role
        as_role(self.number, f"{role}_flat" if self._flat else role)
        self.bar.setVisible(self._has_bar)
        self.trend.setText(trend_words(self, shown, self._measures))
        self.trend.setVisible(bool(self.trend.text()))
        self.age.setText(age_words(self, shown))
        as_role(self.age, "attention" if shown.stale else "muted")
        self.bar.show_temperature(shown, self._measures)
        self.setAccessibleDescription(self.words())


def trend_words(widget: QWidget, shown: TemperatureShown, measures: Measures) -> str:
    """“↘ falling 1.2 °C a minute”, or nothing where there is nothing to compare."""
    trend = trend_of(shown.rate_k_min)
    if trend is None or shown.rate_k_min is None:
        return ""
    if trend is Trend.STEADY:
        return widget.tr("{arrow} steady").format(arrow=trend.value)
    rate = measures.difference(abs(shown.rate_k_min))
    if trend is Trend.RISING:
        return widget.tr("{arrow} rising {rate} a minute").format(arrow=trend.value, rate=rate)
    return widget.tr("{arrow} falling {rate} a minute").format(arrow=trend.value, rate=rate)


def age_words(widget: QWidget, shown: TemperatureShown) -> str:
    if shown.celsius is None or shown.age_s is None:
        return widget.tr("No reading yet.")
    age = round(shown.age_s)
    stirred = shown.stirred
    if shown.stale:
        if age < 120:
            return widget.tr("Old: read {age} s ago. Stir, read again.").format(age=age)
        return widget.tr("Old: read {age} min ago. Stir, read again.").format(age=age // 60)
    if age < 120:
        return (
            widget.tr("Read {age} s ago, stirred.")
            if stirred
            else widget.tr("Read {age} s ago, not stirred.")
        ).format(age=age)
    return (
        widget.tr("Read {age} min ago, stirred.")
        if stirred
        else widget.tr("Read {age} min ago, not stirred.")
    ).format(age=age // 60)
