"""Erasing personal words on request: the words go, the fact that they were erased stays."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from workbench.store.connection import rows_within


@dataclass(frozen=True, slots=True)
class PersonalWords:
    """One piece of personal text and where it stands."""

    digest: str
    place: str  # "session s4, entry 17", "recipe Kitchen Garden, revision 2"
    wearer: str  # initials, where they are known
    text: str


@dataclass(frozen=True, slots=True)
class Erasure:
    """That something was erased: when, what kind of thing, why, and how many pieces."""

    number: int
    at: str
    what: str
    reason: str
    pieces: int


def personal_words(connection: sqlite3.Connection) -> tuple[PersonalWords, ...]:
    """Everything that can be erased, by place."""
    # Sorted here, once they are known to be within bounds: SQLite would copy every text of the file to sort them.
    rows = sorted(
        rows_within(connection.execute("SELECT digest, place, text FROM words WHERE text IS NOT NULL")),
        key=lambda row: (row[1], row[0]),
    )
    wearers = {_document(place): wearer for _, place, text in rows if (wearer := _wearer(text))}
    texts = {digest: text for digest, _, text in rows}
    owners = _owners(connection)
    return tuple(
        PersonalWords(
            digest, place, texts.get(owners.get(digest, ""), "") or wearers.get(_document(place), ""), text
        )
        for digest, place, text in rows
    )


def _owners(connection: sqlite3.Connection) -> dict[str, str]:
    """Digest of a piece in a document -> that of the initials beside or above it (its own, where it is them)."""
    found: dict[str, str] = {}

    def walk(value: object, owner: str) -> None:
        if isinstance(value, list):
            for item in value:
                walk(item, owner)
        elif isinstance(value, dict):
            owner = _digest(value.get("wearer")) or owner
            for item in value.values():
                digest = _digest(item)
                if digest:
                    found[digest] = owner
                else:
                    walk(item, owner)

    for (body,) in rows_within(connection.execute("SELECT body FROM documents")):
        try:
            walk(json.loads(body), "")
        except (ValueError, RecursionError):
            continue  # looking the project through tells of it
    return found


def _digest(value: object) -> str:
    """What a reference in the place of a text refers to; "" for anything else."""
    held = value.get("words") if isinstance(value, dict) and len(value) == 1 else None
    return held if isinstance(held, str) else ""


def _document(place: str) -> str:
    """What stands before the entry or revision: notes of a session belong to the wearer of its recipe."""
    return place.rpartition(", ")[0]


def _wearer(text: str) -> str:
    """The initials in a brief; "" in any other text."""
    if not text.startswith("{"):
        return ""
    try:
        brief = json.loads(text)
    except (ValueError, RecursionError):
        return ""
    return str(brief.get("for_whom", "")) if isinstance(brief, dict) else ""


def erase(connection: sqlite3.Connection, digests: Iterable[str], what: str, reason: str, at: str) -> int:
    """Erase pieces of text for good; how many there were.  `what` must not repeat them."""
    gone = [
        digest
        for digest in dict.fromkeys(digests)
        if connection.execute(
            "UPDATE words SET salt = NULL, text = NULL WHERE digest = ? AND text IS NOT NULL", (digest,)
        ).rowcount
    ]
    if gone:
        number = int(connection.execute("SELECT coalesce(max(number), 0) + 1 FROM erasures").fetchone()[0])
        connection.execute(
            "INSERT INTO erasures VALUES (?, ?, ?, ?, ?)", (number, at, what, reason, len(gone))
        )
    return len(gone)


def drop_drafts_of(connection: sqlite3.Connection, wearers: Iterable[str]) -> None:
    """Unsaved text about the same wearers goes too."""
    wanted = {wearer for wearer in wearers if wearer}
    for key, body in list(rows_within(connection.execute("SELECT key, body FROM drafts"))):
        try:
            draft = json.loads(body)
        except (ValueError, RecursionError):
            continue
        brief = draft.get("brief") if isinstance(draft, dict) else None
        if isinstance(brief, dict) and brief.get("for_whom") in wanted:
            connection.execute("DELETE FROM drafts WHERE key = ?", (key,))


def erasures(connection: sqlite3.Connection) -> tuple[Erasure, ...]:
    """What was erased so far, oldest first."""
    rows = connection.execute("SELECT number, at, what, reason, pieces FROM erasures ORDER BY number")
    return tuple(Erasure(*row) for row in rows_within(rows))
