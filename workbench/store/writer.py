"""The one writer of a project: a single thread that takes its orders in turn.

Results come back in the thread that asked, through `post`: the window gives
a function that emits a queued signal, so that nothing of the window is touched
from here and no screen waits for the disk.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime
from functools import partial
from itertools import count
from threading import Lock
from typing import Any, TypeVar

from workbench.core.batch.events import AnyEvent
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.store import backup
from workbench.store.backup import Backup
from workbench.store.project import Project
from workbench.store.rescue import Pending

Result = TypeVar("Result")
Post = Callable[[Callable[[], None]], None]  # runs a function later in the caller's thread


class Answers:
    """Brings what a thread worked out back to who asked for it.

    Who asked is kept here and never by the thread: it may be a part of the
    window, and the last one to forget it must not be another thread.
    """

    def __init__(self, post: Post, fault: Callable[[], Trouble]) -> None:
        """`fault`: what is told where the work ended in a bug of ours; it is raised besides."""
        self._post, self._fault = post, fault
        self._done: dict[int, Callable[[Any, Trouble | None], None]] = {}
        self._numbers = count()

    @property
    def waiting(self) -> int:
        """Orders whose result has not been delivered yet."""
        return len(self._done)

    def order(
        self,
        thread: ThreadPoolExecutor,
        work: Callable[[], Result],
        done: Callable[[Result | None, Trouble | None], None],
    ) -> Future[Result]:
        number = next(self._numbers)
        future = thread.submit(work)
        self._done[number] = done
        future.add_done_callback(lambda ended: self._post(partial(self._deliver, number, ended)))
        return future

    def _deliver(self, number: int, ended: Future[Any]) -> None:
        """In the caller's thread."""
        done = self._done.pop(number)
        problem = ended.exception()
        if problem is None:
            done(ended.result(), None)
        elif isinstance(problem, Trouble):
            done(None, problem)
        else:
            done(None, self._fault())
            raise problem


class Owed:
    """What was ordered and is not on the disk yet, for the day the window closes and the disk does not answer.

    The thread notes here what it has written, so it holds nothing of the window.
    """

    def __init__(self) -> None:
        self._gate = Lock()
        self._entries: list[Pending] = []
        self._drafts: dict[str, str] = {}

    @property
    def entries(self) -> tuple[Pending, ...]:
        """In the order they were given; a later one may hold an earlier one again."""
        with self._gate:
            return tuple(self._entries)

    @property
    def drafts(self) -> dict[str, str]:
        """The newest text of each editor."""
        with self._gate:
            return dict(self._drafts)

    def append(self, project: Project, pending: Pending) -> int:
        last = project.append(pending.session, pending.first_seq, pending.events)
        with self._gate:  # what is written speaks for all that came before it, too
            self._entries = [
                each
                for each in self._entries
                if each.session != pending.session or each.first_seq + len(each.events) - 1 > last
            ]
        return last

    def save_draft(self, project: Project, key: str, text: str) -> None:
        if text:
            project.save_draft(key, text)
        else:
            project.drop_draft(key)
        with self._gate:
            if self._drafts.get(key) == text:
                del self._drafts[key]

    def owe_entries(self, pending: Pending) -> None:
        with self._gate:  # a retry stands instead of what was tried before
            self._entries = [
                each
                for each in self._entries
                if (each.session, each.first_seq) != (pending.session, pending.first_seq)
                or len(each.events) > len(pending.events)
            ]
            self._entries.append(pending)

    def owe_draft(self, key: str, text: str) -> None:
        with self._gate:
            self._drafts[key] = text


class Writer:
    """Implements `core.batch.ports.Journal` for the window."""

    def __init__(self, project: Project, post: Post) -> None:
        self._project = project
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="balmbook-writer")
        self._copier = ThreadPoolExecutor(max_workers=1, thread_name_prefix="balmbook-backup")
        self._answers = Answers(post, _own_fault)
        self.owed = Owed()

    @property
    def waiting(self) -> int:
        """Orders whose result has not been delivered yet."""
        return self._answers.waiting

    def append(
        self,
        session: str,
        first_seq: int,
        events: Sequence[AnyEvent],
        done: Callable[[Trouble | None], None],
    ) -> None:
        """Write events; `done(None)` once they are safely on disk, `done(trouble)` when none of them is."""
        pending = Pending(session, first_seq, tuple(events))
        self.owed.owe_entries(pending)
        self.later(partial(self.owed.append, self._project, pending), lambda _, trouble: done(trouble))

    def keep_draft(self, key: str, text: str, done: Callable[[None, Trouble | None], None]) -> None:
        """Keep an editor's text; an empty one is dropped."""
        self.owed.owe_draft(key, text)
        work: Callable[[], None] = partial(self.owed.save_draft, self._project, key, text)
        self.later(work, done)

    def later(
        self, work: Callable[[], Result], done: Callable[[Result | None, Trouble | None], None]
    ) -> None:
        """Do any blocking piece of work with the project in its turn: `done(result, None)` or `done(None, trouble)`."""
        self._answers.order(self._thread, work, done)

    def back_up(
        self, now: datetime, done: Callable[[Backup | None, Trouble | None], None], *, due: bool = False
    ) -> None:
        """Make a backup if one is due, beside the writing: events of a running batch are let in between.

        Ask at any time, every few minutes say; `done(None, None)` when none was
        due.  `due`: make one in any case, because somebody asked for it.
        """
        make = backup.make if due else backup.make_if_due
        self._answers.order(self._copier, partial(make, self._project, now), done)

    def finish(self) -> None:
        """Write what was ordered; a backup may go on."""
        self._thread.shutdown(wait=True)

    def close(self) -> None:
        """Finish what was ordered and end the threads."""
        self.finish()
        self._copier.shutdown(wait=True)


class DirectJournal:
    """The journal for the terminal and for tests: writes at once and says so before it returns."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def append(
        self,
        session: str,
        first_seq: int,
        events: Sequence[AnyEvent],
        done: Callable[[Trouble | None], None],
    ) -> None:
        try:
            self._project.append(session, first_seq, events)
        except Trouble as trouble:
            done(trouble)
            return
        done(None)


def _own_fault() -> Trouble:
    return Trouble(
        say(
            "The program made a mistake while writing the record. What was acknowledged before is kept; try again."
        )
    )
