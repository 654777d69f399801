"""What memory keeps of an open project, for the day its disk is pulled out."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field

from workbench.core.batch.events import AnyEvent, event_adapter
from workbench.core.catalogue.shelf import Shelf
from workbench.store import journal, shelving
from workbench.store.shelving import RecipeEntry


@dataclass(slots=True)
class Kept:
    """The batch in hand with all its acknowledged events, the shelf, the newest recipes.

    Events are kept as text: a reading every second for hours is ten times smaller so.
    """

    session: str = ""
    _texts: list[bytes] = field(default_factory=list)
    shelf: Shelf = field(default_factory=Shelf)
    recipes: tuple[RecipeEntry, ...] = ()

    @classmethod
    def of(cls, connection: sqlite3.Connection, session: str) -> Kept:
        """All that this batch needs, as it stands in the file."""
        number = journal.session_number(session)
        return cls(
            session,
            [_text(stored.event) for stored in journal.read(connection, number)],
            shelving.shelf(connection),
            shelving.latest_recipes(connection),
        )

    def add(self, first_seq: int, events: Sequence[AnyEvent]) -> None:
        """Events that were acknowledged just now."""
        del self._texts[first_seq - 1 :]
        self._texts.extend(map(_text, events))

    @property
    def events(self) -> tuple[AnyEvent, ...]:
        """As they were recorded, oldest first."""
        return tuple(map(event_adapter.validate_json, self._texts))


def _text(event: AnyEvent) -> bytes:
    return event.model_dump_json().encode()
