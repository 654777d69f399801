"""The look ahead for the window: asked at every look, worked out in the pool, never waited for."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from workbench.core.batch.burst_rule import burst_rule
from workbench.core.batch.outlook import Ahead, Question, answer, newest_of, question_of
from workbench.core.batch.state import BurstPhase, Phase, SessionState
from workbench.core.batch.steps import StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.bursts import NextBurst
from workbench.core.wording import say
from workbench.ui.bench.curve_data import Fan
from workbench.ui.bench.facts import Outlook
from workbench.ui.bench.sparing import Ration
from workbench.ui.scent.later import Later

SOLVED_PER_S = 0.5  # where a thermometer is read every second, every other reading is looked at


class Forecaster(QObject):
    """Keeps the newest answer; a late one for an older question is dropped.

    came()   there is a new answer to show
    """

    came = Signal()

    def __init__(self, catalogue: Catalogue, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._catalogue = catalogue
        self._burst_rule = burst_rule(catalogue)
        self._later = Later(self)
        self._later.came.connect(self._take)
        self._later.failed.connect(self._failed)
        self._state: SessionState | None = None
        self._question: Question | None = None
        self.ahead: Ahead | None = None
        self.last_cooling: Ahead | None = None  # for what the batch taught of its jug
        self.last_melting: Ahead | None = None
        self._ration = Ration(SOLVED_PER_S)
        self.asked = 0  # how often a solver was set to work
        self._burst: NextBurst | None = None

    def outlook(self, state: SessionState, now_s: float) -> Outlook | None:
        """What is known now; a new reading sets a solver to work and its answer comes with a later look."""
        if state is not self._state and self._ask(state):
            self._state = state
        if self._burst is not None:
            found = self._burst
            return Outlook(found.says, more=(*found.more, *((found.why,) if found.why else ())))
        if self.ahead is None:
            return None
        newest = newest_of(state)  # it may have come after what the solver was asked about
        head, remarks = self.ahead.says(now_s, newest)
        if not head and not remarks:
            return None
        fan = self.ahead.fan(now_s)
        return Outlook(
            head,
            more=remarks,
            fan=None if fan is None else Fan(fan.seconds, fan.low80_c, fan.median_c, fan.high80_c),
            opens_in_s=self.ahead.opens_in_s(now_s, newest),
        )

    def forget(self) -> None:
        """The bench is put away: nobody waits for an answer any more."""
        self._later.forget()

    def _ask(self, state: SessionState) -> bool:
        """False where the solver is to rest first; the next look asks again."""
        step = state.step
        self._burst = None
        if (
            step is not None
            and step.kind is StepKind.MELT_BURSTS
            and state.phase is Phase.RUNNING
            and state.burst.phase is BurstPhase.READY
        ):
            self._burst = self._burst_rule(state)
        question = question_of(state, self._catalogue)
        if question == self._question:
            return True
        if type(question) is not type(self._question):
            self.ahead = None  # the old answer was about something else
        elif question is not None and not self._ration.may():
            return False
        self._question = question
        if question is None:
            self._later.forget()
            self.ahead = None
            return True
        self.asked += 1
        catalogue = self._catalogue
        asked = question  # the job holds this one, whatever is asked next
        self._later.start(lambda: answer(asked, catalogue))
        return True

    def _failed(self) -> None:
        """A fault of our own; it went to the fault hook.  The old answer is not shown as the new one."""
        if self._question is not None:
            self.ahead = Ahead(self._question, trouble=say("No forecast just now."))
            self.came.emit()

    def _take(self, result: object) -> None:
        if not isinstance(result, Ahead):
            self._failed()
            return
        self.ahead = result
        if result.cool is not None:
            self.last_cooling = result
        if result.melt is not None:
            self.last_melting = result
        self.came.emit()
