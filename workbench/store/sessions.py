"""The list of sessions, from their first entries and summaries; events stay unread."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from workbench.core.batch.record import SessionSummary
from workbench.core.trouble import Fault
from workbench.store import meaning
from workbench.store.connection import rows_within
from workbench.store.journal import Unreadable, first_line, session_id

_COLUMNS = (
    "SELECT s.number, s.started, s.recipe_name, s.recipe_revision, s.rehearsal, s.batch_code, m.ended, m.body "
    "FROM sessions s LEFT JOIN summaries m ON m.session = s.number "
)


@dataclass(frozen=True, slots=True)
class SessionEntry:
    """One session in the list.

    `end` is "finished", "ended early" or "" while it runs (or was never ended).
    `summary` is there once it has ended, unless the record makes no sense.
    """

    id: str
    number: int
    started: datetime
    recipe_name: str
    recipe_revision: int
    rehearsal: bool
    batch_code: str
    end: str = ""
    summary: SessionSummary | None = None

    @property
    def ended(self) -> bool:
        return self.end != ""


def listed(connection: sqlite3.Connection) -> tuple[SessionEntry, ...]:
    """Newest first."""
    return _entries(rows_within(connection.execute(_COLUMNS + "ORDER BY s.number DESC")))


def unfinished(connection: sqlite3.Connection) -> tuple[SessionEntry, ...]:
    """Sessions without an end, newest first.

    A summary can be missing although the batch ended (they may be thrown away
    and built again), so the entries themselves are asked; of those only, or
    SQLite would go through every entry of every batch first.
    """
    rows = connection.execute(
        _COLUMNS
        + "WHERE CASE WHEN m.session IS NULL THEN NOT EXISTS (SELECT 1 FROM events e WHERE e.session = s.number "
        "AND e.kind IN ('finished', 'ended early')) ELSE 0 END ORDER BY s.number DESC"
    )
    return _entries(rows_within(rows))


def _entries(rows: Iterable[Any]) -> tuple[SessionEntry, ...]:
    made = []
    for number, started, name, revision, rehearsal, code, end, summary in list(rows):  # bounds first
        try:
            made.append(
                SessionEntry(
                    session_id(number),
                    number,
                    datetime.fromisoformat(started),
                    name,
                    revision,
                    bool(rehearsal),
                    code,
                    end or "",
                    meaning.from_json(summary) if summary is not None else None,
                )
            )
        except (ValidationError, ValueError) as error:
            raise Unreadable(Fault(session_id(number), f"cannot be read ({first_line(error)})")) from error
    return tuple(made)


def newest(connection: sqlite3.Connection) -> int:
    return int(connection.execute("SELECT coalesce(max(number), 0) FROM sessions").fetchone()[0])


def has_entry(connection: sqlite3.Connection, session: int, seq: int, digest: bytes) -> bool:
    row = connection.execute(
        "SELECT digest FROM events WHERE session = ? AND seq = ?", (session, seq)
    ).fetchone()
    return row is not None and bytes(row[0]) == digest
