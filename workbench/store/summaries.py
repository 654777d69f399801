"""One row per session for lists and trends; it can always be built again from the events."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict

from workbench.core.batch.events import (
    AlarmRaised,
    AnyEvent,
    Corrected,
    EndedEarly,
    Finished,
    GuardSetAside,
    HoldAsked,
    LeftoverKept,
    SessionStarted,
    StepLeftOut,
    TakenUp,
    TemperatureRead,
    TinPoured,
)


class Summary(BaseModel):
    """What the list of past batches shows; masses in g, temperatures in °C, times in s."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    ended: datetime | None = None
    end: Literal["running", "finished", "ended early"] = "running"
    end_reason: str = ""
    took_s: float = 0.0
    entries: int = 0
    batch_g: float | None = None  # planned
    expected_yield_g: float | None = None
    poured_g: float = 0.0
    tins: int = 0
    leftover_g: float = 0.0
    hottest_c: float | None = None
    readings: int = 0
    guards_set_aside: int = 0
    alarms: int = 0
    holds: int = 0
    corrections: int = 0
    left_out: int = 0
    taken_up: int = 0
    heat: str = ""

    @property
    def deviations(self) -> int:
        """How often the batch left its plan."""
        return self.guards_set_aside + self.alarms + self.left_out


def summarise(events: Sequence[AnyEvent]) -> Summary:
    """The summary of one session; corrections of a poured mass are counted in."""
    poured: dict[int, float] = {}
    leftovers = 0.0
    counts = dict.fromkeys(
        ("guards", "alarms", "holds", "corrections", "left out", "taken up", "readings"), 0
    )
    temperatures: dict[int, float] = {}
    start: SessionStarted | None = None
    end: Finished | EndedEarly | None = None
    for seq, event in enumerate(events, start=1):
        match event:
            case SessionStarted():
                start = start or event
            case TinPoured():
                poured[seq] = event.mass_g
            case TemperatureRead():
                temperatures[seq] = event.celsius
                counts["readings"] += 1
            case Corrected():
                counts["corrections"] += 1
                if event.of in poured and isinstance(event.value, (int, float)):
                    poured[event.of] = float(event.value)
                elif event.of in temperatures and isinstance(event.value, (int, float)):
                    temperatures[event.of] = float(event.value)
            case LeftoverKept():
                leftovers += event.mass_g
            case GuardSetAside():
                counts["guards"] += 1
            case AlarmRaised():
                counts["alarms"] += 1
            case HoldAsked():
                counts["holds"] += 1
            case StepLeftOut():
                counts["left out"] += 1
            case TakenUp():
                counts["taken up"] += 1
            case Finished() | EndedEarly():
                end = end or event
            case _:
                pass
    plan = start.plan if start else {}
    return Summary(
        ended=end.wall if end else None,
        end="running" if end is None else "finished" if isinstance(end, Finished) else "ended early",
        end_reason=end.reason if isinstance(end, EndedEarly) else "",
        took_s=(end.at_s if end else events[-1].at_s) if events else 0.0,
        entries=len(events),
        batch_g=_number(plan.get("batch_g")),
        expected_yield_g=_number(plan.get("expected_yield_g")),
        poured_g=round(sum(poured.values()), 6),
        tins=len(poured),
        leftover_g=leftovers,
        hottest_c=max(temperatures.values(), default=None),
        readings=counts["readings"],
        guards_set_aside=counts["guards"],
        alarms=counts["alarms"],
        holds=counts["holds"],
        corrections=counts["corrections"],
        left_out=counts["left out"],
        taken_up=counts["taken up"],
        heat=str(plan.get("heat", "")),
    )


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None
