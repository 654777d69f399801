"""A copy elsewhere, at once, when the project's own disk lets a batch down.

While the file can still be read it is copied whole.  When it cannot (the stick
was pulled), memory has what matters now: the batch in hand, the shelf and the
newest recipes.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from workbench.core.batch.events import AnyEvent
from workbench.core.catalogue.shelf import Shelf
from workbench.store import files, journal, opening, shelving, troubles
from workbench.store.connection import connect, transaction
from workbench.store.project import Project
from workbench.store.shelving import RecipeEntry


@dataclass(frozen=True, slots=True)
class Pending:
    """Events that the journal would not take: they follow on what is stored."""

    session: str
    first_seq: int
    events: tuple[AnyEvent, ...]


@dataclass(frozen=True, slots=True)
class SavedCopy:
    """Where the copy is; `whole` is False when it holds only the batch in hand, shelf and newest recipes.

    `session` is the id of the batch in the copy, which may differ then.
    """

    path: Path
    whole: bool
    session: str | None


def save_copy(
    project: Project, to: Path, pending: Sequence[Pending] = (), drafts: Mapping[str, str] | None = None
) -> SavedCopy:
    """Save the project, with what is still waiting to be written, as a new file `to`.

    `drafts`: the newest text of editors, by their keys.  Raises StoreTrouble when the new place will not take it either; nothing is left there then.
    """
    target = files.real(to)
    if target.exists():
        raise troubles.exists(target)
    temporary = files.beside(target)
    try:
        try:
            saved = _fill(project, temporary, target, pending)
            if drafts:
                _keep_drafts(temporary, drafts, project.now())
            files.sync_file(temporary)
            files.take_place(temporary, target)
        except BaseException:
            for leftover in (temporary, files.journal_of(temporary)):
                with suppress(OSError):
                    leftover.unlink()
            raise
    except sqlite3.Error as error:
        raise troubles.from_sqlite(error, target) from error
    except OSError as error:
        raise troubles.from_os_error(error, target) from error
    return saved


def _fill(project: Project, temporary: Path, target: Path, pending: Sequence[Pending]) -> SavedCopy:
    try:
        project.copy_to(temporary, target)
    except troubles.StoreTrouble as trouble:
        if trouble.kind in (troubles.Kind.DISK_FULL, troubles.Kind.EXISTS) or not target.parent.is_dir():
            raise
        temporary.unlink(missing_ok=True)
        return _from_memory(project, temporary, target, pending)
    with closing(connect(temporary)) as connection:
        for each in pending:
            with transaction(connection):
                number = journal.session_number(each.session)
                journal.append(connection, project.id, number, each.first_seq, each.events)
    return SavedCopy(target, True, pending[-1].session if pending else None)


def _from_memory(project: Project, temporary: Path, target: Path, pending: Sequence[Pending]) -> SavedCopy:
    kept = project.kept
    events = list(kept.events)
    for each in pending:
        if each.session == kept.session or not events:
            events = events[: each.first_seq - 1] + list(each.events)
    temporary.touch(exist_ok=False)
    with closing(connect(temporary)) as connection:
        now = project.now()
        opening.write_new(connection, now, project.id)
        with transaction(connection):
            _write(connection, project.id, kept.shelf, kept.recipes, events, now)
    return SavedCopy(target, False, journal.session_id(1) if events else None)


def _keep_drafts(copy: Path, drafts: Mapping[str, str], now: datetime) -> None:
    with closing(connect(copy)) as connection, transaction(connection):
        for key, text in drafts.items():
            if text:
                shelving.save_draft(connection, key, text, now.isoformat(timespec="seconds"))
            else:
                shelving.drop_draft(connection, key)


def _write(
    connection: sqlite3.Connection,
    project_id: str,
    shelf: Shelf,
    recipes: Iterable[RecipeEntry],
    events: Sequence[AnyEvent],
    now: datetime,
) -> None:
    shelving.save_shelf(connection, shelf, now.isoformat(timespec="seconds"))
    for entry in recipes:
        shelving.save_recipe(connection, entry.recipe, None, entry.saved_at)
        shelving.put_away(connection, entry.name, entry.put_away)
    if events:
        journal.append(connection, project_id, 1, 1, events)
