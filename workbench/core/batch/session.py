"""A session is the fold of its events.

`decide(state, command, now)` asks: it gives the events that would happen, or
`Refused` with a sentence, and changes nothing.  `evolve(state, seq, event)`
tells: it gives the state after the event.
"""

from __future__ import annotations

from collections.abc import Iterable

from workbench.core.batch.commands import Command, Moment, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.rules import Rules
from workbench.core.batch.state import SessionState

EMPTY = SessionState()
CAUTIOUS = Rules()


def decide(
    state: SessionState, command: Command, now: Moment, rules: Rules = CAUTIOUS
) -> tuple[AnyEvent, ...] | Refused:
    """The events a command leads to, or why it is refused; the state is untouched."""
    raise NotImplementedError


def evolve(state: SessionState, seq: int, event: AnyEvent) -> SessionState:
    """The state after one event; raises `Trouble` where the event cannot follow."""
    raise NotImplementedError


def fold(events: Iterable[AnyEvent], state: SessionState = EMPTY) -> SessionState:
    """The state after all events, numbered from `state.seq + 1`."""
    for event in events:
        state = evolve(state, state.seq + 1, event)
    return state
