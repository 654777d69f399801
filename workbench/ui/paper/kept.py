"""What the page of prints asks of a project."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from workbench.core.batch.events import AnyEvent
from workbench.core.review.keeping import WEAR_TEST, WORD_FROM_WEARER, read_kept
from workbench.core.review.wear import WearTests
from workbench.core.review.wearer import WordsFromWearers, words_of_batch
from workbench.paper.press import RECORD_KIND, record_key
from workbench.store.project import Project
from workbench.store.sessions import SessionEntry
from workbench.ui.paper.wishes import KEY, KIND, PaperWishes, wishes_from


class PaperStore(Protocol):
    """Every call may raise `Trouble`."""

    def sessions(self) -> Sequence[SessionEntry]: ...

    def events(self, session: str) -> Sequence[AnyEvent]: ...

    def seal(self, session: str) -> str: ...

    def labels(self, session: str) -> Sequence[Mapping[str, Any]]: ...

    def worn(self, session: str, batch_code: str) -> tuple[WearTests | None, WordsFromWearers | None]: ...

    def keep_labels(self, session: str, record: Mapping[str, Any]) -> None: ...

    def wishes(self) -> PaperWishes: ...

    def keep_wishes(self, wishes: PaperWishes) -> None: ...


class PaperOfProject:
    """The same, answered by the open project; one that can only be read keeps nothing."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def sessions(self) -> Sequence[SessionEntry]:
        return self._project.sessions()

    def events(self, session: str) -> Sequence[AnyEvent]:
        return self._project.events(session)

    def seal(self, session: str) -> str:
        """The newest digest of the record, to hold a printed sheet against it."""
        stored = self._project.stored_events(session)
        return stored[-1].digest.hex() if stored else ""

    def labels(self, session: str) -> Sequence[Mapping[str, Any]]:
        bodies = [held.body for held in self._project.documents(RECORD_KIND)]
        return [body for body in bodies if isinstance(body, dict) and body.get("session") == session]

    def worn(self, session: str, batch_code: str) -> tuple[WearTests | None, WordsFromWearers | None]:
        """How it wore, and what was said of it weeks later."""
        return (
            read_kept(WearTests, self._newest(WEAR_TEST, session)),
            words_of_batch(lambda key: self._newest(WORD_FROM_WEARER, key), session, batch_code),
        )

    def _newest(self, kind: str, key: str) -> object | None:
        held = self._project.documents(kind, key)
        return held[-1].body if held else None

    def keep_labels(self, session: str, record: Mapping[str, Any]) -> None:
        if not self._project.read_only:
            self._project.save_document(RECORD_KIND, record_key(session, record), dict(record))

    def wishes(self) -> PaperWishes:
        held = self._project.documents(KIND, KEY)
        return wishes_from(held[-1].body) if held else PaperWishes()

    def keep_wishes(self, wishes: PaperWishes) -> None:
        if not self._project.read_only:
            self._project.save_document(KIND, KEY, wishes.as_body())
