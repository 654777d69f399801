"""Events about the course of a session: steps, holds, alarms, clocks."""

from __future__ import annotations

from dataclasses import replace

from pydantic import ValidationError

from workbench.core.batch import events as told
from workbench.core.batch.evolve_tools import set_step, step_rows
from workbench.core.batch.plan import Plan
from workbench.core.batch.rewording import reworded
from workbench.core.batch.state import (
    AlarmPast,
    AlarmState,
    BurstState,
    ClockAnchor,
    ClockNote,
    HoldInfo,
    HoldPast,
    SessionState,
    StepMark,
    StepProgress,
)
from workbench.core.batch.steps import BY_HAND
from workbench.core.batch.transitions import (
    alarm_after,
    step_after,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import say


def after_started(state: SessionState, seq: int, event: told.SessionStarted) -> SessionState:
    try:
        plan = Plan.model_validate(event.plan)
    except ValidationError as error:
        raise Trouble(
            say("The plan kept with this batch cannot be read; its record starts with an unsound entry.")
        ) from error
    return replace(
        state,
        plan=plan,
        recipe_name=event.recipe_name,
        revision=event.recipe_revision,
        maker=event.maker,
        batch_code=event.batch_code,
        rehearsal=event.rehearsal,
        seed=event.seed,
        started_wall=event.wall,
        heat=plan.heat,
        steps=tuple(StepProgress(step) for step in plan.steps),
        temperatures=plan.temperatures,
        anchor=_anchor(event),
    )


def _anchor(event: told.SessionStarted | told.TakenUp) -> ClockAnchor | None:
    return None if event.running_s is None else ClockAnchor(event.running_s - event.at_s, event.boot)


def after_begun(state: SessionState, seq: int, event: told.StepBegun) -> SessionState:
    index = next(
        (
            place
            for place, each in enumerate(state.steps)
            if each.step.id == event.step and each.begun_at_s is None
        ),
        None,
    )
    if index is None or (state.current is not None and state.current.mark is StepMark.CURRENT):
        raise Trouble(
            say("The record of this batch begins a step “{step}” that cannot begin.", step=event.step)
        )
    mark = step_after(state.steps[index].mark, event.kind)
    begun = set_step(state, index, mark=mark, begun_at_s=event.at_s, begun_wall=event.wall)
    return replace(begun, index=index, burst=BurstState())


def after_ended(state: SessionState, seq: int, event: told.StepDone | told.StepLeftOut) -> SessionState:
    index = _current_index(state, event.step)
    return set_step(
        state,
        index,
        mark=step_after(state.steps[index].mark, event.kind),
        ended_at_s=event.at_s,
        ended_wall=event.wall,
        left_out_because=event.reason if isinstance(event, told.StepLeftOut) else "",
    )


def _current_index(state: SessionState, step: str) -> int:
    if not 0 <= state.index < len(state.steps) or state.steps[state.index].step.id != step:
        raise Trouble(say("The record of this batch ends a step “{step}” that is not in hand.", step=step))
    return state.index


def _replaced(state: SessionState, event: told.HeatChanged | told.BackToBath) -> SessionState:
    index = _current_index(state, event.step)
    ended = set_step(
        state,
        index,
        mark=step_after(state.steps[index].mark, event.kind),
        ended_at_s=event.at_s,
        ended_wall=event.wall,
    )
    steps = (*ended.steps[: index + 1], *step_rows(event.steps))
    begun = replace(ended, steps=steps, burst=BurstState())
    return reworded(begun) if state.targets_g else begun  # the steps come as they were planned


def after_heat_changed(state: SessionState, seq: int, event: told.HeatChanged) -> SessionState:
    return replace(_replaced(state, event), heat=event.heat)


def after_back(state: SessionState, seq: int, event: told.BackToBath) -> SessionState:
    return _replaced(state, event)


def after_finished(state: SessionState, seq: int, event: told.Finished) -> SessionState:
    return replace(state, ended_wall=event.wall, alarms={})


def after_ended_early(state: SessionState, seq: int, event: told.EndedEarly) -> SessionState:
    closed = _hold_over(state, event.at_s) if state.hold is not None else state
    return replace(
        closed, ended_wall=event.wall, ended_because=event.reason, ended_safe=event.safe, alarms={}
    )


def after_hold_asked(state: SessionState, seq: int, event: told.HoldAsked) -> SessionState:
    held = set_step(state, state.index, cautions_read=frozenset())
    return replace(
        held,
        hold=HoldInfo(
            event.step, event.reason, event.by, event.safe_action, event.at_s, guard=event.guard, seq=seq
        ),
    )


def after_held(state: SessionState, seq: int, event: told.HeldSafe) -> SessionState:
    return replace(state, hold=None if state.hold is None else replace(state.hold, held_at_s=event.at_s))


def after_went_on(state: SessionState, seq: int, event: told.WentOn) -> SessionState:
    return _hold_over(state, event.at_s)


def _hold_over(state: SessionState, at_s: float) -> SessionState:
    hold = state.hold
    if hold is None:
        return state
    past = HoldPast(hold.step, hold.reason, hold.by, hold.asked_at_s, hold.held_at_s, at_s)
    held_s = state.steps[state.index].held_s + at_s - hold.asked_at_s
    return replace(set_step(state, state.index, held_s=held_s), hold=None, holds=state.holds.plus(past))


def after_alarm(
    state: SessionState,
    seq: int,
    event: told.AlarmRaised | told.AlarmAcknowledged | told.AlarmReturned,
) -> SessionState:
    known = state.alarms.get(event.alarm)
    status = alarm_after(None if known is None else known.status, event.kind)
    value = None if isinstance(event, told.AlarmAcknowledged) else event.value
    limit = event.limit if isinstance(event, told.AlarmRaised) else None
    past = AlarmPast(
        event.alarm, event.kind.removeprefix("alarm "), event.step, event.at_s, event.wall, value, limit
    )
    alarms = {key: each for key, each in state.alarms.items() if key != event.alarm}
    if status is not None:
        if isinstance(event, told.AlarmRaised) or known is None:
            now = AlarmState(event.alarm, status, event.step, event.at_s, value, limit)
        elif isinstance(event, told.AlarmAcknowledged):
            now = replace(known, status=status, acknowledged_at_s=event.at_s)
        else:
            now = replace(known, status=status, returned_at_s=event.at_s)
        alarms = {**state.alarms, event.alarm: now} if known is not None else {**alarms, event.alarm: now}
    return replace(state, alarms=alarms, alarm_history=state.alarm_history.plus(past))


def after_clock(state: SessionState, seq: int, event: told.ClockNoticed) -> SessionState:
    note = ClockNote(event.what, event.seconds, event.step, event.at_s, event.wall)
    noted = replace(state, clock_notes=state.clock_notes.plus(note))
    return _not_stirred(noted, event.seconds) if event.what == "slept" else noted


def _not_stirred(state: SessionState, away_s: float) -> SessionState:
    """What the maker does with a hand counts as done only while somebody looked; a hold counts for itself."""
    current = state.current
    if current is None or state.hold is not None or current.step.kind not in BY_HAND:
        return state
    return set_step(state, state.index, held_s=current.held_s + max(0.0, away_s))


def after_taken_up(state: SessionState, seq: int, event: told.TakenUp) -> SessionState:
    note = ClockNote(f"taken up by {event.basis}", event.gap_s, event.step, event.at_s, event.wall)
    return replace(
        _not_stirred(state, event.gap_s),
        clock_notes=state.clock_notes.plus(note),
        anchor=_anchor(event) or state.anchor,
        # what was read before it does not let a held step go on: no clock is sure how long ago that was
        hold=None if state.hold is None else replace(state.hold, seq=seq),
    )
