"""The one field for numbers: both decimal marks, no group marks, never 13 out of 1.3.

A stock spin box in an English locale reads "1,3" as 13 without a word, a
tenfold slip at the scale.  This field reads its text with the reader of the
core, shows the unit outside the text, keeps the text as it was typed, and
says in a sentence what it cannot read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from workbench.core.trouble import Trouble
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, row
from workbench.ui.writing import told

SAYS_EM = 16  # the width of a sentence under a field


@dataclass(frozen=True, slots=True)
class Typed:
    """A number that was read, and the text it was read from."""

    value: Any  # whatever the reader of the field answers with
    text: str


Reader = Callable[[str], Any]


class NumberEdit(QLineEdit):
    """The text part.  Enter records only while there is text; the wheel does nothing."""

    recorded = Signal(object)  # Typed
    refused = Signal(str)  # the sentence; "" when all is well
    left_empty = Signal()

    def __init__(self, read: Reader, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._read = read
        self._settled = ""
        self._fault = ""
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.textEdited.connect(self._edited)
        self.returnPressed.connect(self.commit)

    @property
    def fault(self) -> str:
        return self._fault

    @property
    def dirty(self) -> bool:
        return self.text().strip() != self._settled

    def show_text(self, text: str) -> None:
        """Show a settled value; what is being typed is not overwritten."""
        if self.hasFocus() and self.dirty:
            return
        self._settled = text.strip()
        if self.text() != text:
            self.setText(text)
        self._say("")

    def commit(self) -> bool:
        """Read the text and hand it on; True when nothing is left to settle."""
        text = self.text().strip()
        if not self.dirty:
            return not self._fault
        if not text:
            self._settled = ""
            self._say("")
            self.left_empty.emit()
            return True
        try:
            value = self._read(text)
        except Trouble as trouble:
            self._say(told(trouble.says))
            return False
        self._settled = text
        self._say("")
        self.recorded.emit(Typed(value, text))
        return not self._fault

    def refuse(self, says: str) -> None:
        """A value that could be read but is not possible here; the text stays to be mended."""
        self._settled = "\0"  # so that the same text is read again
        self._say(says)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() is not Qt.FocusReason.PopupFocusReason:
            self.commit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.dirty:
            self.setText("" if self._settled == "\0" else self._settled)
            self._say("")
            event.accept()
            return
        super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def _edited(self) -> None:
        if self._fault:
            self._say("")

    def _say(self, says: str) -> None:
        if says == self._fault:
            return
        self._fault = says
        self.setProperty("fault", "true" if says else "false")
        self.style().unpolish(self)
        self.style().polish(self)
        self.refused.emit(says)


class NumberField(QWidget):
    """A number with its unit outside the text and, where it cannot be read, why, underneath."""

    recorded = Signal(object)  # Typed
    left_empty = Signal()

    def __init__(
        self,
        name: str,
        read: Reader,
        unit: str = "",
        chars: int = 8,
        parent: QWidget | None = None,
        show_fault: bool = True,
    ) -> None:
        super().__init__(parent)
        self.edit = NumberEdit(read, self)
        self.edit.setAccessibleName(name)
        self._chars = chars
        self.unit = QLabel(unit, self)
        as_role(self.unit, "unit")
        self.unit.setVisible(bool(unit))
        self.says = Words("", "error", self)
        self.says.hide()
        line = row(self.edit, self.unit, gap=1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(GRID_PX // 2)
        whole.addLayout(line)
        whole.addWidget(self.says)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._show_fault = show_fault
        self.edit.recorded.connect(self.recorded)
        self.edit.left_empty.connect(self.left_empty)
        self.edit.refused.connect(self._say)
        self._measure()

    @property
    def fault(self) -> str:
        return self.edit.fault

    def setFocus(self, reason: Qt.FocusReason = Qt.FocusReason.OtherFocusReason) -> None:
        """To the text.  No focus proxy: the tab key stops at whatever has one, wherever it stands in the order."""
        self.edit.setFocus(reason)

    def show_text(self, text: str) -> None:
        self.edit.show_text(text)

    def set_hint(self, text: str) -> None:
        """What stands in the field while it is empty; the field is wide enough for it."""
        self.edit.setPlaceholderText(text)
        self._measure()

    def show_unit(self, unit: str) -> None:
        if unit != self.unit.text():
            self.unit.setText(unit)
            self.unit.setVisible(bool(unit))

    def commit(self) -> bool:
        return self.edit.commit()

    def refuse(self, says: str) -> None:
        self.edit.refuse(says)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._measure()

    def _measure(self) -> None:
        metrics = self.edit.fontMetrics()
        texts = ("0" * self._chars, self.edit.placeholderText())
        width = max(map(metrics.horizontalAdvance, texts)) + 5 * GRID_PX
        if self.edit.minimumWidth() != width:
            self.edit.setFixedWidth(width)

    def _say(self, says: str) -> None:
        self.edit.setAccessibleDescription(says)
        if not self._show_fault:
            return
        self.says.say_or_hide(says)
        if says:  # as wide as a sentence needs, not as narrow as its number, and as tall as it is then
            natural = self.says.fontMetrics().horizontalAdvance(self.says.text()) + GRID_PX
            width = max(self.edit.minimumWidth(), min(natural, SAYS_EM * theme_now().em()))
            self.says.setFixedWidth(width)
            self.says.setMinimumHeight(self.says.heightForWidth(width))


def commit_all(root: QWidget) -> bool:
    """Settle every open number field below `root`; False when one holds what cannot be read.

    The first such field gets the focus.
    """
    first: NumberEdit | None = None
    for edit in root.findChildren(NumberEdit):
        if not edit.commit() and first is None:
            first = edit
    if first is not None:
        first.setFocus(Qt.FocusReason.OtherFocusReason)
    return first is None
