"""Whether stored events make sense to the session, and the summary that follows from them.

A summary is what lists and trends read.  It can always be built again, and a
record that the session cannot follow has none: it is kept all the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from pydantic import TypeAdapter, ValidationError

from workbench.core.batch.events import AnyEvent
from workbench.core.batch.record import SessionSummary, summary
from workbench.core.batch.session import fold
from workbench.core.batch.state import SessionState
from workbench.core.trouble import Trouble

_SUMMARY: TypeAdapter[SessionSummary | None] = TypeAdapter(SessionSummary | None)


class DoesNotFollow(Exception):
    """An event cannot have happened after those before it; `index` counts from 0."""

    def __init__(self, index: int, says: str) -> None:
        super().__init__(says)
        self.index = index
        self.says = says


def state_after(events: Iterable[AnyEvent]) -> SessionState:
    """The session after these events.  Raises DoesNotFollow at the first that cannot be."""
    count = 0

    def counted() -> Iterator[AnyEvent]:
        nonlocal count
        for event in events:
            yield event
            count += 1

    try:
        return fold(counted())
    except Trouble as trouble:
        raise DoesNotFollow(count, trouble.says) from trouble
    except ValidationError as error:
        problem = error.errors(include_url=False, include_context=False, include_input=False)[0]
        where = ".".join(str(part) for part in problem["loc"])
        raise DoesNotFollow(count, f"{where}: {problem['msg']}") from error


def summarise(events: Iterable[AnyEvent]) -> SessionSummary | None:
    """The row for lists; None when the session cannot follow its events."""
    try:
        return summary(state_after(events))
    except DoesNotFollow:
        return None


def to_json(made: SessionSummary | None) -> str:
    return _SUMMARY.dump_json(made).decode()


@lru_cache(maxsize=4_096)  # a list is shown again and again, and hardly a row of it ever changes
def from_json(text: str) -> SessionSummary | None:
    """Raises ValidationError."""
    return _SUMMARY.validate_json(text)
