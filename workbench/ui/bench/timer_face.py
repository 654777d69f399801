"""The large timer: what it counts, and what its end means."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from workbench.core.batch.steps import Step
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.now import Clockwork, TimerShown
from workbench.ui.bench.words import countdown_words, elapsed_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words


class TimerFace(QWidget):
    """Digits that keep their places, with one line underneath that says what they are."""

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._shown = TimerShown(Clockwork.NONE, 0.0)
        self._step: Step | None = None
        self.digits = QLabel(self)
        as_role(self.digits, "display")
        self.caption = Words("", "muted_body")
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(theme_now().space(1))
        box.addWidget(self.digits)
        box.addWidget(self.caption)
        box.addStretch(1)

    def show_timer(self, shown: TimerShown, step: Step | None, measures: Measures) -> None:
        self._shown, self._step, self._measures = shown, step, measures
        self._refresh()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._refresh()
        super().changeEvent(event)

    def _refresh(self) -> None:
        shown = self._shown
        self.setVisible(shown.kind is not Clockwork.NONE)
        digits = timer_digits(shown)
        if digits != self.digits.text():
            self.digits.setText(digits)
        as_role(self.digits, "over" if is_over(shown) else "display")
        self.caption.say(timer_caption(self, shown, self._step, self._measures))
        self.setAccessibleName(self.tr("Timer"))
        self.setAccessibleDescription(self.caption.text())


def is_over(shown: TimerShown) -> bool:
    return shown.kind is Clockwork.OVER or (
        shown.kind in (Clockwork.BURST, Clockwork.STIR) and shown.seconds <= 0
    )


def timer_digits(shown: TimerShown) -> str:
    if shown.kind is Clockwork.UP or shown.kind is Clockwork.READ:
        return elapsed_words(shown.seconds)
    if shown.kind is Clockwork.OVER:
        return f"+{elapsed_words(shown.seconds)}"
    if shown.kind is Clockwork.BURST and shown.seconds <= 0:
        return f"+{elapsed_words(-shown.seconds)}"
    return countdown_words(shown.seconds)


def timer_caption(widget: QWidget, shown: TimerShown, step: Step | None, measures: Measures) -> str:
    match shown.kind:
        case Clockwork.DOWN:
            return widget.tr("left of {total}").format(total=elapsed_words(shown.total_s))
        case Clockwork.OVER:
            if step is not None and step.timer_says:
                return measures.step_says(step, "timer_says")
            return widget.tr("The time is over.")
        case Clockwork.UP:
            return widget.tr("in this step")
        case Clockwork.BURST:
            if shown.seconds <= 0:
                return widget.tr("Stop the microwave now.")
            return widget.tr("burst of {total} s").format(total=round(shown.total_s))
        case Clockwork.STIR:
            if shown.seconds <= 0:
                return widget.tr("Stirred enough. Take the temperature.")
            return widget.tr("stir")
        case Clockwork.READ:
            return widget.tr("Take the temperature and type it in.")
        case Clockwork.NONE:
            return ""
