"""The steps of the batch with their states and times."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from workbench.core.batch.state import SessionState, StepMark, StepProgress
from workbench.ui.bench.glyph import Glyph, Shape
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.sparing import Soon
from workbench.ui.bench.words import elapsed_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Scroller, Words

TOP = Qt.AlignmentFlag.AlignTop
NO_ALIGNMENT = Qt.AlignmentFlag(0)

# the shapes differ, so that nothing hangs on colour alone
SHAPES = {
    StepMark.WAITING: Shape.RING,
    StepMark.CURRENT: Shape.DOT,
    StepMark.DONE: Shape.TICK,
    StepMark.LEFT_OUT: Shape.DASH,
    StepMark.REPLACED: Shape.DASH,
}


class StepList(QWidget):
    """All steps; the current one is bold and kept in view."""

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._soon = Soon(self._reveal, self)
        self._measures = measures
        self._steps: tuple[StepProgress, ...] = ()
        self._index = -1
        self._rows: list[tuple[Glyph, Words, QLabel]] = []
        self._heading = Words("", "strong")
        self._inner = QWidget(self)
        as_role(self._inner, "page")
        self._grid = QGridLayout(self._inner)
        self._grid.setContentsMargins(0, 0, theme_now().space(2), 0)
        self._grid.setHorizontalSpacing(theme_now().space(2))
        self._grid.setVerticalSpacing(theme_now().space(1))
        self._grid.setColumnStretch(1, 1)
        self._scroller = Scroller(self._inner, self)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self._heading)
        box.addWidget(self._scroller, 1)
        self._say()

    def show_state(self, state: SessionState, measures: Measures | None = None) -> None:
        """Redraws rows that changed; a tick of the clock changes none."""
        measures = measures or self._measures
        if state.steps == self._steps and state.index == self._index and measures == self._measures:
            return
        moved = state.index != self._index or len(state.steps) != len(self._steps)
        self._steps, self._index, self._measures = state.steps, state.index, measures
        self._fill()
        if moved:
            self._soon.start()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._soon.start()  # the step in hand stays in sight when the curve takes room

    def minimumWidth(self) -> int:
        return 12 * theme_now().em()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    def _say(self) -> None:
        self._heading.say(self.tr("Steps"))
        self._scroller.setAccessibleName(self.tr("Steps of this batch"))
        self._fill()

    def _fill(self) -> None:
        while len(self._rows) < len(self._steps):
            at = len(self._rows)
            self._grid.setRowStretch(at, 0)
            made = (Glyph(Shape.RING, self._inner), Words("", "body", self._inner), QLabel(self._inner))
            made[1].setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
            made[2].setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignRight)
            for column, widget in enumerate(made):
                self._grid.addWidget(widget, at, column, alignment=TOP if column == 0 else NO_ALIGNMENT)
            self._rows.append(made)
            self._grid.setRowStretch(at + 1, 1)
        for at, row in enumerate(self._rows):
            for widget in row:
                widget.setVisible(at < len(self._steps))
            if at < len(self._steps):
                self._fill_row(row, self._steps[at])

    def _fill_row(self, row: tuple[Glyph, Words, QLabel], each: StepProgress) -> None:
        glyph, title, time = row
        lower = max(0, (glyph.sizeHint().height() - QFontMetrics(theme_now().font()).height()) // 2)
        for words in (title, time):  # the mark is a little higher than a line: their middles are level
            words.setContentsMargins(0, lower, 0, 0)
        role = {StepMark.CURRENT: "strong", StepMark.WAITING: "body"}.get(each.mark, "muted_body")
        glyph.show_shape(SHAPES[each.mark])
        says = self._measures.step_says(each.step, "title")
        if each.mark is StepMark.LEFT_OUT:
            says = self.tr("{title} (left out)").format(title=says)
        elif each.mark is StepMark.REPLACED:
            says = self.tr("{title} (replaced)").format(title=says)
        title.say(says, role)
        time.setText(self._time(each))
        as_role(time, "muted_body" if role != "strong" else "strong")
        title.setAccessibleName(
            self.tr("{title}: {mark}").format(title=says, mark=mark_words(self, each.mark))
        )

    def _time(self, each: StepProgress) -> str:
        """Done: how long it took.  Waiting: how long its timer runs, where it has one."""
        if each.begun_at_s is not None and each.ended_at_s is not None:
            return elapsed_words(each.ended_at_s - each.begun_at_s)
        if each.mark is StepMark.WAITING and each.step.timer_s is not None:
            return self.tr("({time})").format(time=elapsed_words(each.step.timer_s))
        return ""

    def _reveal(self) -> None:
        if 0 <= self._index < len(self._rows):
            margin = 4 * theme_now().em()
            self._scroller.ensureWidgetVisible(self._rows[self._index][1], 0, margin)
            bar = self._scroller.verticalScrollBar()
            tops = [row[1].y() for row in self._rows[: self._index + 1]]
            if bar.value() > 0:  # the first row in sight stands there whole
                bar.setValue(max((top for top in tops if top <= bar.value()), default=0))


def mark_words(widget: QWidget, mark: StepMark) -> str:
    return {
        StepMark.WAITING: widget.tr("waiting"),
        StepMark.CURRENT: widget.tr("now"),
        StepMark.DONE: widget.tr("done"),
        StepMark.LEFT_OUT: widget.tr("left out"),
        StepMark.REPLACED: widget.tr("replaced"),
    }[mark]
