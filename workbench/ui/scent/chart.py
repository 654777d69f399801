"""Stacked areas of what is left over time, painted straight from the arrays.

An area can be taken with the mouse and drawn up or down; the sliders beside
the chart do the same by key.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.model import Note
from workbench.core.scent.volatility import Array
from workbench.ui.scent.hues import paints_of
from workbench.ui.scent.time_chart import Axis, TimeChart
from workbench.ui.theme import Scheme, theme_now

UPWARDS = (Note.BASE, Note.MIDDLE, Note.TOP)


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """One oil: `left` is its mass over time as a share 0..1 of the whole scent at the beginning."""

    key: str
    name: str
    note: Note
    left: Array


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """What the chart shows; layers from the bottom up, base first."""

    times_s: Array
    layers: tuple[Layer, ...]
    low: Array | None = None  # of the whole, where it is not known better
    high: Array | None = None
    earlier: tuple[Array, ...] = ()  # tops of base, middle and all of an earlier revision
    marks_s: Sequence[float] = field(default_factory=tuple)  # moments to be found again

    @property
    def total(self) -> Array:
        made: Array = np.sum([layer.left for layer in self.layers], axis=0)
        return made


def note_tops(picture: Picture) -> tuple[Array, ...]:
    """The upper edges of base, of base and middle, and of all; an empty note has no edge of its own."""
    tops: list[Array] = []
    floor: Array = np.zeros(len(picture.times_s))
    for note in UPWARDS:
        own = [layer.left for layer in picture.layers if layer.note is note]
        if own:
            floor = floor + np.sum(own, axis=0)
            tops.append(floor)
    return tuple(tops)


class CourseChart(TimeChart):
    """moving(key, share)  an area is being drawn to this share of the scent; moved(...) it was let go"""

    moving = Signal(str, float)
    moved = Signal(str, float)

    def __init__(
        self, name: str, axis: Axis, note_words: dict[Note, str], parent: QWidget | None = None
    ) -> None:
        super().__init__(name, axis, parent)
        self.note_words = note_words
        self.draggable = True
        self._picture: Picture | None = None
        self._over: str | None = None
        self._held: tuple[str, float, float] | None = None  # key, y where taken, its share there
        self._edges: list[tuple[Layer, Array, Array]] = []

    def show_picture(self, picture: Picture | None) -> None:
        self._picture, self._edges = picture, []
        if picture is not None:
            floor: Array = np.zeros(len(picture.times_s))
            for layer in picture.layers:
                self._edges.append((layer, floor, floor + layer.left))
                floor = floor + layer.left
        self.update()

    def layer_at(self, point: QPointF) -> Layer | None:
        """Which oil lies under a point."""
        picture, area = self._picture, self.plot()
        if picture is None or not area.contains(point):
            return None
        seconds = self.seconds_at(point.x())
        share = (area.bottom() - point.y()) / area.height()
        for layer, low, high in self._edges:
            if np.interp(seconds, picture.times_s, low) <= share <= np.interp(seconds, picture.times_s, high):
                return layer
        return None

    def colours(self) -> dict[str, QColor]:
        """The colour of each area by its key."""
        layers = self._picture.layers if self._picture is not None else ()
        paints = paints_of(theme_now(), [layer.note for layer in layers])
        return {layer.key: paint for layer, paint in zip(layers, paints, strict=True)}

    # mouse

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            self.moving.emit(self._held[0], self._share_for(event.position().y()))
            return
        layer = self.layer_at(event.position()) if self.draggable else None
        over = layer.key if layer is not None else None
        if over != self._over:
            self._over = over
            self.setCursor(Qt.CursorShape.SizeVerCursor if over else Qt.CursorShape.ArrowCursor)
            self.update()
        super().mouseMoveEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        layer = self.layer_at(event.position()) if self.draggable else None
        if layer is None or event.button() is not Qt.MouseButton.LeftButton:
            super().mousePressEvent(event)
            return
        self._held = (layer.key, event.position().y(), float(layer.left[0]))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is None:
            super().mouseReleaseEvent(event)
            return
        key, y, _start = self._held
        share = self._share_for(event.position().y())
        self._held = None
        if abs(event.position().y() - y) >= 2:
            self.moved.emit(key, share)

    def _share_for(self, y: float) -> float:
        _key, taken_y, start = self._held or ("", y, 0.0)
        return min(0.98, max(0.005, start + (taken_y - y) / max(self.plot().height(), 1.0)))

    def leaveEvent(self, event: QEvent) -> None:
        self._over = None
        super().leaveEvent(event)
        self.update()

    # painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        picture = self._picture
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if picture is not None and picture.layers:
            self.paint_axis(painter)
            self._paint_layers(painter, picture)
            self._paint_unknown(painter, picture)
            self._paint_earlier(painter, picture)
            self._paint_names(painter, picture)
            self._paint_notes(painter, picture)
            self._paint_marks(painter, picture)
        self.paint_cursor(painter)
        painter.end()

    def _paint_layers(self, painter: QPainter, picture: Picture) -> None:
        theme, colours = theme_now(), self.colours()
        between = theme.colour("ink" if theme.scheme is Scheme.HIGH_CONTRAST else "page")
        for layer, low, high in self._edges:
            colour = colours[layer.key]
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour.lighter(106) if layer.key == self._over else colour)
            painter.drawPolygon(self.between(picture.times_s, low, high))
            painter.setPen(QPen(between, 1.4))
            painter.drawPolyline(self.line(picture.times_s, high))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(theme.colour("ink"), 1.3))
        for top in note_tops(picture):
            painter.drawPolyline(self.line(picture.times_s, top))

    def _paint_unknown(self, painter: QPainter, picture: Picture) -> None:
        """Between the lowest and the highest course of the whole: fine slanted strokes."""
        if picture.low is None or picture.high is None:
            return
        ink = theme_now().colour("ink")
        ink.setAlpha(60)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QBrush(ink, Qt.BrushStyle.BDiagPattern))
        painter.drawPolygon(self.between(picture.times_s, picture.low, picture.high))
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _paint_earlier(self, painter: QPainter, picture: Picture) -> None:
        pen = QPen(theme_now().colour("ink"), 1.8)
        pen.setDashPattern([4, 3])
        painter.setPen(pen)
        for top in picture.earlier:
            painter.drawPolyline(self.line(picture.times_s, top))

    def _paint_names(self, painter: QPainter, picture: Picture) -> None:
        """Each name where its area is thick enough, as far left as it fits; else only the list names it."""
        theme, area = theme_now(), self.plot()
        font = theme.font("small")
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        height = metrics.height()
        positions = np.array([self.x_of(float(t)) for t in picture.times_s])
        painter.setPen(theme.colour("ink"))
        for layer, low, high in self._edges:
            room = metrics.horizontalAdvance(layer.name) + 4
            bottoms, tops = area.bottom() - area.height() * low, area.bottom() - area.height() * high
            for start in np.arange(area.left() + 8, area.right() - room, 6.0).tolist():
                inside = (positions >= start - 4) & (positions <= start + room)
                if not inside.any():
                    continue
                top, bottom = float(tops[inside].max()), float(bottoms[inside].min())
                if bottom - top >= height * 0.98:
                    spot = QRectF(start, (top + bottom - height) / 2, room, height)
                    painter.drawText(
                        spot, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, layer.name
                    )
                    break

    def _paint_notes(self, painter: QPainter, picture: Picture) -> None:
        """Left of the areas: which stretch of them is top, middle and base."""
        theme, area = theme_now(), self.plot()
        em = theme.em()
        metrics = QFontMetricsF(theme.font("small"))
        painter.setFont(theme.font("small"))
        floor, x = 0.0, area.left() - 0.5 * em
        for note in UPWARDS:
            share = float(sum(layer.left[0] for layer in picture.layers if layer.note is note))
            if share <= 0:
                continue
            top, bottom = self.y_of(floor + share), self.y_of(floor)
            floor += share
            painter.setPen(QPen(theme.colour("edge"), 2))
            painter.drawLine(QPointF(x, top + 2), QPointF(x, bottom - 2))
            if bottom - top >= metrics.height() * 0.9:
                painter.setPen(theme.colour("muted"))
                spot = QRectF(0, (top + bottom - metrics.height()) / 2, x - 0.4 * em, metrics.height())
                painter.drawText(
                    spot, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self.note_words[note]
                )

    def _paint_marks(self, painter: QPainter, picture: Picture) -> None:
        theme = theme_now()
        painter.setPen(QPen(theme.colour("ink"), 1.3))
        painter.setBrush(theme.colour("page"))
        for seconds in picture.marks_s:
            total = float(np.interp(seconds, picture.times_s, picture.total))
            painter.drawEllipse(QPointF(self.x_of(seconds), self.y_of(total)), 4, 4)
        painter.setBrush(Qt.BrushStyle.NoBrush)
