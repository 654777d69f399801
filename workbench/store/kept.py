"""What memory keeps of an open project, for the day its disk is pulled out."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from workbench.core.batch.events import AnyEvent, event_adapter
from workbench.core.catalogue.shelf import Shelf
from workbench.store import journal, shelving
from workbench.store.shelving import RecipeEntry

_AT_ONCE = 128


class PackedEvents:
    """Events of one session as packed text, to be gone through as often as one likes.

    A reading every second for hours would else take tens of megabytes.
    """

    __slots__ = ("_packed", "_texts")

    def __init__(self, events: Iterable[AnyEvent] = ()) -> None:
        self._packed: list[bytes] = []  # of `_AT_ONCE` events each
        self._texts: list[bytes] = []  # the newest
        self.add(1, events)

    def add(self, first_seq: int, events: Iterable[AnyEvent]) -> None:
        """From `first_seq` on these stand instead of any that did."""
        packed = len(self._packed) * _AT_ONCE
        if first_seq - 1 < packed:  # a retry from far back
            self._texts, self._packed, packed = list(self._all()), [], 0
        del self._texts[first_seq - 1 - packed :]
        self._pack()
        for event in events:
            self._texts.append(event.model_dump_json().encode())
            self._pack()

    def __iter__(self) -> Iterator[AnyEvent]:
        return map(event_adapter.validate_json, self._all())

    def _pack(self) -> None:
        while len(self._texts) >= _AT_ONCE:
            self._packed.append(zlib.compress(b"\n".join(self._texts[:_AT_ONCE])))
            del self._texts[:_AT_ONCE]

    def _all(self) -> Iterator[bytes]:
        for pack in self._packed:
            yield from zlib.decompress(pack).split(b"\n")
        yield from self._texts


@dataclass(slots=True)
class Kept:
    """The batch in hand with all its acknowledged events, the shelf, the newest recipes."""

    session: str = ""
    _events: PackedEvents = field(default_factory=PackedEvents)
    shelf: Shelf = field(default_factory=Shelf)
    recipes: tuple[RecipeEntry, ...] = ()

    @classmethod
    def of(cls, connection: sqlite3.Connection, session: str) -> Kept:
        """All that this batch needs, as it stands in the file."""
        number = journal.session_number(session)
        events = PackedEvents(stored.event for stored in journal.read(connection, number))
        return cls(session, events, shelving.shelf(connection), shelving.latest_recipes(connection))

    def add(self, first_seq: int, events: Sequence[AnyEvent]) -> None:
        """Events that were acknowledged just now."""
        self._events.add(first_seq, events)

    @property
    def events(self) -> tuple[AnyEvent, ...]:
        """As they were recorded, oldest first."""
        return tuple(self._events)
