"""The last window: what is still being written after the others have closed, and for how long at most.

A process that nobody sees must not wait for a disk for ever, and a kitchen
computer must not be switched off while a backup is on its way.  So whatever
takes longer than a moment is said in a small window, which goes by itself.
After a limit, or when the maker has had enough, what is not written is put
into a copy on this computer and noted for the next opening; then the program
ends without those who still wait.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from time import monotonic

from PySide6.QtCore import QEventLoop, Qt, QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QWidget

from workbench.core.wording import Duration
from workbench.ui.keeping.at_work import AtWork
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.ask import MOST_PX
from workbench.ui.widgets.basic import Words, button, column, row

MOMENT_S = 0.5  # the window that closed has waited for the usual case already
WRITING_S = 30.0  # an entry is written in milliseconds; such a disk does not answer
BACKUP_S = 180.0  # half a gigabyte on a slow stick
SAFE_S = 15.0  # for the copy on this computer
_LOOK_MS = 200
_WIDTH_LETTERS = 60


class Farewell(QWidget):
    """Shown by `wait`, if there is anything to wait for."""

    def __init__(self, at_work: AtWork, now_s: Callable[[], float] = monotonic) -> None:
        super().__init__()
        self._at_work, self._now_s = at_work, now_s
        self._began_s = now_s()
        self._loop = QEventLoop(self)
        self._saving = False  # the copy on this computer is being made: nothing cuts that short but its limit
        as_role(self, "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.setWindowTitle("Balmbook")
        self.heading = Words(self.tr("Not quite done yet"), "head")
        self.text, self.hint = Words(), Words("", "muted")
        self.end = button(self.tr("End now"), self.close)
        whole = column(self.heading, self.text, self.hint, row(1, self.end), gap=4)
        margin = 6 * GRID_PX
        whole.setContentsMargins(margin, margin, margin, margin)
        self.setLayout(whole)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFocus()  # not the answer, which a hand on the keyboard would give unread
        self.setMinimumWidth(min(self.fontMetrics().averageCharWidth() * _WIDTH_LETTERS, MOST_PX))
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self.look)

    def wait(self) -> bool:
        """Until all is done, the limit is reached or the maker ends it; whether all is done."""
        if self._at_work.let_go(MOMENT_S):
            return True
        self._began_s = self._now_s()
        self.look()
        self.show()
        self._timer.start()
        self._loop.exec()
        self._timer.stop()
        done = self._at_work.let_go(0)
        if not done:
            self._put_safe()
        self.hide()
        return done

    def look(self) -> None:
        """Say what is being waited for, as long as it is worth it."""
        limit_s = WRITING_S if self._at_work.writing else BACKUP_S
        waited_s = self._now_s() - self._began_s
        if self._at_work.let_go(0) or waited_s >= limit_s:
            self._loop.quit()
            return
        self.text.say(self._at_work.says() or self.text.text())
        hint = (
            self.tr(
                "This window goes by itself when that is done, after {time} at the latest. Leave the disk plugged in until then. What is not written when it ends is put into a copy on this computer."
            )
            if self._at_work.writing
            else self.tr(
                "This window goes by itself when that is done, after {time} at the latest. Leave the disk plugged in until then. What was recorded is kept already."
            )
        )
        self.hint.say(hint.format(time=Duration(limit_s)))
        self.setAccessibleName(f"{self.heading.text()}\n{self.text.text()}")

    def closeEvent(self, event: QCloseEvent) -> None:
        event.ignore()  # it stays for its last words
        if not self._saving:
            self._loop.quit()

    def _put_safe(self) -> None:
        """In a thread of its own, with a limit of its own: the disk that hangs may be this computer's."""
        self._saving = True
        self.text.say(self.tr("Putting what is not written yet in a safe place on this computer …"))
        self.hint.say("")
        self.end.setEnabled(False)
        safe = threading.Thread(target=self._at_work.cut_off, name="balmbook-safe", daemon=True)
        safe.start()
        self._timer.timeout.disconnect(self.look)
        self._timer.timeout.connect(lambda: None if safe.is_alive() else self._loop.quit())
        self._timer.start()
        QTimer.singleShot(round(SAFE_S * 1000), self, self._loop.quit)
        self.show()
        self._loop.exec()
        self._timer.stop()
