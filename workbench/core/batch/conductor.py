"""Leads one running session: decide, store, then show; dangers first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from workbench.core.batch.alarms import AlarmDefinition
from workbench.core.batch.commands import Command, Refused
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.ports import Clock, Journal
from workbench.core.batch.rules import Rules
from workbench.core.batch.session import CAUTIOUS, EMPTY
from workbench.core.batch.state import SessionState
from workbench.core.trouble import Trouble


@dataclass(frozen=True, slots=True)
class Danger:
    """An alarm to be shown and sounded now, before anything is stored."""

    alarm: str  # key
    definition: AlarmDefinition | None
    value: float | None
    limit: float | None
    safe_action: str  # "" or what to do at once


class Conductor:
    """`state` is what the journal has; `alarms` and `hold` may be ahead of it."""

    def __init__(
        self,
        session_id: str,
        journal: Journal,
        clock: Clock,
        rules: Rules = CAUTIOUS,
        *,
        state: SessionState = EMPTY,
        on_change: Callable[[SessionState, tuple[AnyEvent, ...]], None] = lambda state, events: None,
        on_danger: Callable[[Danger], None] = lambda danger: None,
        on_trouble: Callable[[Trouble | None], None] = lambda trouble: None,
        stall_after_s: float = 5.0,
    ) -> None:
        raise NotImplementedError

    def send(self, command: Command) -> Refused | None:
        """Take a command; None when it was taken (it is shown once it is stored)."""
        raise NotImplementedError

    def look(self) -> None:
        """A tick: look at the clocks and at what is due.  Call it a few times a second."""
        raise NotImplementedError

    def retry(self) -> None:
        """Try again to store what a failing journal would not take."""
        raise NotImplementedError

    def take_up(self) -> Refused | None:
        """Go on with a session that was folded from the journal; finds out how long it stood."""
        raise NotImplementedError
