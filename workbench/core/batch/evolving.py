"""What one event does to the state of a session; one small function per kind of event."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from workbench.core.batch import events as told
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.guards import BATH, BATH_DRY, FRAGRANCE_IN
from workbench.core.batch.made import mass_of
from workbench.core.batch.plan import Plan, PlannedTemperatures
from workbench.core.batch.state import (
    AlarmPast,
    AlarmState,
    Aside,
    BurstPhase,
    BurstState,
    ClockAnchor,
    ClockNote,
    Correction,
    Entry,
    HoldInfo,
    HoldPast,
    Leftover,
    PastBurst,
    PouredTin,
    Reading,
    Recorded,
    SessionState,
    StepMark,
    StepProgress,
)
from workbench.core.batch.steps import NeedKind, Step, StepKind
from workbench.core.batch.transitions import (
    STIRRED_READING,
    alarm_after,
    burst_after,
    session_after,
    step_after,
)
from workbench.core.catalogue.model import Material
from workbench.core.trouble import Trouble
from workbench.core.wording import say

POUR_FLOOR_OVER_SET_K = 3.0
_KEEP_BURSTS = 4  # enough for the next length; the record has them all


def evolve(state: SessionState, seq: int, event: AnyEvent) -> SessionState:
    """The state after event number `seq`; raises `Trouble` where it cannot follow.

    Costs the same however many readings the session has.
    """
    if seq != state.seq + 1:
        raise Trouble(
            say("The record of this batch has a gap: entry {seq} follows {last}.", seq=seq, last=state.seq)
        )
    if event.at_s < state.at_s:
        raise Trouble(
            say("The record of this batch is not sound: entry {seq} is older than the one before.", seq=seq)
        )
    phase = session_after(state.phase, event.kind)
    moved = _EVOLVERS[type(event)](state, seq, event)
    burst = burst_after(
        moved.burst.phase,
        STIRRED_READING if isinstance(event, told.TemperatureRead) and event.stirred else event.kind,
    )
    if burst is not moved.burst.phase:
        moved = replace(moved, burst=replace(moved.burst, phase=burst))
    return replace(moved, phase=phase, seq=seq, at_s=event.at_s, wall=event.wall)


# --- small tools ---


def _set_step(state: SessionState, index: int, **changes: Any) -> SessionState:
    steps = list(state.steps)
    steps[index] = replace(steps[index], **changes)
    return replace(state, steps=tuple(steps))


def _record(state: SessionState, need: str, recorded: Recorded) -> SessionState:
    """Put a value where the current step keeps what its need holds; unknown needs are kept too."""
    if not need or not 0 <= state.index < len(state.steps):
        return state
    known = state.steps[state.index].recorded
    return _set_step(state, state.index, recorded={**known, need: recorded})


def _keep(state: SessionState, entry: Entry) -> SessionState:
    kept = replace(state, entries=state.entries.plus(entry))
    return _record(kept, entry.need, Recorded(entry.seq, entry.value, entry.at_s, entry.typed))


def _rows(steps: tuple[dict[str, Any], ...]) -> tuple[StepProgress, ...]:
    return tuple(StepProgress(Step.model_validate(step)) for step in steps)


# --- the course of the session ---


def _started(state: SessionState, seq: int, event: told.SessionStarted) -> SessionState:
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


def _begun(state: SessionState, seq: int, event: told.StepBegun) -> SessionState:
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
    begun = _set_step(state, index, mark=mark, begun_at_s=event.at_s, begun_wall=event.wall)
    return replace(begun, index=index, burst=BurstState())


def _ended(state: SessionState, seq: int, event: told.StepDone | told.StepLeftOut) -> SessionState:
    index = _current_index(state, event.step)
    return _set_step(
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
    ended = _set_step(
        state,
        index,
        mark=step_after(state.steps[index].mark, event.kind),
        ended_at_s=event.at_s,
        ended_wall=event.wall,
    )
    return replace(ended, steps=(*ended.steps[: index + 1], *_rows(event.steps)), burst=BurstState())


def _heat_changed(state: SessionState, seq: int, event: told.HeatChanged) -> SessionState:
    return replace(_replaced(state, event), heat=event.heat)


def _back(state: SessionState, seq: int, event: told.BackToBath) -> SessionState:
    return _replaced(state, event)


def _finished(state: SessionState, seq: int, event: told.Finished) -> SessionState:
    return replace(state, ended_wall=event.wall, alarms={})


def _ended_early(state: SessionState, seq: int, event: told.EndedEarly) -> SessionState:
    closed = _hold_over(state, event.at_s) if state.hold is not None else state
    return replace(
        closed, ended_wall=event.wall, ended_because=event.reason, ended_safe=event.safe, alarms={}
    )


# --- holds ---


def _hold_asked(state: SessionState, seq: int, event: told.HoldAsked) -> SessionState:
    held = _set_step(state, state.index, cautions_read=frozenset())
    return replace(
        held,
        hold=HoldInfo(event.step, event.reason, event.by, event.safe_action, event.at_s, guard=event.guard),
    )


def _held(state: SessionState, seq: int, event: told.HeldSafe) -> SessionState:
    return replace(state, hold=None if state.hold is None else replace(state.hold, held_at_s=event.at_s))


def _went_on(state: SessionState, seq: int, event: told.WentOn) -> SessionState:
    return _hold_over(state, event.at_s)


def _hold_over(state: SessionState, at_s: float) -> SessionState:
    hold = state.hold
    if hold is None:
        return state
    past = HoldPast(hold.step, hold.reason, hold.by, hold.asked_at_s, hold.held_at_s, at_s)
    held_s = state.steps[state.index].held_s + at_s - hold.asked_at_s
    return replace(_set_step(state, state.index, held_s=held_s), hold=None, holds=state.holds.plus(past))


# --- what the maker records ---


def _temperature(state: SessionState, seq: int, event: told.TemperatureRead) -> SessionState:
    reading = Reading(
        seq,
        event.step,
        event.at_s,
        event.wall,
        event.raw_c,
        event.celsius,
        event.typed,
        event.stirred,
        event.sure,
    )
    read = replace(state, readings=state.readings.plus(reading))
    if state.burst.phase in (BurstPhase.STIR_DUE, BurstPhase.READING_DUE) and state.burst.past:
        *before, last = state.burst.past
        read = replace(read, burst=replace(state.burst, past=(*before, replace(last, after_c=event.celsius))))
    if state.step is not None and event.stirred:
        read = _set_step(read, read.index, stirred_at_s=event.at_s)
    needs = () if state.step is None else state.step.needs
    key = next((need.key for need in needs if need.kind is NeedKind.TEMPERATURE), "")
    return _record(read, key, Recorded(seq, event.celsius, event.at_s, event.typed))


def _weighed(state: SessionState, seq: int, event: told.MassWeighed) -> SessionState:
    return _keep(
        state,
        Entry(
            seq,
            event.step,
            event.need,
            event.kind,
            event.at_s,
            event.wall,
            event.mass_g,
            event.typed,
            material=event.material,
            mass_g=event.mass_g,
            lot=event.lot,
            sure=event.sure,
        ),
    )


def _counted(state: SessionState, seq: int, event: told.DropsCounted) -> SessionState:
    return _keep(
        state,
        Entry(
            seq,
            event.step,
            event.need,
            event.kind,
            event.at_s,
            event.wall,
            float(event.count),
            event.typed,
            material=event.material,
            mass_g=event.mass_g,
            lot=event.lot,
        ),
    )


def _answered(state: SessionState, seq: int, event: told.AnswerGiven) -> SessionState:
    kept = _keep(
        state,
        Entry(seq, event.step, event.need, event.kind, event.at_s, event.wall, event.value, event.typed),
    )
    if event.need == BATH and event.value != BATH_DRY:
        kept = replace(kept, bath_checked_at_s=event.at_s)
    step = state.step
    if (
        step is not None
        and step.kind is StepKind.ADD_FRAGRANCE
        and event.need == FRAGRANCE_IN
        and event.value is True
    ):
        kept = replace(kept, scented=True, scented_at_s=state.scented_at_s or event.at_s)
    return kept


def _burst_started(state: SessionState, seq: int, event: told.BurstStarted) -> SessionState:
    return replace(state, burst=replace(state.burst, planned_s=event.seconds, started_at_s=event.at_s))


def _burst_ended(state: SessionState, seq: int, event: told.BurstEnded) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, event.seconds)
    past = (*state.burst.past, PastBurst(event.seconds, state.last_c))[-_KEEP_BURSTS:]
    return replace(
        state,
        entries=state.entries.plus(entry),
        burst=replace(state.burst, past=past, count=state.burst.count + 1),
    )


def _stirred(state: SessionState, seq: int, event: told.Stirred) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, True)
    kept = replace(state, entries=state.entries.plus(entry))
    return _set_step(kept, kept.index, stirred_at_s=event.at_s)


def _added(state: SessionState, seq: int, event: told.Added) -> SessionState:
    entry = Entry(
        seq,
        event.step,
        "",
        event.kind,
        event.at_s,
        event.wall,
        event.mass_g,
        event.typed,
        material=event.material,
        mass_g=event.mass_g,
        lot=event.lot,
        reason=event.reason,
    )
    kept = replace(state, entries=state.entries.plus(entry), added=(*state.added, seq))
    current = state.current
    if current is not None and current.step.kind is StepKind.COLD_SPOON:
        # what the spoon said of the blend before no longer holds
        still = {key: value for key, value in current.recorded.items() if not _of_spoon(current.step, key)}
        kept = _set_step(kept, kept.index, recorded=still)
    material = None if state.plan is None else state.plan.materials.get(event.material)
    if material is not None and material.kind.is_scent and not state.scented:
        kept = replace(kept, scented=True, scented_at_s=event.at_s)
    return kept


def _of_spoon(step: Step, key: str) -> bool:
    return any(need.key == key and need.kind is NeedKind.CHOICE and need.key != BATH for need in step.needs)


def _amounts(state: SessionState, seq: int, event: told.AmountsChanged) -> SessionState:
    changed = replace(state, targets_g={**state.targets_g, **event.targets_g})
    place = state.index + 1
    return replace(changed, steps=(*changed.steps[:place], *_rows(event.steps), *changed.steps[place:]))


def _reckoned(state: SessionState, seq: int, event: told.TemperaturesReckoned) -> SessionState:
    try:
        temperatures = PlannedTemperatures.model_validate(event.temperatures)
    except ValidationError as error:
        raise Trouble(say("The record of this batch holds temperatures that cannot be read.")) from error
    return _with_seen(replace(state, temperatures=temperatures))


def _with_seen(state: SessionState) -> SessionState:
    """What the maker saw wins over what was computed."""
    seen_c = state.set_point_seen_c
    if seen_c is None:
        return state
    floor_c = seen_c + POUR_FLOOR_OVER_SET_K
    add_c = state.temperatures.add_below_c
    return replace(
        state,
        temperatures=state.temperatures.model_copy(
            update={
                "set_point_c": seen_c,
                "set_point_sd_k": 1.0,
                "pour_floor_c": floor_c,
                "window_open": state.temperatures.window_open if add_c is None else floor_c < add_c,
                "how": {**state.temperatures.how, "set_point": "seen in this batch"},
            }
        ),
    )


def _poured(state: SessionState, seq: int, event: told.TinPoured) -> SessionState:
    entry = Entry(
        seq,
        event.step,
        f"tin:{event.number}",
        event.kind,
        event.at_s,
        event.wall,
        event.mass_g,
        event.typed,
        mass_g=event.mass_g,
        material="",
        reason=str(event.number),
    )
    before = state.poured.get(event.number)
    tin = PouredTin(
        seq,
        event.number,
        event.tin,
        event.mass_g + (before.mass_g if before is not None else 0.0),
        event.at_s,
        event.step,
    )
    return replace(_keep(state, entry), poured={**state.poured, event.number: tin})


def _set_point(state: SessionState, seq: int, event: told.SetPointSeen) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, event.celsius, event.typed)
    return _with_seen(replace(state, entries=state.entries.plus(entry), set_point_seen_c=event.celsius))


def _noted(state: SessionState, seq: int, event: told.Noted) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, event.words, event.words)
    return replace(state, entries=state.entries.plus(entry))


def _leftover(state: SessionState, seq: int, event: told.LeftoverKept) -> SessionState:
    try:
        material = Material.model_validate(event.material)
    except ValidationError as error:
        raise Trouble(say("The record of this batch holds a leftover that cannot be read.")) from error
    entry = Entry(
        seq,
        event.step,
        "",
        event.kind,
        event.at_s,
        event.wall,
        event.mass_g,
        material=material.key,
        mass_g=event.mass_g,
        lot=event.lot,
    )
    return replace(
        state,
        entries=state.entries.plus(entry),
        leftovers=(*state.leftovers, Leftover(event.lot, event.mass_g, material, event.at_s)),
    )


def _caution(state: SessionState, seq: int, event: told.CautionRead) -> SessionState:
    read = state.steps[state.index].cautions_read | {event.caution}
    return _set_step(state, state.index, cautions_read=read)


def _aside(state: SessionState, seq: int, event: told.GuardSetAside) -> SessionState:
    aside = Aside(seq, event.guard, event.step, event.reason, event.stated, event.at_s, event.wall)
    return replace(state, asides=(*state.asides, aside))


# --- corrections ---


def _corrected(state: SessionState, seq: int, event: told.Corrected) -> SessionState:
    original = state.entry(event.of)
    if original is None:
        raise Trouble(say("The record of this batch corrects entry {of}, which holds no value.", of=event.of))
    correction = Correction(
        seq, event.of, event.at_s, event.wall, event.value, event.typed, event.reason, event.by
    )
    known = state.corrections.get(event.of, ())
    corrected = replace(state, corrections={**state.corrections, event.of: (*known, correction)})
    value: float | str | bool = event.value
    if isinstance(original, Reading):
        value = corrected.celsius_of(original)
    steps = tuple(_with_correction(each, event, value) for each in corrected.steps)
    corrected = replace(corrected, steps=steps)
    if isinstance(original, Reading):
        return corrected
    if isinstance(event.value, float | int):
        corrected = _number_corrected(corrected, original, float(event.value))
    return corrected


def _with_correction(
    progress: StepProgress, event: told.Corrected, value: float | str | bool
) -> StepProgress:
    for key, recorded in progress.recorded.items():
        if recorded.seq == event.of:
            newest = Recorded(event.of, value, recorded.at_s, event.typed, corrected=True)
            return replace(progress, recorded={**progress.recorded, key: newest})
    return progress


def _number_corrected(state: SessionState, original: Entry, value: float) -> SessionState:
    if original.kind == "tin poured":
        number = int(original.reason)
        total = sum(
            mass_of(state, entry)
            for entry in state.entries
            if entry.kind == "tin poured" and entry.reason == original.reason
        )
        tin = state.poured[number]
        return replace(state, poured={**state.poured, number: replace(tin, mass_g=total)})
    if original.kind == "set point seen":
        return _with_seen(replace(state, set_point_seen_c=value))
    if original.kind == "leftover kept":
        return replace(
            state,
            leftovers=tuple(
                replace(each, mass_g=value) if each.lot == original.lot else each for each in state.leftovers
            ),
        )
    return state


# --- alarms and clocks ---


def _alarm(
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


def _clock(state: SessionState, seq: int, event: told.ClockNoticed) -> SessionState:
    note = ClockNote(event.what, event.seconds, event.step, event.at_s, event.wall)
    return replace(state, clock_notes=state.clock_notes.plus(note))


def _taken_up(state: SessionState, seq: int, event: told.TakenUp) -> SessionState:
    note = ClockNote(f"taken up by {event.basis}", event.gap_s, event.step, event.at_s, event.wall)
    return replace(
        state,
        clock_notes=state.clock_notes.plus(note),
        anchor=_anchor(event) or state.anchor,
    )


_EVOLVERS: Mapping[type[AnyEvent], Callable[[SessionState, int, Any], SessionState]] = {
    told.SessionStarted: _started,
    told.StepBegun: _begun,
    told.StepDone: _ended,
    told.StepLeftOut: _ended,
    told.CautionRead: _caution,
    told.MassWeighed: _weighed,
    told.DropsCounted: _counted,
    told.TemperatureRead: _temperature,
    told.AnswerGiven: _answered,
    told.BurstStarted: _burst_started,
    told.BurstEnded: _burst_ended,
    told.Stirred: _stirred,
    told.Added: _added,
    told.AmountsChanged: _amounts,
    told.TemperaturesReckoned: _reckoned,
    told.TinPoured: _poured,
    told.HeatChanged: _heat_changed,
    told.BackToBath: _back,
    told.HoldAsked: _hold_asked,
    told.HeldSafe: _held,
    told.WentOn: _went_on,
    told.GuardSetAside: _aside,
    told.AlarmRaised: _alarm,
    told.AlarmAcknowledged: _alarm,
    told.AlarmReturned: _alarm,
    told.SetPointSeen: _set_point,
    told.Noted: _noted,
    told.Corrected: _corrected,
    told.ClockNoticed: _clock,
    told.TakenUp: _taken_up,
    told.LeftoverKept: _leftover,
    told.Finished: _finished,
    told.EndedEarly: _ended_early,
}
