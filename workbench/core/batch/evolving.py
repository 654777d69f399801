"""What one event does to the state of a session."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from workbench.core.batch import events as told
from workbench.core.batch import evolve_course, evolve_entries
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.state import (
    SessionState,
)
from workbench.core.batch.transitions import (
    STIRRED_READING,
    burst_after,
    session_after,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import say


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
    moved = EVOLVERS[type(event)](state, seq, event)
    burst = burst_after(
        moved.burst.phase,
        STIRRED_READING if isinstance(event, told.TemperatureRead) and event.stirred else event.kind,
    )
    if burst is not moved.burst.phase:
        moved = replace(moved, burst=replace(moved.burst, phase=burst))
    return replace(moved, phase=phase, seq=seq, at_s=event.at_s, wall=event.wall)


EVOLVERS: Mapping[type[AnyEvent], Callable[[SessionState, int, Any], SessionState]] = {
    told.SessionStarted: evolve_course.after_started,
    told.StepBegun: evolve_course.after_begun,
    told.StepDone: evolve_course.after_ended,
    told.StepLeftOut: evolve_course.after_ended,
    told.CautionRead: evolve_entries.after_caution,
    told.MassWeighed: evolve_entries.after_weighed,
    told.DropsCounted: evolve_entries.after_counted,
    told.TemperatureRead: evolve_entries.after_temperature,
    told.AnswerGiven: evolve_entries.after_answered,
    told.BurstStarted: evolve_entries.after_burst_started,
    told.BurstEnded: evolve_entries.after_burst_ended,
    told.Stirred: evolve_entries.after_stirred,
    told.Added: evolve_entries.after_added,
    told.AmountsChanged: evolve_entries.after_amounts,
    told.TemperaturesReckoned: evolve_entries.after_reckoned,
    told.TinPoured: evolve_entries.after_poured,
    told.HeatChanged: evolve_course.after_heat_changed,
    told.BackToBath: evolve_course.after_back,
    told.HoldAsked: evolve_course.after_hold_asked,
    told.HeldSafe: evolve_course.after_held,
    told.WentOn: evolve_course.after_went_on,
    told.GuardSetAside: evolve_entries.after_aside,
    told.AlarmRaised: evolve_course.after_alarm,
    told.AlarmAcknowledged: evolve_course.after_alarm,
    told.AlarmReturned: evolve_course.after_alarm,
    told.SetPointSeen: evolve_entries.after_set_point,
    told.Noted: evolve_entries.after_noted,
    told.Corrected: evolve_entries.after_corrected,
    told.ClockNoticed: evolve_course.after_clock,
    told.TakenUp: evolve_course.after_taken_up,
    told.LeftoverKept: evolve_entries.after_leftover,
    told.Finished: evolve_course.after_finished,
    told.EndedEarly: evolve_course.after_ended_early,
}
