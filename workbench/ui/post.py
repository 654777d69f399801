"""Brings a call from any thread into the thread of the window.

There is one for the application, and it lives as long: a thread may finish
when the page that asked is long gone, and must never ring at the door of an
object that is being deleted.  What is brought stays with Python; through Qt
goes only a signal without arguments.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from queue import Empty, SimpleQueue
from typing import TypeVar
from weakref import ref

from PySide6.QtCore import QCoreApplication, QObject, Qt, Signal
from shiboken6 import isValid

Waiting = TypeVar("Waiting", bound=QObject)

_NAME = "balmbook-post"


class Post(QObject):
    """`send` from any thread; the calls are made in the order they were sent."""

    _rang = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(_NAME)
        self._calls: SimpleQueue[Callable[[], object]] = SimpleQueue()
        self._rang.connect(self._open, Qt.ConnectionType.QueuedConnection)

    def send(self, call: Callable[[], object]) -> None:
        self._calls.put(call)
        try:
            self._rang.emit()
        except RuntimeError:
            return  # the application is gone: nobody waits for this any more

    def send_to(self, waiting: ref[Waiting], call: Callable[[Waiting], object]) -> None:
        """`call` with who waits, if it is still there by then."""
        self.send(partial(_with, waiting, call))

    def to(self, waiting: QObject) -> Callable[[Callable[[], object]], None]:
        """`send` for one who waits: nothing is called once that one is gone."""
        there, send_to = ref(waiting), self.send_to
        return lambda call: send_to(there, lambda _waiting: call())

    def _open(self) -> None:
        """One call for each ring, so that a fault in one leaves the others as they are."""
        try:
            call = self._calls.get_nowait()
        except Empty:
            return
        call()


def _with(waiting: ref[Waiting], call: Callable[[Waiting], object]) -> None:
    there = waiting()
    if there is not None and isValid(there):
        call(there)


def application_post() -> Post:
    """The one of the running application; asked for in the thread of the window."""
    application = QCoreApplication.instance()
    found = None if application is None else application.findChild(Post, _NAME)
    return found if isinstance(found, Post) else Post(application)
