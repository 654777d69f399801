"""What will be wanted later is loaded while nothing happens, so that nobody waits for it.

Modules without Qt are loaded in a thread of the pool.  Those of the window are
loaded in its own thread, where their classes belong, one at a time between
other things.  While a batch runs nothing is loaded at all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from importlib import import_module

from PySide6.QtCore import QObject, QTimer

from workbench.ui.scent.later import Later

AFTER_MS = 1500  # the window has been drawn, and what was opened has been worked out
BETWEEN_MS = 40
BUSY_MS = 60_000

Load = Callable[[str], object]


class Warming(QObject):
    """`busy()`: something goes on that must not be kept waiting.  `load` is for tests."""

    def __init__(
        self,
        plain: Sequence[str],
        of_window: Sequence[str],
        busy: Callable[[], bool],
        parent: QObject | None = None,
        load: Load = import_module,
    ) -> None:
        super().__init__(parent)
        self._plain: tuple[str, ...] = tuple(plain)
        self._waiting = list(of_window)
        self._busy, self._load = busy, load
        self._later = Later(self)
        self._later.came.connect(self._go_on)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.look)

    @property
    def waiting(self) -> bool:
        """Whether something is still to be loaded, and a timer runs for it."""
        return self._timer.isActive()

    def start(self) -> None:
        self._timer.start(AFTER_MS)

    def stop(self) -> None:
        """Nothing more is loaded ahead; it comes when it is wanted."""
        self._timer.stop()
        self._later.forget()

    def look(self) -> None:
        """Load the next thing, unless somebody needs the machine."""
        if self._busy():
            self._timer.start(BUSY_MS)
        elif self._plain:
            plain, self._plain = self._plain, ()
            self._later.start(partial(_load_all, plain, self._load))
        elif self._waiting:
            self._load(self._waiting.pop(0))
            self._go_on(None)

    def _go_on(self, _loaded: object) -> None:
        if self._waiting:
            self._timer.start(BETWEEN_MS)


def _load_all(names: Sequence[str], load: Load) -> None:
    for name in names:
        load(name)
