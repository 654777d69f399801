"""Letting go of a project beside the window: finish the writing, make a last backup, release the file.

A large project on a slow stick takes its time; the window waits a moment for
the usual case and leaves the rest to a thread, of which `farewell` tells before
the program ends.  What the project's disk will not take is put into a copy on
this computer, and what nobody is there to be told is noted for the next time.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future, wait
from datetime import datetime
from pathlib import Path
from typing import Any

from workbench.core.trouble import Trouble
from workbench.core.wording import Said, say
from workbench.store import backup, files, rescue, troubles
from workbench.store.journal import OutOfOrder
from workbench.store.project import Project
from workbench.store.schema import SUFFIX
from workbench.store.untold import Untold
from workbench.store.writer import Writer

log = logging.getLogger("balmbook")


def _nobody(_closing: Closing) -> None:
    """Nobody waits for the end."""


class Closing:
    """Begins at once; `trouble` is why there is no last backup, once `wait` has answered True.

    `stage` is what it is at: "writing", "backup", "others" (who still read the file), and "" once all is done.
    """

    def __init__(
        self,
        project: Project,
        writer: Writer,
        backup_at: datetime | None,
        untold: Untold | None = None,
        rescue_to: Path | None = None,
        ended: Callable[[Closing], object] = _nobody,
        others: Sequence[Future[Any]] = (),
    ) -> None:
        """`backup_at` None: no backup, the file is only let go.  `others` still read it.

        `ended` is called in the thread that closes.
        """
        self.trouble: Trouble | None = None
        self.stage = "writing"
        self.path, self.name, self.project_id = project.path, project.name, project.id
        self._project, self._writer, self._at = project, writer, backup_at
        self._untold = Untold() if untold is None else untold
        self._rescue_to, self._ended, self._others = rescue_to, ended, tuple(others)
        self._rescuing = threading.Lock()
        self._thread = threading.Thread(target=self._run, name="balmbook-closing")
        self._thread.start()

    def wait(self, seconds: float | None = None) -> bool:
        """Whether it is done, after waiting for so long at most (None: to the end)."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    def cut_off(self, now: datetime) -> None:
        """The program ends although this is not done: what is not written goes elsewhere, the rest is noted."""
        if self.stage == "":
            return
        if self.stage == "writing":
            self._rescue(now)
        if self.stage != "others" and self._at is not None and not self._project.read_only:
            self._untold.no_backup(self.project_id, self.path, _not_finished(self.path), now)

    def _run(self) -> None:
        try:
            self._project.leaving()
            self._writer.finish()
            self._rescue(self._project.now())
            self.stage = "backup"
            self._writer.close()
            if self._at is not None and not self._project.read_only:
                self._back_up(self._at)
            self.stage = "others"
            wait(self._others)
        finally:
            self._project.close()
            files.clear_left(self.path.parent)
            self.stage = ""
            self._ended(self)

    def _back_up(self, at: datetime) -> None:
        try:
            backup.on_close(self._project, at)
        except Trouble as trouble:
            self.trouble = trouble
            log.warning("no backup on closing: %s", trouble)
            self._untold.no_backup(self.project_id, self.path, trouble.says, at)
        else:
            self._untold.backup_made(self.project_id, self.path)

    def _rescue(self, now: datetime) -> None:
        """Put what the project's disk has not taken into a copy on this computer, once."""
        with self._rescuing:
            entries, drafts = self._writer.owed.entries, self._writer.owed.drafts
            if self._rescue_to is None or not (entries or any(drafts.values())):
                return
            copy, self._rescue_to = self._rescue_to / f"{self.name} {now:%Y-%m-%d %H%M%S}{SUFFIX}", None
            try:
                copy.parent.mkdir(parents=True, exist_ok=True)
                saved = rescue.save_copy(self._project, copy, entries, drafts)
            except (Trouble, OSError, OutOfOrder) as failed:
                error: Exception = failed
                log.error("what was not written to %s could not be kept elsewhere: %s", self.path, error)
                count = len({each.first_seq + at for each in entries for at in range(len(each.events))})
                if isinstance(error, OSError):
                    error = troubles.from_os_error(error, copy)
                why = error.says if isinstance(error, Trouble) else str(error)
                self._untold.lost(self.project_id, self.path, count, why, now)
            else:
                self._untold.rescued(self.project_id, self.path, saved, now)


def _not_finished(path: Path) -> Said:
    return say(
        "It was not finished when the program ended, because the disk that holds {place} is very slow or does not "
        "answer. Look whether it is plugged in, then make a backup, or save a copy on another disk.",
        place=str(path),
    )
