"""A batch that was interrupted: where it stood, what was recorded last, how long ago.

Nothing is thrown away and nothing goes on by itself.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from workbench.core.batch.commands import Command, EndBatch
from workbench.core.batch.state import Entry, Reading, SessionState
from workbench.core.wording import Duration
from workbench.ui.bench.form import Answers, Form, FormPanel
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import TARGET_MM, Ruler
from workbench.ui.bench.step_list import StepList
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, button

STEPS_EMS = 56  # from this width on the steps stand beside the words


def last_recorded(state: SessionState) -> Entry | Reading | None:
    """The newest thing the maker recorded."""
    entry = state.entries[-1] if state.entries else None
    reading = state.last_reading
    if entry is None or reading is None:
        return entry or reading
    return entry if entry.seq > reading.seq else reading


class ResumePanel(QWidget):
    """go_on(), ended(EndBatch) with a reason, look() first."""

    go_on = Signal()
    ended = Signal(object)
    look = Signal()

    def __init__(
        self, state: SessionState, gap_s: float, measures: Measures, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._state, self._gap_s, self._measures = state, gap_s, measures
        self.heading = Words("", "title")
        self.where = Words("", "lead")
        self.last = Words("", "lead")
        self.warns = Words("", "head")
        self.steps = StepList(measures, self)
        self.on = button("", self.go_on.emit, "primary", self)
        self.see = button("", self.look.emit, "", self)
        self.end = button("", self._ask_end, "", self)
        self.form = FormPanel(self)
        self.form.accepted.connect(self.ended)
        for each in (self.on, self.see, self.end):  # oily hands come back to it
            each.setMinimumHeight(round(Ruler().px(self, TARGET_MM)))
        line = QHBoxLayout()
        line.addWidget(self.on)
        line.addWidget(self.see)
        line.addWidget(self.end)
        line.addStretch(1)
        box = QVBoxLayout()
        margin = theme_now().space(10)
        box.setSpacing(theme_now().space(4))
        whole = QHBoxLayout(self)
        whole.setContentsMargins(margin, margin, margin, margin)
        whole.setSpacing(margin)
        whole.addLayout(box, 3)
        whole.addWidget(self.steps, 2)
        for words in (self.heading, self.where, self.last, self.warns):
            box.addWidget(words)
        box.addLayout(line)
        box.addWidget(self.form)
        box.addStretch(1)
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self._say()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.on.setFocus(Qt.FocusReason.OtherFocusReason)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """How far it had come stands beside the words where there is room for both."""
        super().resizeEvent(event)
        self.steps.setVisible(self.width() >= STEPS_EMS * theme_now().em())

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        super().changeEvent(event)

    def _say(self) -> None:
        state, step = self._state, self._state.step
        gap = str(Duration(self._gap_s))
        self.heading.say(self.tr("A batch was interrupted"))
        title = "" if step is None else self._measures.step_says(step, "title")
        self.where.say(
            self.tr("{name}: it stood at “{title}”, {gap} ago.").format(
                name=state.recipe_name, title=title, gap=gap
            )
        )
        newest = last_recorded(state)
        if newest is None:
            self.last.say(self.tr("Nothing had been recorded yet."))
        elif isinstance(newest, Reading):
            self.last.say(
                self.tr("Recorded last: {value} at {time}.").format(
                    value=self._measures.temperature(state.celsius_of(newest)),
                    time=newest.wall.strftime("%H:%M"),
                )
            )
        else:
            self.last.say(
                self.tr("Recorded last: {value} at {time}.").format(
                    value=self._value(newest),
                    time=newest.wall.strftime("%H:%M"),
                )
            )
        self.warns.say_or_hide(
            self.tr(
                "The jug was hot then. If it still stands on the heat, take it off now. The batch comes back on hold: stir and take the temperature."
            )
            if state.hot
            else ""
        )
        self.steps.show_state(state, self._measures)
        self.on.setText(self.tr("Go on where it was"))
        self.see.setText(self.tr("Look at the record first"))
        self.end.setText(self.tr("End it there…"))

    def _value(self, entry: Entry) -> str:
        """What was recorded, with its unit: a bare number says nothing a day later."""
        if entry.mass_g is None or entry.kind == "drops counted":
            return entry.typed or self._measures.say(str(entry.value))
        return self._measures.mass(entry.mass_g, 0.01 if entry.material else None)

    def _ask_end(self) -> None:
        def make(answers: Answers) -> Command:
            return EndBatch(answers.reason, safe=True)

        self.form.open(
            Form(
                heading=self.tr("End this batch where it stood?"),
                text=self.tr("It cannot be taken up again. Everything recorded so far is kept."),
                accept=self.tr("End the batch"),
                make=make,
                reason_label=self.tr("Why"),
                need_reason=self.tr("Type the reason in a few words."),
                statements=(("safe", self.tr("The heat is off and nothing hot is left standing unwatched.")),)
                if self._state.hot
                else (),
                need_all=self.tr("Make it safe first, then tick it."),
            )
        )
