"""The ladder of temperatures: one look tells whether there is a window at all.

A strip of paper with the degrees on its left and the rungs on its right.
Between pour floor and the top of the window the strip is filled; where the
window is empty the stretch that is missing is hatched and said in words.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.core.heat.window import Temperatures
from workbench.ui.theme import Theme, theme_now
from workbench.ui.writing import Writer

ABSOLUTE_CEILING_C = 95.0
YOf = Callable[[float], float]  # °C to px


@dataclass(frozen=True, slots=True)
class Rung:
    """One temperature with its name; `kind` is "mark", "limit" or "floor"."""

    celsius: float
    name: str
    kind: str = "mark"


@dataclass(frozen=True, slots=True)
class LadderContent:
    """Everything the ladder draws: rungs in °C and the two ends of the window."""

    rungs: tuple[Rung, ...] = ()
    floor_c: float | None = None
    top_c: float | None = None
    unscented: bool = False
    now_c: float | None = None  # a reading, in a running batch

    @property
    def open(self) -> bool | None:
        if self.floor_c is None or self.top_c is None:
            return None
        return self.floor_c < self.top_c


class LadderView(QWidget):
    """Painted; its accessible description says the same in words."""

    def __init__(self, writer: Writer, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._writer = writer
        self._content = LadderContent()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("Ladder of temperatures"))

    @property
    def content(self) -> LadderContent:
        return self._content

    def write_with(self, writer: Writer) -> None:
        if writer != self._writer:
            self._writer = writer
            self._describe()
            self.update()

    def show_content(self, content: LadderContent) -> None:
        if content != self._content:
            self._content = content
            self._describe()
            self.updateGeometry()
            self.update()

    def show_temperatures(self, t: Temperatures, room_c: float | None, now_c: float | None = None) -> None:
        """The rungs of one blend, named in the words of the trade."""
        rungs: list[Rung] = []
        for reckoned, name, kind in (
            (t.set_point, self.tr("set point"), "mark"),
            (t.pour_floor, self.tr("pour floor"), "floor"),
            (t.flash_safe, self.tr("flash-safe temperature"), "limit"),
            (t.scented_ceiling, self.tr("scented ceiling"), "limit"),
            (t.melt_out, self.tr("melt-out"), "mark"),
            (t.melt_ceiling, self.tr("melt ceiling"), "limit"),
        ):
            if reckoned.celsius is not None:
                rungs.append(Rung(reckoned.celsius, name, kind))
        if room_c is not None:
            rungs.append(Rung(room_c, self.tr("room"), "mark"))
        if not any(abs(rung.celsius - ABSOLUTE_CEILING_C) < 0.05 for rung in rungs):
            rungs.append(Rung(ABSOLUTE_CEILING_C, self.tr("never above"), "limit"))
        self.show_content(
            LadderContent(
                tuple(sorted(rungs, key=lambda rung: -rung.celsius)),
                None if t.unscented else t.pour_floor.celsius,
                None if t.unscented else t.add_below.celsius,
                t.unscented,
                now_c,
            )
        )

    def sizeHint(self) -> QSize:
        least = self.minimumSizeHint()
        return QSize(least.width(), max(round(theme_now().em() * 24), least.height()))

    def minimumSizeHint(self) -> QSize:
        theme = theme_now()
        em, metrics = theme.em(), QFontMetricsF(theme.font("small"))
        names = max((metrics.horizontalAdvance(rung.name) for rung in self._content.rungs), default=8 * em)
        return QSize(
            round(self._strip_left(metrics, em) + em * 3.2 + self._number_width(metrics, em) + names + 2),
            round(em * 1.5 * (len(self._content.rungs) + 2)),
        )

    def _strip_left(self, metrics: QFontMetricsF, em: int) -> float:
        return metrics.horizontalAdvance("100") + em * 0.6

    def _number_width(self, metrics: QFontMetricsF, em: int) -> float:
        return metrics.horizontalAdvance(self._writer.degrees(188)) + em * 0.5

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self.updateGeometry()
            self.update()

    def _describe(self) -> None:
        c, w = self._content, self._writer
        says: list[str] = []
        if c.unscented:
            says.append(self.tr("Without fragrance there is no window to keep."))
        elif c.floor_c is not None and c.top_c is not None:
            if c.open:
                says.append(
                    self.tr("The window is open from {low} to {high}.").format(
                        low=w.degrees(c.floor_c), high=w.degrees(c.top_c)
                    )
                )
            else:
                says.append(
                    self.tr("There is no window: it should begin at {low}, but must end at {high}.").format(
                        low=w.degrees(c.floor_c), high=w.degrees(c.top_c)
                    )
                )
        else:
            says.append(self.tr("Whether there is a window cannot be known."))
        says.extend(
            self.tr("{name}: {temperature}.").format(name=rung.name, temperature=w.degrees(rung.celsius))
            for rung in c.rungs
        )
        self.setAccessibleDescription(" ".join(says))

    # painting

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, painter = theme_now(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._content.rungs:
            self._paint(painter, theme)
        painter.end()

    def _paint(self, painter: QPainter, theme: Theme) -> None:
        c, em = self._content, theme.em()
        small = QFontMetricsF(theme.font("small"))
        values = [rung.celsius for rung in c.rungs] + ([c.now_c] if c.now_c is not None else [])
        low, high = min(values) - 4, max(values) + 3
        top, bottom = em * 0.8, self.height() - em * 0.8

        def y_of(celsius: float) -> float:
            return bottom - (celsius - low) / (high - low) * (bottom - top)

        strip = QRectF(self._strip_left(small, em), top, em * 1.5, bottom - top)
        painter.fillRect(strip, theme.colour("raised"))
        self._paint_window(painter, theme, strip, y_of)
        painter.setPen(theme.pen("edge", 1))
        painter.drawRect(strip)
        self._paint_degrees(painter, theme, strip, (low, high), y_of)
        self._paint_rungs(painter, theme, strip, y_of)
        if c.now_c is not None:
            y = y_of(c.now_c)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.colour("ink"))
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(strip.left() - 2, y),
                        QPointF(strip.left() - em * 0.7, y - em * 0.4),
                        QPointF(strip.left() - em * 0.7, y + em * 0.4),
                    ]
                )
            )

    def _paint_window(self, painter: QPainter, theme: Theme, strip: QRectF, y_of: YOf) -> None:
        c = self._content
        if c.floor_c is None or c.top_c is None:
            return
        upper, lower = sorted((y_of(c.floor_c), y_of(c.top_c)))
        band = QRectF(strip.left(), upper, strip.width(), max(lower - upper, 2))
        if c.open:
            painter.fillRect(band, theme.colour("window_fill"))
            painter.setPen(theme.pen("window_edge", 2))
            painter.drawLine(band.topLeft(), band.topRight())
            painter.drawLine(band.bottomLeft(), band.bottomRight())
            return
        painter.save()
        painter.setClipRect(band)
        painter.setPen(theme.pen("danger_ink", 1.6))
        step, x = 7, band.left() - band.height()
        while x < band.right():
            painter.drawLine(QPointF(x, band.bottom()), QPointF(x + band.height(), band.top()))
            x += step
        painter.restore()

    def _paint_degrees(
        self, painter: QPainter, theme: Theme, strip: QRectF, span: tuple[float, float], y_of: YOf
    ) -> None:
        painter.setFont(theme.font("small"))
        metrics = QFontMetricsF(theme.font("small"))
        fahrenheit = self._writer.heat_unit == "°F"
        step = 20.0 / 1.8 if fahrenheit else 10.0
        first = (20.0 - 32) / 1.8 if fahrenheit else 0.0
        while abs(y_of(step) - y_of(0.0)) < 1.2 * metrics.height() and step < 60:
            step *= 2  # no number on another
        celsius = first
        while celsius <= span[1]:
            if celsius >= span[0]:
                y = y_of(celsius)
                painter.setPen(theme.pen("edge", 1))
                painter.drawLine(QPointF(strip.left() - 4, y), QPointF(strip.left(), y))
                painter.setPen(theme.pen("muted"))
                text = self._writer.heat_text(celsius, 0)
                where = QRectF(0, y - metrics.height() / 2, strip.left() - 8, metrics.height())
                painter.drawText(where, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)
            celsius += step

    def _paint_rungs(self, painter: QPainter, theme: Theme, strip: QRectF, y_of: YOf) -> None:
        em = theme.em()
        metrics = QFontMetricsF(theme.font("small"))
        height = metrics.height() * 1.12
        wanted = [y_of(rung.celsius) for rung in self._content.rungs]
        places = spread(wanted, height, em * 0.2 + height / 2, self.height() - em * 0.2 - height / 2)
        text_left = strip.right() + em * 1.7
        number = self._number_width(metrics, em)
        for rung, at, label_y in zip(self._content.rungs, wanted, places, strict=True):
            limit = rung.kind != "mark"
            painter.setPen(theme.pen("ink", 2 if limit else 1))
            painter.drawLine(QPointF(strip.left(), at), QPointF(strip.right() + em * 0.4, at))
            painter.setPen(theme.pen("edge", 1))
            painter.drawPolyline(
                [QPointF(strip.right() + em * 0.4, at), QPointF(text_left - em * 0.4, label_y)]
            )
            painter.setPen(theme.pen("ink"))
            bold = theme.font("small")
            bold.setBold(True)
            painter.setFont(bold)
            box = QRectF(text_left, label_y - height / 2, number, height)
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, self._writer.degrees(rung.celsius))
            painter.setFont(theme.font("small"))
            painter.setPen(theme.pen("ink" if limit else "muted"))
            box = QRectF(box.right(), box.top(), self.width() - box.right(), height)
            name = metrics.elidedText(rung.name, Qt.TextElideMode.ElideRight, box.width())
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, name)


def spread(wanted: list[float], gap: float, low: float, high: float) -> list[float]:
    """Places near `wanted` (ascending) that are at least `gap` apart, between `low` and `high`.

    Where the room is too small for the gap, the places are spread evenly.
    """
    count = len(wanted)
    if count == 0:
        return []
    if (count - 1) * gap > high - low:
        step = (high - low) / max(count - 1, 1)
        return [low + index * step for index in range(count)]
    places = [min(max(y, low), high) for y in wanted]
    for index in range(1, count):
        places[index] = max(places[index], places[index - 1] + gap)
    if places[-1] > high:
        places[-1] = high
        for index in range(count - 2, -1, -1):
            places[index] = min(places[index], places[index + 1] - gap)
    return places
