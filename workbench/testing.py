"""Virtual clock, fake journal, sample builders and a sensible maker, for tests and contributors.

    conductor, clock, journal = begin()
    Maker(conductor, clock).go_to("add")

Nothing here sleeps: time passes when the virtual clock is told so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, timezone
from functools import lru_cache

from workbench.core.batch import commands as ask
from workbench.core.batch.alarms import parse_alarms
from workbench.core.batch.bursts import cautious_burst_s
from workbench.core.batch.commands import Command, Refused
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.guards import BATH, reading_due_at_s
from workbench.core.batch.needs import unread_cautions
from workbench.core.batch.plan import Plan
from workbench.core.batch.ports import ClockReading
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.real_rules import rules_for
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.step_words import StepTable, parse_steps
from workbench.core.batch.steps import Need, NeedKind, Step, StepKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.model import (
    Amount,
    BaseLine,
    BatchSize,
    Heat,
    Measure,
    Recipe,
    ScentLine,
    TinCount,
)
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue, load_starter_shelf, resource_bytes

BEGIN = datetime(2026, 3, 14, 9, 0, tzinfo=timezone(timedelta(hours=1)))


class VirtualClock:
    """Three clocks that move only when told."""

    def __init__(self, wall: datetime = BEGIN, boot: str = "first") -> None:
        self._running_s = 1000.0
        self._awake_s = 900.0
        self._wall = wall
        self._boot = boot

    def read(self) -> ClockReading:
        return ClockReading(self._running_s, self._awake_s, self._wall, self._boot)

    def advance(self, seconds: float) -> None:
        """Time passes while the computer is awake."""
        self._running_s += seconds
        self._awake_s += seconds
        self._wall += timedelta(seconds=seconds)

    def sleep(self, seconds: float) -> None:
        """The computer sleeps; the awake clock stands still."""
        self._running_s += seconds
        self._wall += timedelta(seconds=seconds)

    def set_wall(self, by_s: float) -> None:
        """Somebody sets the wall clock forward, or back if negative."""
        self._wall += timedelta(seconds=by_s)

    def change_offset(self, hours: float) -> None:
        """Daylight saving begins or ends: the same instant under another offset."""
        offset = (self._wall.utcoffset() or timedelta(0)) + timedelta(hours=hours)
        self._wall = self._wall.astimezone(timezone(offset))

    def reboot(self, off_s: float = 60.0) -> None:
        """The computer was off for a while; its counters begin anew."""
        self._running_s, self._awake_s = 5.0, 5.0
        self._wall += timedelta(seconds=off_s)
        self._boot = f"{self._boot}'" if self._boot else ""


class MemoryJournal:
    """Keeps events in memory.

    `delayed`: answers only at `flush`.  `fail_on`: the appends, counted from
    1, that are refused; a failing one is counted anew when it is retried.
    """

    def __init__(self, *, delayed: bool = False, fail_on: Sequence[int] = ()) -> None:
        self.events: list[AnyEvent] = []
        self.appends = 0
        self.fail_on = set(fail_on)
        self.trouble: Trouble = Trouble("The disk is full. Make room and try again.")
        self._delayed = delayed
        self._waiting: list[tuple[int, tuple[AnyEvent, ...], Callable[[Trouble | None], None]]] = []

    def append(
        self,
        session: str,
        first_seq: int,
        events: Sequence[AnyEvent],
        done: Callable[[Trouble | None], None],
    ) -> None:
        self._waiting.append((first_seq, tuple(events), done))
        if not self._delayed:
            self.flush()

    @property
    def waiting(self) -> int:
        return len(self._waiting)

    def flush(self) -> None:
        """Answer everything that waits."""
        while self._waiting:
            first_seq, events, done = self._waiting.pop(0)
            self.appends += 1
            if self.appends in self.fail_on:
                done(self.trouble)
                continue
            known = self.events[first_seq - 1 :][: len(events)]
            if first_seq > len(self.events) + 1 or known != list(events[: len(known)]):
                raise AssertionError(f"append at {first_seq}, but {len(self.events)} are stored")
            self.events.extend(events[len(known) :])
            done(None)


# --- samples ---


@lru_cache(maxsize=1)
def sample_catalogue() -> Catalogue:
    """The tables that come with the program, over the starter shelf."""
    return load_catalogue().over(load_starter_shelf())


@lru_cache(maxsize=1)
def sample_steps() -> StepTable:
    return parse_steps("steps.toml", resource_bytes("steps.toml"))


@lru_cache(maxsize=1)
def sample_rules() -> Rules:
    """The alarms that come with the program, over the tables that come with it.

    Bursts by the cautious rule: the samples are smaller than what the oven's own rule takes on.
    """
    alarms = parse_alarms("alarms.toml", resource_bytes("alarms.toml"))
    return rules_for(sample_catalogue(), alarms, cautious_burst_s)


def sample_recipe(*, heat: Heat = Heat.WATER_BATH, scented: bool = True, tins: int = 3) -> Recipe:
    """An invented balm with a window: beeswax, shea and jojoba under cedar and lavender."""

    def parts(value: float) -> Amount:
        return Amount(value=value, measure=Measure.PARTS)

    scent = (
        ScentLine(material="cedarwood_virginia", amount=parts(3), note=Note.BASE),
        ScentLine(material="lavender", amount=parts(2), note=Note.MIDDLE),
    )
    return Recipe(
        name="Evening ember",
        base=(
            BaseLine(material="beeswax", amount=parts(20)),
            BaseLine(material="shea_butter", amount=parts(20)),
            BaseLine(material="jojoba", amount=parts(60)),
        ),
        scent=scent if scented else (),
        load_percent=5.0 if scented else 0.0,
        heat=heat,
        vessel="beaker_250",
        size=BatchSize(tins=(TinCount(tin="round_15", count=tins),)),
    )


@lru_cache(maxsize=16)
def sample_plan(*, heat: Heat = Heat.WATER_BATH, scented: bool = True, tins: int = 3) -> Plan:
    recipe = sample_recipe(heat=heat, scented=scented, tins=tins)
    return make_plan(recipe, 1, sample_catalogue(), sample_steps(), today=BEGIN.date())


def begin(
    plan: Plan | None = None,
    *,
    journal: MemoryJournal | None = None,
    clock: VirtualClock | None = None,
    rules: Rules | None = None,
) -> tuple[Conductor, VirtualClock, MemoryJournal]:
    """A session that has just been started."""
    clock, journal = clock or VirtualClock(), journal or MemoryJournal()
    conductor = Conductor("batch-1", journal, clock, rules or sample_rules())
    refused = conductor.send(ask.Start(plan or sample_plan(), maker="M"))
    if refused is not None:
        raise AssertionError(refused.says)
    return conductor, clock, journal


# --- a sensible maker ---


class Maker:
    """Walks a session through its steps with sensible answers, in virtual time.

    The jug is a plain sum: it warms and cools at steady rates.  It is no
    model of a pot, only a hand that types.
    """

    warming_k_s = 4.0 / 60
    cooling_k_s = 1.5 / 60
    burst_k_s = 0.8

    def __init__(self, conductor: Conductor, clock: VirtualClock, *, look_every_s: float = 4.0) -> None:
        self.conductor = conductor
        self.look_every_s = look_every_s  # over 5 s the conductor notices a program that stands still
        self.clock = clock
        self.jug_c = 22.0

    @property
    def state(self) -> SessionState:
        return self.conductor.ahead

    @property
    def step(self) -> Step:
        step = self.state.step
        if step is None:
            raise AssertionError(f"no step in hand: {self.state.phase}")
        return step

    def send(self, command: Command) -> None:
        """Send a command that must be taken."""
        refused = self.conductor.send(command)
        if isinstance(refused, Refused):
            raise AssertionError(f"{type(command).__name__} in {self.state.step_id}: {refused.says}")

    def wait(self, seconds: float) -> None:
        """Time passes, with a look now and then."""
        while seconds > 0:
            part = min(seconds, self.look_every_s)
            self.clock.advance(part)
            self.conductor.look()
            seconds -= part

    def read(self, celsius: float | None = None, *, stirred: bool = True) -> None:
        """Take the temperature and type it in."""
        raw_c = round(self.jug_c if celsius is None else celsius, 1)
        self.send(ask.ReadTemperature(self.step.id, raw_c, f"{raw_c}", stirred))

    def go_to(self, step_id: str) -> None:
        """Walk until the step with this id is in hand."""
        for _ in range(200):
            if self.state.step_id == step_id and self.state.phase is Phase.RUNNING:
                return
            self.do_step()
        raise AssertionError(f"never came to {step_id}")

    def go_to_end(self) -> None:
        for _ in range(200):
            if self.state.phase.over:
                return
            self.do_step()
        raise AssertionError("never came to the end")

    def do_step(self) -> None:
        """Do the step in hand and finish it."""
        step = self.step
        if step.optional:
            self.send(ask.LeaveOut(step.id, "not needed"))
            return
        self.fill()
        self.send(ask.FinishStep(step.id))
        self.wait(2.0)

    def fill(self) -> None:
        """Everything the step asks for, without the primary action."""
        self.read_cautions()
        step = self.step
        match step.kind:
            case StepKind.MELT_BATH:
                self._warm(step)
            case StepKind.MELT_BURSTS:
                self._burst(step)
            case StepKind.COOL:
                self._cool(step)
            case StepKind.COLD_SPOON | StepKind.STIR | StepKind.SET | StepKind.REST:
                self._pass_time(step.timer_s or 0.0)
            case StepKind.MIX_SCENT:
                self.wait(30.0)
            case _:
                self.wait(2.0)
        recorded = self.state.current.recorded if self.state.current is not None else {}
        for need in self.step.needs:
            if need.key not in recorded:
                self.answer(self.state.with_target(need))

    def read_cautions(self) -> None:
        if unread_cautions(self.state):
            self.send(ask.ReadCautions(self.step.id))

    def answer(self, need: Need) -> None:
        """One sensible answer for one need."""
        step, target = self.step, need.target or 0.0
        self.wait(1.0)
        match need.kind:
            case NeedKind.TICK:
                self.send(ask.Answer(step.id, need.key, True))
            case NeedKind.CHOICE:
                self.send(ask.Answer(step.id, need.key, need.choices[0]))
            case NeedKind.MASS if need.key.startswith("tin:") and step.kind is StepKind.POUR:
                self.wait(10.0)
                self.jug_c -= 10.0 * self.cooling_k_s
                self.send(ask.Pour(step.id, int(need.key.removeprefix("tin:")), target, f"{target}"))
            case NeedKind.MASS:
                self.send(ask.Weigh(step.id, need.key, target, f"{target}"))
            case NeedKind.DROPS:
                self.send(ask.CountDrops(step.id, need.key, round(target), f"{round(target)}"))
            case NeedKind.TEMPERATURE:
                self.read()
            case NeedKind.DEPTH:
                self.send(ask.Answer(step.id, need.key, 0.5, "0.5"))
            case NeedKind.COUNT:
                self.send(ask.Answer(step.id, need.key, 1.0, "1"))
            case NeedKind.WORDS | NeedKind.BURST:
                pass

    # --- heat and cold ---

    def _pass_time(self, seconds: float) -> None:
        """Let a step's time pass; where heat is on the jug stays warm and is read when that is due."""
        ends_s = self.conductor.now_s() + seconds
        while self.conductor.now_s() < ends_s - 1e-6:
            due_s = reading_due_at_s(self.state)
            until_s = ends_s if due_s is None else min(ends_s, due_s - 5.0)
            self.wait(max(1.0, until_s - self.conductor.now_s()))
            if due_s is not None:
                self.read()

    def _warm(self, step: Step) -> None:
        for need in step.needs:
            if need.key == BATH or (need.kind is NeedKind.TICK and step.kind is StepKind.MELT_BATH):
                self.answer(need)
        aim_c = 70.0 if step.aim_c is None else step.aim_c
        while self.jug_c < aim_c:
            due_s = reading_due_at_s(self.state) or self.conductor.now_s() + 60.0
            seconds = max(10.0, min(90.0, due_s - 5.0 - self.conductor.now_s()))
            self.wait(seconds)
            self.jug_c = min(aim_c + 1.0, self.jug_c + seconds * self.warming_k_s)
            self.read()
        if step.needs and not self.state.recorded("reading"):
            self.read()

    def _burst(self, step: Step) -> None:
        aim_c = 70.0 if step.aim_c is None else step.aim_c
        while self.jug_c < aim_c:
            seconds = min(30.0, self.conductor.rules.next_burst_s(self.state))
            self.send(ask.StartBurst(step.id, seconds))
            self.wait(seconds)
            self.send(ask.EndBurst(step.id))
            self.wait(10.0)
            self.send(ask.Stir(step.id))
            self.jug_c += seconds * self.burst_k_s
            self.wait(5.0)
            self.read()

    def _cool(self, step: Step) -> None:
        high_c = 60.0 if step.high_c is None else step.high_c
        while True:
            self.wait(60.0)
            self.jug_c -= 60.0 * self.cooling_k_s
            self.read()
            if self.jug_c <= high_c - 1.0:
                return


__all__ = [
    "BEGIN",
    "Maker",
    "MemoryJournal",
    "VirtualClock",
    "begin",
    "sample_catalogue",
    "sample_plan",
    "sample_recipe",
    "sample_rules",
    "sample_steps",
]
