"""A batch in the window from the look round before it to its end.

Whoever builds the window hands in what it needs once and asks for one of
two things: `prepare` a plan, or `take_up` a session that was interrupted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from workbench.core.batch.alarms import Priority
from workbench.core.batch.commands import EndBatch, Start
from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import Clock, Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import Phase, SessionState
from workbench.core.catalogue.model import Caution
from workbench.core.trouble import Trouble
from workbench.devices.power import Awake, NoAwake
from workbench.devices.sound import SilentSound, Sound
from workbench.devices.speech import SilentSpeech, Speech
from workbench.ui.bench.alarm_bar import WEIGHT
from workbench.ui.bench.facts import BenchFacts
from workbench.ui.bench.forecaster import Forecaster
from workbench.ui.bench.kitchen_facts import facts_of
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import Ruler
from workbench.ui.bench.practice import Practice
from workbench.ui.bench.preflight import PreFlight
from workbench.ui.bench.resume import ResumePanel
from workbench.ui.bench.runner import SessionRunner
from workbench.ui.bench.view import BenchView
from workbench.ui.context import Context
from workbench.ui.widgets.basic import Scroller
from workbench.ui.widgets.stack import PageStack


@dataclass(frozen=True, slots=True)
class BenchKit:
    """What a batch runs on."""

    journal: Journal
    clock: Clock
    rules: Rules
    new_session: Callable[[], str]
    sound: Sound = field(default_factory=SilentSound)
    speech: Speech = field(default_factory=SilentSpeech)
    awake: Awake = field(default_factory=NoAwake)
    hands: Clock | None = None  # real time, where `clock` runs faster
    # told after the bench is put away, where the record did not take all that was decided
    lacking: Callable[[Trouble], object] = lambda _trouble: None
    # tells, a little later, what a finished real session taught, as one sentence for its last page
    after_batch: Callable[[str, Callable[[str], object]], object] | None = None


class BatchPage(QWidget):
    """left()           nothing runs here any more; show the recipe again
    began(str), over(str)  a session began or was closed
    look_at(str)        the maker wants to read a session first
    bare(bool)          the bench view is open, and wants the window for itself
    print_asked(str)    the maker wants to print what there is to print of a session
    again(str)          the maker wants to make this recipe once more
    urgent(str, bool)   what the pot needs now, for a window that shows another page; True: it may hurt somebody
    """

    left = Signal()
    began = Signal(str)
    over = Signal(str)
    look_at = Signal(str)
    bare = Signal(bool)
    print_asked = Signal(str)
    again = Signal(str)
    urgent = Signal(str, bool)

    def __init__(self, context: Context, kit: BenchKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._context, self._kit = context, kit
        self._practice: Practice | None = None
        self.forecaster: Forecaster | None = None
        self.runner: SessionRunner | None = None
        self.view: BenchView | None = None
        self.preflight: PreFlight | None = None
        self.resume: ResumePanel | None = None
        self._stack = PageStack(self)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self._stack)
        context.preferences_changed.connect(self._preferences_changed)

    @property
    def busy(self) -> bool:
        """A batch is running here (on hold or not)."""
        return self.runner is not None and self.runner.state.phase.live

    # -- beginning

    def prepare(self, plan: Plan, *, practice: bool = False, seed: int | None = None) -> None:
        """The look round; the batch begins when the maker says so."""
        self._clear()
        self.preflight = PreFlight(
            plan,
            self._context.catalogue,
            self._measures,
            self._kit.sound,
            self._kit.speech,
            self._context.today(),
            practice=practice,
            maker=self._context.preferences.maker,
            seed=seed,
        )
        self.preflight.started.connect(self._start)
        self.preflight.left.connect(self._leave)
        self._put(self.preflight)
        QTimer.singleShot(0, self.preflight, self.preflight.take_focus)  # once the page is in front
        QTimer.singleShot(300, self, _warm_up)

    def take_up(self, session: str, state: SessionState) -> None:
        """Offer to go on with a session that was folded from its journal."""
        self._clear()
        runner = self._make_runner(session, state)
        self.resume = ResumePanel(state, runner.conductor.away_s(), self._measures)
        self.resume.go_on.connect(self._go_on)
        self.resume.ended.connect(self._end_there)
        self.resume.look.connect(self._look_first)
        self._put(Scroller(self.resume))

    def close_batch(self) -> None:
        """Put the bench away (the window closes); a live session can be taken up again."""
        self._clear()

    # -- inside

    @property
    def _measures(self) -> Measures:
        return Measures(self._context.writer)

    @property
    def _cautions(self) -> Mapping[str, Caution]:
        return self._context.catalogue.cautions

    def _put(self, widget: QWidget) -> None:
        self._stack.addWidget(widget)
        self._stack.setCurrentWidget(widget)

    def _clear(self) -> None:
        if self.view is not None:
            self.bare.emit(False)
            self.view.put_away()
        if self.runner is not None:
            self.runner.let_go(self._kit.lacking)
            self.runner.deleteLater()
        if self._practice is not None:
            self._practice.deleteLater()
        if self.forecaster is not None:
            self.forecaster.forget()
            self.forecaster.deleteLater()
            self.forecaster = None
        self.view = self.preflight = self.resume = self.runner = self._practice = None
        while (widget := self._stack.widget(0)) is not None:
            self._stack.removeWidget(widget)
            widget.deleteLater()

    def _make_runner(self, session: str, state: SessionState) -> SessionRunner:
        self.runner = SessionRunner(
            session,
            self._kit.journal,
            self._kit.clock,
            self._kit.rules,
            self._cautions,
            state=state,
            hands=self._kit.hands,
            parent=self,
        )
        return self.runner

    def _start(self, start: Start) -> None:
        far = self.preflight.wants_far if self.preflight is not None else False
        runner = self._make_runner(self._kit.new_session(), SessionState())
        refusal = runner.send(start)
        if refusal is not None:
            if self.preflight is not None:
                self.preflight.refuse(
                    f"{self._measures.say(refusal.says)} {self._measures.say(refusal.what_to_do)}"
                )
            runner.deleteLater()
            self.runner = None
            return
        self._run(runner, far, start.plan if start.rehearsal else None, start.seed)

    def _go_on(self) -> None:
        runner = self.runner
        if runner is None:
            return
        runner.conductor.take_up()
        plan = runner.state.plan if runner.state.rehearsal else None
        self._run(runner, False, plan, runner.state.seed)

    def _run(self, runner: SessionRunner, far: bool, practice: Plan | None, seed: int | None) -> None:
        self.forecaster = Forecaster(self._context.catalogue, self)
        facts: BenchFacts = facts_of(self._context.catalogue, self.forecaster.outlook)
        preferences = self._context.preferences
        self._kit.sound.set_volume(preferences.sound_percent / 100)
        view = BenchView(
            runner,
            self._context.writer,
            facts,
            sound=self._kit.sound,
            speech=self._kit.speech,
            awake=self._kit.awake,
            ruler=Ruler(preferences.ruler_px_per_mm),
            bench_percent=preferences.bench_percent,
            learned=self._learned,
        )
        self.forecaster.came.connect(view.answer_came)
        if practice is not None:
            self._practice = Practice(runner, practice, self._context.catalogue, seed or 1, self)
            view.offer_readings(self._practice.read)
        view.over.connect(self._over)
        view.sized.connect(self._sized)
        view.finished.read.connect(self._look_first)
        view.finished.printed.connect(self._print)
        view.finished.again.connect(self._again)
        view.far_changed.connect(self.bare)
        self.view = view
        self._put(view)
        for told in (runner.danger, runner.changed, runner.troubled, view.alarms.seen):
            told.connect(self._tell_urgent)  # after the view, which has sorted them by then
        self.began.emit(runner.session_id)
        self._tell_urgent()
        runner.start_looking()
        if far:
            view.show_far(True)

    def _tell_urgent(self) -> None:
        """The gravest alarm nobody has seen, else a hold that nobody has answered, else nothing."""
        view, runner = self.view, self.runner
        if view is None or runner is None:
            return
        loud = [each for each in view.alarms.shown if not each.seen and not each.returned]
        state, measures = runner.state, self._measures
        if loud:
            first = min(loud, key=lambda each: WEIGHT[each.priority])
            self.urgent.emit(f"{first.title}. {first.what_to_do}", first.priority is Priority.HIGH)
        elif state.phase is Phase.HOLDING and state.hold is not None:
            self.urgent.emit(measures.say(state.hold.safe_action) or measures.say(state.hold.reason), False)
        else:
            self.urgent.emit("", False)

    def _end_there(self, command: EndBatch) -> None:
        runner = self.runner
        if runner is None:
            return
        session = runner.session_id
        runner.conductor.take_up()
        if runner.send(command) is None:
            self._clear()
            self.over.emit(session)
            self.left.emit()

    def _look_first(self) -> None:
        if self.runner is not None:
            self.look_at.emit(self.runner.session_id)

    def _learned(self, tell: Callable[[str], object]) -> None:
        ask = self._kit.after_batch
        if ask is not None and self.runner is not None and not self.runner.state.rehearsal:
            ask(self.runner.session_id, tell)

    def _print(self) -> None:
        if self.runner is not None:
            self.print_asked.emit(self.runner.session_id)

    def _again(self) -> None:
        """Close this one first: there is one bench."""
        name = self.runner.state.recipe_name if self.runner is not None else ""
        self._over()
        self.again.emit(name)

    def _over(self) -> None:
        session = self.runner.session_id if self.runner is not None else ""
        self._clear()
        self.over.emit(session)
        self.left.emit()

    def _leave(self) -> None:
        self._clear()
        self.left.emit()

    def _sized(self, percent: int, px_per_mm: float | None) -> None:
        self._context.take_preferences(
            self._context.preferences.model_copy(
                update={"bench_percent": percent, "ruler_px_per_mm": px_per_mm}
            )
        )

    def _preferences_changed(self) -> None:
        if self.view is not None:
            self.view.set_writer(self._context.writer)


def _warm_up() -> None:
    """The curve brings numpy and half a second of importing: better now than at the first hot reading."""
    import pyqtgraph  # noqa: F401
