"""Where the scent page finds what a project keeps: trials, and earlier revisions of the recipe."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Protocol

from pydantic import ValidationError

from workbench.core.catalogue.shelf import Shelf
from workbench.core.scent.trial import Trial

if TYPE_CHECKING:
    from workbench.store.project import Project
    from workbench.store.shelving import RecipeEntry

KIND = "trial"


class Trials(Protocol):
    """Where trials are kept."""

    def all(self) -> tuple[Trial, ...]: ...

    def keep(self, trial: Trial) -> None:
        """Raises `Trouble` where it cannot be kept."""


class TrialsInMind:
    """Kept for as long as the window is open: before a project is there, and in tests."""

    def __init__(self) -> None:
        self._held: dict[str, Trial] = {}

    def all(self) -> tuple[Trial, ...]:
        return tuple(self._held.values())

    def keep(self, trial: Trial) -> None:
        self._held[trial.key] = trial


class TrialsOfProject:
    """Documents of a project; each line of words is a new revision of its trial."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def all(self) -> tuple[Trial, ...]:
        """In the order they were begun; one that cannot be read is left where it is and not shown."""
        found = []
        for document in self._project.documents(KIND):
            try:
                found.append(Trial.model_validate(document.body))
            except ValidationError:
                continue
        return tuple(sorted(found, key=lambda trial: (len(trial.key), trial.key)))

    def keep(self, trial: Trial) -> None:
        self._project.save_document(KIND, trial.key, trial.model_dump(mode="json"))


Revisions = Callable[[], "tuple[RecipeEntry, ...]"]


def no_revisions() -> tuple[RecipeEntry, ...]:
    return ()


Left = Callable[[Shelf, date], Shelf]  # the shelf with what is left today; called off the window's thread


def as_counted(shelf: Shelf, _today: date) -> Shelf:
    """Before a project is there: nothing was taken since."""
    return shelf


def left_of(project: Project) -> Left:
    """What was counted, less what the batches of a project took since.  May raise `Trouble`."""

    def left(shelf: Shelf, today: date) -> Shelf:
        if all(lot.left_g is None for lot in shelf.lots):
            return shelf
        from workbench.core.review.stock import as_left, stock

        made = {each.id: each.summary for each in project.sessions() if each.summary is not None}
        return as_left(shelf, stock(shelf, made, today))

    return left
