"""Drawing that keeps up with readings that come faster than anybody can look.

A thermometer that is read every second, for hours, or a practice that runs
fast, brings more changes than a card can be laid out for.  A few of them are
shown at once; where they keep coming, the newest is shown a few times a
second, and the last one always.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

MOST_AT_ONCE = 20  # shown one by one before it is worth sparing
DRAWS_PER_S = 2.0


class Ration:
    """So many at once, and after that so many a second."""

    seconds: Callable[[], float] = staticmethod(
        time.monotonic
    )  # any clock that goes forward; differences count

    def __init__(self, per_s: float, at_once: int = MOST_AT_ONCE) -> None:
        self._per_s, self._most = per_s, float(at_once)
        self._left = self._most
        self._seen_s = self.seconds()

    def may(self) -> bool:
        """Whether there is one left; it is taken."""
        now_s = self.seconds()
        self._left = min(self._most, self._left + (now_s - self._seen_s) * self._per_s)
        self._seen_s = now_s
        if self._left < 1.0:
            return False
        self._left -= 1.0
        return True


class Sparing(QObject):
    """Calls `draw` when asked to: at once while that is seldom, else soon."""

    def __init__(self, draw: Callable[[], None], parent: QObject, per_s: float = DRAWS_PER_S) -> None:
        super().__init__(parent)
        self._draw = draw
        self._ration = Ration(per_s)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(round(1000 / per_s))
        self._soon.timeout.connect(self._again)

    @property
    def waiting(self) -> bool:
        """Something newer than what is shown will be drawn in a moment."""
        return self._soon.isActive()

    def ask(self) -> None:
        if self.waiting:
            return
        if self._ration.may():
            self._draw()
        else:
            self._soon.start()

    def stop(self) -> None:
        """It was drawn for another reason, or nobody looks any more."""
        self._soon.stop()

    def _again(self) -> None:
        if self._ration.may():
            self._draw()
        else:
            self._soon.start()


class Soon(QTimer):
    """Calls once the loop of events runs again, however often it is started before.

    It goes with its owner.  (A single shot that is still under way when its
    owner goes keeps what it would have called, and all that hangs on it, for ever.)
    """

    def __init__(self, call: Callable[[], None], owner: QObject) -> None:
        super().__init__(owner)
        self.setSingleShot(True)
        self.setInterval(0)
        self.timeout.connect(call)
