"""A session is the fold of its events.

`decide(state, command, now)` asks: it gives the events that would happen, or
`Refused` with a sentence, and changes nothing.  `evolve(state, seq, event)`
tells: it gives the state after the event.  Time is an argument.

Whatever is asked, guards and alarms look at what comes of it: a reading over
a ceiling, a reading that is long overdue or a dry bath puts the step on hold,
and alarms are raised and returned.  So every command may bring more events
than it asked for, and `LookAgain` brings only those.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from workbench.core.batch import events as told
from workbench.core.batch.asked import Asked, hold_event, stop_burst
from workbench.core.batch.commands import Command, Moment, Refused
from workbench.core.batch.deciding import DECIDERS
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.evolving import evolve
from workbench.core.batch.guards import breach
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import SessionState
from workbench.core.batch.transitions import by_phase, by_step
from workbench.core.batch.watching import changes
from workbench.core.wording import say

EMPTY = SessionState()
CAUTIOUS = Rules()

__all__ = ["CAUTIOUS", "EMPTY", "Decided", "decide", "decide_on", "evolve", "fold"]


@dataclass(frozen=True, slots=True)
class Decided:
    """What a command leads to, and the session after it."""

    events: tuple[AnyEvent, ...]
    after: SessionState


def decide(
    state: SessionState, command: Command, now: Moment, rules: Rules = CAUTIOUS
) -> tuple[AnyEvent, ...] | Refused:
    """The events a command leads to, or why it is refused; the state is untouched.

    A moment before the newest event counts as the moment of that event: time
    in a record never runs backwards.
    """
    decided = decide_on(state, command, now, rules)
    return decided if isinstance(decided, Refused) else decided.events


def decide_on(
    state: SessionState, command: Command, now: Moment, rules: Rules = CAUTIOUS
) -> Decided | Refused:
    """As `decide`, with the state that the events lead to: whoever takes it need not fold them again."""
    refused = by_phase(state.phase, type(command)) or _about_another_step(state, command)
    if refused is not None:
        return refused
    asked = Asked(state, replace(now, at_s=max(now.at_s, state.at_s)), rules)
    decided = DECIDERS[type(command)](asked, command)
    if isinstance(decided, Refused):
        return decided
    return _with_what_follows(asked, decided)


def _about_another_step(state: SessionState, command: Command) -> Refused | None:
    step = getattr(command, "step", None)
    if step is None:
        return None
    if step != state.step_id:
        return Refused(says=say("That step is not the one in hand any more."))
    return None if state.step is None else by_step(state.step.kind, type(command))


def _with_what_follows(asked: Asked, decided: list[AnyEvent]) -> Decided:
    """What was decided, and what guards and alarms have to say about it."""
    after = fold(decided, asked.state)
    if not after.phase.live:
        return Decided(tuple(decided), after)
    events = list(decided)
    then = replace(asked, state=after)
    broken = breach(after, asked.now.at_s)
    if broken is not None:
        stopped = [*stop_burst(then), hold_event(then, broken.says, "guard", broken.guard)]
        events += stopped
        after = fold(stopped, after)
        then = replace(asked, state=after)
    told_of = [
        told.AlarmRaised(**then.here, alarm=change.alarm, value=change.value, limit=change.limit)
        if change.raised
        else told.AlarmReturned(**then.here, alarm=change.alarm, value=change.value)
        for change in changes(after, asked.now.at_s, asked.rules.alarms)
    ]
    return Decided((*events, *told_of), fold(told_of, after))


def fold(events: Iterable[AnyEvent], state: SessionState = EMPTY) -> SessionState:
    """The state after all events, numbered from `state.seq + 1`.

    Raises `Trouble` with a sentence where an event cannot follow.
    """
    for event in events:
        state = evolve(state, state.seq + 1, event)
    return state
