"""Where a batch runs: the bench with what it needs from the open project.

A practice run has a clock that may run faster; everything else of it is the
bench's own.
"""

from __future__ import annotations

from datetime import timedelta

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QWidget

from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import Clock, ClockReading
from workbench.core.batch.session import fold
from workbench.core.trouble import Trouble
from workbench.devices.speech import SilentSpeech
from workbench.ui.batch_kit import BatchKit
from workbench.ui.batch_lessons import BatchLessons
from workbench.ui.bench import BatchPage, BenchKit
from workbench.ui.context import Context
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.theme import GRID_PX, as_role
from workbench.ui.widgets.basic import Words, button, column, row

PACES = (1, 4, 10)  # a practice may run faster; 10 still looks every few seconds of its own time


class PracticeClock:
    """A clock that runs `pace` times as fast as the one under it, without jumps when the pace changes."""

    def __init__(self, clock: Clock, pace: int = 1) -> None:
        self._clock = clock
        self.pace = pace
        self._from = clock.read()
        self._at = self._from

    def read(self) -> ClockReading:
        now, at = self._clock.read(), self._at
        ran = (now.awake_s - self._from.awake_s) * self.pace
        return ClockReading(at.running_s + ran, at.awake_s + ran, at.wall + timedelta(seconds=ran), at.boot)

    def set_pace(self, pace: int) -> None:
        self._at = self.read()
        self._from = self._clock.read()
        self.pace = pace


class BatchRoom(QWidget):
    """over()           nothing runs here any more
    look_at(str)     the maker wants to read a session
    bare(bool)       the bench view wants the window for itself, or gives it back
    print_asked(str) what can be printed of a session is wanted
    again(str)       this recipe once more
    """

    over = Signal()
    look_at = Signal(str)
    bare = Signal(bool)
    print_asked = Signal(str)
    again = Signal(str)

    def __init__(
        self,
        context: Context,
        desk: ProjectDesk,
        kit: BatchKit,
        practice: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        as_role(self, "desk")
        project, writer = desk.project, desk.writer
        if project is None or writer is None:
            raise RuntimeError("a batch needs an open project")
        self._context, self._desk, self._kit = context, desk, kit
        self._lessons = BatchLessons(context, desk, self)
        hands = kit.clock()
        clock: Clock = PracticeClock(hands) if practice else hands
        self.page = BatchPage(
            context,
            BenchKit(
                journal=writer,
                clock=clock,
                rules=kit.rules(context.catalogue),
                new_session=project.new_session,
                sound=kit.sound(),
                speech=kit.speech() if context.preferences.speech else SilentSpeech(),
                awake=kit.awake(),
                hands=hands,
                lacking=desk.troubled.emit,
                after_batch=self._lessons.ask,
            ),
        )
        self.page.left.connect(self.over)
        self.page.over.connect(self._lessons.forget)
        self.page.look_at.connect(self.look_at)
        self.page.bare.connect(self.bare)
        self.page.print_asked.connect(self.print_asked)
        self.page.again.connect(self.again)
        self.pace = PaceBar(clock) if isinstance(clock, PracticeClock) else None
        whole = column(gap=0)
        if self.pace is not None:
            whole.addWidget(self.pace)
            self.pace.hide()
            self.page.began.connect(self.pace.show)
        whole.addWidget(self.page, 1)
        self.setLayout(whole)

    @property
    def running(self) -> bool:
        return self.page.busy

    def look_round(self, plan: Plan, practice: bool) -> None:
        """The page before a batch; nothing is in the record yet."""
        self.page.prepare(plan, practice=practice, seed=self._kit.practice_seed if practice else None)

    def take_up(self, session: str) -> bool:
        """Offer to go on with a batch that was not ended; False when its record cannot be read."""
        project = self._desk.project
        if project is None:
            return False
        try:
            state = fold(project.events(session))
        except Trouble as trouble:
            self._desk.troubled.emit(trouble)
            return False
        self.page.take_up(session, state)
        return True

    def put_away(self) -> None:
        """Stop looking and hush; the batch itself stays in the record as it stands."""
        self._lessons.forget()
        self.page.close_batch()


class PaceBar(QFrame):
    """Says that nothing is hot, and how fast time runs."""

    def __init__(self, clock: PracticeClock, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "hint")
        self._clock = clock
        self.words = Words("", "strong")
        self.button = button("", self._faster)
        line = row(self.words, self.button, gap=3)
        line.setStretch(0, 1)
        line.setContentsMargins(4 * GRID_PX, GRID_PX, 4 * GRID_PX, GRID_PX)
        self.setLayout(line)
        self._say()

    def _faster(self) -> None:
        self._clock.set_pace(_next(self._clock.pace))
        self._say()

    def _say(self) -> None:
        """How fast it runs stands in the words; the button says what pressing it does."""
        pace = self._clock.pace
        self.words.say(
            self.tr("Practice: nothing is hot, and nothing is used up.")
            if pace == 1
            else self.tr("Practice: nothing is hot. Time runs {pace} times as fast.").format(pace=pace)
        )
        after = _next(pace)
        self.button.setText(
            self.tr("Back to real time") if after == 1 else self.tr("Faster: {pace} times").format(pace=after)
        )


def _next(pace: int) -> int:
    return PACES[(PACES.index(pace) + 1) % len(PACES)]
