"""A dry run of a whole batch: a careful maker, a simulated kitchen, a virtual clock.

`rehearse` drives a conductor through every step, exactly as the window or the
terminal would, and tells what happens as it goes.  It writes whatever journal
it is given, as a session marked as rehearsal.  It never sleeps: a caller that
wants to show the run at some speed waits by `Progress.at_s` itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from workbench.core.batch import commands as ask
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.guards import BATH, NO_SPARK, fragrance_limit, reading_due_at_s
from workbench.core.batch.needs import timer_left_s, unread_cautions
from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import AlarmStatus, Phase
from workbench.core.batch.steps import Guard, Step, StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Heat
from workbench.core.rehearsal.filling import fill_one
from workbench.core.rehearsal.hands import NOBODY_WEARS_IT, Hands
from workbench.core.rehearsal.melting import Melting
from workbench.core.rehearsal.progress import Progress, dips
from workbench.core.trouble import Trouble
from workbench.core.wording import Duration, say

MOST_TURNS = 4000
UNDER_LIMIT_K = 1.5


def rehearse(
    plan: Plan,
    catalogue: Catalogue,
    *,
    journal: Journal,
    rules: Rules,
    began: datetime,
    heat: Heat | None = None,
    seed: int = 1,
    session_id: str = "rehearsal",
    maker: str = "",
    batch_code: str = "",
) -> Iterator[Progress]:
    """Run the whole procedure of `plan`, step by step, and yield what happens.

    `heat` None: as planned; otherwise the other way is taken at the melt.  `began` is the wall time of
    the start, with its offset.  Raises `Trouble` where the plan may not be started or a step cannot be
    brought to its end.
    """
    run = Rehearsal(plan, catalogue, journal, rules, began, seed, session_id)
    yield from run.start(maker, batch_code)
    yield from run.to_the_end(heat)


class Rehearsal:
    """One dry run in hand: whoever leads it may send commands of their own to its conductor in between."""

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
        self._hands = Hands(plan, catalogue, journal, rules, began, seed, session_id)
        self._melting = Melting(self._hands)
        self._turns = 0

    @property
    def conductor(self) -> Conductor:
        return self._hands.conductor

    # --- the course ---

    def start(self, maker: str, batch_code: str) -> Iterator[Progress]:
        """Begin the batch.  Raises `Trouble` where the plan may not be started."""
        hands = self._hands
        over_skin = hands.plan.skin.verdict == "over"
        hands.must(
            ask.Start(
                hands.plan,
                maker=maker,
                rehearsal=True,
                seed=hands.seed,
                batch_code=batch_code,
                set_aside=(ask.SetAside("", Guard.SKIN_LIMITS, NOBODY_WEARS_IT),) if over_skin else (),
            )
        )
        hands.tell(say("Begun: {recipe}.", recipe=hands.plan.recipe.name))
        yield from hands.told_so_far()

    def to_the_end(self, heat: Heat | None) -> Iterator[Progress]:
        """Every step that is left; `heat` None: as planned.  Raises `Trouble` where it gets no further."""
        hands = self._hands
        while not hands.state.phase.over:
            self._turns += 1
            if self._turns > MOST_TURNS:
                raise Trouble(
                    say("The rehearsal does not get past “{step}”. Look at its limits.", step=hands.title)
                )
            self._acknowledge()
            if hands.state.phase is not Phase.RUNNING:
                self._hold_and_go_on()
            elif self._changes_heat(heat):
                pass
            else:
                self._one_turn()
            yield from hands.told_so_far()
        hands.tell(say("Finished after {time}.", time=Duration(hands.worked_s)))
        yield from hands.told_so_far()

    def _changes_heat(self, heat: Heat | None) -> bool:
        hands = self._hands
        if heat is None or self._melting.moved or heat is hands.state.heat or hands.state.scented:
            return False
        if hands.step.kind not in (StepKind.MELT_BATH, StepKind.MELT_BURSTS):
            return False
        hands.must(ask.ChangeHeat(hands.step.id, heat, say("rehearsed the other way")))
        hands.tell(say("Heating changed to {heat}.", heat=heat.value))
        return True

    def _acknowledge(self) -> None:
        for alarm in self.conductor.alarms:
            if alarm.status is not AlarmStatus.ACKNOWLEDGED:
                self._hands.send(ask.Acknowledge(alarm.key))

    def _hold_and_go_on(self) -> None:
        """Do the safe thing, let it cool, read, go on."""
        hands, state = self._hands, self._hands.state
        if state.phase is Phase.HOLDING:
            hands.wait(4.0)
            hands.must(ask.ConfirmSafe())
            hands.tell(say("On hold, and the safe thing is done."))
            return
        if state.recorded(BATH) is not None:
            self._melting.top_up_if_low()
        hands.stand_by(30.0)
        if state.hot:
            hands.read()
        if unread_cautions(hands.state):
            hands.send(ask.ReadCautions(hands.step.id))
        if hands.send(ask.GoOn()) is None:
            hands.tell(say("Going on."))

    # --- one step ---

    def _one_turn(self) -> None:
        hands, step = self._hands, self._hands.step
        if unread_cautions(hands.state):
            hands.wait(4.0)
            hands.send(ask.ReadCautions(step.id))
            return
        if step.kind is StepKind.MEND and not dips(hands.state):
            hands.must(ask.LeaveOut(step.id, say("no dip to mend")))
            hands.tell(say("No dip to mend."))
            return
        if self._ready(step) and not fill_one(hands, self._melting, step):
            self._finish(step)

    def _ready(self, step: Step) -> bool:
        """Bring the jug to where the step wants it; True when it is there."""
        match step.kind:
            case StepKind.MELT_BATH:
                return self._melting.in_bath(step)
            case StepKind.MELT_BURSTS:
                return self._melting.in_bursts(step)
            case StepKind.COOL:
                return self._cool(step)
            case StepKind.ADD_FRAGRANCE:
                return self._gate()
            case _:
                return self._timer_done()

    def _timer_done(self) -> bool:
        hands = self._hands
        left = timer_left_s(hands.state, hands.now_s)
        if left is None or left <= 0:
            return True
        due = reading_due_at_s(hands.state)
        if due is not None and due - hands.now_s < left:
            hands.wait(max(due - hands.now_s - 25.0, 1.0))
            hands.read_if_running()
            return False
        hands.wait(left + 0.5)
        hands.tell(say("Waited {time}.", time=Duration(left)))
        return hands.state.phase is Phase.RUNNING

    def _cool(self, step: Step) -> bool:
        hands = self._hands
        if hands.shown_c is None or hands.state.recorded("reading") is None:
            hands.read()
            return False
        high = step.high_c
        if high is None or hands.shown_c <= high:
            return True
        gap = hands.shown_c - high
        hands.wait(min(max(gap / 2.0 * 60.0, 20.0), 120.0))
        hands.read_if_running()
        return False

    def _gate(self) -> bool:
        """A stirred reading, young enough and at least 1.5 K under the limit."""
        hands = self._hands
        limit = fragrance_limit(hands.state)
        age = hands.state.age_s(hands.now_s)
        if hands.state.recorded("reading") is None or age is None or age > 30:
            hands.read()
            return False
        if limit is None or hands.plan.recipe.add_above_flash_safe:
            hands.must(ask.SetAside(hands.step.id, Guard.FLASH_SAFE, say("flame is out"), NO_SPARK))
            return True
        if hands.shown_c is not None and (hands.state.last_c or 0.0) > limit.celsius - UNDER_LIMIT_K:
            hands.wait(25.0)
            hands.read()
            return False
        return True

    def _finish(self, step: Step) -> None:
        hands = self._hands
        refused = hands.send(ask.FinishStep(step.id))
        if refused is None:
            hands.tell(say("Done: {title}.", title=step.title))
            hands.wait(2.0)
        elif refused.ask_sure:
            hands.wait(30.0)
            if step.kind in (StepKind.COOL, StepKind.MELT_BATH, StepKind.MELT_BURSTS):
                hands.read()
            if hands.send(ask.FinishStep(step.id)) is not None:
                hands.must(ask.FinishStep(step.id, sure=True))
        elif hands.state.hot:
            hands.read()
        else:
            hands.wait(10.0)
