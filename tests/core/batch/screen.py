"""A screen for the conductor: it shows what it is told, and checks that the journal has it."""

from __future__ import annotations

from workbench.core.batch.conductor import Conductor, Danger
from workbench.core.batch.events import AnyEvent
from workbench.core.batch.state import SessionState
from workbench.core.trouble import Trouble
from workbench.testing import MemoryJournal, VirtualClock, sample_rules


class Screen:
    """Shows what the conductor tells it, and checks that the journal has it."""

    def __init__(self, journal: MemoryJournal) -> None:
        self.journal = journal
        self.shown: list[AnyEvent] = []
        self.dangers: list[Danger] = []
        self.troubles: list[Trouble | None] = []

    def change(self, state: SessionState, events: tuple[AnyEvent, ...]) -> None:
        self.shown.extend(events)
        assert self.shown == self.journal.events[: len(self.shown)]
        assert state.seq == len(self.shown)

    def conductor(self, clock: VirtualClock, *, stall_after_s: float = 5.0) -> Conductor:
        return Conductor(
            "b",
            self.journal,
            clock,
            sample_rules(),
            on_change=self.change,
            on_danger=self.dangers.append,
            on_trouble=self.troubles.append,
            stall_after_s=stall_after_s,
        )
