"""What is still done with files beside the window: projects that are being let go of, copies that are being saved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from time import monotonic
from typing import Any, TypeVar
from weakref import ref

from PySide6.QtCore import QObject, Signal

from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.store import files
from workbench.store.project import Project
from workbench.store.schema import SUFFIX
from workbench.store.untold import Untold
from workbench.store.writer import Answers, Writer
from workbench.ui.keeping.closing import Closing
from workbench.ui.post import application_post

Result = TypeVar("Result")
Done = Callable[[Result | None, Trouble | None], None]


class AtWork(QObject):
    """closed(object)  a `Closing` has come to its end"""

    closed = Signal(object)

    def __init__(
        self,
        now: Callable[[], datetime],
        untold: Untold,
        rescue_to: Path | None,
        parent: QObject | None = None,
    ) -> None:
        """`rescue_to`: the folder on this computer for what a project's disk does not take at the end."""
        super().__init__(parent)
        self._now, self._untold, self._rescue_to = now, untold, rescue_to
        self._post = application_post()
        self._answers = Answers(self._post.to(self), _own_fault)
        self.closings: list[Closing] = []  # those that are not known to be done, the newest last
        self._asides: list[_Aside] = []

    def rescued(self, name: str) -> tuple[Path, ...]:
        """Copies on this computer of what a disk of the project called `name` did not take."""
        folder = self._rescue_to
        try:
            held = () if folder is None else tuple(folder.glob(f"*{SUFFIX}"))
        except OSError:
            return ()
        return tuple(sorted(path for path in held if path.name.startswith(f"{name} ")))

    def close(self, project: Project, writer: Writer, backup_at: datetime | None) -> Closing:
        """Let go of a project; with a last backup where something is new, if a time for it is given."""
        post, this = self._post, ref(self)

        def ended(closing: Closing) -> None:
            post.send_to(this, lambda at_work: at_work._closed(closing))

        others = [each.result for each in self._asides if each.reads is project]
        self.closings.append(
            Closing(project, writer, backup_at, self._untold, self._rescue_to, ended, others)
        )
        return self.closings[-1]

    def _closed(self, closing: Closing) -> None:
        self.closings.remove(closing)
        self.closed.emit(closing)

    def closings_of(self, path: Path | None) -> tuple[Closing, ...]:
        """Those of one file, or all of them."""
        return tuple(each for each in self.closings if path is None or each.path == files.real(path))

    def aside(
        self, work: Callable[[], Result], done: Done[Result], says: str, reads: Project | None = None
    ) -> None:
        """Do something that may block in a thread of its own; `done` is called in this one.

        `says`: that it is not done yet, for who wants to leave.  `reads`: the
        project that has to stay open for it.
        """
        thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="balmbook-aside")
        self._asides = [each for each in self._asides if not each.wait(0)]
        self._asides.append(_Aside(says, thread, self._answers.order(thread, work, done), reads))
        thread.shutdown(wait=False)

    # the end of the program

    def let_go(self, seconds: float | None = None) -> bool:
        """Wait until all of it is done, for so long at most (None: however long a disk takes); whether it is."""
        end = None if seconds is None else monotonic() + seconds
        waited_for: tuple[Closing | _Aside, ...] = (*self.closings, *self._asides)
        return all(each.wait(None if end is None else max(0.0, end - monotonic())) for each in waited_for)

    @property
    def writing(self) -> bool:
        """Whether something is not in a project's file yet that belongs there."""
        return any(closing.stage == "writing" for closing in self.closings)

    def says(self) -> str:
        """What is not done yet, in a sentence; "" when all is done."""
        return next(self._sentences(), "")

    def _sentences(self) -> Iterator[str]:
        for closing in self.closings:
            if closing.stage == "writing":
                yield self.tr("“{name}” is still being written to its disk.").format(name=closing.name)
            elif closing.stage == "backup":
                yield self.tr("The last backup of “{name}” is still being made.").format(name=closing.name)
        for aside in self._asides:
            if not aside.wait(0):
                yield aside.says

    def cut_off(self) -> None:
        """The program ends now: what no disk has taken goes elsewhere, and what is lacking is noted."""
        now = self._now()
        for closing in tuple(self.closings):
            closing.cut_off(now)


@dataclass(frozen=True, slots=True)
class _Aside:
    says: str
    thread: ThreadPoolExecutor
    result: Future[Any]
    reads: Project | None

    def wait(self, seconds: float | None) -> bool:
        """Whether it is done, after waiting for so long at most."""
        if wait([self.result], seconds).not_done:
            return False
        self.thread.shutdown(wait=True)  # its last words to the window are said by then
        return True


def _own_fault() -> Trouble:
    return Trouble(
        say("The program made a mistake of its own. What was kept before is as it was; try again.")
    )
