"""A dry run of a whole batch: a careful maker, a simulated kitchen, a virtual clock.

`rehearse` drives a conductor through every step, exactly as the window or the
terminal would, and tells what happens as it goes.  It writes whatever journal
it is given, as a session marked as rehearsal.  It never sleeps: a caller that
wants to show the run at some speed waits by `Progress.at_s` itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command, Refused
from workbench.core.batch.conductor import Conductor, Danger
from workbench.core.batch.guards import BATH, FRAGRANCE_IN, NO_SPARK, fragrance_limit, reading_due_at_s
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.needs import timer_left_s, unread_cautions
from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import AlarmStatus, Phase, SessionState
from workbench.core.batch.steps import Guard, Need, NeedKind, Step, StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Heat
from workbench.core.rehearsal.feed import RehearsalFeed
from workbench.core.rehearsal.progress import Progress, RehearsalClock, dips
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Degrees, Duration, Grams, Said, say

_CAN_BE_SURE = (ask.ReadTemperature, ask.Weigh, ask.FinishStep, ask.Pour)

LOOK_S = 5.0
LONG_WAIT_S = 60.0
MOST_TURNS = 4000
UNDER_LIMIT_K = 1.5
BATH_LOW_G = 350.0
LONGEST_MELT_S = 5400.0
MOST_WAITS = 3
# Bursts that short only keep the jug as warm as it cools while it is stirred.
FEEBLE_BURST_S = 10.0
FEEBLE_BURSTS = 12
FEEBLE_RISE_K = 1.0
NOBODY_WEARS_IT = say("rehearsal only, nobody wears it")


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
    run = _Run(plan, catalogue, journal, rules, began, seed, session_id)
    yield from run.start(maker, batch_code)
    yield from run.to_the_end(heat)


class _Run:
    """The scripted maker with hands, clock and kitchen."""

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
        self._plan, self._seed = plan, seed
        self._clock = RehearsalClock(began)
        self._dangers: list[Danger] = []
        self._conductor = Conductor(
            session_id, journal, self._clock, rules, on_danger=self._dangers.append, stall_after_s=1e9
        )
        self._rules = rules
        self._feed = RehearsalFeed(plan, catalogue, seed)
        self._shown_c: float | None = None
        self._told: list[Progress] = []
        self._turns = 0
        self._waits = 0
        self._moved = False  # to the water bath, because no burst was short enough

    # --- hands ---

    @property
    def _state(self) -> SessionState:
        return self._conductor.ahead

    @property
    def _now_s(self) -> float:
        return self._conductor.now_s()

    def _send(self, command: Command) -> Refused | None:
        answer = self._conductor.send(command)
        self._feed.follow(self._state, self._clock.seconds)
        self._tell_dangers()
        return answer

    def _must(self, command: Command) -> None:
        refused = self._send(command)
        if refused is not None and refused.ask_sure and isinstance(command, _CAN_BE_SURE):
            refused = self._send(replace(command, sure=True))
        if refused is not None and refused.guard is Guard.SKIN_LIMITS and self._state.step is not None:
            # what was weighed came out over a limit that the plan just keeps
            self._must(ask.SetAside(self._step.id, Guard.SKIN_LIMITS, NOBODY_WEARS_IT))
            refused = self._send(command)
        if refused is not None and self._state.step is None:
            raise Trouble(
                say("The rehearsal cannot begin. {why} {do}", why=refused.says, do=refused.what_to_do)
            )
        if refused is not None:
            raise Trouble(
                say(
                    "The rehearsal came to a stop in “{step}”: {why}",
                    step=self._title(),
                    why=refused.says,
                )
            )

    def _wait(self, seconds: float) -> None:
        """Let time pass, looking now and then; alarms are seen to at once."""
        end = self._clock.seconds + seconds
        part_s = LOOK_S if seconds < 600 else LONG_WAIT_S
        while self._clock.seconds < end - 1e-9:
            self._clock.seconds = min(self._clock.seconds + part_s, end)
            self._feed.follow(self._state, self._clock.seconds)
            self._conductor.look()
            self._feed.follow(self._state, self._clock.seconds)
            self._tell_dangers()
            if self._state.phase is not Phase.RUNNING:
                return

    def _tell(self, says: str, *, danger: bool = False) -> None:
        state = self._state
        self._told.append(
            Progress(
                at_s=self._now_s,
                step=state.step_id,
                number=state.index + 1,
                of=len(state.steps),
                says=says,
                celsius=self._shown_c,
                true_c=self._feed.kitchen.mean_c,
                danger=danger,
                over=state.phase.over,
            )
        )

    def _tell_dangers(self) -> None:
        while self._dangers:
            danger = self._dangers.pop(0)
            title = danger.alarm if danger.definition is None else danger.definition.title
            self._tell(say("Alarm: {title}. {do}", title=title, do=danger.safe_action), danger=True)

    def _told_so_far(self) -> Iterator[Progress]:
        while self._told:
            yield self._told.pop(0)

    def _title(self) -> str:
        return "" if self._state.step is None else self._state.step.title

    def _read(self) -> float:
        """Stir, read, type it in."""
        step = self._step
        self._wait(2.0)
        shown = self._feed.stir_and_read()
        self._clock.seconds = max(self._clock.seconds, self._feed.kitchen.now_s)
        self._shown_c = shown
        self._must(ask.ReadTemperature(step.id, shown, f"{shown:g}", True))
        self._tell(say("Stirred and read: {celsius}.", celsius=Degrees(shown)))
        return shown

    @property
    def _step(self) -> Step:
        step = self._state.step
        if step is None:
            raise Trouble(say("The rehearsal has no step in hand."))
        return step

    # --- the course ---

    def start(self, maker: str, batch_code: str) -> Iterator[Progress]:
        over_skin = self._plan.skin.verdict == "over"
        aside = (ask.SetAside("", Guard.SKIN_LIMITS, NOBODY_WEARS_IT),) if over_skin else ()
        self._must(
            ask.Start(
                self._plan,
                maker=maker,
                rehearsal=True,
                seed=self._seed,
                batch_code=batch_code,
                set_aside=aside,
            )
        )
        self._tell(say("Begun: {recipe}.", recipe=self._plan.recipe.name))
        yield from self._told_so_far()

    def to_the_end(self, heat: Heat | None) -> Iterator[Progress]:
        while not self._state.phase.over:
            self._turns += 1
            if self._turns > MOST_TURNS:
                raise Trouble(
                    say("The rehearsal does not get past “{step}”. Look at its limits.", step=self._title())
                )
            self._acknowledge()
            if self._state.phase is not Phase.RUNNING:
                self._hold_and_go_on()
            elif self._changes_heat(heat):
                pass
            else:
                self._one_turn()
            yield from self._told_so_far()
        self._tell(say("Finished after {time}.", time=Duration(self._clock.seconds)))
        yield from self._told_so_far()

    def _changes_heat(self, heat: Heat | None) -> bool:
        if heat is None or self._moved or heat is self._state.heat or self._state.scented:
            return False
        if self._step.kind not in (StepKind.MELT_BATH, StepKind.MELT_BURSTS):
            return False
        self._must(ask.ChangeHeat(self._step.id, heat, say("rehearsed the other way")))
        self._tell(say("Heating changed to {heat}.", heat=heat.value))
        return True

    def _acknowledge(self) -> None:
        for alarm in self._conductor.alarms:
            if alarm.status is not AlarmStatus.ACKNOWLEDGED:
                self._send(ask.Acknowledge(alarm.key))

    def _hold_and_go_on(self) -> None:
        """Do the safe thing, let it cool, read, go on."""
        state = self._state
        if state.phase is Phase.HOLDING:
            self._wait(4.0)
            self._must(ask.ConfirmSafe())
            self._tell(say("On hold, and the safe thing is done."))
            return
        if state.recorded(BATH) is not None and self._feed.kitchen.bath_g < BATH_LOW_G:
            self._top_up()
        self._clock.seconds += 30.0
        self._feed.follow(self._state, self._clock.seconds)
        if state.hot:
            self._read()
        if unread_cautions(self._state):
            self._send(ask.ReadCautions(self._step.id))
        if self._send(ask.GoOn()) is None:
            self._tell(say("Going on."))

    def _one_turn(self) -> None:
        step = self._step
        if unread_cautions(self._state):
            self._wait(4.0)
            self._send(ask.ReadCautions(step.id))
            return
        if step.kind is StepKind.MEND and not dips(self._state):
            self._must(ask.LeaveOut(step.id, say("no dip to mend")))
            self._tell(say("No dip to mend."))
            return
        if not self._ready(step):
            return
        if self._fill_one(step):
            return
        self._finish(step)

    # --- one step ---

    def _ready(self, step: Step) -> bool:
        """Bring the jug to where the step wants it; True when it is there."""
        match step.kind:
            case StepKind.MELT_BATH:
                return self._melt_in_bath(step)
            case StepKind.MELT_BURSTS:
                return self._melt_in_bursts(step)
            case StepKind.COOL:
                return self._cool(step)
            case StepKind.ADD_FRAGRANCE:
                return self._gate()
            case _:
                return self._timer_done(step)

    def _timer_done(self, step: Step) -> bool:
        left = timer_left_s(self._state, self._now_s)
        if left is None or left <= 0:
            return True
        due = reading_due_at_s(self._state)
        if due is not None and due - self._now_s < left:
            self._wait(max(due - self._now_s - 25.0, 1.0))
            if self._state.phase is Phase.RUNNING:
                self._read()
            return False
        self._wait(left + 0.5)
        self._tell(say("Waited {time}.", time=Duration(left)))
        return self._state.phase is Phase.RUNNING

    def _aim_c(self, step: Step) -> float:
        aim = step.aim_c if step.aim_c is not None else 70.0
        return min(aim, ceiling_c(self._state) - 2.0)

    def _melt_in_bath(self, step: Step) -> bool:
        kitchen = self._feed.kitchen
        if self._state.recorded(BATH) is None and any(need.key == BATH for need in step.needs):
            self._answer_bath(step)
            return False
        if kitchen.clear and self._shown_c is not None and self._state.recorded("reading") is not None:
            enough = self._aim_c(step) - (0.0 if step.low_c is None else 2.0)
            if self._shown_c >= enough or kitchen.mean_c > kitchen.bath_c - 1.5:
                return True
        if self._state.step_elapsed_s(self._now_s) > LONGEST_MELT_S:
            raise Trouble(say("The jug does not get warm enough under its ceiling; nothing melts out."))
        if kitchen.bath_g < BATH_LOW_G:
            self._top_up()
        due = reading_due_at_s(self._state)
        wait = 60.0 if due is None else min(max(due - self._now_s - 25.0, 5.0), 90.0)
        self._wait(wait)
        if self._state.phase is Phase.RUNNING:
            self._read()
        return False

    def _answer_bath(self, step: Step) -> None:
        need = next(each for each in step.needs if each.key == BATH)
        self._must(ask.Answer(step.id, BATH, need.choices[0], need.choices[0]))

    def _top_up(self) -> None:
        step = self._step
        self._feed.kitchen.top_up_bath()
        need = next((each for each in step.needs if each.key == BATH), None)
        if need is not None and len(need.choices) > 1:
            self._send(ask.Answer(step.id, BATH, need.choices[1], need.choices[1]))
        self._tell(say("Topped the bath up with warm water."))

    def _melt_in_bursts(self, step: Step) -> bool:
        kitchen = self._feed.kitchen
        if self._shown_c is None or self._state.recorded("reading") is None:
            self._read()
            return False
        if kitchen.clear and self._shown_c >= self._aim_c(step) - 2.0:
            return True
        refused = self._rules.burst_refused(self._state)
        if refused:
            self._tell(say("{why}", why=refused))
            self._over_to_the_bath(step, say("this blend, or so little of it, is not for the microwave"))
            return False
        seconds = min(30.0, self._rules.next_burst_s(self._state))
        if seconds < 1.0:
            return self._no_burst(step)
        if seconds < FEEBLE_BURST_S and self._leads_nowhere():
            self._over_to_the_bath(step, say("the bursts have become too short to warm it any further"))
            return False
        self._must(ask.StartBurst(step.id, seconds))
        self._wait(seconds)
        if self._state.phase is not Phase.RUNNING:
            return False
        self._must(ask.EndBurst(step.id))
        self._tell(say("A burst of {time}.", time=Duration(seconds)))
        self._wait(3.0)
        self._must(ask.Stir(step.id))
        self._read()
        return False

    def _no_burst(self, step: Step) -> bool:
        """Stir and wait; and where bursts lead nowhere, over to the water bath."""
        self._waits += 1
        if self._waits > MOST_WAITS:
            self._over_to_the_bath(step, say("no burst is short enough"))
            return False
        self._wait(45.0)
        if self._state.phase is Phase.RUNNING:
            self._read()
        return self._feed.kitchen.clear

    def _leads_nowhere(self) -> bool:
        """Whether a good many bursts in a row have not warmed the jug by a kelvin."""
        shown = [past.after_c for past in self._state.burst.past[-FEEBLE_BURSTS:] if past.after_c is not None]
        return len(shown) == FEEBLE_BURSTS and max(shown[-3:]) - min(shown[:3]) < FEEBLE_RISE_K

    def _over_to_the_bath(self, step: Step, why: Said) -> None:
        if Heat.WATER_BATH.value not in self._plan.steps_by_heat:
            raise Trouble(say("Bursts alone do not melt this out under its ceiling. Use the water bath."))
        self._must(ask.ChangeHeat(step.id, Heat.WATER_BATH, why))
        self._moved, self._shown_c = True, None
        self._tell(say("Over to the water bath: {why}.", why=why))

    def _cool(self, step: Step) -> bool:
        if self._shown_c is None or self._state.recorded("reading") is None:
            self._read()
            return False
        high = step.high_c
        if high is None or self._shown_c <= high:
            return True
        gap = self._shown_c - high
        self._wait(min(max(gap / 2.0 * 60.0, 20.0), 120.0))
        if self._state.phase is Phase.RUNNING:
            self._read()
        return False

    def _gate(self) -> bool:
        """A stirred reading, young enough and at least 1.5 K under the limit."""
        limit = fragrance_limit(self._state)
        age = self._state.age_s(self._now_s)
        if self._state.recorded("reading") is None or age is None or age > 30:
            self._read()
            return False
        if limit is None or self._plan.recipe.add_above_flash_safe:
            self._must(ask.SetAside(self._step.id, Guard.FLASH_SAFE, say("flame is out"), NO_SPARK))
            return True
        if self._shown_c is not None and (self._state.last_c or 0.0) > limit.celsius - UNDER_LIMIT_K:
            self._wait(25.0)
            self._read()
            return False
        return True

    def _fill_one(self, step: Step) -> bool:
        """Record the next thing the step asks for; False when it asks for nothing more."""
        current = self._state.current
        recorded = {} if current is None else current.recorded
        for bare in step.needs:
            need = self._state.with_target(bare)
            if need.key in recorded or not need.required:
                continue
            self._answer(step, need)
            return True
        return False

    def _answer(self, step: Step, need: Need) -> None:
        self._wait(3.0)
        if self._state.phase is not Phase.RUNNING:
            return
        match need.kind:
            case NeedKind.MASS if step.kind is StepKind.POUR:
                self._pour(step, need)
            case NeedKind.MASS:
                self._weigh(step, need)
            case NeedKind.DROPS:
                count = round(need.target or 1)
                self._must(ask.CountDrops(step.id, need.key, count, f"{count}"))
                self._tell(
                    say(
                        "{count} drops of {name}.",
                        "{count} drop of {name}.",
                        count=Count(count),
                        name=need.label,
                    )
                )
            case NeedKind.TEMPERATURE:
                self._read()
            case NeedKind.TICK if need.key == FRAGRANCE_IN:
                if self._send(ask.Answer(step.id, need.key, True)) is None:
                    self._tell(say("The fragrance is in."))
                else:
                    self._wait(20.0)
                    self._read()
            case NeedKind.TICK:
                self._must(ask.Answer(step.id, need.key, True))
            case NeedKind.CHOICE:
                self._must(ask.Answer(step.id, need.key, need.choices[0], need.choices[0]))
            case NeedKind.DEPTH:
                depth = self._feed.kitchen.dip_mm(1)
                self._must(ask.Answer(step.id, need.key, depth, f"{depth:g}"))
            case NeedKind.COUNT:
                self._must(ask.Answer(step.id, need.key, float(round(need.target or 1))))
            case NeedKind.WORDS:
                self._must(ask.Answer(step.id, need.key, say("rehearsed")))
            case NeedKind.BURST:
                self._melt_in_bursts(step)

    def _weigh(self, step: Step, need: Need) -> None:
        line = next((each for each in self._plan.lines if each.material == need.material), None)
        digit = 0.1 if line is None or line.readability_g is None else line.readability_g
        target = need.target or 1.0
        mass = self._feed.kitchen.weigh(target, digit)
        if (need.high is not None and mass > need.high) or (need.low is not None and mass < need.low):
            mass = target  # a careful hand corrects it before typing
        self._wait(20.0)
        self._must(ask.Weigh(step.id, need.key, mass, f"{mass:g}", lot=None if line is None else line.lot))
        self._tell(say("Weighed {mass} of {name}.", mass=Grams(mass, 2), name=need.label))

    def _pour(self, step: Step, need: Need) -> None:
        number = int(need.key.rsplit(":", 1)[-1])
        mass = round(min(need.target or 0.0, max(self._feed.kitchen.composition.mass_g - 0.3, 0.1)), 1)
        self._wait(12.0)
        refused = self._send(ask.Pour(step.id, number, mass, f"{mass:g}"))
        if refused is None:
            self._tell(say("Poured tin {number}: {mass}.", number=number, mass=Grams(mass)))
            return
        if refused.guard is Guard.POUR_FLOOR:
            self._must(ask.GoBackToBath(step.id, say("set too early")))
            self._shown_c = None
            self._tell(say("Set too early: back into the bath."))
            return
        self._wait(15.0)
        self._read()

    def _finish(self, step: Step) -> None:
        refused = self._send(ask.FinishStep(step.id))
        if refused is None:
            self._tell(say("Done: {title}.", title=step.title))
            self._wait(2.0)
            return
        if refused.ask_sure:
            self._wait(30.0)
            if step.kind in (StepKind.COOL, StepKind.MELT_BATH, StepKind.MELT_BURSTS):
                self._read()
            if self._send(ask.FinishStep(step.id)) is not None:
                self._must(ask.FinishStep(step.id, sure=True))
            return
        if self._state.hot:
            self._read()
        else:
            self._wait(10.0)
