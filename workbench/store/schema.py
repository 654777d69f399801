"""The tables of a project file, and how to tell that a file is one.

One SQLite file per project.  What happened and what was agreed (events,
recipe revisions, documents, erasures) is append-only, and triggers in the file
itself refuse to change it, whichever program tries.  Personal words stand in
a side table and are referred to by digest, so that they can be erased while
the record around them, and its chain of digests, stays whole.
"""

from __future__ import annotations

import re
import sqlite3

APPLICATION_ID = 0x42_41_4C_4D  # "BALM", at offset 68 of the file
SCHEMA_VERSION = 1
SUFFIX = ".balmbook"
HEADER = b"SQLite format 3\x00"
LONGEST_BODY = 4_000_000  # characters; the plan in the first event is the longest in practice, near 200,000

TABLES = f"""
CREATE TABLE meta (
  key TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE shelf (
  revision INTEGER PRIMARY KEY,
  saved_at TEXT NOT NULL,
  body TEXT NOT NULL CHECK (length(body) <= {LONGEST_BODY})
) STRICT;

CREATE TABLE recipes (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  put_away INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE revisions (
  recipe INTEGER NOT NULL REFERENCES recipes(id),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  saved_at TEXT NOT NULL,
  body TEXT NOT NULL CHECK (length(body) <= {LONGEST_BODY}),
  PRIMARY KEY (recipe, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE drafts (
  key TEXT PRIMARY KEY,
  saved_at TEXT NOT NULL,
  body TEXT NOT NULL CHECK (length(body) <= {LONGEST_BODY})
) STRICT, WITHOUT ROWID;

CREATE TABLE sessions (
  number INTEGER PRIMARY KEY CHECK (number >= 1),
  started TEXT NOT NULL,
  recipe_name TEXT NOT NULL,
  recipe_revision INTEGER NOT NULL,
  rehearsal INTEGER NOT NULL,
  batch_code TEXT NOT NULL
) STRICT;

CREATE TABLE events (
  session INTEGER NOT NULL REFERENCES sessions(number),
  seq INTEGER NOT NULL CHECK (seq >= 1),
  at_s REAL NOT NULL,
  wall TEXT NOT NULL,
  kind TEXT NOT NULL,
  body TEXT NOT NULL CHECK (length(body) <= {LONGEST_BODY}),
  digest BLOB NOT NULL CHECK (length(digest) = 32),
  PRIMARY KEY (session, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE summaries (
  session INTEGER PRIMARY KEY REFERENCES sessions(number),
  seq INTEGER NOT NULL,
  digest BLOB NOT NULL,
  ended TEXT NOT NULL,
  body TEXT NOT NULL CHECK (length(body) <= {LONGEST_BODY})
) STRICT;

CREATE TABLE documents (
  kind TEXT NOT NULL,
  key TEXT NOT NULL,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  saved_at TEXT NOT NULL,
  body TEXT NOT NULL CHECK (length(body) <= {LONGEST_BODY}),
  PRIMARY KEY (kind, key, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE words (
  digest TEXT PRIMARY KEY CHECK (length(digest) = 64),
  place TEXT NOT NULL,
  salt TEXT,
  text TEXT CHECK (length(text) <= {LONGEST_BODY}),
  CHECK ((salt IS NULL) = (text IS NULL))
) STRICT, WITHOUT ROWID;

CREATE TABLE erasures (
  number INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  what TEXT NOT NULL,
  reason TEXT NOT NULL,
  pieces INTEGER NOT NULL
) STRICT;
"""

# A record may only grow, each entry next in order.  The insert triggers also stop
# INSERT OR REPLACE, which would otherwise delete without firing a delete trigger.
_NEXT = """
CREATE TRIGGER events_in_order BEFORE INSERT ON events
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM events WHERE session = NEW.session)
BEGIN SELECT RAISE(ABORT, 'an entry of the record must follow the last one'); END;

CREATE TRIGGER revisions_in_order BEFORE INSERT ON revisions
WHEN NEW.revision <> (SELECT coalesce(max(revision), 0) + 1 FROM revisions WHERE recipe = NEW.recipe)
BEGIN SELECT RAISE(ABORT, 'a revision must follow the last one'); END;

CREATE TRIGGER documents_in_order BEFORE INSERT ON documents
WHEN NEW.revision <> (SELECT coalesce(max(revision), 0) + 1 FROM documents WHERE kind = NEW.kind AND key = NEW.key)
BEGIN SELECT RAISE(ABORT, 'a revision must follow the last one'); END;

CREATE TRIGGER sessions_in_order BEFORE INSERT ON sessions
WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM sessions)
BEGIN SELECT RAISE(ABORT, 'a session must follow the last one'); END;

CREATE TRIGGER erasures_in_order BEFORE INSERT ON erasures
WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM erasures)
BEGIN SELECT RAISE(ABORT, 'an erasure must follow the last one'); END;

CREATE TRIGGER words_only_erased BEFORE UPDATE ON words
WHEN NEW.digest IS NOT OLD.digest OR NEW.place IS NOT OLD.place OR NEW.text IS NOT NULL OR NEW.salt IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'words are kept as they are, or erased'); END;

CREATE TRIGGER words_once BEFORE INSERT ON words
WHEN EXISTS (SELECT 1 FROM words WHERE digest = NEW.digest)
BEGIN SELECT RAISE(ABORT, 'words are kept as they are, or erased'); END;
"""


def _refusals() -> str:
    lines = []
    for table in ("events", "revisions", "documents", "sessions", "erasures"):
        lines.append(
            f"CREATE TRIGGER {table}_never_changed BEFORE UPDATE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, 'the record cannot be changed'); END;"
        )
    for table in ("events", "revisions", "documents", "sessions", "erasures", "words", "recipes"):
        lines.append(
            f"CREATE TRIGGER {table}_never_deleted BEFORE DELETE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, 'the record cannot be deleted'); END;"
        )
    return "\n".join(lines)


SCHEMA = TABLES + _NEXT + _refusals()


def structure(connection: sqlite3.Connection) -> dict[tuple[str, str], str]:
    """Every table, index and trigger of a file, with its text in one spacing."""
    rows = connection.execute("SELECT type, name, coalesce(sql, '') FROM sqlite_schema").fetchmany(500)
    return {(str(kind), str(name)): re.sub(r"\s+", " ", str(sql)).strip() for kind, name, sql in rows}


def expected_structure() -> dict[tuple[str, str], str]:
    """The structure that this version writes, from a file made in memory."""
    connection = sqlite3.connect(":memory:")
    try:
        connection.executescript(SCHEMA)
        return structure(connection)
    finally:
        connection.close()
