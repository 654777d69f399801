"""Anything may happen in any order, and these things still hold (Hypothesis state machine).

- what is folded from the record, after a trip through JSON, is the live state
- a refused command leaves everything as it was; a taken one leads where the table says
- finished and ended have no way out
- no second is lost or counted twice, whatever the clocks do
- a reading over the limit nobody can set aside is always announced and never goes on running
- everything that was taken is in the record exactly once, and a correction never changes the original
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from contextlib import suppress
from functools import lru_cache
from itertools import pairwise

from hypothesis import HealthCheck, settings
from hypothesis import Phase as Phase_
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Command
from workbench.core.batch.conductor import Conductor, Danger
from workbench.core.batch.events import AnyEvent, event_adapter
from workbench.core.batch.guards import NO_SPARK, over_ceiling
from workbench.core.batch.limits import hard_ceiling
from workbench.core.batch.session import fold
from workbench.core.batch.state import BurstPhase, Entry, Phase, Reading, SessionState
from workbench.core.batch.steps import Guard, StepKind
from workbench.core.batch.transitions import COMMANDS
from workbench.core.recipe.model import Heat
from workbench.testing import Maker, MemoryJournal, VirtualClock, begin, sample_plan, sample_rules

STARTS = (
    "prepare",
    "weigh:shea_butter",
    "mix",
    "spoon",
    "cool",
    "add",
    "stir",
    "pour:1",
    "set",
    "weigh_tins",
)
TAKEN_AS_ONE = {
    ask.Weigh: "mass weighed",
    ask.CountDrops: "drops counted",
    ask.ReadTemperature: "temperature read",
    ask.Answer: "answer given",
    ask.Add: "added",
    ask.Pour: "tin poured",
    ask.Stir: "stirred",
    ask.WriteNote: "noted",
    ask.Correct: "corrected",
    ask.SetAside: "guard set aside",
    ask.SeeSetPoint: "set point seen",
    ask.KeepLeftover: "leftover kept",
}


@lru_cache(maxsize=64)
def story(heat: Heat, step: str) -> tuple[AnyEvent, ...]:
    """The events of a sensible batch up to a step."""
    plan = sample_plan(heat=heat)
    lean = {key: row.model_copy(update={"composition": ()}) for key, row in plan.materials.items()}
    conductor, clock, journal = begin(plan.model_copy(update={"materials": lean}))
    Maker(conductor, clock).go_to(step)
    return tuple(journal.events)


def through_json(events: list[AnyEvent]) -> list[AnyEvent]:
    return [event_adapter.validate_json(event_adapter.dump_json(event)) for event in events]


numbers = st.one_of(
    st.floats(0, 120),
    st.sampled_from([0.0, -1.0, 1e9, 3.0, 8.07, 12.68, 15.0, math.nan, math.inf]),
    st.floats(allow_nan=True, allow_infinity=True),
)
words = st.sampled_from(["because", "\N{FIRE} ünd", "it looked wrong", "  "])
places = st.sampled_from(["", "", "", "elsewhere"])  # "" is the step in hand


class Session(RuleBasedStateMachine):
    @initialize(heat=st.sampled_from(list(Heat)), step=st.sampled_from(STARTS))
    def starts(self, heat: Heat, step: str) -> None:
        self.dangers: list[Danger] = []
        self.clock = VirtualClock()
        self.journal = MemoryJournal()
        self.journal.events.extend(story(heat, step))
        self.expected_s = self.journal.events[-1].at_s
        # the clock stands where the story left it
        self.clock.advance(self.expected_s)
        self.taken: dict[str, int] = {}
        for event in self.journal.events:
            self.taken[event.kind] = self.taken.get(event.kind, 0) + 1
        self.originals = dict(enumerate(self.journal.events, start=1))
        self.reopen()

    def reopen(self) -> None:
        self.conductor = Conductor(
            "b",
            self.journal,
            self.clock,
            sample_rules(),
            state=fold(through_json(self.journal.events)),
            on_danger=self.dangers.append,
            stall_after_s=20.0,
        )
        self.maker = Maker(self.conductor, self.clock)
        self.maker.jug_c = 55.0
        if self.conductor.state.phase.live:
            assert self.conductor.take_up() is None

    @property
    def state(self) -> SessionState:
        return self.conductor.state

    def send(self, command: Command) -> None:
        before, stored = self.state, len(self.journal.events)
        refused = self.conductor.send(command)
        told = self.journal.events[stored:]
        mine = [event for event in told if event.kind != "clock noticed"]
        if refused is not None:
            assert refused.says
            kind = TAKEN_AS_ONE.get(type(command))
            assert kind is None or all(event.kind != kind for event in told)
            if not told:
                assert self.state is before
            return
        if before.phase is self.phase_asked(before.phase, told):
            assert self.state.phase in COMMANDS[before.phase, type(command)] or len(mine) < len(told)
        kind = TAKEN_AS_ONE.get(type(command))
        if kind is not None:
            assert sum(event.kind == kind for event in told) == 1
            self.taken[kind] = self.taken.get(kind, 0) + 1

    @staticmethod
    def phase_asked(phase: Phase, told: list[AnyEvent]) -> Phase:
        """The phase in which the command itself was asked: a sleep seen first may have held it."""
        slept = any(event.kind == "clock noticed" for event in told)
        return Phase.NOT_STARTED if slept else phase

    # --- time ---

    @rule(seconds=st.one_of(st.floats(0, 90), st.floats(0, 7200)))
    def time_passes(self, seconds: float) -> None:
        self.clock.advance(seconds)
        self.expected_s += seconds
        self.conductor.look()

    @rule(seconds=st.floats(0.5, 40_000))
    def computer_sleeps(self, seconds: float) -> None:
        self.clock.sleep(seconds)
        self.expected_s += seconds
        hot, running = self.state.hot, self.state.phase is Phase.RUNNING
        self.conductor.look()
        if seconds > 2 and hot and running:
            assert self.state.phase is Phase.HOLDING

    @rule(by_s=st.floats(-90_000, 90_000))
    def wall_clock_is_set(self, by_s: float) -> None:
        self.clock.set_wall(by_s)
        before = len(self.state.clock_notes)
        self.conductor.look()
        if abs(by_s) > 3 and self.state.phase.live:
            assert len(self.state.clock_notes) == before + 1

    @rule(hours=st.sampled_from([-1.0, 1.0]))
    def daylight_saving(self, hours: float) -> None:
        self.clock.change_offset(hours)
        self.conductor.look()

    @rule(reboot=st.booleans(), off_s=st.floats(0, 50_000))
    def crash_and_reload(self, reboot: bool, off_s: float) -> None:
        if reboot:
            # by the wall clock, which may have been set: never less than nothing
            seen = self.state.wall
            self.clock.reboot(off_s)
            if self.state.phase.live and seen is not None:
                gap_s = max(0.0, (self.clock.read().wall - seen).total_seconds())
                self.expected_s = self.state.at_s + gap_s
        else:
            self.clock.advance(off_s)
            self.expected_s += off_s
        hot = self.state.hot
        self.reopen()
        if hot:
            assert self.state.phase in (Phase.HOLDING, Phase.HELD)

    # --- commands ---

    @rule(
        celsius=st.one_of(
            st.floats(20, 100),
            st.floats(-60, 500),
            st.sampled_from([95.0, 94.9, 73.8, 73.7, 51.8, math.nan, math.inf, -1e300]),
        ),
        stirred=st.booleans(),
        sure=st.booleans(),
    )
    def reads(self, celsius: float, stirred: bool, sure: bool) -> None:
        self.send(ask.ReadTemperature(self.state.step_id, celsius, f"{celsius}", stirred, sure))

    @rule(data=st.data(), number=numbers, sure=st.booleans())
    def fills_a_need(self, data: st.DataObject, number: float, sure: bool) -> None:
        step = self.state.step
        keys = [need.key for need in step.needs] if step is not None else []
        key, here = data.draw(st.sampled_from([*keys, "nothing"])), self.state.step_id
        makes: dict[str, Callable[[], Command]] = {
            "weigh": lambda: ask.Weigh(here, key, number, "typed", sure=sure),
            "true": lambda: ask.Answer(here, key, True),
            "number": lambda: ask.Answer(here, key, number),
            "dry": lambda: ask.Answer(here, key, "boiled dry"),
            "topped up": lambda: ask.Answer(here, key, "topped up"),
            "soft": lambda: ask.Answer(here, key, "soft"),
            "pour": lambda: ask.Pour(here, 1, number, "typed", sure),
            "pour 2": lambda: ask.Pour(here, 2, number, "typed", sure),
            "drops": lambda: ask.CountDrops(here, key, 3, "typed"),
        }
        self.send(makes[data.draw(st.sampled_from(sorted(makes)))]())

    @rule(sure=st.booleans())
    def presses_the_primary_action(self, sure: bool) -> None:
        self.send(ask.FinishStep(self.state.step_id, sure))

    @rule(data=st.data(), reason=words, here=places)
    def steers(self, data: st.DataObject, reason: str, here: str) -> None:
        here = here or self.state.step_id
        makes: dict[str, Callable[[], Command]] = {
            "leave out": lambda: ask.LeaveOut(here, reason),
            "cautions": lambda: ask.ReadCautions(here),
            "microwave": lambda: ask.ChangeHeat(here, Heat.MICROWAVE, reason),
            "bath": lambda: ask.ChangeHeat(here, Heat.WATER_BATH, reason),
            "back": lambda: ask.GoBackToBath(here, reason),
            "hold": lambda: ask.Hold(reason),
            "safe": lambda: ask.ConfirmSafe(),
            "go on": lambda: ask.GoOn(),
            "look": lambda: ask.LookAgain(),
            "grow": lambda: ask.GrowBatch(here, reason),
        }
        self.send(makes[data.draw(st.sampled_from(sorted(makes)))]())

    @rule(data=st.data(), number=numbers, reason=words, here=places)
    def works_on_the_jug(self, data: st.DataObject, number: float, reason: str, here: str) -> None:
        here = here or self.state.step_id
        makes: dict[str, Callable[[], Command]] = {
            "wax": lambda: ask.Add(here, "beeswax", number, "typed", reason),
            "oil": lambda: ask.Add(here, "lavender", number, "typed", reason),
            "set point": lambda: ask.SeeSetPoint(here, number, "typed"),
            "note": lambda: ask.WriteNote(reason),
            "leftover": lambda: ask.KeepLeftover(here, number, "typed"),
            "stir": lambda: ask.Stir(here),
        }
        self.send(makes[data.draw(st.sampled_from(sorted(makes)))]())

    @rule(seconds=st.sampled_from([3.0, 8.0, 30.0, 31.0, math.nan, -1.0]), ends=st.booleans())
    def heats_in_a_burst(self, seconds: float, ends: bool) -> None:
        here = self.state.step_id
        self.send(ask.StartBurst(here, seconds))
        if ends:
            self.clock.advance(5.0)
            self.expected_s += 5.0
            self.send(ask.EndBurst(here))

    @rule()
    def starts_again(self) -> None:
        assert self.conductor.send(ask.Start(sample_plan())) is not None

    @rule(guard=st.sampled_from(list(Guard)), reason=words, stated=st.sampled_from([NO_SPARK, ()]))
    def sets_aside(self, guard: Guard, reason: str, stated: tuple[str, ...]) -> None:
        self.send(ask.SetAside(self.state.step_id, guard, reason, stated))

    @rule(data=st.data())
    def acknowledges(self, data: st.DataObject) -> None:
        alarms = [each.key for each in self.conductor.alarms]
        self.send(ask.Acknowledge(data.draw(st.sampled_from([*alarms, "none"]))))

    @rule(data=st.data(), value=st.one_of(numbers, st.just("in words")), reason=words)
    def corrects(self, data: st.DataObject, value: float | str, reason: str) -> None:
        values: list[Entry | Reading] = [*self.state.readings[-5:], *self.state.entries[-15:]]
        seqs = [each.seq for each in values] or [1]
        of = data.draw(st.one_of(st.sampled_from(seqs), st.integers(1, self.state.seq)))
        self.send(ask.Correct(of, value, f"{value}", reason))

    @rule()
    def recovers(self) -> None:
        """What a sensible maker does about a hold."""
        if self.state.phase is Phase.HOLDING:
            self.send(ask.ConfirmSafe())
        if self.state.phase is Phase.HELD:
            self.send(ask.ReadTemperature(self.state.step_id, 55.0, "55", True, sure=True))
            if self.state.recorded("bath") is not None:
                self.send(ask.Answer(self.state.step_id, "bath", "topped up"))
            self.send(ask.GoOn())

    @precondition(lambda self: self.state.phase.live)
    @rule()
    def goes_on_sensibly(self) -> None:
        self.recovers()
        if self.state.phase is not Phase.RUNNING:
            return
        stored = len(self.journal.events)
        before_s = self.clock.read().running_s
        with suppress(AssertionError):  # the step may be in a state that no sensible maker brings about
            self.maker.do_step()
        self.expected_s += self.clock.read().running_s - before_s
        for event in self.journal.events[stored:]:
            if event.kind in TAKEN_AS_ONE.values():
                self.taken[event.kind] = self.taken.get(event.kind, 0) + 1

    @rule(safe=st.booleans(), sure=st.integers(0, 20))
    def ends(self, safe: bool, sure: int) -> None:
        if sure == 0:
            self.send(ask.EndBatch("enough", safe))

    # --- what always holds ---

    @invariant()
    def over_the_limit_is_announced_and_never_runs(self) -> None:
        state = self.state
        if not state.phase.live or not state.hot or state.last_c is None:
            return
        if state.last_c >= hard_ceiling(state).celsius:
            alarm = state.alarms.get("over_limit")
            assert alarm is not None
            assert alarm.status.active
            assert state.phase is not Phase.RUNNING
        if state.phase is Phase.RUNNING:
            assert over_ceiling(state) is None
        raised = sum(each.what == "raised" for each in state.alarm_history)
        before = sum(event.kind == "alarm raised" for event in self.originals.values())
        assert len(self.dangers) == raised - before

    @invariant()
    def no_second_is_lost_or_doubled(self) -> None:
        if self.state.phase.live:
            assert math.isclose(self.conductor.now_s(), self.expected_s, abs_tol=1e-3)
        times = [event.at_s for event in self.journal.events[-30:]]
        assert times == sorted(times)
        begun = [each for each in self.state.steps if each.begun_at_s is not None]
        for one, other in pairwise(begun):
            assert one.ended_at_s == other.begun_at_s

    @invariant()
    def scented_balm_never_sees_the_microwave(self) -> None:
        if self.state.scented:
            assert self.state.burst.phase is not BurstPhase.RUNNING

    @invariant()
    def one_step_in_hand(self) -> None:
        current = [each for each in self.state.steps if each.mark == "current"]
        assert len(current) <= 1
        if self.state.phase.live:
            assert current
            assert current[0] is self.state.current
        if self.state.phase is Phase.FINISHED:
            assert not current

    def teardown(self) -> None:
        if not hasattr(self, "journal"):
            return
        events = through_json(self.journal.events)
        assert fold(events) == self.state
        for kind in TAKEN_AS_ONE.values():
            assert sum(event.kind == kind for event in events) == self.taken.get(kind, 0)
        for seq, original in self.originals.items():
            assert events[seq - 1] == original
        if self.state.phase.over:
            for command in (ask.GoOn(), ask.Hold("x"), ask.FinishStep(self.state.step_id), ask.LookAgain()):
                assert self.conductor.send(command) is not None
        added = [each for each in self.state.steps if each.step.kind is StepKind.ADD_FRAGRANCE]
        assert added


TestSession = Session.TestCase
TestSession.settings = settings(
    max_examples=int(os.environ.get("BALMBOOK_STATE_EXAMPLES", "40")),
    stateful_step_count=40,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase_.explicit, Phase_.reuse, Phase_.generate),
)
