"""What each alarm looks at, and which alarms a moment raises or returns.

Readings are single decisions of the maker, so an alarm on a reading has no
delay unless its row gives one; delays count from the first of the readings
that agree.  Alarms on time need no delay: their limit is one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from workbench.core.batch.alarms import AlarmDefinition, Watched
from workbench.core.batch.guards import (
    in_a_bath,
    latest_rate_k_s,
    reading_due_at_s,
)
from workbench.core.batch.limits import ceiling, hard_ceiling, is_aside
from workbench.core.batch.state import AlarmStatus, BurstPhase, SessionState
from workbench.core.batch.steps import Guard, Step, StepKind

LOOK_BACK = 50  # readings, for delays
_BEFORE_FRAGRANCE = (StepKind.COOL, StepKind.FLAME_OUT, StepKind.ADD_FRAGRANCE)


@dataclass(frozen=True, slots=True)
class Measured:
    """The watched value beside its limit; `over` and `clear` leave the deadband between them."""

    value: float
    limit: float
    over: bool
    clear: bool


@dataclass(frozen=True, slots=True)
class Change:
    alarm: str
    raised: bool  # False: returned
    value: float | None = None
    limit: float | None = None


def changes(state: SessionState, now_s: float, definitions: Sequence[AlarmDefinition]) -> tuple[Change, ...]:
    """Which alarms are to be raised and which have returned, at `now_s` in session seconds."""
    found: list[Change] = []
    for row in definitions:
        known = state.alarms.get(row.key)
        measured = _MEASURES[row.watches](state, now_s, row) if armed(state, row) else None
        if measured is not None and measured.over and _long_enough(state, now_s, row, over=True):
            ignored = (
                known is not None
                and known.status is AlarmStatus.ACKNOWLEDGED
                and row.again_after_s is not None
                and now_s - (known.acknowledged_at_s or 0.0) >= row.again_after_s
            )
            if known is None or known.status is AlarmStatus.RETURNED or ignored:
                found.append(Change(row.key, True, measured.value, measured.limit))
        elif (
            known is not None
            and known.status.active
            and (measured is None or (measured.clear and _long_enough(state, now_s, row, over=False)))
        ):
            found.append(Change(row.key, False, None if measured is None else measured.value))
    return tuple(found)


def armed(state: SessionState, row: AlarmDefinition) -> bool:
    """Whether every condition of the row holds in the current step."""
    step = state.step
    return step is not None and all(_CONDITIONS[word](state, step) for word in row.armed)


_CONDITIONS: Mapping[str, Callable[[SessionState, Step], bool]] = {
    "hot": lambda state, step: step.hot,
    "heat on": lambda state, step: state.heat_on,
    "bath": lambda state, step: in_a_bath(state),
    "bursts": lambda state, step: state.burst.phase is BurstPhase.RUNNING,
    "scented": lambda state, step: state.scented,
    "unscented": lambda state, step: not state.scented,
    "before fragrance": lambda state, step: (
        _has_fragrance(state) and not state.scented and step.kind in _BEFORE_FRAGRANCE
    ),
    "before pouring, plain": lambda state, step: not _has_fragrance(state) and step.kind is StepKind.COOL,
    "pouring": lambda state, step: step.kind is StepKind.POUR,
}


def _has_fragrance(state: SessionState) -> bool:
    """Whether fragrance goes into this batch at all."""
    return state.plan is not None and any(line.where == "scent" for line in state.plan.lines)


def _long_enough(state: SessionState, now_s: float, row: AlarmDefinition, *, over: bool) -> bool:
    delay_s = row.on_delay_s if over else row.off_delay_s
    if delay_s <= 0 or row.watches not in _ON_READINGS:
        return True
    test = _ON_READINGS[row.watches]
    since_s = now_s
    for reading in reversed(state.readings[-LOOK_BACK:]):
        if test(state, state.celsius_of(reading), row) is not over:
            break
        since_s = reading.at_s
    return now_s - since_s >= delay_s


# --- alarms on the last reading ---


def _over_hard(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    return _above(state, hard_ceiling(state).celsius + row.limit, row.deadband)


def _over_melt(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    limit = ceiling(state)
    if limit.guard is not Guard.MELT_CEILING:
        return None
    celsius, hard_c = state.last_c, hard_ceiling(state).celsius
    if celsius is not None and celsius >= hard_c:  # one cause, one alarm: the graver one speaks
        return Measured(celsius, limit.celsius, False, False)
    return _above(state, limit.celsius + row.limit, row.deadband)


def _above(state: SessionState, limit_c: float, deadband_k: float) -> Measured | None:
    celsius = state.last_c
    if celsius is None:
        return None
    return Measured(celsius, limit_c, celsius >= limit_c, celsius < limit_c - deadband_k)


def _under_floor(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    floor_c, celsius = state.temperatures.pour_floor_c, state.last_c
    if floor_c is None or celsius is None or is_aside(state, Guard.POUR_FLOOR):
        return None
    limit_c = floor_c + row.limit
    return Measured(celsius, limit_c, celsius < limit_c, celsius >= limit_c + row.deadband)


# --- alarms ahead ---


def _ceiling_ahead(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    rate, celsius = latest_rate_k_s(state), state.last_c
    if rate is None or celsius is None:
        return None
    limit_c = ceiling(state).celsius
    if rate <= 0 or celsius >= limit_c:  # over it already: the alarm on the reading speaks
        return Measured(0.0, row.limit, False, True)
    left_s = max(0.0, (limit_c - celsius) / rate - _warming_since_s(state, now_s))
    return Measured(left_s, row.limit, left_s <= row.limit, left_s > row.limit + row.deadband)


def _warming_since_s(state: SessionState, now_s: float) -> float:
    """Seconds that the jug went on warming since it was read last; none off the heat."""
    last = state.last_reading
    if last is None or not state.heat_on:
        return 0.0
    went_on_s = state.holds[-1].went_on_at_s if state.holds else None
    return max(0.0, now_s - max(last.at_s, went_on_s or 0.0))


def _window_closing(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    rate, celsius, age_s = latest_rate_k_s(state), state.last_c, state.age_s(now_s)
    floor_c = state.temperatures.pour_floor_c
    if rate is None or celsius is None or age_s is None or floor_c is None:
        return None
    if rate >= 0:
        return Measured(0.0, row.limit, False, True)
    left_s = (celsius - floor_c) / -rate - age_s
    return Measured(left_s, row.limit, left_s <= row.limit, left_s > row.limit + row.deadband)


# --- alarms on time ---


def _overdue(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    due_s = reading_due_at_s(state)
    if due_s is None:
        return None
    late_s = max(0.0, now_s - due_s)
    return Measured(late_s, row.limit, late_s > row.limit, late_s <= 0)


def _burst_over(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    late_s = now_s - state.burst.started_at_s - state.burst.planned_s
    return Measured(late_s, row.limit, late_s >= row.limit, late_s < row.limit)


def _bath_unchecked(state: SessionState, now_s: float, row: AlarmDefinition) -> Measured | None:
    current = state.current
    if current is None or current.begun_at_s is None:
        return None
    since_s = now_s - max(current.begun_at_s, state.bath_checked_at_s or 0.0)
    return Measured(since_s, row.limit, since_s >= row.limit, since_s < row.limit)


_Measure = Callable[[SessionState, float, AlarmDefinition], Measured | None]

_MEASURES: Mapping[Watched, _Measure] = {
    Watched.OVER_HARD_CEILING: _over_hard,
    Watched.OVER_MELT_CEILING: _over_melt,
    Watched.CEILING_AHEAD: _ceiling_ahead,
    Watched.READING_OVERDUE: _overdue,
    Watched.BURST_OVER: _burst_over,
    Watched.UNDER_POUR_FLOOR: _under_floor,
    Watched.WINDOW_CLOSING: _window_closing,
    Watched.BATH_UNCHECKED: _bath_unchecked,
}

_ON_READINGS: Mapping[Watched, Callable[[SessionState, float, AlarmDefinition], bool]] = {
    Watched.OVER_HARD_CEILING: lambda state, c, row: c >= hard_ceiling(state).celsius + row.limit,
    Watched.OVER_MELT_CEILING: lambda state, c, row: c >= ceiling(state).celsius + row.limit,
    Watched.UNDER_POUR_FLOOR: lambda state, c, row: (
        c
        < (state.temperatures.pour_floor_c if state.temperatures.pour_floor_c is not None else -1e3)
        + row.limit
    ),
}
