"""Summaries of an older form, built again from the record: they say less than lists and trends ask now.

A project of an older version opens at once whatever its size: a few rows are
renewed on opening, the rest in portions by whoever shows them
(`Project.renew_summaries`).  Until then an old row reads with empty fields.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable

from pydantic import ValidationError

from workbench.core.batch.record import SUMMARY_FORM
from workbench.store import journal, meaning

AT_OPENING = 12  # a plan of 200 kB is read and folded in some tens of milliseconds

# Found by text, because reading thousands of rows as JSON would be felt at every opening.  A note cannot
# hold this text: its quotation marks are escaped in JSON.
_OLD = "SELECT session, body FROM summaries WHERE instr(body, ?) = 0 ORDER BY session DESC"


def old_rows(connection: sqlite3.Connection) -> list[int]:
    """Numbers of the sessions whose summary is of an older form, newest first.

    A row that no version can have written is left as it is: damage is said, not tidied away.
    """
    rows = connection.execute(_OLD, (f'"form":{SUMMARY_FORM},',))
    return [int(session) for session, body in rows if _is_old(body)]


def _is_old(body: str) -> bool:
    try:
        found = meaning.from_json(body)
    except ValidationError:
        return False
    return found is not None and found.form < SUMMARY_FORM


def renew(connection: sqlite3.Connection, most: int) -> int:
    """Build at most so many old rows again, the newest first; how many are still old."""
    old = old_rows(connection)
    for session in old[:most]:
        try:
            journal.rebuild_summary(connection, session)
        except journal.Unreadable:  # listed without a summary, as every record that makes no sense
            connection.execute("UPDATE summaries SET body = 'null' WHERE session = ?", (session,))
    return len(old[most:])


def renew_those_at(connection: sqlite3.Connection, places: Iterable[str]) -> None:
    """After words were erased at these places ("session s4, entry 17"): their summaries hold no copy."""
    numbers = {int(found[1]) for place in places if (found := re.match(r"session s(\d+), entry ", place))}
    for number in sorted(numbers):
        if connection.execute("SELECT 1 FROM summaries WHERE session = ?", (number,)).fetchone():
            journal.rebuild_summary(connection, number)
