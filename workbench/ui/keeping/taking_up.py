"""A project that can only be read because another window has it: taken up as soon as that one lets go.

A window that was closed a moment ago still finishes its last backup.  Then it
is looked at often, for a while, and the project is taken up by itself.  A
window where somebody works is not asked again and again: the system tells when
its lock changes, where it can, and then it is said and left to the maker.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from workbench.store.lock import lock_of, who_has

LOOK_MS = 250
MOST_LOOKS = 480  # two minutes; who is on the way out for longer than that waits for a disk that is gone


class TakingUp(QObject):
    """free()  the window that was on its way out has let go: open the project again
    left()  the window where somebody worked has let go of it
    """

    free = Signal()
    left = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path: Path | None = None
        self._looks = 0
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._watcher: QFileSystemWatcher | None = None

    @property
    def waiting(self) -> bool:
        """Whether it is being looked at again and again."""
        return self._timer.isActive()

    def start(self, project: Path, leaving: bool) -> None:
        """`leaving`: who has it is on the way out."""
        self.stop()
        self._path, self._looks = project, 0
        if leaving:
            self._timer.start()
        else:
            self._watch(lock_of(project))

    def stop(self) -> None:
        self._path = None
        self._timer.stop()
        if self._watcher is not None:
            self._watcher.deleteLater()
            self._watcher = None

    def look(self) -> None:
        """Whether it is free now."""
        self._looks += 1
        if self._path is not None and who_has(self._path) is None:
            self.stop()
            self.free.emit()
        elif self._looks >= MOST_LOOKS:
            self.stop()

    def _watch(self, lock: Path) -> None:
        self._watcher = QFileSystemWatcher(self)
        if self._watcher.addPath(str(lock)):
            self._watcher.fileChanged.connect(self._changed)

    def _changed(self, _lock: str) -> None:
        """Its text is another (it is on the way out), or it is gone."""
        if self._path is not None and not lock_of(self._path).exists():
            self.stop()
            self.left.emit()
