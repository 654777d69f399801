"""One small form inside the card, for everything that is asked beside the step's own needs.

No dialog: what is hot stays in view.  A `Form` is data (what to ask, and how
the answers become a command); `FormPanel` shows it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCheckBox, QFrame, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from workbench.core.batch.commands import Command
from workbench.core.trouble import Trouble
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, button, clear
from workbench.ui.widgets.choose import ListBox


@dataclass(frozen=True, slots=True)
class Answers:
    """What was filled in; texts are stripped."""

    reason: str = ""
    number: str = ""
    chosen: str = ""
    ticked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Form:
    """What to ask.  `make` may raise `Trouble` with a sentence; the form stays open then."""

    heading: str
    text: str
    accept: str  # words of the button
    make: Callable[[Answers], Command]
    reason_label: str = ""  # asks for words; "" asks for none
    number_label: str = ""
    number_unit: str = ""
    choice_label: str = ""
    choices: tuple[tuple[str, str], ...] = ()  # key, words
    statements: tuple[tuple[str, str], ...] = ()  # key, words; all must be ticked
    beside: Callable[[str], str] | None = field(default=None, compare=False)  # words for the choice made
    need_reason: str = ""  # said when the reason is missing
    need_all: str = ""  # said when a statement is not ticked


class FormPanel(QFrame):
    """accepted(Command), or closed() without one."""

    accepted = Signal(object)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "panel")
        self._form: Form | None = None
        self.choice: ListBox | None = None
        self.number: QLineEdit | None = None
        self.reason: QLineEdit | None = None
        self.ticks: list[QCheckBox] = []
        self.says, self._beside = Words("", "error", self), Words("", "muted_body", self)
        self.says.hide()
        self._beside.hide()
        self._box = QVBoxLayout(self)
        margin = theme_now().space(4)
        self._box.setContentsMargins(margin, margin, margin, margin)
        self._box.setSpacing(theme_now().space(2))
        self.hide()

    @property
    def form(self) -> Form | None:
        return self._form

    def open(self, form: Form) -> None:
        self._form = form
        clear(self._box)
        self.choice = self.number = self.reason = None
        self.ticks = []
        self._box.addWidget(Words(form.heading, "lead", self))
        if form.text:
            self._box.addWidget(Words(form.text, "body", self))
        first: QWidget | None = None
        if form.choices:
            self.choice = ListBox(self)
            for key, words in form.choices:
                self.choice.addItem(words, key)
            self._field(form.choice_label, self.choice)
            self._beside = Words("", "muted_body", self)
            self._box.addWidget(self._beside)
            self.choice.currentIndexChanged.connect(self._chosen)
            self._chosen()
            first = self.choice
        for key, words in form.statements:
            tick = QCheckBox(words, self)
            tick.setProperty("statement", key)
            self._box.addWidget(tick)
            self.ticks.append(tick)
            first = first or tick
        if form.number_label:
            self.number = QLineEdit(self)
            label = form.number_label if not form.number_unit else f"{form.number_label} ({form.number_unit})"
            self._field(label, self.number)
            first = first or self.number
        if form.reason_label:
            self.reason = QLineEdit(self)
            self.reason.setMaxLength(200)
            self._field(form.reason_label, self.reason)
            first = first or self.reason
        self.says = Words("", "error", self)
        self.says.hide()
        self._box.addWidget(self.says)
        accept = button(form.accept, self.accept, "primary", self)
        leave = button(self.tr("Leave it (Esc)"), self.leave, "", self)
        line = QHBoxLayout()
        line.addWidget(accept)
        line.addWidget(leave)
        line.addStretch(1)
        self._box.addLayout(line)
        self.setAccessibleName(form.heading)
        self.show()
        (first or accept).setFocus(Qt.FocusReason.OtherFocusReason)

    def accept(self) -> None:
        form = self._form
        if form is None:
            return
        answers = Answers(
            reason=self.reason.text().strip() if self.reason is not None else "",
            number=self.number.text().strip() if self.number is not None else "",
            chosen=str(self.choice.currentData()) if self.choice is not None else "",
            ticked=tuple(str(tick.property("statement")) for tick in self.ticks if tick.isChecked()),
        )
        if len(answers.ticked) < len(form.statements):
            self.says.say_or_hide(form.need_all)
            return
        if form.reason_label and form.need_reason and not answers.reason:
            self.says.say_or_hide(form.need_reason)
            if self.reason is not None:
                self.reason.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        try:
            command = form.make(answers)
        except Trouble as trouble:
            self.says.say_or_hide(trouble.says)
            return
        self.accepted.emit(command)

    def refuse(self, says: str) -> None:
        """The command was not taken; the form stays with the reason."""
        self.says.say_or_hide(says)

    def leave(self) -> None:
        if self._form is not None:
            self._form = None
            self.hide()
            self.closed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
            event.accept()
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if isinstance(self.focusWidget(), QLineEdit) and not event.isAutoRepeat():
                self.accept()
            event.accept()
            return
        super().keyPressEvent(event)

    def _field(self, label: str, widget: QWidget) -> None:
        words = Words(label, "muted_body", self)
        words.setBuddy(widget)
        widget.setAccessibleName(label)
        self._box.addWidget(words)
        self._box.addWidget(widget)

    def _chosen(self) -> None:
        if self._form is not None and self._form.beside is not None and self.choice is not None:
            self._beside.say_or_hide(self._form.beside(str(self.choice.currentData())))
        else:
            self._beside.hide()
