"""One line of the list of what a step records: a tick, a weight, or a question with its answers."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QWidget

from workbench.ui.bench.glyph import Glyph, Shape
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.now import NeedShown
from workbench.ui.theme import as_role, theme_now
from workbench.ui.widgets.basic import Words, clear
from workbench.ui.widgets.flow import Flow


class NeedRow(QWidget):
    """One line of the list: mark, words, what was recorded; pressing it chooses or ticks it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = ""
        self.glyph = Glyph(Shape.RING, self)
        self.button = QPushButton(self)
        as_role(self.button, "need")
        self.button.setCheckable(False)
        self.value = QLabel(self)
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(theme_now().space(2))
        box.addWidget(self.glyph)
        box.addWidget(self.button, 1)
        box.addWidget(self.value)


class ChoiceRow(QWidget):
    """A question with its answers as numbered buttons; answered(need, answer)."""

    answered = Signal(str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = ""
        self.glyph = Glyph(Shape.RING, self)
        self.label = Words("", "strong", self)
        self.buttons: list[QPushButton] = []
        self._shown: tuple[object, ...] = ()
        self._answers = Flow()
        self._answers.setParent(self)
        self._box = QGridLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setHorizontalSpacing(theme_now().space(2))
        self._box.setVerticalSpacing(theme_now().space(1))
        self._box.addWidget(self.glyph, 0, 0)
        self._box.addWidget(self.label, 0, 1)
        self._box.setColumnStretch(1, 1)
        self._one_line: bool | None = None

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """Question and answers on one line where they fit, else under one another."""
        words = self.label.fontMetrics().horizontalAdvance(self.label.text())
        wanted = self.glyph.sizeHint().width() + words + self._answers.sizeHint().width()
        one_line = wanted + 6 * theme_now().space(2) <= self.width()
        if one_line != self._one_line:
            self._one_line = one_line
            if one_line:
                self._box.addWidget(self._answers, 0, 2)
            else:
                self._box.addWidget(self._answers, 1, 0, 1, 3)

    def show_need(self, each: NeedShown, measures: Measures) -> None:
        self.key = each.need.key
        self.glyph.show_shape(Shape.RING if each.open else Shape.TICK)
        self.label.say(measures.say(each.need.label))
        value = None if each.recorded is None else str(each.recorded.value)
        shown = (each.need.choices, each.number, value, measures)
        if shown == self._shown:
            return
        self._shown = shown
        line = self._answers.layout()
        assert line is not None
        clear(line)
        self.buttons = []
        for at, choice in enumerate(each.need.choices):
            words = measures.say(choice)
            made = QPushButton(
                self.tr("{number}  {label}").format(number=each.number + at, label=words), self
            )
            as_role(made, "need")
            made.setCheckable(True)
            made.setChecked(choice == value)
            made.setAccessibleName(words)
            made.setProperty("answer", choice)
            made.clicked.connect(self._pressed)
            line.addWidget(made)
            self.buttons.append(made)
        self._one_line = None
        self._arrange()

    def _pressed(self) -> None:
        self._shown = ()  # what is recorded decides which one stays pressed
        self.answered.emit(self.key, str(self.sender().property("answer")))
