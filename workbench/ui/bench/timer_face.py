"""The large timer: what it counts, and what its end means.

Where something is to be weighed it shows how much instead: how long a step
of that kind has been going on is worth no large letters.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QBoxLayout, QLabel, QWidget

from workbench.core.batch.steps import Step
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.now import Clockwork, TimerShown
from workbench.ui.bench.sheet import figure_font
from workbench.ui.bench.words import countdown_words, elapsed_words
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words


class TimerFace(QWidget):
    """Digits that keep their places, with one line underneath that says what they are."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = Measures()
        self._shown = TimerShown(Clockwork.NONE, 0.0)
        self._target = ("", "")  # how much, and from where to where is good
        self._step: Step | None = None
        self._flat = False
        self.digits = QLabel(self)
        as_role(self.digits, "display")
        self.caption = Words("", "muted_body")
        box = self._box = QBoxLayout(QBoxLayout.Direction.TopToBottom, self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(theme_now().space(1))
        box.addWidget(self.digits)
        box.addWidget(self.caption)
        box.addStretch(1)

    def show_timer(
        self, shown: TimerShown, step: Step | None, measures: Measures, target: tuple[str, str] = ("", "")
    ) -> None:
        self._shown, self._step, self._measures, self._target = shown, step, measures, target
        self._refresh()

    @property
    def weighs(self) -> bool:
        """It shows what the scale should show."""
        return bool(self._target[0]) and self._shown.kind in (Clockwork.UP, Clockwork.NONE)

    def set_form(self, flat: bool) -> None:
        """Large, or in one line with what it is."""
        if flat == self._flat:
            return
        self._flat = flat
        way = QBoxLayout.Direction.LeftToRight if flat else QBoxLayout.Direction.TopToBottom
        self._box.setDirection(way)
        self._box.setSpacing(theme_now().space(3 if flat else 1))
        self._box.setStretchFactor(self.caption, 1 if flat else 0)
        self._refresh()

    def tall_at(self, width: int, flat: bool) -> int:
        """The height it needs in this form, in px."""
        digits = QFontMetrics(figure_font(theme_now(), flat))
        if not flat:
            return digits.height() + theme_now().space(1) + self.caption.heightForWidth(width)
        beside = width - digits.horizontalAdvance(self.digits.text()) - theme_now().space(3)
        return max(digits.height(), self.caption.heightForWidth(max(1, beside)))

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._refresh()
        super().changeEvent(event)

    def _refresh(self) -> None:
        shown = self._shown
        self.setVisible(self.weighs or shown.kind not in (Clockwork.NONE, Clockwork.UP))
        digits, caption = self._target
        if not self.weighs:
            digits, caption = timer_digits(shown), timer_caption(self, shown, self._step, self._measures)
        if digits != self.digits.text():
            self.digits.setText(digits)
        role = "over" if is_over(shown) else "display"
        as_role(self.digits, f"{role}_flat" if self._flat else role)
        self.caption.say(caption)
        self.setAccessibleName(self.tr("Target") if self.weighs else self.tr("Timer"))
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
