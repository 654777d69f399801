"""Drawing that keeps up with readings that come faster than anybody can look.

A thermometer that is read every second, for hours, or a practice that runs
fast, brings more changes than a card can be laid out for.  A few of them are
shown at once; where they keep coming, the newest is shown a few times a
second, and the last one always.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QObject, QTimer

MOST_AT_ONCE = 20  # shown one by one before it is worth sparing
DRAWS_PER_S = 4


class Sparing(QObject):
    """Calls `draw` when asked to: at once while that is seldom, else soon."""

    def __init__(self, draw: Callable[[], None], parent: QObject) -> None:
        super().__init__(parent)
        self._draw = draw
        self._left = float(MOST_AT_ONCE)
        self._since = QElapsedTimer()
        self._since.start()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(1000 // DRAWS_PER_S)
        self._soon.timeout.connect(self._now)

    @property
    def waiting(self) -> bool:
        """Something newer than what is shown will be drawn in a moment."""
        return self._soon.isActive()

    def ask(self) -> None:
        self._left = min(float(MOST_AT_ONCE), self._left + 1e-3 * self._since.restart() * DRAWS_PER_S)
        if self._left >= 1.0 and not self.waiting:
            self._left -= 1.0
            self._now()
        elif not self.waiting:
            self._soon.start()

    def stop(self) -> None:
        """It was drawn for another reason, or nobody looks any more."""
        self._soon.stop()

    def _now(self) -> None:
        self._soon.stop()
        self._draw()
