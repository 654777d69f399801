"""Alarms as data, and their states after ISA-18.2.

An alarm is only what needs an answer.  Each is defined in
`resources/alarms.toml` with cause, consequence, what to do, priority, limit,
deadband, delay and when it is armed.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from workbench.core.batch.tables import parse_rows
from workbench.core.catalogue.model import Confidence, Key, Row, Text
from workbench.core.trouble import Fault, Trouble
from workbench.core.wording import say


class Priority(StrEnum):
    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


class Watched(StrEnum):
    """What an alarm looks at."""

    OVER_HARD_CEILING = "last reading at or over the ceiling nobody can set aside"
    OVER_MELT_CEILING = "last reading at or over the melt ceiling"
    CEILING_AHEAD = "seconds until the ceiling at the rate of warming"
    READING_OVERDUE = "seconds since a fresh reading was due"
    BURST_OVER = "seconds since the burst should have ended"
    UNDER_POUR_FLOOR = "last reading under the pour floor"
    WINDOW_CLOSING = "seconds until the pour floor at the rate of cooling"
    BATH_UNCHECKED = "seconds since the bath water was looked at"


class AlarmDefinition(Row):
    """One alarm.  `limit` is in K or s as the watched quantity says."""

    key: Key
    title: Text
    bench: Annotated[str, Field(min_length=1, max_length=60)]
    watches: Watched
    limit: float = 0.0
    deadband: Annotated[float, Field(ge=0)] = 0.0
    on_delay_s: Annotated[float, Field(ge=0)] = 0.0
    off_delay_s: Annotated[float, Field(ge=0)] = 0.0
    again_after_s: Annotated[float, Field(gt=0)] | None = None  # an ignored one comes back
    priority: Priority
    cause: Text
    consequence: Text
    what_to_do: Text
    armed: tuple[str, ...] = ()  # conditions, all of which must hold: "hot", "heat on", "scented", "pouring"
    time_allowed_s: float | None = None
    source: Text
    confidence: Confidence


class AlarmTable(Row):
    """The file as a whole."""

    alarm: tuple[AlarmDefinition, ...]


CONDITIONS = (
    "hot",
    "heat on",
    "bath",
    "bursts",
    "scented",
    "unscented",
    "before fragrance",
    "before pouring, plain",
    "pouring",
)


def parse_alarms(name: str, content: bytes) -> tuple[AlarmDefinition, ...]:
    """The alarm table from TOML bytes; raises `Trouble` with every fault and its place."""
    table = parse_rows(name, content, AlarmTable)
    faults = [
        Fault(
            f"{name}, {each.key}",
            say("“{word}” is not a condition; use one of: {known}.", word=word, known=", ".join(CONDITIONS)),
        )
        for each in table.alarm
        for word in each.armed
        if word not in CONDITIONS
    ]
    keys = [each.key for each in table.alarm]
    faults += [
        Fault(f"{name}, {key}", say("This alarm is defined twice; keep one of them."))
        for key in sorted({key for key in keys if keys.count(key) > 1})
    ]
    if faults:
        raise Trouble(say("The table of alarms cannot be used as it stands."), tuple(faults))
    return table.alarm
