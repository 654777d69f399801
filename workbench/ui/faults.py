"""Faults of our own: logged, said, and a running batch goes on hold.

An error in a slot, a paint event or a pool thread ends in `sys.excepthook`,
and Qt runs on.  The hook logs it and hands a sentence to whoever listens; the
listener may be in another thread, so it is a queued signal.
"""

from __future__ import annotations

import logging
import sys
import traceback
from collections.abc import Callable
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QObject, Qt, Signal

log = logging.getLogger("balmbook")
Listener = Callable[[str], object]


class FaultHook:
    """Stands in for `sys.excepthook`; it is there before the application is."""

    def __init__(self) -> None:
        self.listener: Listener | None = None
        self.log_file: Path | None = None
        self._before = sys.excepthook
        self._busy = False

    def install(self) -> None:
        sys.excepthook = self

    def remove(self) -> None:
        sys.excepthook = self._before

    def keep_log(self, folder: Path) -> None:
        """Write faults into a small file as well; without one they go to the terminal only."""
        path = folder / "balmbook.log"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            handler = RotatingFileHandler(path, maxBytes=500_000, backupCount=1, encoding="utf-8", delay=True)
        except OSError as error:
            log.warning("no log file: %s", error)
            return
        handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
        log.addHandler(handler)
        self.log_file = path

    def __call__(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        log.error("a fault in the program", exc_info=(kind, error, trace))
        if issubclass(kind, KeyboardInterrupt):
            self._before(kind, error, trace)
            return
        if self.listener is None or self._busy:
            return
        self._busy = True  # a fault while telling of a fault would never end
        try:
            last = traceback.extract_tb(trace)[-1:] if trace is not None else []
            where = f" ({Path(last[0].filename).name}, line {last[0].lineno})" if last else ""
            self.listener(f"{kind.__name__}: {error}{where}")
        finally:
            self._busy = False


class FaultPost(QObject):
    """Brings what the hook heard, from whichever thread, into the thread of the window."""

    told = Signal(str)
    _heard = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._heard.connect(self.told, Qt.ConnectionType.QueuedConnection)

    def hear(self, text: str) -> None:
        self._heard.emit(text)
