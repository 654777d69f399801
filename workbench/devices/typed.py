"""Numbers that are typed anywhere in a window.

The maker has one hand free and no mind for where the cursor stands, and many
scales and thermometers can pretend to be a keyboard.  `TypedNumbers` watches
one window: a digit or a decimal mark that nothing else in the window took is
handed on to whoever listens.  It hands on characters, never numbers; what
they mean is decided where they are read.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QLineEdit, QPlainTextEdit, QTextEdit, QWidget

STARTS_A_NUMBER = "0123456789.,-"
_TAKE_OVER = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
_TAKE_OVER |= Qt.KeyboardModifier.MetaModifier


class NumberFeed(Protocol):
    """Where typed characters come from."""

    def listen(self, to: Callable[[str], None]) -> None: ...


class ScriptedNumbers:
    """The silent side: hands on what a test or a practice run types."""

    def __init__(self) -> None:
        self._to: list[Callable[[str], None]] = []

    def listen(self, to: Callable[[str], None]) -> None:
        self._to.append(to)

    def type(self, characters: str) -> None:
        for character in characters:
            for listener in self._to:
                listener(character)


def takes_text(widget: QWidget | None) -> bool:
    """Whether letters typed now are meant as text."""
    if isinstance(widget, QLineEdit | QPlainTextEdit | QTextEdit):
        return not widget.isReadOnly()
    return isinstance(widget, QAbstractSpinBox)


class TypedNumbers(QObject):
    """The real side.

    It filters the events of the window only, not of the whole application:
    a key that the focused widget does not want travels up to the window, and
    that is exactly the key that is free.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window: QWidget | None = None
        self._to: list[Callable[[str], None]] = []

    def listen(self, to: Callable[[str], None]) -> None:
        self._to.append(to)

    def watch(self, window: QWidget | None) -> None:
        """Watch this window from now on; None: none, so that digits are ordinary keys."""
        if window is self._window:
            return
        if self._window is not None:
            self._window.removeEventFilter(self)
        self._window = window
        if window is not None:
            window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is not QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        text = event.text()
        if len(text) != 1 or text not in STARTS_A_NUMBER or event.modifiers() & _TAKE_OVER:
            return False
        if takes_text(QApplication.focusWidget()):
            return False
        for listener in self._to:
            listener(text)
        return True
