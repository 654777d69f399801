"""Reading and writing the record on one connection: events in order, once, chained.

Every function takes a connection and nothing else of the world.  Writers run
inside a transaction that the caller holds.

The digest of an entry covers the digest before it, the session, its place and
its stored text.  The first one starts from the project's own id.  A silent edit
of any entry therefore breaks the chain from there on; it is a means to notice,
not a signature.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from workbench.core.batch.events import AnyEvent, EndedEarly, Finished, SessionStarted, event_adapter
from workbench.core.trouble import Fault
from workbench.store import meaning, words

_MOST_DIGITS = 18  # SQLite counts to nine times that
_MOST_BYTES_OF_ONE_SESSION = 64_000_000  # an eight-hour batch with a reading a second stays near 8 million


@dataclass(frozen=True, slots=True)
class StoredEvent:
    """One event as it stands in the file."""

    seq: int
    body: str
    digest: bytes
    event: AnyEvent
    erased: bool = False  # its personal words were erased


class OutOfOrder(Exception):
    """Entries were given that do not follow the stored ones."""

    def __init__(self, stored: int, given: int) -> None:
        super().__init__(f"{stored} stored, {given} given")
        self.stored = stored
        self.given = given


class Unreadable(Exception):
    """A stored row does not say what this version can read."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def session_id(number: int) -> str:
    return f"s{number}"


def session_number(session: str) -> int:
    """The number in a session's id; KeyError when it is none of ours."""
    digits = session[1:]
    if session[:1] != "s" or not (digits.isascii() and digits.isdecimal()) or len(digits) > _MOST_DIGITS:
        raise KeyError(session)
    return int(digits)


def entry_place(session: int, seq: int) -> str:
    return f"session {session_id(session)}, entry {seq}"


def first_link(project: str) -> bytes:
    return hashlib.sha256(f"balmbook\n{project}".encode()).digest()


def link(before: bytes, session: int, seq: int, body: str) -> bytes:
    return hashlib.sha256(before + f"{session}\n{seq}\n".encode() + body.encode()).digest()


def head(connection: sqlite3.Connection, session: int) -> tuple[int, bytes | None]:
    """Sequence number and digest of the last entry; (0, None) before the first."""
    row = connection.execute(
        "SELECT seq, digest FROM events WHERE session = ? ORDER BY seq DESC LIMIT 1", (session,)
    ).fetchone()
    return (int(row[0]), bytes(row[1])) if row else (0, None)


def append(
    connection: sqlite3.Connection,
    project: str,
    session: int,
    first_seq: int,
    events: Sequence[AnyEvent],
    *,
    erased: bool = False,
) -> int:
    """Write entries that follow the stored ones; the number of the last one.

    Entries that are stored already, word for word, are taken as written: a
    retry after a failure that came too late must not double them.  `erased`:
    their personal words had been erased before (an imported project).
    """
    stored, digest = head(connection, session)
    if first_seq > stored + 1 or first_seq < 1:
        raise OutOfOrder(stored, first_seq)
    known = stored - first_seq + 1
    if known > 0:
        there = [kept.event for kept in read(connection, session, first_seq)]
        if there[: len(events)] != list(events[:known]):
            raise OutOfOrder(stored, first_seq)
        events = events[known:]
    if not events:
        return stored
    if stored == 0:
        _begin(connection, session, events[0])
    before = digest or first_link(project)
    taken = words.Taken(erased=erased)
    rows = []
    for seq, event in enumerate(events, start=stored + 1):
        taken.place = entry_place(session, seq)
        body = to_body(event, taken)
        _same_again(session, seq, event, body, taken)
        before = link(before, session, seq, body)
        rows.append((session, seq, event.at_s, event.wall.isoformat(), event.kind, body, before))
    keep_words(connection, taken)
    connection.executemany("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
    last = stored + len(rows)
    if summary_due(connection, session, events):
        rebuild_summary(connection, session)
    return last


def _begin(connection: sqlite3.Connection, session: int, first: AnyEvent) -> None:
    if not isinstance(first, SessionStarted):
        raise OutOfOrder(0, 1)
    connection.execute(
        "INSERT INTO sessions VALUES (?, ?, ?, ?, ?, ?)",
        (
            session,
            first.wall.isoformat(),
            first.recipe_name,
            first.recipe_revision,
            int(first.rehearsal),
            first.batch_code,
        ),
    )


def to_body(event: AnyEvent, taken: words.Taken) -> str:
    """The stored text of an event; its personal words go into `taken`."""
    if event.kind not in words.KINDS_WITH_WORDS:
        return event.model_dump_json()
    return words.to_text(words.take_from_event(event.model_dump(mode="json"), taken))


def _same_again(session: int, seq: int, event: AnyEvent, body: str, taken: words.Taken) -> None:
    """What is acknowledged can be read again, or it is not acknowledged (a number that is none, say)."""
    again, _ = parse(session, seq, event.kind, body, lambda digest: taken.texts[digest][2])
    if again != event and not taken.erased:
        raise ValueError(f"{entry_place(session, seq)} would not read the same again")


def keep_words(connection: sqlite3.Connection, taken: words.Taken) -> None:
    connection.executemany(
        "INSERT INTO words VALUES (?, ?, ?, ?)", [(digest, *kept) for digest, kept in taken.texts.items()]
    )


def give_words(connection: sqlite3.Connection) -> words.Give:
    def give(digest: str) -> str | None:
        row = connection.execute("SELECT text FROM words WHERE digest = ?", (digest,)).fetchone()
        if row is None:
            raise LookupError("its personal words are missing")
        return None if row[0] is None else str(row[0])

    return give


def bound(connection: sqlite3.Connection, session: int) -> None:
    """Unreadable where the entries of a session are more than any batch could have."""
    total = connection.execute(
        "SELECT coalesce(sum(length(body)), 0) FROM events WHERE session = ?", (session,)
    ).fetchone()[0]
    if total > _MOST_BYTES_OF_ONE_SESSION:
        raise Unreadable(Fault(session_id(session), "its entries are larger than any batch could be"))


def read(connection: sqlite3.Connection, session: int, first_seq: int = 1) -> Iterator[StoredEvent]:
    """The entries of one session, oldest first.  Raises Unreadable at the first that makes no sense."""
    bound(connection, session)
    give = give_words(connection)
    for seq, kind, body, digest in connection.execute(
        "SELECT seq, kind, body, digest FROM events WHERE session = ? AND seq >= ? ORDER BY seq",
        (session, first_seq),
    ):
        yield StoredEvent(seq, body, digest, *parse(session, seq, kind, body, give))


def parse(session: int, seq: int, kind: str, body: str, give: words.Give) -> tuple[AnyEvent, bool]:
    """The event in a stored text, and whether its words were erased."""
    try:
        if kind not in words.KINDS_WITH_WORDS:
            return event_adapter.validate_json(body), False
        event, erased = words.give_to_event(json.loads(body), give)
        return event_adapter.validate_python(event), erased
    except (ValidationError, ValueError, LookupError, RecursionError) as error:
        raise Unreadable(
            Fault(entry_place(session, seq), f"the entry cannot be read ({first_line(error)})")
        ) from error


def first_line(error: Exception) -> str:
    if isinstance(error, ValidationError):
        problem = error.errors(include_url=False, include_context=False, include_input=False)[0]
        where = ".".join(str(part) for part in problem["loc"])
        return f"{where}: {problem['msg']}" if where else str(problem["msg"])
    return str(error).splitlines()[0][:200] if str(error) else type(error).__name__


def summary_due(connection: sqlite3.Connection, session: int, new: Sequence[AnyEvent]) -> bool:
    """On finish, and on anything that is written after it (a correction)."""
    if any(isinstance(event, (Finished, EndedEarly)) for event in new):
        return True
    return connection.execute("SELECT 1 FROM summaries WHERE session = ?", (session,)).fetchone() is not None


def rebuild_summary(connection: sqlite3.Connection, session: int) -> None:
    """Write the summary row of one ended session anew from its events, of which there may be very many."""
    last: StoredEvent | None = None
    end = ""

    def told() -> Iterator[AnyEvent]:
        nonlocal last, end
        for last in read(connection, session):
            if not end and isinstance(last.event, (Finished, EndedEarly)):
                end = last.event.kind
            yield last.event

    events = told()
    made = meaning.summarise(events)
    for _ in events:  # those that the session could not follow
        pass
    if last is not None and end:
        connection.execute(
            "INSERT OR REPLACE INTO summaries VALUES (?, ?, ?, ?, ?)",
            (session, last.seq, last.digest, end, meaning.to_json(made)),
        )


def rebuild_all(connection: sqlite3.Connection) -> int:
    """The summaries of all ended sessions anew."""
    connection.execute("DELETE FROM summaries")
    ended = connection.execute(
        "SELECT DISTINCT session FROM events WHERE kind IN ('finished', 'ended early') ORDER BY session"
    ).fetchall()
    for (session,) in ended:
        rebuild_summary(connection, session)
    return len(ended)


def load_json(text: str, place: str) -> Any:
    """JSON from a column; Unreadable when it is none."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Unreadable(Fault(place, f"cannot be read ({first_line(error)})")) from error
