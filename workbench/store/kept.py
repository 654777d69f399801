"""What memory keeps of an open project, for the day its disk is pulled out."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field

from workbench.core.batch.events import AnyEvent
from workbench.core.catalogue.shelf import Shelf
from workbench.store import journal, shelving
from workbench.store.shelving import RecipeEntry


@dataclass(slots=True)
class Kept:
    """The batch in hand with all its acknowledged events, the shelf, the newest recipes."""

    session: str = ""
    events: list[AnyEvent] = field(default_factory=list)
    shelf: Shelf = field(default_factory=Shelf)
    recipes: tuple[RecipeEntry, ...] = ()

    @classmethod
    def of(cls, connection: sqlite3.Connection, session: str) -> Kept:
        """All that this batch needs, as it stands in the file."""
        number = journal.session_number(session)
        return cls(
            session,
            [stored.event for stored in journal.read(connection, number)],
            shelving.shelf(connection),
            shelving.latest_recipes(connection),
        )

    def add(self, first_seq: int, events: Sequence[AnyEvent]) -> None:
        """Events that were acknowledged just now."""
        del self.events[first_seq - 1 :]
        self.events.extend(events)
