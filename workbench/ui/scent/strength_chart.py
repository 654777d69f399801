"""Relative strength of top, middle and base over time: three lines, each with what is not known of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from workbench.core.catalogue.model import Note
from workbench.core.scent.strength import PERCEIVED
from workbench.core.scent.volatility import Array
from workbench.ui.palettes import SCENT_PAINTS
from workbench.ui.scent.hues import mixed
from workbench.ui.scent.time_chart import Axis, TimeChart
from workbench.ui.theme import theme_now

DASHES = {Note.TOP: [1.0, 0.0], Note.MIDDLE: [7.0, 3.0], Note.BASE: [2.0, 2.5]}
STARTS = {Note.TOP: 0.03, Note.MIDDLE: 0.3, Note.BASE: 0.7}  # where the word of a line is tried first
HIGH, LOW = 60.0, 30.0  # tops of the scale: a quiet scent is drawn on the lower one


@dataclass(frozen=True, slots=True, eq=False)
class NoteLine:
    note: Note
    strength: Array  # 0..100
    low: Array
    high: Array


class StrengthChart(TimeChart):
    def __init__(self, name: str, axis: Axis, words: dict[str, str], parent: QWidget | None = None) -> None:
        super().__init__(name, axis, parent)
        self._words = words
        self._times: Array = np.zeros(0)
        self._lines: tuple[NoteLine, ...] = ()
        self._highest = HIGH

    def show_lines(self, times_s: Array, lines: tuple[NoteLine, ...]) -> None:
        self._times, self._lines = times_s, lines
        loudest = max((float(line.strength.max()) for line in lines), default=0.0)
        self._highest = HIGH if loudest > 0.9 * LOW else LOW
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        theme = theme_now()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._lines:
            self.paint_axis(
                painter, [(value / self._highest, self._words[word]) for value, word in
                          ((PERCEIVED, "faint"), (20.0, "clear"), (40.0, "loud")) if value < self._highest]
            )  # fmt: skip
            for line in self._lines:
                colour = mixed(theme.colour("ink"), theme.colour("page"), 0.12)
                paint = mixed(QColor(SCENT_PAINTS[line.note.value][0]), colour, 0.6)
                paint.setAlpha(90)
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(paint)
                painter.drawPolygon(
                    self.between(
                        self._times,
                        np.minimum(line.low / self._highest, 1),
                        np.minimum(line.high / self._highest, 1),
                    )
                )
            painter.setBrush(Qt.BrushStyle.NoBrush)
            taken: list[QRectF] = []
            for line in self._lines:
                pen = QPen(theme.colour("ink"), 2)
                if line.note is not Note.TOP:
                    pen.setDashPattern(DASHES[line.note])
                painter.setPen(pen)
                shares = np.minimum(line.strength / self._highest, 1)
                painter.drawPolyline(self.line(self._times, shares))
                self.paint_name(
                    painter, self._words[line.note], STARTS[line.note], self._times, shares, taken
                )
        self.paint_cursor(painter)
        painter.end()
