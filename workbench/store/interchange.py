"""A whole project out to JSON and in again, equal event by event."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from pydantic_core import from_json

from workbench.core.batch.events import AnyEvent, SessionStarted
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import say
from workbench.store import files, journal, meaning, opening, parts, troubles, words
from workbench.store.connection import connect, transaction
from workbench.store.documents import (
    FORMAT,
    VERSION,
    DocumentPart,
    DraftPart,
    ErasurePart,
    EventPart,
    ProjectPart,
    RecipePart,
    RevisionPart,
    SessionPart,
)
from workbench.store.parts import sentence
from workbench.store.project import Project
from workbench.store.words import to_text

Progress = Callable[[int, int], None]  # done, of how many

MOST_BYTES = 48_000_000
_MOST_BYTES_EVER = 4_000_000_000
_MOST_VALUES = 800_000  # commas and brackets: what the reader's memory grows with


def _silent(done: int, total: int) -> None:
    """Nobody watches."""


# -- out


def export_project(project: Project, target: Path, progress: Progress = _silent) -> None:
    """Write the whole project to `target`, session by session, so that memory stays small."""
    with files.replacing(target) as file:
        write_project(project, file, progress)


def write_project(project: Project, file: IO[bytes], progress: Progress = _silent) -> None:
    """The same to an open file."""
    listed = sorted(project.sessions(), key=lambda entry: entry.number)
    head: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "project": project.id,
        "created": project.created,
        "shelf": project.shelf().model_dump(mode="json"),
    }
    lists: dict[str, Iterator[Any]] = {
        "recipes": (part.model_dump(mode="json") for part in _recipes(project)),
        "documents": (part.model_dump(mode="json") for part in _documents(project)),
        "drafts": (
            DraftPart(key=d.key, saved_at=d.saved_at, text=d.text).model_dump() for d in project.drafts()
        ),
        "erasures": (
            ErasurePart(number=e.number, at=e.at, what=e.what, reason=e.reason, pieces=e.pieces).model_dump()
            for e in project.erasures()
        ),
    }
    _put(file, "{\n")
    for key, value in head.items():
        _put(file, f"{to_text(key)}: {to_text(value)},\n")
    for key, rows in lists.items():
        _put(file, f"{to_text(key)}: [")
        _put_lines(file, rows)
        _put(file, "],\n")
    _put(file, '"sessions": [')
    for done, entry in enumerate(listed):
        progress(done, len(listed))
        _put(file, f'{"," if done else ""}\n{{"id": {to_text(entry.id)}, "events": [')
        _put_lines(
            file,
            (
                {"seq": stored.seq, "event": stored.event.model_dump(mode="json"), "erased": stored.erased}
                for stored in project.stored_events(entry.id)
            ),
        )
        _put(file, "]}")
    _put(file, "\n]\n}\n")
    progress(len(listed), len(listed))


def _put(file: IO[bytes], text: str) -> None:
    file.write(text.encode("utf-8"))


def _put_lines(file: IO[bytes], parts: Iterator[Any]) -> None:
    for index, part in enumerate(parts):
        _put(file, ("," if index else "") + "\n" + to_text(part))


def _recipes(project: Project) -> Iterator[RecipePart]:
    for newest in project.recipes():
        yield RecipePart(
            name=newest.name,
            put_away=newest.put_away,
            revisions=tuple(
                RevisionPart(
                    revision=entry.revision,
                    saved_at=entry.saved_at,
                    recipe=entry.recipe,
                    brief_erased=entry.brief_erased,
                )
                for entry in project.revisions(newest.name)
            ),
        )


def _documents(project: Project) -> Iterator[DocumentPart]:
    for kind in project.document_kinds():
        for newest in project.documents(kind):
            for each in project.documents(kind, newest.key):
                yield DocumentPart(
                    kind=each.kind,
                    key=each.key,
                    revision=each.revision,
                    saved_at=each.saved_at,
                    body=each.body,
                )


# -- in


def import_project(source: Path, target: Path, now: datetime, *, large: bool = False) -> None:
    """Make a new project at `target` from an exported one.

    `large` lifts the bounds that keep a hostile file from costing time and
    memory.  Raises StoreTrouble with every fault and its place; nothing is left
    at `target` then.
    """
    write_imported(read_document(source, large=large), target, now)


def read_document(source: Path, *, large: bool = False) -> ProjectPart:
    """Read and check an exported project; StoreTrouble with all its faults."""
    return parse_document(
        files.read_bytes(source, _MOST_BYTES_EVER if large else MOST_BYTES), source, large=large
    )


def parse_document(data: bytes, source: Path, *, large: bool = False) -> ProjectPart:
    """The same from bytes; `source` is the name that the faults carry."""
    if not large and data.count(b",") + data.count(b"[") + data.count(b"{") > _MOST_VALUES:
        raise troubles.too_large(source)
    try:
        plain = from_json(data, allow_inf_nan=False)
    except ValueError as error:
        raise _refused(source, [Fault("", sentence(f"This is not JSON: {error}"))], 1) from error
    document, faults = parts.assemble(plain)
    if document is not None:
        faults = list(_contradictions(document))
    if document is None or faults:
        raise _refused(source, faults[: parts.MOST_FAULTS], len(faults))
    return document


def _refused(source: Path, faults: list[Fault], count: int) -> Trouble:
    return troubles.StoreTrouble(
        troubles.Kind.INVALID,
        say(
            "{place} cannot be taken in: faults found in it: {count}. Nothing was changed; "
            "mend them in the file, or export the project again.",
            place=str(source),
            count=count,
        ),
        tuple(faults),
    )


def _contradictions(document: ProjectPart) -> Iterator[Fault]:
    """What the shape allows and the record does not."""
    names: set[str] = set()
    for r, recipe in enumerate(document.recipes):
        if recipe.name in names:
            yield Fault(f"recipes[{r}].name", "Another recipe has this name; give it one of its own.")
        names.add(recipe.name)
        if recipe.revisions[-1].recipe.name != recipe.name:
            yield Fault(f"recipes[{r}].name", "It must be the name in the newest revision.")
        for v, revision in enumerate(recipe.revisions):
            if revision.revision != v + 1:
                yield Fault(
                    f"recipes[{r}].revisions[{v}].revision", f"It must be {v + 1}: revisions count from 1."
                )
    newest: dict[tuple[str, str], int] = {}
    for d, part in enumerate(document.documents):
        expected = newest.get((part.kind, part.key), 0) + 1
        if part.revision != expected:
            yield Fault(f"documents[{d}].revision", f"It must be {expected}: revisions count from 1.")
        newest[part.kind, part.key] = part.revision
    for e, erasure in enumerate(document.erasures):
        if erasure.number != e + 1:
            yield Fault(f"erasures[{e}].number", f"It must be {e + 1}: erasures count from 1.")
    keys = [draft.key for draft in document.drafts]
    for k, key in enumerate(keys):
        if key in keys[:k]:
            yield Fault(f"drafts[{k}].key", "Another draft has this key.")
    for s, session in enumerate(document.sessions):
        yield from _wrong_in_session(s, session)


def _wrong_in_session(s: int, session: SessionPart) -> Iterator[Fault]:
    place = f"sessions[{s}]"
    if session.id != journal.session_id(s + 1):
        yield Fault(
            f"{place}.id", f"It must be {journal.session_id(s + 1)}: sessions are numbered as they began."
        )
    in_order = True
    for e, part in enumerate(session.events):
        if part.seq != e + 1:
            in_order = False
            yield Fault(
                f"{place}.events[{e}].seq", f"It must be {e + 1}: entries count from 1 without a gap."
            )
    if not isinstance(session.events[0].event, SessionStarted):
        yield Fault(f"{place}.events[0].event.kind", "A session begins with the entry “session started”.")
    elif in_order:
        yield from illegal(f"{place}.events[{{index}}]", [part.event for part in session.events])


def illegal(place: str, events: Sequence[AnyEvent]) -> Iterator[Fault]:
    """The first event that cannot have happened after those before it; `place` takes {index} or {entry}."""
    try:
        meaning.state_after(events)
    except meaning.DoesNotFollow as wrong:
        yield Fault(place.format(entry=wrong.index + 1, index=wrong.index), wrong.says)


def write_imported(document: ProjectPart, target: Path, now: datetime) -> None:
    """A new project file with everything in the document, whole or not at all."""
    final = files.real(target)
    if final.exists():
        raise troubles.exists(final)
    temporary = files.beside(final)
    try:
        try:
            temporary.touch(exist_ok=False)
            with closing(connect(temporary)) as connection:
                opening.write_new(connection, now, document.project)
                with transaction(connection):
                    _fill(connection, document)
            files.sync_file(temporary)
            files.take_place(temporary, final)
        except BaseException:
            for leftover in (temporary, files.journal_of(temporary)):
                with suppress(OSError):
                    leftover.unlink()
            raise
    except sqlite3.Error as error:
        raise troubles.from_sqlite(error, final) from error
    except OSError as error:
        raise troubles.from_os_error(error, final) from error


def _fill(connection: sqlite3.Connection, document: ProjectPart) -> None:
    connection.execute("UPDATE meta SET value = ? WHERE key = 'created'", (document.created,))
    connection.execute(
        "INSERT INTO shelf VALUES (1, ?, ?)", (document.created, document.shelf.model_dump_json())
    )
    for number, recipe in enumerate(document.recipes, start=1):
        connection.execute(
            "INSERT INTO recipes VALUES (?, ?, ?)", (number, recipe.name, int(recipe.put_away))
        )
        for part in recipe.revisions:
            _put_revision(connection, number, part)
    for document_part in document.documents:
        _put_document(connection, document_part)
    for draft in document.drafts:
        connection.execute("INSERT INTO drafts VALUES (?, ?, ?)", (draft.key, draft.saved_at, draft.text))
    for e in document.erasures:
        connection.execute(
            "INSERT INTO erasures VALUES (?, ?, ?, ?, ?)", (e.number, e.at, e.what, e.reason, e.pieces)
        )
    for number, session in enumerate(document.sessions, start=1):
        _put_session(connection, document.project, number, session.events)


def _put_revision(connection: sqlite3.Connection, recipe: int, part: RevisionPart) -> None:
    taken = words.Taken(f"recipe {part.recipe.name}, revision {part.revision}", erased=part.brief_erased)
    plain = part.recipe.model_dump(mode="json")
    if part.recipe.brief == type(part.recipe.brief)():
        plain["brief"] = {}
    body = to_text(words.take_from_recipe(plain, taken))
    journal.keep_words(connection, taken)
    connection.execute(
        "INSERT INTO revisions VALUES (?, ?, ?, ?)", (recipe, part.revision, part.saved_at, body)
    )


def _put_document(connection: sqlite3.Connection, part: DocumentPart) -> None:
    taken = words.Taken(f"{part.kind} {part.key}, revision {part.revision}")
    body = to_text(words.take_from_document(part.body, taken))
    journal.keep_words(connection, taken)
    connection.execute(
        "INSERT INTO documents VALUES (?, ?, ?, ?, ?)",
        (part.kind, part.key, part.revision, part.saved_at, body),
    )


def _put_session(
    connection: sqlite3.Connection, project: str, number: int, parts: tuple[EventPart, ...]
) -> None:
    """In runs of whole and of erased entries, since those are taken in differently."""
    start = 0
    for end in range(1, len(parts) + 1):
        if end == len(parts) or parts[end].erased != parts[start].erased:
            events = [part.event for part in parts[start:end]]
            journal.append(connection, project, number, start + 1, events, erased=parts[start].erased)
            start = end
