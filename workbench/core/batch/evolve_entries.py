"""Events about what the maker records, and corrections of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from workbench.core.batch import events as told
from workbench.core.batch.evolve_tools import keep, set_step, step_rows, with_seen
from workbench.core.batch.guards import BATH, BATH_DRY, FRAGRANCE_IN
from workbench.core.batch.made import mass_of
from workbench.core.batch.plan import PlannedTemperatures
from workbench.core.batch.rewording import reworded
from workbench.core.batch.state import (
    Aside,
    BurstPhase,
    Correction,
    Entry,
    Leftover,
    PastBurst,
    PouredTin,
    Reading,
    Recorded,
    SessionState,
    StepProgress,
)
from workbench.core.batch.steps import NeedKind, Step, StepKind
from workbench.core.catalogue.model import Material
from workbench.core.trouble import Trouble
from workbench.core.wording import say

_KEEP_BURSTS = 60  # more than any melt takes; the record has them all


def after_temperature(state: SessionState, seq: int, event: told.TemperatureRead) -> SessionState:
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
    changes: dict[str, Any] = {"readings": state.readings.plus(reading)}
    if state.burst.phase in (BurstPhase.STIR_DUE, BurstPhase.READING_DUE) and state.burst.past:
        *before, last = state.burst.past
        changes["burst"] = replace(
            state.burst, past=(*before, replace(last, after_c=event.celsius, after_seq=seq))
        )
    current = state.current
    if current is not None:
        of_step: dict[str, Any] = {"stirred_at_s": event.at_s} if event.stirred else {}
        key = next((need.key for need in current.step.needs if need.kind is NeedKind.TEMPERATURE), "")
        if key:
            recorded = Recorded(seq, event.celsius, event.at_s, event.typed)
            of_step["recorded"] = {**current.recorded, key: recorded}
        steps = list(state.steps)
        steps[state.index] = replace(current, **of_step)
        changes["steps"] = tuple(steps)
    return replace(state, **changes)  # once: of all events this is the one that comes every second


def after_weighed(state: SessionState, seq: int, event: told.MassWeighed) -> SessionState:
    return keep(
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


def after_counted(state: SessionState, seq: int, event: told.DropsCounted) -> SessionState:
    return keep(
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


def after_answered(state: SessionState, seq: int, event: told.AnswerGiven) -> SessionState:
    kept = keep(
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


def after_burst_started(state: SessionState, seq: int, event: told.BurstStarted) -> SessionState:
    return replace(state, burst=replace(state.burst, planned_s=event.seconds, started_at_s=event.at_s))


def after_burst_ended(state: SessionState, seq: int, event: told.BurstEnded) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, event.seconds)
    read = state.last_reading
    burst = PastBurst(event.seconds, state.last_c, before_seq=0 if read is None else read.seq)
    past = (*state.burst.past, burst)[-_KEEP_BURSTS:]
    return replace(
        state,
        entries=state.entries.plus(entry),
        burst=replace(state.burst, past=past, count=state.burst.count + 1),
    )


def after_stirred(state: SessionState, seq: int, event: told.Stirred) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, True)
    kept = replace(state, entries=state.entries.plus(entry))
    return set_step(kept, kept.index, stirred_at_s=event.at_s)


def after_added(state: SessionState, seq: int, event: told.Added) -> SessionState:
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
        kept = set_step(kept, kept.index, recorded=still)
    material = None if state.plan is None else state.plan.materials.get(event.material)
    if material is not None and material.kind.is_scent and not state.scented:
        kept = replace(kept, scented=True, scented_at_s=event.at_s)
    return kept


def _of_spoon(step: Step, key: str) -> bool:
    return any(need.key == key and need.kind is NeedKind.CHOICE and need.key != BATH for need in step.needs)


def after_amounts(state: SessionState, seq: int, event: told.AmountsChanged) -> SessionState:
    changed = replace(state, targets_g={**state.targets_g, **event.targets_g})
    place = state.index + 1
    steps = (*changed.steps[:place], *step_rows(event.steps), *changed.steps[place:])
    return reworded(replace(changed, steps=steps))


def after_reckoned(state: SessionState, seq: int, event: told.TemperaturesReckoned) -> SessionState:
    try:
        temperatures = PlannedTemperatures.model_validate(event.temperatures)
    except ValidationError as error:
        raise Trouble(say("The record of this batch holds temperatures that cannot be read.")) from error
    return with_seen(replace(state, temperatures=temperatures))


def after_poured(state: SessionState, seq: int, event: told.TinPoured) -> SessionState:
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
    return replace(keep(state, entry), poured={**state.poured, event.number: tin})


def after_set_point(state: SessionState, seq: int, event: told.SetPointSeen) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, event.celsius, event.typed)
    return with_seen(replace(state, entries=state.entries.plus(entry), set_point_seen_c=event.celsius))


def after_noted(state: SessionState, seq: int, event: told.Noted) -> SessionState:
    entry = Entry(seq, event.step, "", event.kind, event.at_s, event.wall, event.words, event.words)
    return replace(state, entries=state.entries.plus(entry))


def after_leftover(state: SessionState, seq: int, event: told.LeftoverKept) -> SessionState:
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


def after_caution(state: SessionState, seq: int, event: told.CautionRead) -> SessionState:
    read = state.steps[state.index].cautions_read | {event.caution}
    return set_step(state, state.index, cautions_read=read)


def after_aside(state: SessionState, seq: int, event: told.GuardSetAside) -> SessionState:
    aside = Aside(seq, event.guard, event.step, event.reason, event.stated, event.at_s, event.wall)
    return replace(state, asides=(*state.asides, aside))


def after_corrected(state: SessionState, seq: int, event: told.Corrected) -> SessionState:
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
        return _bursts_corrected(corrected, event.of, corrected.celsius_of(original))
    if isinstance(event.value, float | int):
        corrected = _number_corrected(corrected, original, float(event.value))
    return corrected


def _bursts_corrected(state: SessionState, of: int, is_c: float) -> SessionState:
    """The pairs around the bursts hold the reading too; the next burst must not go by the slip."""
    past = tuple(
        replace(
            each,
            before_c=is_c if each.before_seq == of else each.before_c,
            after_c=is_c if each.after_seq == of else each.after_c,
        )
        for each in state.burst.past
    )
    return state if past == state.burst.past else replace(state, burst=replace(state.burst, past=past))


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
        later = any(each.kind == original.kind and each.seq > original.seq for each in state.entries)
        return state if later else with_seen(replace(state, set_point_seen_c=value))
    if original.kind == "leftover kept":
        return replace(
            state,
            leftovers=tuple(
                replace(each, mass_g=value) if each.lot == original.lot else each for each in state.leftovers
            ),
        )
    return state
