"""What a rehearsal tells as it goes, and the clock it runs by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from workbench.core.batch.ports import ClockReading
from workbench.core.batch.state import SessionState


@dataclass(frozen=True, slots=True)
class Progress:
    """One thing that happened in a rehearsal.

    `celsius` is what the thermometer showed last, `true_c` the true mean in the jug.
    """

    at_s: float
    step: str
    number: int  # of the step, from 1
    of: int
    says: str
    celsius: float | None
    true_c: float
    danger: bool = False
    over: bool = False


class RehearsalClock:
    """Moves only when told to; all three clocks together."""

    def __init__(self, began: datetime) -> None:
        self._began = began
        self.seconds = 0.0

    def read(self) -> ClockReading:
        wall = self._began + timedelta(seconds=self.seconds)
        return ClockReading(running_s=self.seconds, awake_s=self.seconds, wall=wall)


def dips(state: SessionState) -> bool:
    """Whether the last depth that was recorded is worth mending."""
    depth = next(
        (
            entry.value
            for entry in reversed(state.entries[-60:])
            if entry.need == "depth" and isinstance(entry.value, float | int)
        ),
        0.0,
    )
    return float(depth) > 1.0
