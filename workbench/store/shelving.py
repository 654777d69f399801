"""Recipes with their revisions, the shelf, drafts and documents: rows in, models out."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Fault
from workbench.store import words
from workbench.store.connection import rows_within
from workbench.store.journal import Unreadable, first_line, give_words, keep_words, load_json

_SHELVES_KEPT = 100


@dataclass(frozen=True, slots=True)
class RecipeEntry:
    """One revision of one recipe as it is kept; `revision` counts from 1."""

    name: str
    revision: int
    saved_at: str  # ISO 8601 with offset
    recipe: Recipe
    put_away: bool = False
    brief_erased: bool = False


@dataclass(frozen=True, slots=True)
class Draft:
    """Text of an editor that was not saved yet."""

    key: str
    saved_at: str
    text: str


@dataclass(frozen=True, slots=True)
class Document:
    """One revision of a document of another kind (a trial, wear notes, ...)."""

    kind: str
    key: str
    revision: int
    saved_at: str
    body: Any


_LATEST = """
SELECT r.name, v.revision, v.saved_at, v.body, r.put_away FROM recipes r
JOIN revisions v ON v.recipe = r.id
 AND v.revision = (SELECT max(revision) FROM revisions WHERE recipe = r.id)
ORDER BY r.name
"""


def latest_recipes(connection: sqlite3.Connection) -> tuple[RecipeEntry, ...]:
    return _entries(connection, rows_within(connection.execute(_LATEST)))


def recipe_revisions(connection: sqlite3.Connection, name: str) -> tuple[RecipeEntry, ...]:
    """All revisions of one recipe, oldest first; empty when there is no such recipe."""
    rows = connection.execute(
        "SELECT r.name, v.revision, v.saved_at, v.body, r.put_away FROM recipes r "
        "JOIN revisions v ON v.recipe = r.id WHERE r.name = ? ORDER BY v.revision",
        (name,),
    )
    return _entries(connection, rows_within(rows))


def _entries(connection: sqlite3.Connection, rows: Iterable[Any]) -> tuple[RecipeEntry, ...]:
    give = give_words(connection)
    made = []
    for name, revision, saved_at, body, put_away in rows:
        place = f"recipe {name}, revision {revision}"
        stored = load_json(body, place)
        try:
            whole, erased = words.give_to_recipe(stored, give)
            recipe = Recipe.model_validate_json(words.to_text(whole))
        except (ValidationError, ValueError, LookupError, RecursionError) as error:
            raise Unreadable(Fault(place, f"cannot be read ({first_line(error)})")) from error
        made.append(RecipeEntry(name, revision, saved_at, recipe, bool(put_away), erased))
    return tuple(made)


def save_recipe(connection: sqlite3.Connection, recipe: Recipe, was: str | None, saved_at: str) -> int:
    """Add a revision, unless nothing changed; `was` is the name it had before a renaming."""
    known = was or recipe.name
    row = connection.execute("SELECT id FROM recipes WHERE name = ?", (known,)).fetchone()
    if row is None:
        number = int(
            connection.execute("INSERT INTO recipes (name) VALUES (?)", (recipe.name,)).lastrowid or 0
        )
    else:
        number = int(row[0])
        if known != recipe.name:
            connection.execute("UPDATE recipes SET name = ? WHERE id = ?", (recipe.name, number))
        newest = recipe_revisions(connection, recipe.name)
        if newest and newest[-1].recipe == recipe and not newest[-1].brief_erased:
            connection.execute("UPDATE recipes SET put_away = 0 WHERE id = ?", (number,))
            return newest[-1].revision
    revision = _next(connection, "SELECT max(revision) FROM revisions WHERE recipe = ?", (number,))
    taken = words.Taken(f"recipe {recipe.name}, revision {revision}")
    body = words.to_text(words.take_from_recipe(_plain(recipe), taken))
    keep_words(connection, taken)
    connection.execute("INSERT INTO revisions VALUES (?, ?, ?, ?)", (number, revision, saved_at, body))
    connection.execute("UPDATE recipes SET put_away = 0 WHERE id = ?", (number,))
    return revision


def _plain(recipe: Recipe) -> dict[str, Any]:
    """The recipe as JSON; a brief that says nothing is not kept as personal words."""
    plain = recipe.model_dump(mode="json")
    if recipe.brief == type(recipe.brief)():
        plain["brief"] = {}
    return plain


def put_away(connection: sqlite3.Connection, name: str, away: bool) -> None:
    connection.execute("UPDATE recipes SET put_away = ? WHERE name = ?", (int(away), name))


def name_taken(connection: sqlite3.Connection, name: str) -> bool:
    return connection.execute("SELECT 1 FROM recipes WHERE name = ?", (name,)).fetchone() is not None


def shelf(connection: sqlite3.Connection) -> Shelf:
    row = connection.execute("SELECT body FROM shelf ORDER BY revision DESC LIMIT 1").fetchone()
    if row is None:
        return Shelf()
    try:
        return Shelf.model_validate_json(row[0])
    except ValidationError as error:
        raise Unreadable(Fault("shelf", f"cannot be read ({first_line(error)})")) from error


def save_shelf(connection: sqlite3.Connection, new: Shelf, saved_at: str) -> int:
    """Keep the shelf; the last hundred versions stay, in case an edit is regretted."""
    revision = _next(connection, "SELECT max(revision) FROM shelf", ())
    connection.execute("INSERT INTO shelf VALUES (?, ?, ?)", (revision, saved_at, new.model_dump_json()))
    connection.execute("DELETE FROM shelf WHERE revision <= ?", (revision - _SHELVES_KEPT,))
    return revision


def drafts(connection: sqlite3.Connection) -> tuple[Draft, ...]:
    rows = rows_within(connection.execute("SELECT key, saved_at, body FROM drafts ORDER BY key"))
    return tuple(Draft(*row) for row in rows)


def save_draft(connection: sqlite3.Connection, key: str, text: str, saved_at: str) -> None:
    connection.execute("INSERT OR REPLACE INTO drafts VALUES (?, ?, ?)", (key, saved_at, text))


def drop_draft(connection: sqlite3.Connection, key: str) -> None:
    connection.execute("DELETE FROM drafts WHERE key = ?", (key,))


def documents(connection: sqlite3.Connection, kind: str, key: str | None = None) -> tuple[Document, ...]:
    """The newest revision of every document of a kind, or all revisions of one."""
    if key is None:
        rows = connection.execute(
            "SELECT kind, key, revision, saved_at, body FROM documents d WHERE kind = ? AND revision = "
            "(SELECT max(revision) FROM documents WHERE kind = d.kind AND key = d.key) ORDER BY key",
            (kind,),
        )
    else:
        rows = connection.execute(
            "SELECT kind, key, revision, saved_at, body FROM documents WHERE kind = ? AND key = ? ORDER BY revision",
            (kind, key),
        )
    give = give_words(connection)
    return tuple(_document(row, give) for row in rows_within(rows))


def _document(row: tuple[str, str, int, str, str], give: words.Give) -> Document:
    kind, key, revision, saved_at, text = row
    place = f"{kind} {key}, revision {revision}"
    try:
        return Document(kind, key, revision, saved_at, words.give_to_document(load_json(text, place), give))
    except LookupError as error:
        raise Unreadable(Fault(place, f"cannot be read ({first_line(error)})")) from error


def document_kinds(connection: sqlite3.Connection) -> tuple[str, ...]:
    return tuple(
        str(row[0]) for row in connection.execute("SELECT DISTINCT kind FROM documents ORDER BY kind")
    )


def save_document(connection: sqlite3.Connection, kind: str, key: str, body: Any, saved_at: str) -> int:
    revision = _next(
        connection, "SELECT max(revision) FROM documents WHERE kind = ? AND key = ?", (kind, key)
    )
    taken = words.Taken(f"{kind} {key}, revision {revision}")
    text = words.to_text(words.take_from_document(body, taken))
    keep_words(connection, taken)
    connection.execute("INSERT INTO documents VALUES (?, ?, ?, ?, ?)", (kind, key, revision, saved_at, text))
    return revision


def _next(connection: sqlite3.Connection, query: str, values: tuple[object, ...]) -> int:
    newest = connection.execute(query, values).fetchone()[0]
    return 1 if newest is None else int(newest) + 1
