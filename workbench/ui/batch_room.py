"""One batch in the window, from the look round to its end: what goes in on the left, the bench on the right.

A practice run is the same with a simulated kitchen behind it and a clock
that may run faster.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QSplitter, QStackedWidget, QWidget

from workbench.core.batch.commands import Start
from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import Clock, ClockReading
from workbench.core.batch.rules import Rules
from workbench.core.batch.session import EMPTY
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.rehearsal.feed import RehearsalFeed
from workbench.core.trouble import Trouble
from workbench.devices.power import Awake, NoAwake
from workbench.devices.sound import SilentSound, Sound
from workbench.devices.speech import SilentSpeech, Speech
from workbench.ui.bench import BenchView, SessionRunner
from workbench.ui.bench.kitchen_facts import facts_of
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.metrics import Ruler
from workbench.ui.bench.preflight import PreFlight
from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, column, page, row

PACES = (1, 4, 10)  # a practice may run faster; 10 still looks every few seconds of its own time


class PracticeClock:
    """A clock that runs `pace` times as fast as the one under it, without jumps when the pace changes."""

    def __init__(self, clock: Clock, pace: int = 1) -> None:
        self._clock = clock
        self._pace = pace
        self._from = clock.read()
        self._at = self._from

    def read(self) -> ClockReading:
        now = self._clock.read()
        ran = (now.awake_s - self._from.awake_s) * self._pace
        at = self._at
        return ClockReading(at.running_s + ran, at.awake_s + ran, at.wall + timedelta(seconds=ran), at.boot)

    def set_pace(self, pace: int) -> None:
        self._at = self.read()
        self._from = self._clock.read()
        self._pace = pace


@dataclass(frozen=True, slots=True)
class BatchKit:
    """What a batch needs from outside, put together in app.py."""

    clock: Clock
    rules: Callable[[Catalogue], Rules]
    sound: Callable[[], Sound] = SilentSound
    speech: Callable[[], Speech] = SilentSpeech
    awake: Callable[[], Awake] = NoAwake
    practice_seed: int = 7


class BatchRoom(QWidget):
    """began()  the session is in the record now
    over()   the maker closed it, or went back before it began
    """

    began = Signal()
    over = Signal()
    sized = Signal(int, object)

    def __init__(
        self, context: Context, desk: ProjectDesk, kit: BatchKit, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        as_role(self, "desk")
        self._context, self._desk, self._kit = context, desk, kit
        self._rules = kit.rules(context.catalogue)
        self._sound, self._speech = kit.sound(), kit.speech()
        preferences = context.preferences
        self._sound.set_volume(preferences.sound_percent / 100)
        if not preferences.speech:
            self._speech = SilentSpeech()
        self._clock: Clock = kit.clock
        self.practice: PracticeBar | None = None
        self.preflight: PreFlight | None = None
        self.bench: BenchView | None = None
        self.runner: SessionRunner | None = None
        self.stack = QStackedWidget()
        whole = column(self.stack, gap=0)
        self.setLayout(whole)
        self._strip: QWidget | None = None
        context.preferences_changed.connect(self._preferences_changed)

    @property
    def running(self) -> bool:
        return self.runner is not None and self.runner.state.phase.live

    # beginning

    def look_round(self, plan: Plan, practice: bool) -> None:
        """The page before a batch; nothing is in the record yet."""
        made = PreFlight(
            plan, self._context.catalogue, Measures(self._context.writer), self._sound, self._speech,
            self._context.today(), practice=practice, maker=self._context.preferences.maker,
            seed=self._kit.practice_seed if practice else None, parent=self,
        )  # fmt: skip
        made.started.connect(self._start)
        made.left.connect(self.over)
        self.preflight = made
        middle = row(made, gap=0)
        self.stack.addWidget(page(middle, margin=0))

    def take_up(self, session: str) -> bool:
        """Go on with a batch that was not ended; the time that passed is found out."""
        project = self._desk.project
        if project is None:
            return False
        try:
            state = _folded(project.events(session))
        except Trouble as trouble:
            self._desk.troubled.emit(trouble)
            return False
        runner = self._make_runner(session, state)
        refused = runner.conductor.take_up()
        if refused is not None:
            self._desk.troubled.emit(Trouble(refused.says))
            return False
        self._show_bench(runner, False)
        return True

    def _start(self, start: Start) -> None:
        project = self._desk.project
        if project is None or self.preflight is None:
            return
        if start.rehearsal:
            self._clock = PracticeClock(self._kit.clock)
        try:
            session = project.new_session()
        except Trouble as trouble:
            self.preflight.refuse(self._context.writer.sentence(trouble.says))
            return
        runner = self._make_runner(session, EMPTY)
        refused = runner.send(start)
        if refused is not None:
            self.preflight.refuse(self._context.writer.sentence(refused.says))
            runner.deleteLater()
            return
        if start.rehearsal:
            feed = RehearsalFeed(start.plan, self._context.catalogue, start.seed or self._kit.practice_seed)
            self.practice = PracticeBar(self._context, feed, runner, self._clock)
        self._show_bench(runner, self.preflight.wants_far)
        self.began.emit()

    def _make_runner(self, session: str, state: SessionState) -> SessionRunner:
        writer = self._desk.writer
        assert writer is not None
        return SessionRunner(
            session,
            writer,
            self._clock,
            self._rules,
            self._context.catalogue.cautions,
            state=state,
            parent=self,
        )

    # showing

    def _show_bench(self, runner: SessionRunner, far: bool) -> None:
        preferences = self._context.preferences
        bench = BenchView(
            runner, self._context.writer, facts_of(self._context.catalogue), sound=self._sound,
            speech=self._speech, awake=self._kit.awake(), ruler=Ruler(preferences.ruler_px_per_mm),
            bench_percent=preferences.bench_percent,
        )  # fmt: skip
        self.runner, self.bench = runner, bench
        bench.over.connect(self._closed)
        bench.far_changed.connect(self._far)
        bench.sized.connect(self.sized)
        self._strip = page(column(bench.recipe_strip, gap=0), margin=4)
        splitter = QSplitter(Qt.Orientation.Horizontal)
        splitter.setHandleWidth(2 * GRID_PX)
        splitter.setChildrenCollapsible(False)
        splitter.addWidget(self._strip)
        right = column(*([self.practice] if self.practice is not None else []), bench, gap=0)
        right.setStretch(right.count() - 1, 1)
        splitter.addWidget(page(right, margin=0))
        splitter.setStretchFactor(0, 0)
        splitter.setStretchFactor(1, 1)
        em = theme_now().em()
        splitter.setSizes([em * 19, max(self.width() - em * 19, em * 30)])
        self.stack.addWidget(splitter)
        self.stack.setCurrentWidget(splitter)
        runner.start_looking()
        self._room_for_strip()
        if far:
            bench.show_far(True)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._room_for_strip()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._room_for_strip()

    def _room_for_strip(self) -> None:
        if self._strip is not None and self.bench is not None:
            wide = self.width() >= theme_now().em() * 58
            self._strip.setVisible(wide and not self.bench.is_far)

    def _far(self, _on: bool) -> None:
        self._room_for_strip()

    def _preferences_changed(self) -> None:
        if self.bench is not None:
            self.bench.set_writer(self._context.writer)

    def _closed(self) -> None:
        self.put_away()
        self.over.emit()

    def put_away(self) -> None:
        """Stop looking and hush; the batch itself stays in the record as it stands."""
        if self.practice is not None:
            self.practice.stop()
        if self.bench is not None:
            self.bench.put_away()


class PracticeBar(QFrame):
    """Says that nothing is hot, what the simulated probe shows, and how fast time runs."""

    def __init__(self, context: Context, feed: RehearsalFeed, runner: SessionRunner, clock: Clock) -> None:
        super().__init__()
        as_role(self, "hint")
        self._context, self._feed, self._runner, self._clock = context, feed, runner, clock
        self.words = Words("", "body")
        self.read = button(self.tr("Stir and read"), self._read)
        self.pace = button("", self._faster)
        self._pace = 1
        line = row(
            Words(self.tr("Practice: nothing is hot."), "strong"), self.words, self.read, self.pace, gap=3
        )
        line.setStretch(1, 1)
        line.setContentsMargins(4 * GRID_PX, GRID_PX, 4 * GRID_PX, GRID_PX)
        self.setLayout(line)
        self._timer = QTimer(self)
        self._timer.setInterval(500)
        self._timer.timeout.connect(self._look)
        self._timer.start()
        self._say_pace()
        self._look()

    def stop(self) -> None:
        self._timer.stop()

    def _look(self) -> None:
        self._feed.follow(self._runner.state, self._runner.now_s())
        reading = self._context.writer.degrees(self._feed.read(), 1)
        self.words.say(self.tr("The probe shows {reading}.").format(reading=reading))

    def _read(self) -> None:
        """Stir, read, and put what the probe shows into the field, to be recorded with Enter."""
        self._feed.follow(self._runner.state, self._runner.now_s())
        celsius = self._feed.read()
        text = self._context.writer.heat_text(celsius)
        window = self.window()
        for bench in window.findChildren(BenchView):
            if bench.isVisible():
                needs = bench.card.needs
                needs.entry.setText(text)
                needs.focus_entry()

    def _faster(self) -> None:
        self._pace = PACES[(PACES.index(self._pace) + 1) % len(PACES)]
        if isinstance(self._clock, PracticeClock):
            self._clock.set_pace(self._pace)
        self._say_pace()

    def _say_pace(self) -> None:
        self.pace.setText(
            self.tr("Time: as it is")
            if self._pace == 1
            else self.tr("Time: {pace} times as fast").format(pace=self._pace)
        )


def _folded(events: tuple[object, ...]) -> SessionState:
    from workbench.core.batch.session import fold

    return fold(events)  # type: ignore[arg-type]
