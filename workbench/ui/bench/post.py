"""Brings results of the one writer back into the thread of the window."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Qt, Signal


class Poster(QObject):
    """`post(call)` may come from any thread; `call` runs in the thread that made this object."""

    _posted = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._posted.connect(self._run, Qt.ConnectionType.QueuedConnection)

    def post(self, call: Callable[[], None]) -> None:
        self._posted.emit(call)

    def _run(self, call: Callable[[], None]) -> None:
        call()
