"""The keys of the bench: those that nothing else in the window wanted.

Digits go to the field, F-keys work everywhere, single letters only while no
text field has the focus.  Every key passes the press gate, so that the
primary action hears of an elbow.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from workbench.devices.typed import TypedNumbers, takes_text
from workbench.ui.bench.press import Press, PressGate

HOLD_KEY, DONE_KEY, FAR_KEY, REST_KEY, MORE_KEY, TURN_KEY = "F9", "F8", "F4", "F10", "F12", "F3"
PRIMARY = Qt.Key.Key_F8
PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)

Call = Callable[[], object]


class BenchKeys(QObject):
    """`hand_s` is the clock of the hand; `came` is told of every press of the primary action."""

    def __init__(
        self,
        hand_s: Callable[[], float],
        came: Callable[[Press], None],
        digit: Callable[[str], None],
        calls: Mapping[Qt.Key, Call],
        letters: Mapping[Qt.Key, Call],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._hand_s, self._came = hand_s, came
        self._calls, self._letters = calls, letters
        self._gate = PressGate()
        self._typed = TypedNumbers(self)
        self._typed.listen(digit)
        self._window: QWidget | None = None

    def watch(self, window: QWidget | None) -> None:
        """Watch this window from now on; None: none."""
        if window is self._window:
            return
        if self._window is not None:
            self._window.removeEventFilter(self)
        self._window = window
        self._typed.watch(window)
        if window is not None:
            window.installEventFilter(self)

    def something_happened(self) -> None:
        """Something was recorded or a step began: a press that follows at once does not count."""
        self._gate.something_happened(self._hand_s())

    def other(self) -> None:
        """Some other key went down."""
        self._gate.other_key(self._hand_s())

    def down(self) -> None:
        self._gate.down(self._hand_s())

    def up(self) -> None:
        self._came(self._gate.up(self._hand_s()))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent):
            return False
        if event.type() is QEvent.Type.KeyPress:
            return self._pressed(event)
        if event.type() is QEvent.Type.KeyRelease and event.key() == PRIMARY and not event.isAutoRepeat():
            self.up()
            return True
        return False

    def _pressed(self, event: QKeyEvent) -> bool:
        if event.key() == PRIMARY:
            if not event.isAutoRepeat():
                self.down()
            return True
        self.other()
        if event.isAutoRepeat():
            return False
        call = self._calls.get(Qt.Key(event.key()))
        if call is None and event.modifiers() in PLAIN and not takes_text(QApplication.focusWidget()):
            call = self._letters.get(Qt.Key(event.key()))
        if call is None:
            return False
        call()
        return True
