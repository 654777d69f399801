"""Where a session stands: everything a screen or a rule needs, in one frozen value.

A state is only ever made by folding events (`session.evolve`).  Times are
seconds since the session began, on a clock that counts through sleep;
temperatures are °C after the probe's own correction; masses are grams.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import TypeVar

from workbench.core.batch.log import Log
from workbench.core.batch.plan import Plan, PlannedTemperatures
from workbench.core.batch.readings import Reading as Reading
from workbench.core.batch.readings import Readings
from workbench.core.batch.steps import Guard, Need, Step
from workbench.core.catalogue.model import Material
from workbench.core.recipe.model import Heat


class Phase(StrEnum):
    """Of the whole session; `HOLDING` asks for the safe action, `HELD` has it confirmed."""

    NOT_STARTED = "not started"
    RUNNING = "running"
    HOLDING = "holding"
    HELD = "held"
    FINISHED = "finished"
    ENDED_EARLY = "ended early"

    @property
    def over(self) -> bool:
        return self in _OVER

    @property
    def live(self) -> bool:
        return self in _LIVE


# asked some hundred times for every reading
_OVER = (Phase.FINISHED, Phase.ENDED_EARLY)
_LIVE = (Phase.RUNNING, Phase.HOLDING, Phase.HELD)


class StepMark(StrEnum):
    WAITING = "waiting"
    CURRENT = "current"
    DONE = "done"
    LEFT_OUT = "left out"
    REPLACED = "replaced"  # the way of heating changed, or the jug went back to the bath


class BurstPhase(StrEnum):
    """After every burst: a stir, then a reading, then the next may start."""

    READY = "ready"
    RUNNING = "running"
    STIR_DUE = "stir due"
    READING_DUE = "reading due"


class AlarmStatus(StrEnum):
    """After ISA-18.2; an alarm that is not listed in the state is normal."""

    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED = "returned"  # back to normal, and not yet acknowledged

    @property
    def active(self) -> bool:
        return self is not AlarmStatus.RETURNED


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing the maker recorded, other than a temperature, as first recorded."""

    seq: int
    step: str
    need: str  # "" where it answers no need of the step (an addition, a note)
    kind: str  # the event's kind
    at_s: float
    wall: datetime
    value: float | str | bool
    typed: str = ""
    material: str = ""
    mass_g: float | None = None  # of drops: estimated
    lot: str | None = None
    reason: str = ""
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Correction:
    seq: int
    of: int
    at_s: float
    wall: datetime
    value: float | str
    typed: str
    reason: str
    by: str


@dataclass(frozen=True, slots=True)
class Recorded:
    """What a need holds now: the newest value, and whether it was corrected."""

    seq: int
    value: float | str | bool
    at_s: float
    typed: str
    corrected: bool = False


@dataclass(frozen=True, slots=True)
class StepProgress:
    step: Step
    mark: StepMark = StepMark.WAITING
    begun_at_s: float | None = None
    begun_wall: datetime | None = None
    ended_at_s: float | None = None
    ended_wall: datetime | None = None
    held_s: float = 0.0  # holds that are over
    recorded: Mapping[str, Recorded] = field(default_factory=dict)  # by need key
    cautions_read: frozenset[str] = frozenset()  # emptied by a hold
    stirred_at_s: float | None = None
    left_out_because: str = ""


@dataclass(frozen=True, slots=True)
class PastBurst:
    seconds: float
    before_c: float | None
    after_c: float | None = None
    before_seq: int = 0  # of the readings, so that a correction finds its way; 0: none
    after_seq: int = 0


@dataclass(frozen=True, slots=True)
class BurstState:
    phase: BurstPhase = BurstPhase.READY
    planned_s: float = 0.0  # of the burst that runs, or ran last
    started_at_s: float = 0.0
    past: tuple[PastBurst, ...] = ()  # in this step, oldest first
    count: int = 0  # in this step


@dataclass(frozen=True, slots=True)
class HoldInfo:
    step: str
    reason: str
    by: str  # maker, guard, program
    safe_action: str  # what to do to be safe
    asked_at_s: float
    held_at_s: float | None = None  # when the maker confirmed
    guard: Guard | None = None  # the guard that was broken, if one was
    seq: int = 0  # of the event that asked for it, or that took the session up again since


@dataclass(frozen=True, slots=True)
class AlarmState:
    key: str
    status: AlarmStatus
    step: str
    raised_at_s: float
    value: float | None = None
    limit: float | None = None
    acknowledged_at_s: float | None = None
    returned_at_s: float | None = None


@dataclass(frozen=True, slots=True)
class AlarmPast:
    """One line for the record: an alarm was raised, acknowledged or returned."""

    key: str
    what: str  # raised, acknowledged, returned
    step: str
    at_s: float
    wall: datetime
    value: float | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class Aside:
    """A guard that was set aside, with its reason."""

    seq: int
    guard: Guard
    step: str
    reason: str
    stated: tuple[str, ...]
    at_s: float
    wall: datetime


@dataclass(frozen=True, slots=True)
class HoldPast:
    step: str
    reason: str
    by: str
    asked_at_s: float
    held_at_s: float | None = None
    went_on_at_s: float | None = None


@dataclass(frozen=True, slots=True)
class ClockNote:
    """A sleep, a jump of the wall clock, a stall, or a gap while the program was not running."""

    what: str
    seconds: float
    step: str
    at_s: float
    wall: datetime


@dataclass(frozen=True, slots=True)
class PouredTin:
    seq: int
    number: int
    tin: str
    mass_g: float
    at_s: float
    step: str


@dataclass(frozen=True, slots=True)
class Leftover:
    lot: str
    mass_g: float
    material: Material
    at_s: float


@dataclass(frozen=True, slots=True)
class ClockAnchor:
    """Where at_s = 0 lies on the running clock of one boot of the computer."""

    running_s: float
    boot: str


@dataclass(frozen=True, slots=True)
class SessionState:
    """Empty before `SessionStarted`; `plan` is None only then."""

    phase: Phase = Phase.NOT_STARTED
    seq: int = 0  # of the newest event
    at_s: float = 0.0  # of the newest event
    wall: datetime | None = None
    plan: Plan | None = None
    recipe_name: str = ""
    revision: int = 0
    maker: str = ""
    batch_code: str = ""
    rehearsal: bool = False
    seed: int | None = None
    started_wall: datetime | None = None
    ended_wall: datetime | None = None
    ended_because: str = ""
    ended_safe: bool | None = None
    heat: Heat = Heat.WATER_BATH
    steps: tuple[StepProgress, ...] = ()  # done, replaced, current and waiting, in order
    index: int = -1  # of the current step in `steps`; stays at the last one when over
    temperatures: PlannedTemperatures = field(
        default_factory=PlannedTemperatures
    )  # by what is in the jug now
    targets_g: Mapping[str, float] = field(default_factory=dict)  # need key -> g, where a slip changed it
    readings: Log[Reading] = field(default_factory=Readings)
    entries: Log[Entry] = field(default_factory=Log)
    corrections: Mapping[int, tuple[Correction, ...]] = field(default_factory=dict)  # by seq of the original
    scented: bool = False  # from the first drop on
    scented_at_s: float | None = None
    burst: BurstState = field(default_factory=BurstState)
    bath_checked_at_s: float | None = None
    set_point_seen_c: float | None = None  # observed by the maker in this batch; wins over the computed one
    added: tuple[int, ...] = ()  # seq of every addition beyond the plan
    hold: HoldInfo | None = None
    holds: Log[HoldPast] = field(default_factory=Log)
    alarms: Mapping[str, AlarmState] = field(default_factory=dict)  # first raised first
    alarm_history: Log[AlarmPast] = field(default_factory=Log)
    asides: tuple[Aside, ...] = ()
    clock_notes: Log[ClockNote] = field(default_factory=Log)
    poured: Mapping[int, PouredTin] = field(default_factory=dict)  # newest per tin, topping up added in
    leftovers: tuple[Leftover, ...] = ()
    anchor: ClockAnchor | None = None

    # --- what screens ask most ---

    @property
    def current(self) -> StepProgress | None:
        """The step in hand; None before the start and after the end."""
        return self.steps[self.index] if self.phase.live and 0 <= self.index < len(self.steps) else None

    @property
    def step(self) -> Step | None:
        current = self.current
        return None if current is None else current.step

    @property
    def step_id(self) -> str:
        """Of the current step, or of the last one when the session is over; "" before it starts."""
        return self.steps[self.index].step.id if 0 <= self.index < len(self.steps) else ""

    @property
    def hot(self) -> bool:
        step = self.step
        return step is not None and step.hot

    @property
    def heat_on(self) -> bool:
        """Heat is on by the step, and nobody has confirmed that the jug is off it."""
        step = self.step
        return step is not None and step.heat_on and self.phase in (Phase.RUNNING, Phase.HOLDING)

    @property
    def over_skin_limit(self) -> bool:
        """A skin limit was set aside for this session: every label must say so."""
        return any(aside.guard is Guard.SKIN_LIMITS for aside in self.asides)

    def progress(self, step_id: str) -> StepProgress | None:
        return next((each for each in self.steps if each.step.id == step_id), None)

    def need(self, key: str) -> Need | None:
        """A need of the current step, with the target as it stands now."""
        if self.step is None:
            return None
        for need in self.step.needs:
            if need.key == key:
                return self.with_target(need)
        return None

    def with_target(self, need: Need) -> Need:
        """The need with target and tolerance moved, where a slip changed the amounts."""
        target = self.targets_g.get(need.key)
        if target is None or need.target is None:
            return need
        shift = target - need.target
        return need.model_copy(
            update={
                "target": target,
                "low": None if need.low is None else need.low + shift,
                "high": None if need.high is None else need.high + shift,
            }
        )

    def recorded(self, key: str) -> Recorded | None:
        current = self.current
        return None if current is None else current.recorded.get(key)

    # --- readings ---

    @property
    def last_reading(self) -> Reading | None:
        return self.readings[-1] if self.readings else None

    def celsius_of(self, reading: Reading) -> float:
        """°C of a reading with its newest correction applied."""
        corrected = self.corrections.get(reading.seq)
        if not corrected:
            return reading.celsius
        raw_c = float(corrected[-1].value)
        return raw_c if self.plan is None else self.plan.probe_slope * raw_c + self.plan.probe_offset_k

    @property
    def last_c(self) -> float | None:
        last = self.last_reading
        return None if last is None else self.celsius_of(last)

    def age_s(self, now_s: float) -> float | None:
        """How old the last reading is, in seconds; None without a reading."""
        return None if self.last_reading is None else max(0.0, now_s - self.last_reading.at_s)

    def entry(self, seq: int) -> Entry | Reading | None:
        """What was recorded under one sequence number, as first recorded."""
        return _find(self.entries, seq) or _find(self.readings, seq)

    # --- time ---

    def step_elapsed_s(self, now_s: float) -> float:
        """Seconds since the current step began, holds included; 0 where there is none."""
        current = self.current
        return 0.0 if current is None or current.begun_at_s is None else max(0.0, now_s - current.begun_at_s)

    def step_held_s(self, now_s: float) -> float:
        """Seconds of the current step spent on hold."""
        current = self.current
        if current is None:
            return 0.0
        running = max(0.0, now_s - self.hold.asked_at_s) if self.hold is not None else 0.0
        return current.held_s + running


_Item = TypeVar("_Item", Entry, Reading)


def _find(log: Log[_Item], seq: int) -> _Item | None:
    place = bisect_left(log, seq, key=lambda item: item.seq)
    return log[place] if place < len(log) and log[place].seq == seq else None
