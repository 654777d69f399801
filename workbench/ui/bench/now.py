"""What stands on the card now, worked out from the state and the time.  No Qt.

Everything here is a question about a frozen state; nothing is remembered
between two looks, so a tick can never add up wrongly.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from workbench.core.batch import guards
from workbench.core.batch.limits import ceiling
from workbench.core.batch.needs import active_s, timer_left_s, unread_cautions
from workbench.core.batch.state import BurstPhase, Phase, Reading, Recorded, SessionState, StepMark
from workbench.core.batch.steps import Guard, Need, NeedKind, Step, StepKind
from workbench.ui.bench.curve_data import Band, CurveData, Fan, Mark, Tone
from workbench.ui.bench.read_points import ReadPoints
from workbench.ui.bench.temperature_face import TemperatureShown

STIR_S = 20.0  # how long a stir is counted before the reading; common practice, no source
COOLING_FRESH_S = 120.0  # a cooling jug loses a degree or two in that time; then read again
RATE_WINDOW_S = 360.0
RATE_LEAST_S = 15.0

NUMERIC = (NeedKind.MASS, NeedKind.DROPS, NeedKind.TEMPERATURE, NeedKind.COUNT, NeedKind.DEPTH)

MEASURED = (NeedKind.MASS, NeedKind.DROPS, NeedKind.COUNT, NeedKind.DEPTH)

# a held step wants the temperature even where the step itself does not ask for it
HELD_READING = Need(key="reading", kind=NeedKind.TEMPERATURE, label="Temperature", unit="°C", required=False)


class Clockwork(Enum):
    """What the large timer counts."""

    NONE = "none"
    DOWN = "down"
    OVER = "over"  # a countdown that has ended
    UP = "up"
    BURST = "burst"
    STIR = "stir"
    READ = "read"


@dataclass(frozen=True, slots=True)
class TimerShown:
    kind: Clockwork
    seconds: float
    total_s: float = 0.0


@dataclass(frozen=True, slots=True)
class NeedShown:
    need: Need
    recorded: Recorded | None
    number: int  # what is typed for this tick, or for the first answer of this choice; 0: none

    @property
    def open(self) -> bool:
        return self.recorded is None


@dataclass(frozen=True, slots=True)
class Option:
    """Something that is recorded by typing its number: a tick, or one answer of a choice."""

    number: int
    need: str
    value: str | bool
    label: str


def is_dry_bath(state: SessionState, need: Need) -> bool:
    """Whether this is the bath, and it was said to have boiled dry: no hold ends before it is filled again."""
    held = state.recorded(need.key)
    return need.key == guards.BATH and held is not None and held.value == guards.BATH_DRY


def needs_shown(state: SessionState) -> tuple[NeedShown, ...]:
    """All needs of the current step in order; bursts are no field and are left out."""
    step = state.step
    if step is None:
        return ()
    shown: list[NeedShown] = []
    number = 1
    for need in step.needs:
        if need.kind is NeedKind.BURST:
            continue
        takes = {NeedKind.TICK: 1, NeedKind.CHOICE: len(need.choices)}.get(need.kind, 0)
        shown.append(NeedShown(state.with_target(need), state.recorded(need.key), number if takes else 0))
        number += takes
    return tuple(shown)


def options(state: SessionState) -> tuple[Option, ...]:
    """What can be recorded in this step by typing a small number; on hold only that the bath is filled again."""
    found: list[Option] = []
    for each in needs_shown(state):
        if on_hold(state) and not is_dry_bath(state, each.need):
            continue
        if each.need.kind is NeedKind.TICK:
            found.append(Option(each.number, each.need.key, True, each.need.label))
        elif each.need.kind is NeedKind.CHOICE:
            found += [
                Option(each.number + at, each.need.key, choice, choice)
                for at, choice in enumerate(each.need.choices)
            ]
    return tuple(found)


def need_now(state: SessionState, chosen: str | None = None) -> Need | None:
    """The need that the one field stands for.

    What the maker chose; else the temperature, where the step wants one and
    no weight or count is waiting: it can always be read again, and a reading
    is never a number of the list, because no jug in a hot step is that cold.
    Else the first thing that must be recorded and is not; else the first that
    may be.
    """
    shown = needs_shown(state)
    by_key = {each.need.key: each.need for each in shown}
    readings = [each.need for each in shown if each.need.kind is NeedKind.TEMPERATURE]
    if on_hold(state):
        return readings[0] if readings else HELD_READING if state.hot else None
    if chosen in by_key:
        return by_key[chosen]
    open_ones = [each for each in shown if each.need.required and each.open]
    if readings:
        waiting = [each.need for each in open_ones if each.need.kind in MEASURED]
        if waiting and state.recorded(readings[0].key) is not None:
            return waiting[0]
        return readings[0]
    if open_ones:
        return open_ones[0].need
    for each in shown:
        if each.open:
            return each.need
    return shown[-1].need if shown else None


def has_bursts(step: Step | None) -> bool:
    return step is not None and any(need.kind is NeedKind.BURST for need in step.needs)


def can_read_temperature(step: Step | None) -> bool:
    """A reading may be taken in any hot step, asked for or not."""
    return step is not None and (step.hot or any(need.kind is NeedKind.TEMPERATURE for need in step.needs))


def cautions_unread(state: SessionState) -> tuple[str, ...]:
    """Keys of cautions that must be acknowledged before this hot step goes on."""
    return unread_cautions(state)


def timer_shown(state: SessionState, now_s: float) -> TimerShown:
    """The one timer: a burst first, then the step's own, else how long the step has been going."""
    current = state.current
    if current is None or current.begun_at_s is None:
        return TimerShown(Clockwork.NONE, 0.0)
    step, burst = current.step, state.burst
    if has_bursts(step):
        if burst.phase is BurstPhase.RUNNING:
            left = burst.planned_s - (now_s - burst.started_at_s)
            return TimerShown(Clockwork.BURST, left, burst.planned_s)
        if burst.phase is BurstPhase.STIR_DUE:
            ended_s = burst.started_at_s + (burst.past[-1].seconds if burst.past else burst.planned_s)
            return TimerShown(Clockwork.STIR, STIR_S - (now_s - ended_s), STIR_S)
        if burst.phase is BurstPhase.READING_DUE:
            since = current.stirred_at_s if current.stirred_at_s is not None else current.begun_at_s
            return TimerShown(Clockwork.READ, now_s - since)
    left_s = timer_left_s(state, now_s)
    if step.timer_s is None or left_s is None:
        return TimerShown(Clockwork.UP, active_s(state, now_s))
    if left_s > 0:
        return TimerShown(Clockwork.DOWN, left_s, step.timer_s)
    return TimerShown(Clockwork.OVER, -left_s, step.timer_s)


def rate_k_min(state: SessionState) -> float | None:
    """K per minute through the last few readings by least squares; None where there are too few.

    Readings from before the newest hold, heat change or a long silence say
    nothing about the pot now; six minutes back is far enough.
    """
    last = state.last_reading
    if last is None:
        return None
    recent: list[Reading] = []
    for index in range(len(state.readings) - 1, max(-1, len(state.readings) - 6), -1):
        reading = state.readings[index]
        if last.at_s - reading.at_s > RATE_WINDOW_S:
            break
        recent.append(reading)
    recent = recent[:4]
    if len(recent) < 2 or last.at_s - recent[-1].at_s < RATE_LEAST_S:
        return None
    mean_s = sum(reading.at_s for reading in recent) / len(recent)
    mean_c = sum(state.celsius_of(reading) for reading in recent) / len(recent)
    over = sum((reading.at_s - mean_s) * (state.celsius_of(reading) - mean_c) for reading in recent)
    under = sum((reading.at_s - mean_s) ** 2 for reading in recent)
    return 60.0 * over / under if under > 0 else None


def fresh_for_s(state: SessionState) -> float:
    """How long a reading counts as fresh now: by the guards, and never longer than they ask."""
    step = state.step
    if step is None or not step.hot:
        return guards.DUE_AT_MOST_S
    if step.kind is StepKind.ADD_FRAGRANCE:
        return guards.STIRRED_YOUNGER_THAN_S
    if on_hold(state):
        return guards.GO_ON_YOUNGER_THAN_S
    interval = guards.reading_interval_s(state)
    return COOLING_FRESH_S if interval is None else interval


def temperature_shown(state: SessionState, now_s: float) -> TemperatureShown:
    step, last = state.step, state.last_reading
    age_s = state.age_s(now_s)
    stale = age_s is not None and age_s > fresh_for_s(state)
    top = ceiling(state) if state.plan is not None else None
    return TemperatureShown(
        celsius=state.last_c,
        age_s=age_s,
        stale=stale,
        stirred=last.stirred if last is not None else False,
        rate_k_min=None if stale else rate_k_min(state),  # how fast it moved then says nothing of now
        aim_c=step.aim_c if step is not None else None,
        low_c=step.low_c if step is not None else None,
        high_c=step.high_c if step is not None else None,
        danger_c=top.celsius if top is not None else None,
        danger_label=top.guard.value if top is not None else "",
    )


def place_in_steps(state: SessionState) -> tuple[int, int]:
    """(which, of how many), counting neither replaced steps nor those left out."""
    counted = [at for at, each in enumerate(state.steps) if each.mark is not StepMark.REPLACED]
    if state.index not in counted:
        return 0, len(counted)
    return counted.index(state.index) + 1, len(counted)


def next_step(state: SessionState) -> Step | None:
    for each in state.steps[state.index + 1 :]:
        if each.mark is StepMark.WAITING:
            return each.step
    return None


def on_hold(state: SessionState) -> bool:
    return state.phase in (Phase.HOLDING, Phase.HELD)


@dataclass(frozen=True, slots=True)
class BandNames:
    """Words for the curve, given by the widget so that they can be translated."""

    window: str = "window"
    pour_floor: str = "pour floor"
    melt_out: str = "melt-out"
    melt_ceiling: str = "melt ceiling"
    flash_safe: str = "flash-safe"
    scented_ceiling: str = "scented ceiling"
    absolute: str = "never above"
    fragrance: str = "fragrance in"
    off_heat: str = "off the heat"
    pour: str = "pour"


def curve_of(
    state: SessionState, now_s: float, names: BandNames, spoken: str = "", fan: Fan | None = None
) -> CurveData:
    """The curve as it stands: what changed its course is marked in words, guards in force stand as bands."""
    marks: list[Mark] = []
    for kind, label in ((StepKind.COOL, names.off_heat), (StepKind.POUR, names.pour)):
        begun = [each.begun_at_s for each in state.steps if each.step.kind is kind]
        first = next((at_s for at_s in begun if at_s is not None), None)
        if first is not None:
            marks.append(Mark(first, label, rank=1))
    if state.scented_at_s is not None:
        marks.append(Mark(state.scented_at_s, names.fragrance, rank=2))
    return CurveData(ReadPoints(state), bands_of(state, names), tuple(marks), fan, now_s, spoken)


def bands_of(state: SessionState, names: BandNames) -> tuple[Band, ...]:
    """The window, the pour floor and the ceilings that are in force."""
    if state.plan is None:
        return ()
    limits = state.temperatures
    bands: list[Band] = []
    low, high = limits.pour_floor_c, limits.add_below_c
    if low is not None and high is not None and low < high:
        bands.append(Band(names.window, low, high, Tone.WINDOW))
    if low is not None:
        bands.append(Band(names.pour_floor, low, None, Tone.FLOOR))
    if not state.scented and limits.melt_out_c is not None:
        bands.append(Band(names.melt_out, limits.melt_out_c, None, Tone.AIM))
    top = ceiling(state)
    label = {
        Guard.MELT_CEILING: names.melt_ceiling,
        Guard.SCENTED_CEILING: names.scented_ceiling,
    }.get(top.guard, names.absolute)
    bands.append(Band(label, None, top.celsius, Tone.CEILING))
    return tuple(bands)


SOON_S = 120.0  # "opens in two minutes" is said once


def opens_in_s(state: SessionState, now_s: float) -> float | None:
    """Seconds until the jug is cool enough for fragrance, by how fast it has been cooling.

    Only for the look ahead; nothing is ever allowed because of it.  None
    where there is nothing to go by, 0 where the last reading lies below.
    """
    step, last = state.step, state.last_reading
    below_c = state.temperatures.add_below_c
    if step is None or last is None or below_c is None or state.scented:
        return None
    if step.kind not in (StepKind.COOL, StepKind.FLAME_OUT):
        return None
    goal_c = below_c - guards.UNDER_LIMIT_K
    last_c = state.celsius_of(last)
    if last_c <= goal_c:
        return 0.0
    rate = rate_k_min(state)
    if rate is None or rate >= -0.05:
        return None
    return max(0.0, 60.0 * (last_c - goal_c) / -rate - (now_s - last.at_s))
