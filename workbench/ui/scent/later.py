"""One answer that takes a moment, fetched off the window's thread; only the newest is taken."""

from __future__ import annotations

from collections.abc import Callable
from weakref import ref

from PySide6.QtCore import QObject, QThreadPool, Signal

from workbench.core.trouble import Trouble
from workbench.ui.post import Post, application_post

_FAULT = object()


class Later(QObject):
    """came(result)  what the newest job brought, or the Trouble it met
    failed()      the newest job ended in a fault of our own, which is reported by itself
    """

    came = Signal(object)
    failed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._number = 0
        self._newest = [0]  # shared with the jobs: one that is old before its turn comes is not done at all
        self._post = application_post()

    def start(self, job: Callable[[], object]) -> None:
        self._count()
        QThreadPool.globalInstance().start(_Job(self._post, ref(self), self._number, self._newest, job))

    def forget(self) -> None:
        """Whatever is still under way is not wanted any more."""
        self._count()

    def _count(self) -> None:
        self._number += 1
        self._newest[0] = self._number

    def take(self, number: int, result: object) -> None:
        """What a job brought, in the thread of the window."""
        if number != self._number:
            return
        if result is _FAULT:
            self.failed.emit()
        else:
            self.came.emit(result)


class _Job:
    """A plain callable for the pool; it owns no Qt object, so nothing dies on the wrong thread."""

    def __init__(
        self, post: Post, waiting: ref[Later], number: int, newest: list[int], job: Callable[[], object]
    ) -> None:
        self._post, self._waiting = post, waiting
        self._number, self._newest, self._job = number, newest, job

    def __call__(self) -> None:
        if self._newest[0] != self._number:
            return
        try:
            result: object = self._job()
        except Trouble as trouble:
            result = trouble
        except BaseException:
            self._bring(_FAULT)  # who waits must not show an old answer as if it were the new one
            raise
        self._bring(result)

    def _bring(self, result: object) -> None:
        number = self._number
        self._post.send_to(self._waiting, lambda later: later.take(number, result))
