"""What memory keeps of an open project, for the day its disk is pulled out."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field

from workbench.core.batch.events import AnyEvent, event_adapter
from workbench.core.catalogue.shelf import Shelf
from workbench.store import journal, shelving
from workbench.store.shelving import RecipeEntry

_AT_ONCE = 128


@dataclass(slots=True)
class Kept:
    """The batch in hand with all its acknowledged events, the shelf, the newest recipes.

    Events are kept as packed text: a reading every second for hours would else take
    tens of megabytes.
    """

    session: str = ""
    _packed: list[bytes] = field(default_factory=list)  # of `_AT_ONCE` events each
    _texts: list[bytes] = field(default_factory=list)  # the newest
    shelf: Shelf = field(default_factory=Shelf)
    recipes: tuple[RecipeEntry, ...] = ()

    @classmethod
    def of(cls, connection: sqlite3.Connection, session: str) -> Kept:
        """All that this batch needs, as it stands in the file."""
        number = journal.session_number(session)
        made = cls(session, shelf=shelving.shelf(connection), recipes=shelving.latest_recipes(connection))
        made.add(1, [stored.event for stored in journal.read(connection, number)])
        return made

    def add(self, first_seq: int, events: Sequence[AnyEvent]) -> None:
        """Events that were acknowledged just now."""
        packed = len(self._packed) * _AT_ONCE
        if first_seq - 1 < packed:  # a retry from far back
            self._texts, self._packed, packed = self._all(), [], 0
        del self._texts[first_seq - 1 - packed :]
        self._texts.extend(map(_text, events))
        while len(self._texts) >= _AT_ONCE:
            self._packed.append(zlib.compress(b"\n".join(self._texts[:_AT_ONCE])))
            del self._texts[:_AT_ONCE]

    @property
    def events(self) -> tuple[AnyEvent, ...]:
        """As they were recorded, oldest first."""
        return tuple(map(event_adapter.validate_json, self._all()))

    def _all(self) -> list[bytes]:
        return [text for pack in self._packed for text in zlib.decompress(pack).split(b"\n")] + self._texts


def _text(event: AnyEvent) -> bytes:
    return event.model_dump_json().encode()
