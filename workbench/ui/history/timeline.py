"""When each step began, how long it took and when it stood still: one bar beside each step."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from workbench.core.batch.record import BatchRecord
from workbench.core.batch.state import StepMark
from workbench.ui.theme import theme_now


@dataclass(frozen=True, slots=True)
class Span:
    """A step from `begun_s` to `ended_s` of `whole_s` seconds, with its holds as (from, to)."""

    begun_s: float
    ended_s: float
    whole_s: float
    holds: tuple[tuple[float, float], ...] = ()


def spans(made: BatchRecord, whole_s: float) -> dict[str, Span]:
    """One stretch for every step that was begun; a step that was never ended reaches to the end."""
    found = {}
    for step in made.steps:
        if step.begun_at_s is None:
            continue
        ended = whole_s if step.took_s is None else step.begun_at_s + step.took_s
        holds = tuple(
            (hold.asked_at_s, whole_s if hold.went_on_at_s is None else hold.went_on_at_s)
            for hold in made.holds
            if hold.step == step.step
        )
        found[step.step] = Span(step.begun_at_s, ended, max(whole_s, 1.0), holds)
    return found


class StepBar(QWidget):
    """The stretch of one step on the time of the whole batch; holds are hatched."""

    def __init__(self, span: Span, mark: StepMark, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._span, self._mark = span, mark
        self.setAccessibleName(words)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(16 * em, round(1.25 * em))

    def minimumSizeHint(self) -> QSize:
        em = theme_now().em()
        return QSize(6 * em, round(1.25 * em))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self.updateGeometry()

    def _box(self, begun_s: float, ended_s: float) -> QRectF:
        wide, high = float(self.width()), float(self.height())
        left = wide * begun_s / self._span.whole_s
        right = wide * ended_s / self._span.whole_s
        left = min(left, wide - 3)
        return QRectF(left, high * 0.22, max(3.0, min(right, wide) - left), high * 0.56)

    def paintEvent(self, _event: QPaintEvent) -> None:
        theme, painter = theme_now(), QPainter(self)
        middle = self.height() / 2
        painter.setPen(theme.pen("hairline"))
        painter.drawLine(0, round(middle), self.width(), round(middle))
        bar = self._box(self._span.begun_s, self._span.ended_s)
        if self._mark is StepMark.DONE:
            painter.fillRect(bar, theme.colour("bar_fill"))
        else:  # left out, broken off or not ended: an outline
            painter.setPen(theme.pen("bar_fill", 1.5))
            painter.drawRect(bar.adjusted(0.5, 0.5, -0.5, -0.5))
        for begun_s, ended_s in self._span.holds:
            held = self._box(begun_s, ended_s)
            painter.fillRect(held, theme.colour("page"))
            painter.fillRect(held, Qt.BrushStyle.BDiagPattern)
            painter.setPen(theme.pen("danger_ink", 1.5))
            painter.drawRect(held.adjusted(0.5, 0.5, -0.5, -0.5))
        painter.end()
