"""From a recipe to a running batch: plan it, save its revision, look round, go on with one that was cut short."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.ui.batch_kit import BatchKit
from workbench.ui.context import Context
from workbench.ui.editor.answers import AnswersPage
from workbench.ui.editor.model import RecipeModel
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.recipe_works import RecipeWorks

if TYPE_CHECKING:
    from workbench.core.batch.plan import Plan
    from workbench.core.catalogue.catalogue import Catalogue
    from workbench.core.design.evaluation import Evaluation
    from workbench.core.recipe.model import Recipe
    from workbench.core.review.reactions import Flags
    from workbench.store.rescue import Pending
    from workbench.ui.batch_room import BatchRoom

    Planner = Callable[[Recipe, int, Catalogue, Evaluation], Plan]


class BatchWorks(QObject):
    """opened(QWidget)   a room for a batch is there
    closed(QWidget)   it is over; the room is to be taken away
    look_at(str)      the maker wants to read a session through
    print_asked(str)  what can be printed of a session is wanted
    copy_asked()      the record cannot be written; a copy is wanted elsewhere
    """

    opened = Signal(object)
    closed = Signal(object)
    look_at = Signal(str)
    print_asked = Signal(str)
    copy_asked = Signal()

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        model: RecipeModel,
        recipes: RecipeWorks,
        answers: AnswersPage,
        planner: Planner,
        kit: BatchKit,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._desk, self._model = context, desk, model
        self._recipes, self._answers, self._planner, self._kit = recipes, answers, planner, kit
        self.room: BatchRoom | None = None
        self._flags: Flags | None = None  # read when first asked for, and again when the recipe is shown
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(150)
        self._soon.timeout.connect(self.plan)
        model.changed.connect(self._soon.start)
        context.preferences_changed.connect(self._write_again)
        answers.make_asked.connect(self.make)
        desk.parting.connect(self.put_away)  # a look round or a finished batch goes with its project
        desk.opened.connect(self.look_again)  # before its recipe is shown

    @property
    def running(self) -> bool:
        return self.room is not None and self.room.running

    def pending(self) -> tuple[Pending, ...]:
        """What the running batch has not been able to store."""
        runner = self.room.page.runner if self.room is not None else None
        if runner is None or not runner.conductor.waiting:
            return ()
        from workbench.store.rescue import Pending

        led = runner.conductor
        return (Pending(runner.session_id, led.state.seq + 1, led.waiting),)

    def lacking(self) -> Trouble | None:
        """Why the record does not take what the running batch still holds for it."""
        runner = self.room.page.runner if self.room is not None else None
        return runner.conductor.trouble if runner is not None and runner.conductor.waiting else None

    def _write_again(self) -> None:
        """Other units: the steps and why they may not be gone are said anew."""
        if self._desk.project is not None:
            self.plan()

    def look_again(self) -> None:
        """The recipe comes into sight: something may have been told of its balm meanwhile."""
        self._flags = None
        self._soon.start()

    def _caution(self) -> str:
        """What a reaction to this recipe, or to one of its lots, asks to be thought of."""
        from workbench.core.review.reactions import UNREAD
        from workbench.ui.shelf.stock_data import caution_among, flags_of

        if self._flags is None:
            try:
                self._flags = flags_of(self._desk.project, self._context.catalogue)
            except Trouble as trouble:
                self._flags = UNREAD  # what is not known is not permission
                self._desk.troubled.emit(trouble)
        said = caution_among(self._flags, self._model.recipe, self._context.catalogue)
        return "" if said is None else self._context.writer.sentence(said)

    def plan(self) -> None:
        """Work out the steps and show them, or why there are none."""
        self._soon.stop()
        self._answers.show_caution(self._caution())
        evaluation, w = self._model.evaluation, self._context.writer
        if evaluation is None:
            self._answers.show_plan(None, w.trouble(self._model.trouble))
            return
        try:
            plan = self._planner(
                self._model.recipe, self._recipes.revision, self._context.catalogue, evaluation
            )
        except Trouble as trouble:
            self._answers.show_plan(None, w.trouble(trouble))
            return
        if self._model.locked:
            self._answers.show_plan(plan, w.sentence(self._model.locked), startable=False)
            return
        from workbench.core.batch.guards import start_guard

        refused = start_guard(plan, ())
        says = w.sentence(refused.says) if refused is not None else ""
        # what can be set aside with a reason is asked for in the look round
        self._answers.show_plan(plan, says, startable=refused is None or refused.can_set_aside)

    def make(self, practice: bool) -> None:
        """Save what is typed, then look round; the session keeps the very revision it used."""
        if self._desk.project is None:
            return
        if self.room is not None:
            self.opened.emit(self.room)
            return
        if self._desk.checking:  # its first entry would have to wait, and nobody would know for what
            self._desk.troubled.emit(
                Trouble(say("The project is just being looked through. Begin the batch once that is done."))
            )
            return
        if not self._recipes.save():
            return
        self.plan()
        plan = self._answers.plan
        if plan is not None and self._answers.make.isEnabled():
            room = self._new_room(practice)
            room.look_round(plan, practice)
            self.opened.emit(room)

    def interrupted(self) -> tuple[str, str] | None:
        """(session, recipe) of a batch that was begun and not ended, or None."""
        project = self._desk.project
        if project is None or project.read_only:
            return None
        try:
            session = project.open_session()
            if session is None:
                return None
            entry = next((one for one in project.sessions() if one.id == session), None)
        except Trouble as trouble:
            self._desk.troubled.emit(trouble)
            return None
        return None if entry is None else (session, entry.recipe_name)

    def take_up(self, session: str) -> None:
        """The offer may stand long after it was made: there is one bench, and one hand at a session."""
        if self.room is not None and self.room.running:
            runner = self.room.page.runner
            if runner is None or runner.session_id != session:
                self._desk.troubled.emit(
                    Trouble(say("Another batch is running. Finish it or end it, then go on with this one."))
                )
            self.opened.emit(self.room)
            return
        self.put_away()  # a look round, or a batch that is over
        self._desk.stop_checking()
        room = self._new_room(False)
        if room.take_up(session):
            self.opened.emit(room)
        else:
            self._over()

    def put_away(self) -> None:
        """The window closes, or its project does: stop looking; a live batch can be taken up again."""
        self._soon.stop()
        if self.room is not None:
            self._over()

    def _new_room(self, practice: bool) -> BatchRoom:
        from workbench.ui.batch_room import BatchRoom  # brings the bench and the simulated kitchen

        self.room = BatchRoom(self._context, self._desk, self._kit, practice)
        self.room.over.connect(self._over)
        self.room.look_at.connect(self.look_at)
        self.room.print_asked.connect(self.print_asked)
        self.room.again.connect(self._practise_again if practice else self._make_again)
        self.room.page.began.connect(self._began)
        if practice:
            self.room.page.over.connect(self._practised)
        return self.room

    def _practised(self, session: str) -> None:
        """A practice run that went to its end is remembered: the next one needs no introduction."""
        from workbench.core.batch.session import fold
        from workbench.core.batch.state import Phase

        project = self._desk.project
        try:
            events = project.events(session) if project is not None and session else ()
        except Trouble as trouble:
            self._desk.troubled.emit(trouble)
            return
        if events and fold(events).phase is Phase.FINISHED:
            held = self._context.preferences
            self._context.take_preferences(held.model_copy(update={"practised": True}))

    def _began(self, _session: str) -> None:
        view = self.room.page.view if self.room is not None else None
        if view is not None:
            view.copy_asked.connect(self.copy_asked)

    def _make_again(self, name: str) -> None:
        self._again(name, False)

    def _practise_again(self, name: str) -> None:
        self._again(name, True)

    def _again(self, name: str, practice: bool) -> None:
        """Another batch of the recipe that was just made; the look round comes first, as always."""
        if self._recipes.name != name:
            self._recipes.choose(name)
        if self._recipes.name == name:
            self.make(practice)

    def _over(self) -> None:
        room, self.room = self.room, None
        if room is not None:
            room.put_away()
            self.closed.emit(room)
