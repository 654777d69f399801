"""Python's cyclic rubbish is swept in the thread of the window, and nowhere else.

The collector runs in whichever thread happens to make the next object.  When
that is a thread of the pool and the rubbish holds a Qt object (a line that was
taken off a curve, say), the bindings let go of its Python half there and leave
the C++ half to be deleted in the window's thread later.  A signal that reaches
it in between finds no Python half, and the process ends.  Or the rubbish has
a connection to undo: that thread then holds a lock of Qt and waits for Python,
while the window holds Python and waits for the lock, and both stand still for
ever.  Both were seen in batches of hours.  So the collector is switched off
and called from here, in its own measure.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

LOOK_MS = 500
OLDEST_EVERY = 120  # looks: the oldest objects are gone through once a minute at most


class Sweeping(QObject):
    """Lives as long as the application; the collector has its old ways again once it is stopped."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._looks = 0
        self._was_on = gc.isenabled()
        gc.disable()
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> None:
        self._looks += 1
        if sweep(up_to=2 if self._looks >= OLDEST_EVERY else 1) == 2:
            self._looks = 0

    def stop(self) -> None:
        self._timer.stop()
        if self._was_on:
            gc.enable()


def sweep(up_to: int = 2) -> int | None:
    """Sweep the oldest generation that is full, up to that one, with all that are younger; which it was."""
    full, most = gc.get_count(), gc.get_threshold()
    for generation in range(up_to, -1, -1):
        if full[generation] > most[generation]:
            gc.collect(generation)
            return generation
    return None
