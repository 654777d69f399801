"""What a running session needs from outside: a clock and a journal."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from workbench.core.batch.events import AnyEvent
from workbench.core.trouble import Trouble


@dataclass(frozen=True, slots=True)
class ClockReading:
    """Three clocks at one instant.

    `running_s` keeps counting while the computer sleeps; `awake_s` stops then;
    `wall` is local wall time with its offset.  Both counters start anywhere
    and begin anew when the computer restarts.  `boot` names one run of the
    computer, "" where the system has no such name.
    """

    running_s: float
    awake_s: float
    wall: datetime
    boot: str = ""


class Clock(Protocol):
    def read(self) -> ClockReading: ...


class Journal(Protocol):
    """Appends events of one session, in order, once.

    `done(None)` is called when they are safely on disk, `done(trouble)` when
    they are not (then none of them is).  Events that are stored already, word
    for word, may be given again and are not doubled.  The call may come at once or later,
    always in the thread that called `append`.
    """

    def append(
        self,
        session: str,
        first_seq: int,
        events: Sequence[AnyEvent],
        done: Callable[[Trouble | None], None],
    ) -> None: ...
