"""The recipe being edited and everything that follows from it.

One frozen recipe, one evaluation per change.  Every edit is one command on
the undo stack that calls `RecipeModel.take`; views read, and never write.
What takes longer (the ranking of remedies) runs on a pool thread with the number of the change; what comes late is dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from weakref import ref

from PySide6.QtCore import QObject, QThreadPool, QTimer, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.evaluation import Evaluation, evaluate
from workbench.core.design.headroom import Headroom, headrooms
from workbench.core.recipe import change
from workbench.core.recipe.model import Recipe
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.context import Context
from workbench.ui.post import application_post

Change = Callable[[Recipe], Recipe]


@dataclass(frozen=True, slots=True)
class Later:
    """What a pool thread brought back for one change of the recipe."""

    number: int
    what: str
    result: object
    trouble: Trouble | None = None


class Edit(QUndoCommand):
    """One edit; undoing it puts the recipe back as it stood."""

    def __init__(self, model: RecipeModel, text: str, after: Recipe) -> None:
        super().__init__(text)
        self._model, self._before, self._after = model, model.recipe, after

    def redo(self) -> None:
        self._model.take(self._after)

    def undo(self) -> None:
        self._model.take(self._before)


def sentence_of(trouble: Trouble) -> str:
    """What to say beside a field: the fault itself where there is just one, else the whole."""
    return trouble.faults[0].says if len(trouble.faults) == 1 else str(trouble)


class RecipeModel(QObject):
    """The recipe, its evaluation (None with the reason in `trouble`), and the undo stack.

    changed()        recipe and evaluation are new; emitted once per edit
    opened()         another recipe is worked on
    arrived(str)     a slower result is there: "remedies"
    """

    changed = Signal()
    opened = Signal()
    arrived = Signal(str)

    def __init__(self, context: Context, recipe: Recipe, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.context = context
        self.recipe = recipe
        self.evaluation: Evaluation | None = None
        self.trouble: Trouble | None = None
        self.locked = ""  # why the recipe cannot be edited, where it can only be read
        self.headroom: Mapping[str, Headroom] = {}
        self.number = 0
        self.results: dict[str, object] = {}
        self.stack = QUndoStack(self)
        self._jobs: dict[str, Callable[[Evaluation, Catalogue], object]] = {}
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(120)  # typing goes on: only the last change is worth the work
        self._wait.timeout.connect(self._start_jobs)
        self._post = application_post()
        context.shelf_changed.connect(self._again)
        self._work_out()

    def later(self, what: str, job: Callable[[Evaluation, Catalogue], object]) -> None:
        """Name a slower result; it is computed after each change, off this thread."""
        self._jobs[what] = job
        self._wait.start()

    # edits

    def edit(self, text: str, change: Change) -> str:
        """Push one undoable edit; answers with "" or with the sentence that says why it cannot be."""
        if self.locked:
            return self.locked
        try:
            after = change(self.recipe)
        except Trouble as trouble:
            return sentence_of(trouble)
        after = _ask_again(self.recipe, after)
        if after != self.recipe:
            self.stack.push(Edit(self, text, after))
        return ""

    def take(self, recipe: Recipe) -> None:
        """Make this the recipe and work everything out; for commands and for opening."""
        self.recipe = recipe
        self._work_out()
        self.changed.emit()

    def open(self, recipe: Recipe) -> None:
        """Another recipe; the undo history of the former is gone."""
        self.stack.clear()
        self.take(recipe)
        self.opened.emit()

    # results

    def _again(self) -> None:
        self._work_out()
        self.changed.emit()

    def _work_out(self) -> None:
        self.number += 1
        self.results = {}
        self.trouble = None
        self.headroom = {}
        catalogue, recipe = self.context.catalogue, self.recipe
        try:
            self.evaluation = evaluate(recipe, catalogue, self.context.today())
            if recipe.scent:
                rooms = headrooms(self.evaluation.weighed.composition, catalogue, recipe.uses, recipe.place)
                self.headroom = {room.oil: room for room in rooms}
        except Trouble as trouble:
            self.evaluation, self.trouble = None, trouble
        if self._jobs:
            self._wait.start()

    def _start_jobs(self) -> None:
        evaluation, catalogue, number = self.evaluation, self.context.catalogue, self.number
        if evaluation is None:
            for what in self._jobs:
                self.take_later(Later(number, what, None))
            return
        for what, job in self._jobs.items():
            bring = partial(self._post.send_to, ref(self))
            QThreadPool.globalInstance().start(_Job(bring, number, what, job, evaluation, catalogue))

    def rest(self) -> None:
        """Nothing more is worked out: the window closes.  What is under way brings its answer to nobody."""
        self._wait.stop()

    def finish_jobs(self) -> None:
        """Start what is waiting and wait for it; for tests."""
        if self._wait.isActive():
            self._wait.stop()
            self._start_jobs()
        QThreadPool.globalInstance().waitForDone()

    def take_later(self, later: Later) -> None:
        """What a job brought, in the thread of the window."""
        if later.number != self.number:
            return
        self.results[later.what] = later.trouble or later.result
        self.arrived.emit(later.what)


def _ask_again(before: Recipe, after: Recipe) -> Recipe:
    """A remedy was accepted for one blend; for another blend it has to be accepted anew."""
    held = (before.accepted_remedy, before.add_above_flash_safe)
    if held == ("", False) or (after.accepted_remedy, after.add_above_flash_safe) != held:
        return after
    return change.accept_remedy(after, "") if change.another_blend(before, after) else after


class _Job:
    """A plain callable for the pool; it owns no Qt object, so nothing dies on the wrong thread."""

    def __init__(
        self,
        bring: Callable[[Callable[[RecipeModel], None]], None],
        number: int,
        what: str,
        job: Callable[[Evaluation, Catalogue], object],
        evaluation: Evaluation,
        catalogue: Catalogue,
    ) -> None:
        self._bring, self._number, self._what = bring, number, what
        self._job, self._evaluation, self._catalogue = job, evaluation, catalogue

    def __call__(self) -> None:
        try:
            made = Later(self._number, self._what, self._job(self._evaluation, self._catalogue))
        except Trouble as trouble:
            made = Later(self._number, self._what, None, trouble)
        except BaseException:  # the hook is told; whoever waits must not wait for ever
            fault = Trouble(say("The program made a mistake of its own and could not work this out."))
            made = Later(self._number, self._what, None, fault)
            self._bring(lambda model: model.take_later(made))
            raise
        self._bring(lambda model: model.take_later(made))
