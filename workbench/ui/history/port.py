"""What the pages of a past batch ask of a project: documents by kind and key, nothing else."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QCoreApplication

from workbench.core.trouble import Trouble

if TYPE_CHECKING:
    from workbench.store.project import Project


def unread_words() -> str:
    """Why nothing is kept of a batch whose earlier notes could not be read."""
    return QCoreApplication.translate(
        "Shelved",
        "What was noted of this batch before could not be read, so nothing is written over it. Go back to the list and open the batch again.",
    )


class Shelved(Protocol):
    """Documents of one project.  `read` and `keys` may raise `Trouble`."""

    def read(self, kind: str, key: str) -> object | None:
        """The newest body, or None where there is none."""
        ...

    def keys(self, kind: str) -> tuple[str, ...]: ...

    def all(self, kind: str) -> dict[str, object]:
        """The newest body of every document of a kind, by key: a list asks once, not once a row."""
        ...

    def write(self, kind: str, key: str, body: dict[str, object]) -> bool:
        """Keep a new revision; False where it could not be kept, which has been said elsewhere."""
        ...


class ShelvedInMind:
    """Kept for as long as the window is open: before a project is there, and in tests."""

    def __init__(self) -> None:
        self.held: dict[tuple[str, str], dict[str, object]] = {}

    def read(self, kind: str, key: str) -> object | None:
        return self.held.get((kind, key))

    def keys(self, kind: str) -> tuple[str, ...]:
        return tuple(sorted(key for held, key in self.held if held == kind))

    def all(self, kind: str) -> dict[str, object]:
        return {key: body for (held, key), body in self.held.items() if held == kind}

    def write(self, kind: str, key: str, body: dict[str, object]) -> bool:
        self.held[(kind, key)] = body
        return True


class ShelvedOfProject:
    """The documents of the project that is open now; `tell` says what could not be kept."""

    def __init__(self, project: Callable[[], Project | None], tell: Callable[[Trouble], object]) -> None:
        self._project, self._tell = project, tell

    def read(self, kind: str, key: str) -> object | None:
        project = self._project()
        held = project.documents(kind, key) if project is not None else ()
        return held[-1].body if held else None

    def keys(self, kind: str) -> tuple[str, ...]:
        project = self._project()
        return tuple(each.key for each in project.documents(kind)) if project is not None else ()

    def all(self, kind: str) -> dict[str, object]:
        project = self._project()
        return {} if project is None else {each.key: each.body for each in project.documents(kind)}

    def write(self, kind: str, key: str, body: dict[str, object]) -> bool:
        project = self._project()
        if project is None:
            return False
        try:
            project.save_document(kind, key, body)
        except Trouble as trouble:
            self._tell(trouble)
            return False
        return True
