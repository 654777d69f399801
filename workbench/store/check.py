"""Whether a project is sound: the database, its structure, the chain of the record, every session.

Nothing is changed; all faults are reported, each with its place.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from workbench.core.trouble import Fault
from workbench.store import interchange, journal, opening, shelving, troubles, words
from workbench.store.connection import TooMuch, bounded
from workbench.store.journal import Unreadable
from workbench.store.project import Project, wall_now

Progress = Callable[[int, int], None]  # sessions done, of how many

_MOST_FAULTS = 200
_MOST_SESSIONS = 200_000
_BUILD_AGAIN = "“Build the summaries again” in the window makes it anew"


@dataclass(frozen=True, slots=True)
class Report:
    """What the check found; `sound` when nothing is wrong."""

    path: Path
    faults: tuple[Fault, ...]
    notes: tuple[str, ...]  # worth knowing, not wrong
    recipes: int = 0
    sessions: int = 0
    entries: int = 0

    @property
    def sound(self) -> bool:
        return not self.faults

    @property
    def only_summaries(self) -> bool:
        """Whether the record itself is whole, and building its summaries again mends all that is wrong."""
        return bool(self.faults) and all(fault.says.endswith(_BUILD_AGAIN) for fault in self.faults)


def check_project(
    path: Path, progress: Progress | None = None, now: Callable[[], datetime] = wall_now
) -> Report:
    """Look through a whole project without changing it.

    Raises StoreTrouble only when there is nothing to look at (no file, no
    permission, not a project).
    """
    notes: list[str] = []
    try:
        opened = opening.open_file(path, now(), read_only=True)
    except troubles.StoreTrouble as trouble:
        if trouble.kind not in (troubles.Kind.DAMAGED, troubles.Kind.TOO_LARGE):
            raise
        return Report(path, trouble.faults or (Fault("", trouble.says),), ())  # the sentence names the file
    if opened.copy_of is not None:
        notes.append("A write was cut off before; the project was checked as it is after undoing that write.")
    if opened.read_only_because is not None:
        notes.append(opened.read_only_because.says)
    examined = _Examination(opened.connection, opened.project_id, progress or (lambda done, total: None))
    faults: list[Fault] = []
    try:
        for fault in examined.faults():
            faults.append(fault)
            if len(faults) >= _MOST_FAULTS:
                notes.append("There are more faults than are listed here.")
                break
    except sqlite3.Error as error:
        found = troubles.from_sqlite(error, path)
        if found.kind not in (troubles.Kind.DAMAGED, troubles.Kind.TOO_LARGE, troubles.Kind.NOT_OURS):
            raise found from error
        faults.extend(found.faults or (Fault("database", found.says),))
    except UnicodeDecodeError:  # SQLite's message quoted bytes that are no text
        faults.append(Fault("database", troubles.damaged(path).says))
    except TooMuch:
        faults.append(Fault("", troubles.too_large(path).says))
    finally:
        opened.close()
    return Report(path, tuple(faults), tuple(notes), examined.recipes, examined.sessions, examined.entries)


def chain_faults(project: Project) -> tuple[Fault, ...]:
    """The record of an open project without its meaning: pages, order and digests."""
    with project.reading() as connection:
        examined = _Examination(connection, project.id, lambda done, total: None, meaning=False)
        return tuple(examined.faults())


class _Examination:
    """Goes through one project and yields what is wrong."""

    def __init__(
        self, connection: sqlite3.Connection, project: str, progress: Progress, *, meaning: bool = True
    ) -> None:
        self._connection = connection
        self._project = project
        self._progress = progress
        self._meaning = meaning
        self.recipes = self.sessions = self.entries = 0

    def faults(self) -> Iterator[Fault]:
        yield from self._database()
        yield from self._kept()
        yield from self._record()
        yield from self._words()

    def _database(self) -> Iterator[Fault]:
        for row in self._connection.execute("PRAGMA integrity_check(50)").fetchall():
            if row[0] != "ok":
                yield Fault("database", f"{str(row[0])[:200]}. Restore a backup.")
        for table, rowid, parent, _ in self._connection.execute("PRAGMA foreign_key_check").fetchmany(50):
            yield Fault(f"table {table}, row {rowid}", f"it belongs to a row of {parent} that is missing")

    def _kept(self) -> Iterator[Fault]:
        with bounded(self._connection):
            names = [row[0] for row in self._connection.execute("SELECT name FROM recipes ORDER BY name")]
        self.recipes = len(names)
        try:
            shelving.shelf(self._connection)
        except Unreadable as unreadable:
            yield unreadable.fault
        for name in names:
            try:
                entries = shelving.recipe_revisions(self._connection, name)
            except Unreadable as unreadable:
                yield unreadable.fault
                continue
            if [entry.revision for entry in entries] != list(range(1, len(entries) + 1)):
                yield Fault(f"recipe {name}", "a revision is missing")
        for kind in shelving.document_kinds(self._connection):
            try:
                shelving.documents(self._connection, kind)
            except Unreadable as unreadable:
                yield unreadable.fault

    def _record(self) -> Iterator[Fault]:
        numbers = [
            int(row[0])
            for row in self._connection.execute("SELECT number FROM sessions ORDER BY number").fetchmany(
                _MOST_SESSIONS
            )
        ]
        self.sessions = len(numbers)
        if numbers != list(range(1, len(numbers) + 1)):
            yield Fault("sessions", "a session is missing from the count")
        for done, number in enumerate(numbers):
            self._progress(done, len(numbers))
            try:
                yield from self._session(number)
            except Unreadable as unreadable:
                yield unreadable.fault
        self._progress(len(numbers), len(numbers))

    def _session(self, number: int) -> Iterator[Fault]:
        before = journal.first_link(self._project)
        give = journal.give_words(self._connection)
        events: list[Any] = []
        digests: list[bytes] = []
        chained = True
        journal.bound(self._connection, number)
        rows = self._connection.execute(
            "SELECT seq, at_s, wall, kind, body, digest FROM events WHERE session = ? ORDER BY seq", (number,)
        ).fetchall()  # at once: as long as one is still reading, nobody can write to the file
        for seq, at_s, wall, kind, body, digest in rows:
            place = journal.entry_place(number, seq)
            if seq != len(events) + 1:
                yield Fault(place, "an entry before it is missing")
                return
            before = journal.link(before, number, seq, body)
            if chained and before != digest:
                chained = False
                yield Fault(
                    place,
                    "it was changed after it was written, or one before it was: its digest does not fit",
                )
            event, _ = journal.parse(number, seq, kind, body, give)
            if (event.at_s, event.wall.isoformat(), event.kind) != (at_s, wall, kind):
                yield Fault(place, "its time or kind is not what its text says")
            events.append(event)
            digests.append(digest)
        self.entries += len(events)
        if not events:
            yield Fault(f"session {journal.session_id(number)}", "it has no entries")
            return
        if self._meaning:
            yield from interchange.illegal(f"session {journal.session_id(number)}, entry {{entry}}", events)
        yield from self._summary(number, events, digests)

    def _summary(self, number: int, events: list[Any], digests: list[bytes]) -> Iterator[Fault]:
        row = self._connection.execute(
            "SELECT seq, digest FROM summaries WHERE session = ?", (number,)
        ).fetchone()
        ended = any(event.kind in ("finished", "ended early") for event in events)
        place = f"session {journal.session_id(number)}"
        if row is None:
            if ended:
                yield Fault(place, f"its summary is missing; {_BUILD_AGAIN}")
        elif row[0] > len(events):
            yield Fault(place, f"entries after number {len(events)} are missing: its summary had {row[0]}")
        elif bytes(row[1]) != digests[row[0] - 1]:
            yield Fault(place, f"its summary is of other entries; {_BUILD_AGAIN}")

    def _words(self) -> Iterator[Fault]:
        for digest, place, salt, text in self._connection.execute(
            "SELECT digest, place, salt, text FROM words"
        ):
            if text is not None and not words.right_digest(digest, salt, text):
                yield Fault(place, "personal words were changed after they were written")
