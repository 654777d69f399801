"""The one field of a running step.

Enter records only while there is text; an empty Enter does nothing at all,
so a second stroke of the key cannot finish a step.  In a field for numbers a
number comes first: letters before it are swallowed, and a key that repeats
itself types nothing, because a number with three equal digits is far more
often an elbow than a weight.  Letters behind a number are kept: 149 °F read
as 149 °C, or 1e9 as 19, would be a wrong record that nobody typed.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from workbench.ui.theme import as_role

NUMBER_KEYS = "0123456789.,-+"


class BenchEntry(QLineEdit):
    entered = Signal(str)  # Enter, with text
    key_seen = Signal()  # any key but those that go further up

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "entry")
        self._numbers = True
        self.setMaxLength(200)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.DefaultContextMenu)

    @property
    def takes_numbers(self) -> bool:
        return self._numbers

    def take_numbers(self, on: bool) -> None:
        self._numbers = on
        self.setAlignment(Qt.AlignmentFlag.AlignRight if on else Qt.AlignmentFlag.AlignLeft)
        self.setInputMethodHints(
            Qt.InputMethodHint.ImhFormattedNumbersOnly if on else Qt.InputMethodHint.ImhNone
        )

    def take_key(self, character: str) -> None:
        """A character that was typed elsewhere in the window."""
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.end(False)
        self.insert(character)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.key_seen.emit()
            if self.text().strip() and not event.isAutoRepeat():
                self.entered.emit(self.text())
            event.accept()
            return
        if event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
            event.accept()
            return
        text = event.text()
        plain = not event.modifiers() & (
            Qt.KeyboardModifier.ControlModifier
            | Qt.KeyboardModifier.AltModifier
            | Qt.KeyboardModifier.MetaModifier
        )
        if text and text.isprintable() and plain:
            self.key_seen.emit()
            number = text in NUMBER_KEYS or any(each.isdigit() for each in self.text())
            if self._numbers and (event.isAutoRepeat() or not number):
                event.accept()
                return
        super().keyPressEvent(event)
