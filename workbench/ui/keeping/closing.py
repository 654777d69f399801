"""Letting go of a project beside the window: finish the writing, make a last backup, release the file.

A large project on a slow stick takes its time; the window waits a moment for
the usual case and leaves the rest to a thread that the program waits for
before it ends.
"""

from __future__ import annotations

import logging
import threading
from datetime import datetime

from workbench.core.trouble import Trouble
from workbench.store import backup
from workbench.store.project import Project
from workbench.store.writer import Writer

log = logging.getLogger("balmbook")


class Closing:
    """Begins at once; `trouble` is why there is no last backup, once `wait` has answered True."""

    def __init__(self, project: Project, writer: Writer, backup_at: datetime | None) -> None:
        """`backup_at` None: no backup, the file is only let go."""
        self.trouble: Trouble | None = None
        self._project, self._writer, self._at = project, writer, backup_at
        self._thread = threading.Thread(target=self._run, name="balmbook-closing")
        self._thread.start()

    def wait(self, seconds: float | None = None) -> bool:
        """Whether it is done, after waiting for so long at most (None: to the end)."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    def _run(self) -> None:
        self._writer.close()
        try:
            if self._at is not None:
                backup.on_close(self._project, self._at)
        except Trouble as trouble:
            self.trouble = trouble
            log.warning("no backup on closing: %s", trouble)
        finally:
            self._project.close()
