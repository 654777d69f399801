"""A small batch of our own making, event by event, for tests of the store.

The store keeps any events in order; whether they can have happened is the
session's question, and tests of that use whole plans.
"""

from __future__ import annotations

import contextlib
import functools
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from workbench.core.batch.commands import WriteNote
from workbench.core.batch.events import (
    AnyEvent,
    Finished,
    MassWeighed,
    Noted,
    SessionStarted,
    StepBegun,
    StepDone,
    TemperatureRead,
    TinPoured,
)
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Brief, Measure, Recipe
from workbench.store.project import Project
from workbench.testing import Maker, begin

START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


class Calendar:
    """A wall clock that moves a second each time it is read."""

    def __init__(self, start: datetime = START) -> None:
        self.now = start

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def recipe(name: str = "Wind over Thyme", **changes: Any) -> Recipe:
    return Recipe(
        name=name,
        brief=Brief(for_whom="AB", liked="dry herbs", allergies=("linalool",)),
        base=(
            BaseLine(material="beeswax", amount=Amount(value=1, measure=Measure.PARTS)),
            BaseLine(material="shea_butter", amount=Amount(value=1, measure=Measure.PARTS)),
            BaseLine(material="jojoba_oil", amount=Amount(value=1, measure=Measure.PARTS)),
        ),
        size=BatchSize(mass_g=60.0),
    ).model_copy(update=changes)


def at(seconds: float) -> dict[str, Any]:
    return {"at_s": seconds, "wall": START + timedelta(seconds=seconds)}


def started(name: str = "Wind over Thyme", *, rehearsal: bool = False) -> SessionStarted:
    plan = {"recipe": recipe(name).model_dump(mode="json"), "batch_g": 60.0, "heat": "water-bath"}
    return SessionStarted(
        **at(0),
        plan=plan,
        recipe_name=name,
        recipe_revision=1,
        maker="M",
        rehearsal=rehearsal,
        batch_code="T-1",
    )


def reading(seconds: float, celsius: float = 71.5) -> TemperatureRead:
    return TemperatureRead(
        **at(seconds), step="melt", raw_c=celsius, celsius=celsius, typed=f"{celsius:g}", stirred=True
    )


def batch(readings: int = 3, name: str = "Wind over Thyme", *, ended: bool = True) -> tuple[AnyEvent, ...]:
    """A whole batch: start, weigh, `readings` temperatures, a note, two tins, finish."""
    events: list[AnyEvent] = [
        started(name),
        StepBegun(**at(0), step="weigh:beeswax"),
        MassWeighed(
            **at(40),
            step="weigh:beeswax",
            need="mass:beeswax",
            material="beeswax",
            mass_g=20.02,
            typed="20,02",
        ),
        StepDone(**at(41), step="weigh:beeswax"),
        *(reading(60.0 + 10 * n, 60.0 + n % 20) for n in range(readings)),
    ]
    end = 60.0 + 10 * readings
    events.append(Noted(**at(end), step="melt", words="AB finds it a little sharp – Öl von gestern"))
    events += [
        TinPoured(**at(end + n), step="pour", tin="round_50", number=n, mass_g=28.5, typed="28.5")
        for n in (1, 2)
    ]
    if ended:
        events.append(Finished(**at(end + 10)))
    return tuple(events)


@functools.lru_cache(maxsize=1)
def whole_batch() -> tuple[AnyEvent, ...]:
    """A batch that the session itself led, from the first step to the last."""
    conductor, clock, kept = begin()
    maker = Maker(conductor, clock)
    maker.go_to("pour:1")
    conductor.send(WriteNote("AB finds it a little sharp – Öl von gestern"))
    maker.go_to_end()
    return tuple(kept.events)


@contextlib.contextmanager
def new_project(path: Path, now: Callable[[], datetime] | None = None) -> Iterator[Project]:
    project = Project.create(path, now=now or Calendar())
    try:
        yield project
    finally:
        project.close()
