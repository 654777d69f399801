"""What nobody was there to be told, kept until the project is opened again.

A last backup can fail when its window has gone already, and the project's own
disk may be the very one that refuses.  So it is noted in the program's own
folder on this computer, by the project's id, and told at every opening until
it does not hold any more.  A folder that refuses too leaves it in memory and
in the log.
"""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import Any

from workbench.core.wording import Count, Said, say
from workbench.store import files, troubles
from workbench.store.rescue import SavedCopy

log = logging.getLogger("balmbook")

_MOST_BYTES = 200_000
_MOST_COPIES = 20  # that are told of


@dataclass(frozen=True, slots=True)
class Rescued:
    """A copy on this computer that holds what the project's disk would not take."""

    path: Path
    says: Said


class Untold:
    """Notes of all projects; any thread may write one."""

    def __init__(self, folder: Path | None = None) -> None:
        """`folder` None: in memory only."""
        self._folder = folder
        self._gate = Lock()
        self._held: dict[str, dict[str, Any]] = {}

    # -- backups

    def no_backup(self, project: str, path: Path, why: str, now: datetime) -> None:
        """The newest state of a project has no backup; `why` names place, reason and remedy."""
        note = {"place": str(path), "when": _when(now), "why": _to_plain(why)}
        self._change(project, lambda held: {**held, "backup": note})

    def backup_made(self, project: str, path: Path) -> None:
        """One was made, so there is nothing to tell of any more."""

        def without(held: dict[str, Any]) -> dict[str, Any]:
            if not _is_about(held.get("backup"), path):
                return held
            return {key: value for key, value in held.items() if key != "backup"}

        self._change(project, without)

    def why_no_backup(self, project: str, path: Path) -> Said | None:
        """The sentence for the next opening, or None."""
        note: Any = self._of(project).get("backup")
        with suppress(ValueError, TypeError, KeyError, AttributeError, IndexError):
            if _is_about(note, path):
                return say(
                    "The newest state of {name} has no backup: making it on {when} failed. {why}",
                    name=path.stem,
                    when=str(note["when"]),
                    why=_from_plain(note["why"]),
                )
        return None

    # -- copies

    def rescued(self, project: str, path: Path, copy: SavedCopy, now: datetime) -> None:
        """What the disk of a project would not take on closing is in `copy`."""
        note = {"name": path.stem, "when": _when(now), "place": str(copy.path), "whole": copy.whole}
        self._change(project, lambda held: {**held, "copies": [*_copies(held), note][-_MOST_COPIES:]})

    def copies(self, project: str, path: Path) -> tuple[Rescued, ...]:
        """Copies that nobody has looked at yet and that are still there, the newest first; not `path` itself."""
        found = []
        for note in reversed(_copies(self._of(project))):
            with suppress(ValueError, TypeError, KeyError, OSError):
                place = Path(str(note["place"]))
                if place != path and place.exists():
                    found.append(Rescued(place, _where(note, place)))
        return tuple(found)

    def lost(self, project: str, path: Path, entries: int, why: str, now: datetime) -> None:
        """So many entries went with the window: neither the project's disk nor this computer took them."""
        note = {"name": path.stem, "when": _when(now), "entries": entries, "why": _to_plain(why)}
        self._change(project, lambda held: {**held, "lost": note})

    def says_lost(self, project: str) -> Said | None:
        """The sentence for the next opening, or None."""
        note: Any = self._of(project).get("lost")
        with suppress(ValueError, TypeError, KeyError, AttributeError, IndexError):
            if note is not None:
                return say(
                    "When {name} was closed on {when}, its disk did not take {count} entries any more, and a copy on "
                    "this computer failed: {why} Look at the end of the last batch before you go on with it.",
                    "When {name} was closed on {when}, its disk did not take {count} entry any more, and a copy on "
                    "this computer failed: {why} Look at the end of the last batch before you go on with it.",
                    name=str(note["name"]),
                    when=str(note["when"]),
                    count=Count(int(note["entries"])),
                    why=_from_plain(note["why"]),
                )
        return None

    def seen(self, project: str) -> None:
        """The maker knows of copies and losses now; the files stay where they are."""
        gone = ("copies", "lost")
        self._change(project, lambda held: {key: value for key, value in held.items() if key not in gone})

    # -- how they are kept

    def _of(self, project: str) -> dict[str, Any]:
        with self._gate:
            return self._read(project)

    def _change(self, project: str, change: Callable[[dict[str, Any]], dict[str, Any]]) -> None:
        with self._gate:
            before = self._read(project)
            after = change(before)
            if after == before:
                return
            self._held[project] = after
            path = self._path(project)
            if path is None:
                return
            try:
                if after:
                    path.parent.mkdir(parents=True, exist_ok=True)
                    files.write_text(path, json.dumps(after, ensure_ascii=False, indent=1) + "\n")
                else:
                    path.unlink(missing_ok=True)
                del self._held[project]
            except (OSError, troubles.StoreTrouble) as error:
                log.warning("a note for the next opening could not be kept: %s; it was %s", error, after)

    def _read(self, project: str) -> dict[str, Any]:
        """As another window may have left it; from memory where that cannot be read."""
        path = self._path(project)
        if path is not None:
            try:
                found = json.loads(files.read_bytes(path, _MOST_BYTES))
            except troubles.StoreTrouble as trouble:
                if trouble.kind is troubles.Kind.MISSING and not self._held.get(project):
                    return {}
            except (ValueError, RecursionError):
                return {}
            else:
                return found if isinstance(found, dict) else {}
        return self._held.get(project, {})

    def _path(self, project: str) -> Path | None:
        """An id comes out of a file that may be anybody's; it names no path."""
        if self._folder is None:
            return None
        return self._folder / f"{hashlib.sha256(project.encode()).hexdigest()[:32]}.json"


def _where(note: Mapping[str, Any], place: Path) -> Said:
    name, when = str(note["name"]), str(note["when"])
    if note.get("whole") is True:
        return say(
            "When {name} was closed on {when}, its disk did not take everything any more. A whole copy on this "
            "computer has what it lacks: {place}. Open that copy, and go on with it from there.",
            name=name,
            when=when,
            place=str(place),
        )
    return say(
        "When {name} was closed on {when}, its disk did not answer any more. What it may lack is in a copy on this "
        "computer: {place}. That copy has the batch in hand, the shelf and the newest recipes, and nothing of earlier "
        "batches: open it and compare, then go on in the project itself.",
        name=name,
        when=when,
        place=str(place),
    )


def _is_about(note: Any, path: Path) -> bool:
    """Copies have the id of the project they are of; a stick may be somewhere else the next time."""
    if not isinstance(note, dict) or not isinstance(note.get("place"), str):
        return False
    try:
        return Path(note["place"]) == path or not Path(note["place"]).exists()
    except (OSError, ValueError):
        return False


def _copies(held: Mapping[str, Any]) -> list[dict[str, Any]]:
    found = held.get("copies", [])
    return [note for note in found if isinstance(note, dict)] if isinstance(found, list) else []


def _when(now: datetime) -> str:
    return f"{now:%Y-%m-%d %H:%M}"


def _to_plain(text: str) -> object:
    """A sentence as plain JSON, so that it can be said again in the language of the next window."""
    from workbench.core.batch.words import saved  # brings the steps; not before it is wanted

    return saved(text).model_dump(mode="json") if isinstance(text, Said) else text


def _from_plain(plain: Any) -> str:
    from workbench.core.batch.steps import SavedWords
    from workbench.core.batch.words import said_again

    return plain if isinstance(plain, str) else said_again(SavedWords.model_validate(plain))
