"""A project: one file with recipes, shelf and every batch that was made from them.

`Project` blocks until the disk has answered and may be used from any thread;
calls take turns.  While a batch runs the window writes through `writer.Writer`,
so that a slow disk never holds up a screen or an alarm.
"""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from workbench.core.batch.events import AnyEvent
from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.store import erasing, journal, meaning, opening, renewing, sessions, shelving, troubles
from workbench.store.connection import TooMuch, bounded, connect, read_header, transaction
from workbench.store.erasing import Erasure, PersonalWords
from workbench.store.journal import OutOfOrder, StoredEvent, Unreadable
from workbench.store.kept import Kept, PackedEvents
from workbench.store.sessions import SessionEntry
from workbench.store.shelving import Document, Draft, RecipeEntry

_PATIENCE_S = 5.0
_PATIENCE_OF_WINDOW_S = 2.0  # of the main thread: where a window is, an alarm may be due meanwhile
_PAGES_AT_ONCE = 250  # of 4 KiB: even the slowest stick takes a piece in less than that


def wall_now() -> datetime:
    """Local wall time with its offset."""
    return datetime.now().astimezone()


@dataclass(frozen=True, slots=True)
class _Identity:
    """Which file is open, as the operating system numbers files."""

    device: int
    inode: int

    @classmethod
    def of(cls, path: Path) -> _Identity | None:
        try:
            found = path.stat()
        except OSError:
            return None
        return cls(found.st_dev, found.st_ino)


class Project:
    """An open project.  Every method may raise StoreTrouble with its place and remedy."""

    def __init__(self, opened: opening.Opened, now: Callable[[], datetime]) -> None:
        self.path = opened.path
        self.id = opened.project_id
        self.read_only_because: Trouble | None = opened.read_only_because
        self._opened = opened
        self._connection: sqlite3.Connection | None = opened.connection  # None once closed
        self.now = now
        self.kept = Kept()
        self._gate = threading.RLock()
        self._identity = _Identity.of(opened.path)
        self._suspect = False  # the last use failed; look at the file anew before the next
        self._heads: dict[int, tuple[int, bytes]] = {}  # what was acknowledged in this process
        self._promised = 0  # the newest session number that was handed out

    # -- opening and closing

    @classmethod
    def create(cls, path: Path | str, *, now: Callable[[], datetime] = wall_now) -> Project:
        """Make a new project at `path` (which must be free) and open it."""
        opening.create(Path(path), now())
        return cls.open(path, now=now)

    @classmethod
    def open(
        cls, path: Path | str, *, read_only: bool = False, now: Callable[[], datetime] = wall_now
    ) -> Project:
        """Open a project.

        It comes back for reading only (`read_only`, with the sentence in
        `read_only_because`) when another window has it, it cannot be written,
        or a newer version wrote it.  Raises StoreTrouble when it is no project
        or damaged; the file is then unchanged.
        """
        project = cls(opening.open_file(Path(path), now(), read_only=read_only), now)
        try:
            if not project.read_only:
                with suppress(troubles.StoreTrouble):  # the rows stay old; who needs the record is told why
                    project.renew_summaries(renewing.AT_OPENING)
        except BaseException:
            project.close()
            raise
        return project

    @property
    def read_only(self) -> bool:
        return self._opened.lock is None or self.read_only_because is not None

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return self.path.stem

    @property
    def created(self) -> str:
        """When it was made, ISO 8601."""
        with self.reading() as connection:
            row = connection.execute("SELECT value FROM meta WHERE key = 'created'").fetchone()
        return str(row[0]) if row else ""

    @property
    def left_behind(self) -> str:
        """A sentence when another computer did not close this project, or ""."""
        owner = self._opened.lock.left_behind if self._opened.lock else None
        if owner is None:
            return ""
        return say(
            "{user} on {host} opened this project on {since} and did not close it. "
            "If it is still open there, close it there first.",
            user=owner.user,
            host=owner.host,
            since=owner.since,
        )

    def leaving(self) -> None:
        """The window is on its way out: whoever opens the project now has only a moment to wait."""
        if self._opened.lock is not None:
            self._opened.lock.leaving(self.now())

    def close(self) -> None:
        """Let go of the file and the lock; it may be called twice and on a disk that is gone."""
        with self._gate:
            self._connection = None
            self._opened.close()

    def __enter__(self) -> Project:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # -- recipes, shelf, drafts, documents

    def recipes(self) -> tuple[RecipeEntry, ...]:
        """The newest revision of every recipe, by name; those put away are marked."""
        with self.reading() as connection:
            self.kept.recipes = shelving.latest_recipes(connection)
            return self.kept.recipes

    def revisions(self, name: str) -> tuple[RecipeEntry, ...]:
        """All revisions of one recipe, oldest first."""
        with self.reading() as connection:
            return shelving.recipe_revisions(connection, name)

    def save_recipe(self, recipe: Recipe, was: str | None = None) -> int:
        """Keep a recipe as a new revision; the number it has now.

        Nothing new is written when nothing changed.  `was` is the former name
        when the recipe was renamed; its revisions go along.
        """
        with self.writing() as connection:
            if was is not None and was != recipe.name and shelving.name_taken(connection, recipe.name):
                raise troubles.StoreTrouble(
                    troubles.Kind.EXISTS,
                    say("There is a recipe called {name} already. Choose another name.", name=recipe.name),
                )
            return shelving.save_recipe(connection, recipe, was, self._stamp())

    def put_away(self, name: str, away: bool = True) -> None:
        """Take a recipe out of sight (or back); nothing is deleted."""
        with self.writing() as connection:
            shelving.put_away(connection, name, away)

    def shelf(self) -> Shelf:
        with self.reading() as connection:
            self.kept.shelf = shelving.shelf(connection)
            return self.kept.shelf

    def save_shelf(self, shelf: Shelf) -> int:
        with self.writing() as connection:
            saved = shelving.save_shelf(connection, shelf, self._stamp())
        self.kept.shelf = shelf
        return saved

    def drafts(self) -> tuple[Draft, ...]:
        """What was typed in an editor and not saved yet."""
        with self.reading() as connection:
            return shelving.drafts(connection)

    def save_draft(self, key: str, text: str) -> None:
        """Keep an editor's text (a recipe as JSON, say) so that nothing typed is lost."""
        with self.writing() as connection:
            shelving.save_draft(connection, key, text, self._stamp())

    def drop_draft(self, key: str) -> None:
        with self.writing() as connection:
            shelving.drop_draft(connection, key)

    def documents(self, kind: str, key: str | None = None) -> tuple[Document, ...]:
        """The newest revision of each document of a kind; with `key` all revisions of that one."""
        with self.reading() as connection:
            return shelving.documents(connection, kind, key)

    def document_kinds(self) -> tuple[str, ...]:
        with self.reading() as connection:
            return shelving.document_kinds(connection)

    def save_document(self, kind: str, key: str, body: Any) -> int:
        """Keep plain JSON as a new revision; texts under the key "words" can be erased later."""
        with self.writing() as connection:
            return shelving.save_document(connection, kind, key, body, self._stamp())

    # -- sessions

    def sessions(self) -> tuple[SessionEntry, ...]:
        """Every session with its summary, newest first; events are not read."""
        with self.reading() as connection:
            return sessions.listed(connection)

    def events(self, session: str) -> tuple[AnyEvent, ...]:
        """All events of a session in order, as they were recorded."""
        with self.reading() as connection:
            found = journal.read(connection, journal.session_number(session))
            return tuple(stored.event for stored in found)

    def packed_events(self, session: str) -> PackedEvents:
        """The same for who goes through them one by one and need not have them all in memory."""
        with self.reading() as connection:
            found = journal.read(connection, journal.session_number(session))
            return PackedEvents(stored.event for stored in found)

    def stored_events(self, session: str) -> tuple[StoredEvent, ...]:
        """The same with sequence numbers, stored text and digests."""
        with self.reading() as connection:
            return tuple(journal.read(connection, journal.session_number(session)))

    def open_session(self) -> str | None:
        """The newest batch that was begun and not ended (practice runs do not count), to go on with."""
        with self.reading() as connection:
            found = [entry for entry in sessions.unfinished(connection) if not entry.rehearsal]
        return found[0].id if found else None

    def new_session(self) -> str:
        """An id for a session that is about to begin; it is in the file from its first event on."""
        with self.reading() as connection:
            self._promised = max(self._promised, sessions.newest(connection)) + 1
            return journal.session_id(self._promised)

    def rebuild_summaries(self) -> int:
        """Throw all summaries away and build them again from the events; how many there are."""
        with self.writing() as connection:
            return journal.rebuild_all(connection)

    def renew_summaries(self, most: int) -> int:
        """Build at most so many summaries of an older version again; how many are left to do.

        The newest come first.  Nothing is written where there is none.
        """
        with self.reading() as connection:
            if not renewing.old_rows(connection):
                return 0
        with self.writing() as connection:
            return renewing.renew(connection, most)

    def append(self, session: str, first_seq: int, events: Sequence[AnyEvent]) -> int:
        """Write events that follow the stored ones; the number of the last, once they are safely on disk.

        The same events may be given again after a failure; they are not doubled.
        """
        number = journal.session_number(session)
        try:
            with self.writing() as connection:
                last = journal.append(connection, self.id, number, first_seq, events)
                head = journal.head(connection, number)
        except OutOfOrder as wrong:
            raise troubles.out_of_order(self.path, session, wrong.stored, wrong.given) from wrong
        if head[1] is not None:
            self._heads[number] = (head[0], head[1])
        self._keep_in_mind(session, first_seq, events)
        return last

    def _keep_in_mind(self, session: str, first_seq: int, events: Sequence[AnyEvent]) -> None:
        """For a copy from memory; what was acknowledged stays so even if the disk fails right here."""
        if self.kept.session == session:
            self.kept.add(first_seq, events)
            return
        with suppress(troubles.StoreTrouble), self.reading() as connection:
            self.kept = Kept.of(connection, session)

    # -- personal words

    def personal_words(self) -> tuple[PersonalWords, ...]:
        """Every piece of personal text that can be erased, with its place."""
        with self.reading() as connection:
            return erasing.personal_words(connection)

    def erase(self, pieces: Sequence[PersonalWords], reason: str) -> int:
        """Erase personal words for good, here and in drafts; how many pieces went.

        That they were erased, when and why, stays.  Backups made before still
        hold them: `backup.renew` replaces those.
        """
        with self.writing() as connection:
            what = ", ".join(dict.fromkeys(piece.place for piece in pieces))
            gone = erasing.erase(connection, [piece.digest for piece in pieces], what, reason, self._stamp())
            erasing.drop_drafts_of(connection, [piece.wearer for piece in pieces])
            renewing.renew_those_at(connection, [piece.place for piece in pieces])
            meaning.from_json.cache_clear()  # rows with the old notes leave memory too
        self.kept = Kept(shelf=self.kept.shelf)  # and so does what a copy from memory would bring back
        return gone

    def erasures(self) -> tuple[Erasure, ...]:
        with self.reading() as connection:
            return erasing.erasures(connection)

    # -- copies

    def copy_to(self, path: Path, called: Path | None = None) -> None:
        """Copy the project page by page to a new file, letting writers in between the pieces.

        `called`: what the copy is to be called in the end, for what is said where that fails.
        """
        wanted = called or path
        with self._turn() as connection:
            try:
                path.touch(exist_ok=False)
                target = sqlite3.connect(path, isolation_level=None)
                try:
                    connection.backup(target, pages=_PAGES_AT_ONCE, progress=self._let_others_in)
                finally:
                    target.close()
            except OSError as error:
                raise troubles.from_os_error(error, wanted) from error
            except sqlite3.Error as error:
                if _Identity.of(self.path) is None:
                    raise troubles.unreachable(self.path) from error
                raise troubles.from_sqlite(error, wanted) from error

    def _let_others_in(self, *_: int) -> None:
        """Between two pieces of a copy: an entry of a running batch must not wait for all of it."""
        self._gate.release()
        time.sleep(0.0005)
        self._gate.acquire()

    # -- turns, checks and translation of errors

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection for a bounded piece of reading."""
        with self._turn() as connection, bounded(connection):
            yield connection

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """The connection inside one transaction; it is on disk when the block ends."""
        if self.read_only:
            raise self.read_only_because or troubles.read_only(self.path)
        with self._turn() as connection:
            with transaction(connection):
                yield connection
            if _Identity.of(self.path) != self._identity:
                # SQLite goes on writing into a file that was taken away; that is not a record.
                self._suspect = True
                raise troubles.moved(self.path)

    @contextmanager
    def _turn(self) -> Iterator[sqlite3.Connection]:
        in_main = threading.current_thread() is threading.main_thread()
        patience_s = min(_PATIENCE_S, _PATIENCE_OF_WINDOW_S) if in_main else _PATIENCE_S
        if not self._gate.acquire(timeout=patience_s):
            raise troubles.not_answering(self.path, patience_s)
        try:
            try:
                yield self._sound_connection()
            except sqlite3.Error as error:
                self._suspect = True
                raise troubles.from_sqlite(error, self.path) from error
            except Unreadable as error:
                raise troubles.damaged(self.path, (error.fault,)) from error
            except UnicodeDecodeError as error:  # SQLite's message quoted bytes that are no text
                raise troubles.damaged(self.path) from error
            except (TooMuch, MemoryError) as error:
                raise troubles.too_large(self.path) from error
        finally:
            self._gate.release()

    def _sound_connection(self) -> sqlite3.Connection:
        if self._connection is None:
            raise RuntimeError("the project is closed")
        if self._opened.copy_of is not None:
            return self._connection
        if self._suspect or _Identity.of(self.path) != self._identity:
            self._connection = self._opened.connection = self._open_again(self._connection)
        return self._connection

    def _open_again(self, old: sqlite3.Connection) -> sqlite3.Connection:
        """After a failure: the file at our path, if it holds all that was acknowledged."""
        self._suspect = True
        try:
            read_header(self.path)
        except troubles.StoreTrouble as trouble:
            if trouble.kind is troubles.Kind.MISSING and not self.path.parent.exists():
                raise troubles.unreachable(self.path) from trouble
            if trouble.kind in (troubles.Kind.MISSING, troubles.Kind.NOT_OURS):
                raise troubles.moved(self.path) from trouble
            raise
        identity = _Identity.of(self.path)
        fresh = connect(self.path, read_only=self.read_only)
        try:
            row = fresh.execute("SELECT value FROM meta WHERE key = 'project'").fetchone()
            if (
                row is None
                or row[0] != self.id
                or not all(
                    sessions.has_entry(fresh, number, seq, digest)
                    for number, (seq, digest) in self._heads.items()
                )
            ):
                raise troubles.moved(self.path)
        except BaseException:
            fresh.close()
            raise
        with suppress(sqlite3.Error):
            old.close()
        self._identity, self._suspect = identity, False
        return fresh

    def _stamp(self) -> str:
        return self.now().isoformat(timespec="seconds")
