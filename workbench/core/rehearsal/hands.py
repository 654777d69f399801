"""The hands of the scripted maker: a conductor, a simulated kitchen and a virtual clock, and what is told of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command, Refused
from workbench.core.batch.conductor import Conductor, Danger
from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import Guard, Step
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.rehearsal.feed import RehearsalFeed
from workbench.core.rehearsal.pot import Kitchen
from workbench.core.rehearsal.progress import Progress, RehearsalClock
from workbench.core.trouble import Trouble
from workbench.core.wording import Degrees, say

_CAN_BE_SURE = (ask.ReadTemperature, ask.Weigh, ask.FinishStep, ask.Pour)

LOOK_S = 5.0
LONG_WAIT_S = 60.0
NOBODY_WEARS_IT = say("rehearsal only, nobody wears it")


class Hands:
    """Sends commands, lets time pass, stirs and reads; whatever happens is told in order."""

    def __init__(
        self,
        plan: Plan,
        catalogue: Catalogue,
        journal: Journal,
        rules: Rules,
        began: datetime,
        seed: int,
        session_id: str,
    ) -> None:
        self.plan, self.rules, self.seed = plan, rules, seed
        self._clock = RehearsalClock(began)
        self._dangers: list[Danger] = []
        self.conductor = Conductor(
            session_id, journal, self._clock, rules, on_danger=self._dangers.append, stall_after_s=1e9
        )
        self._feed = RehearsalFeed(plan, catalogue, seed)
        self.shown_c: float | None = None  # what the thermometer showed last; None: it has to be read anew
        self._told: list[Progress] = []

    # --- what stands before them ---

    @property
    def state(self) -> SessionState:
        return self.conductor.ahead

    @property
    def kitchen(self) -> Kitchen:
        return self._feed.kitchen

    @property
    def now_s(self) -> float:
        """Since the batch began, in s."""
        return self.conductor.now_s()

    @property
    def worked_s(self) -> float:
        """Since the rehearsal began, in s."""
        return self._clock.seconds

    @property
    def step(self) -> Step:
        step = self.state.step
        if step is None:
            raise Trouble(say("The rehearsal has no step in hand."))
        return step

    @property
    def title(self) -> str:
        return "" if self.state.step is None else self.state.step.title

    # --- what they do ---

    def send(self, command: Command) -> Refused | None:
        answer = self.conductor.send(command)
        self._feed.follow(self.state, self._clock.seconds)
        self._tell_dangers()
        return answer

    def must(self, command: Command) -> None:
        """Send what has to be taken.  Raises `Trouble` with the reason where it is refused for good."""
        refused = self.send(command)
        if refused is not None and refused.ask_sure and isinstance(command, _CAN_BE_SURE):
            refused = self.send(replace(command, sure=True))
        if refused is not None and refused.guard is Guard.SKIN_LIMITS and self.state.step is not None:
            # what was weighed came out over a limit that the plan just keeps
            self.must(ask.SetAside(self.step.id, Guard.SKIN_LIMITS, NOBODY_WEARS_IT))
            refused = self.send(command)
        if refused is not None and self.state.step is None:
            raise Trouble(
                say("The rehearsal cannot begin. {why} {do}", why=refused.says, do=refused.what_to_do)
            )
        if refused is not None:
            raise Trouble(
                say(
                    "The rehearsal came to a stop in “{step}”: {why}",
                    step=self.title,
                    why=refused.says,
                )
            )

    def wait(self, seconds: float) -> None:
        """Let time pass, looking now and then; alarms are seen to at once."""
        end = self._clock.seconds + seconds
        part_s = LOOK_S if seconds < 600 else LONG_WAIT_S
        while self._clock.seconds < end - 1e-9:
            self._clock.seconds = min(self._clock.seconds + part_s, end)
            self._feed.follow(self.state, self._clock.seconds)
            self.conductor.look()
            self._feed.follow(self.state, self._clock.seconds)
            self._tell_dangers()
            if self.state.phase is not Phase.RUNNING:
                return

    def stand_by(self, seconds: float) -> None:
        """Let time pass while the batch is on hold: nothing is looked for."""
        self._clock.seconds += seconds
        self._feed.follow(self.state, self._clock.seconds)

    def read(self) -> float:
        """Stir, read, type it in; °C as shown."""
        step = self.step
        self.wait(2.0)
        shown = self._feed.stir_and_read()
        self._clock.seconds = max(self._clock.seconds, self.kitchen.now_s)
        self.shown_c = shown
        self.must(ask.ReadTemperature(step.id, shown, f"{shown:g}", True))
        self.tell(say("Stirred and read: {celsius}.", celsius=Degrees(shown)))
        return shown

    def read_if_running(self) -> None:
        if self.state.phase is Phase.RUNNING:
            self.read()

    # --- what they tell ---

    def tell(self, says: str, *, danger: bool = False) -> None:
        state = self.state
        self._told.append(
            Progress(
                at_s=self.now_s,
                step=state.step_id,
                number=state.index + 1,
                of=len(state.steps),
                says=says,
                celsius=self.shown_c,
                true_c=self.kitchen.mean_c,
                danger=danger,
                over=state.phase.over,
            )
        )

    def told_so_far(self) -> Iterator[Progress]:
        while self._told:
            yield self._told.pop(0)

    def _tell_dangers(self) -> None:
        while self._dangers:
            danger = self._dangers.pop(0)
            title = danger.alarm if danger.definition is None else danger.definition.title
            self.tell(say("Alarm: {title}. {do}", title=title, do=danger.safe_action), danger=True)
