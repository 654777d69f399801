"""A long history to look back on: `python -m tests.make_history OUT.balmbook [--sessions 200]`.

Batches of five invented recipes over two years, made on the simulated pot and
marked as rehearsals: other vessels, masses and ways of heating, revisions that
changed something, and what happens in kitchens: a door bell, a note, a number
misread and corrected, a batch given up.  Every batch depends on its number
alone, so anybody who runs it gets the same events.

`multiplied` makes a project many times as long by cloning its sessions under
other dates, with true chains of digests: for measuring, not for looking at.
"""

from __future__ import annotations

import argparse
import os
import re
import sqlite3
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache, partial
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from tests.make_samples import HARBOUR, ORCHARD, SUMMER, Kept, base, parts, scent, shelf
from workbench.core.batch import commands as ask
from workbench.core.batch.alarms import parse_alarms
from workbench.core.batch.conductor import Conductor
from workbench.core.batch.events import AnyEvent, MassWeighed, TemperatureRead, event_adapter
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.real_rules import rules_for
from workbench.core.batch.state import Phase
from workbench.core.batch.step_words import StepTable, parse_steps
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.model import BaseLine, BatchSize, Heat, Measure, Recipe, ScentLine, TinCount
from workbench.core.rehearsal.run import Rehearsal
from workbench.core.trouble import Trouble
from workbench.store import journal, opening
from workbench.store.project import Project
from workbench.store.resources import load_catalogue, resource_bytes

PROJECT_ID = "686973746f7279206f66207265686561"  # the same for everybody
FIRST_DAY = datetime(2024, 10, 5, 10, 0, tzinfo=SUMMER)
DAYS = 730
HOME = ZoneInfo("Europe/Berlin")
VESSELS = ("beaker_250", "steel_jug_400", "plastic_jug_250")
TINS = (("round_15", 3), ("round_15", 5), ("round_30", 2), ("round_30", 4))
MOST_TRIES = 12  # a variant that cannot be made (no window, does not melt out) gives way to the next


def in_three_tins(
    name: str, load_percent: float, lines: tuple[BaseLine, ...], oils: tuple[ScentLine, ...]
) -> Recipe:
    """A recipe as it was first written: three tins of 15 mL from the beaker."""
    return Recipe(
        name=name,
        base=lines,
        scent=oils,
        load_percent=load_percent,
        vessel="beaker_250",
        size=BatchSize(tins=(TinCount(tin="round_15", count=3),)),
    )


DRIFT = in_three_tins(
    "Driftwood Stove",
    5,
    (base("beeswax", parts(18)), base("shea_butter", parts(22)), base("jojoba", parts(60))),
    (
        scent("lavender", parts(3), Note.MIDDLE),
        scent("cedarwood_virginia", parts(4), Note.BASE),
        scent("vetiver", parts(1), Note.BASE),
    ),
)
ROOF = in_three_tins(
    "Rain on a Tin Roof",
    4,
    (base("beeswax", parts(15)), base("mango_butter", parts(25)), base("sunflower", parts(60))),
    (scent("clary_sage", parts(4), Note.MIDDLE), scent("patchouli", parts(2), Note.BASE)),
)
LADDER = in_three_tins(
    "Ladder in the Hay",
    4.5,
    (base("beeswax", parts(20)), base("cocoa_butter", parts(15)), base("sweet_almond", parts(65))),
    (
        scent("geranium", parts(3), Note.MIDDLE),
        scent("palmarosa", parts(2), Note.MIDDLE),
        scent("sandalwood", parts(3), Note.BASE),
    ),
)
FAMILIES = (HARBOUR, ORCHARD, DRIFT, ROOF, LADDER)
LOADS = (0.0, -0.5, 0.5, -1.0)  # percent beside the first revision's: what a revision changed
WAX = (1.0, 1.08, 0.94, 1.0)

NOTES = (
    "The thermometer was slow to settle.",
    "Poured a little early; the tops came out smooth.",
    "The kitchen was draughty.",
    "Stirred with the other spoon this time.",
)
REASONS = ("misread the display", "two digits swapped", "wrong line")
DOOR = ("the door bell", "the telephone", "had to look after something else")
GIVEN_UP = ("the jug was knocked over", "no time to go on today", "smelled burnt")


@dataclass(frozen=True, slots=True)
class Made:
    """One batch: its recipe, which revision that is, and its events as text."""

    number: int
    recipe: Recipe
    revision: int
    events: tuple[bytes, ...]


def family(which: int, revision: int) -> Recipe:
    """A revision (from 1) of one of the recipes: another load, another share of wax."""
    first = FAMILIES[which]
    lines = [line.model_copy(update={"lot": None}) for line in first.base]  # this kitchen keeps no lots
    more = lines[0].amount.value * (WAX[revision - 1] - 1)
    lines[0] = _other_by(lines[0], more)
    if lines[0].amount.measure is Measure.PERCENT:
        lines[-1] = _other_by(lines[-1], -more)  # of a whole: what the wax gains the last oil gives
    return first.model_copy(
        update={
            "base": tuple(lines),
            "scent": tuple(line.model_copy(update={"lot": None}) for line in first.scent),
            "load_percent": first.load_percent + LOADS[revision - 1],
        }
    )


def _other_by(line: BaseLine, by: float) -> BaseLine:
    amount = line.amount.model_copy(update={"value": round(line.amount.value + by, 2)})
    return line.model_copy(update={"amount": amount})


@cache
def kitchen() -> tuple[Catalogue, StepTable]:
    return load_catalogue().over(shelf()), parse_steps("steps.toml", resource_bytes("steps.toml"))


def day_of(number: int, of: int) -> datetime:
    """When a batch began: evenly over two years, at some hour of the day, with the clock's own offset."""
    chance = Random(f"day {number}")
    day = FIRST_DAY + timedelta(days=DAYS * (number - 1) / of)
    local = day.astimezone(HOME).replace(hour=chance.randrange(8, 19), minute=chance.randrange(60), second=0)
    return local.replace(microsecond=0)


def one(number: int, of: int) -> Made:
    """Batch `number` (from 1) of `of`.  Raises Trouble when none of its variants can be made."""
    chance = Random(f"batch {number}")
    which = chance.randrange(len(FAMILIES))
    revision = 1 + min(3, 4 * (number - 1) // of)  # a recipe is changed now and then
    for attempt in range(MOST_TRIES):
        tin, count = chance.choice(TINS)
        heat = chance.choice((Heat.WATER_BATH, Heat.WATER_BATH, Heat.MICROWAVE))
        vessel = chance.choice(VESSELS)
        recipe = family(which, revision)
        asked = recipe.model_copy(
            update={
                "heat": heat,
                "vessel": vessel,
                "microwave": "microwave_800" if heat is Heat.MICROWAVE else None,
                "thermometer": "probe",
                "size": BatchSize(tins=(TinCount(tin=tin, count=count),), jug_allowance_percent=5),
            }
        )
        try:
            events = batch(asked, revision, day_of(number, of), chance, 1000 * attempt + number)
        except Trouble:
            continue
        return Made(number, recipe, revision, tuple(event.model_dump_json().encode() for event in events))
    raise Trouble(f"batch {number} cannot be made in any way")


def batch(recipe: Recipe, revision: int, began: datetime, chance: Random, pot: int) -> list[AnyEvent]:
    """The events of one batch on the simulated pot, with what went wrong in it."""
    catalogue, steps = kitchen()
    plan = make_plan(recipe, revision, catalogue, steps, today=began.date())
    kept = Kept()
    rules = rules_for(catalogue, parse_alarms("alarms.toml", resource_bytes("alarms.toml")))
    run = Rehearsal(plan, catalogue, kept, rules, began, pot, "rehearsal")
    led = run.conductor
    for _ in run.start("", f"{began:%y%m%d}"):
        pass
    held_at, given_up = chance.choice((0, 0, 12, 25)), chance.random() < 0.06
    for turns, _ in enumerate(run.to_the_end(None), start=1):
        if turns == held_at and led.ahead.phase is Phase.RUNNING:
            led.send(ask.Hold(chance.choice(DOOR)))
        if given_up and turns == 30:
            led.send(ask.EndBatch(chance.choice(GIVEN_UP), safe=True))
            break
    after(led, kept.events, chance)
    return kept.events


def after(led: Conductor, events: Sequence[AnyEvent], chance: Random) -> None:
    """What is written when the batch is over: a note, a correction."""
    if chance.random() < 0.3:
        led.send(ask.WriteNote(chance.choice(NOTES)))
    if chance.random() < 0.15:
        said = [(at, one) for at, one in enumerate(events, start=1) if isinstance(one, MassWeighed)]
        at, weighed = chance.choice(said)
        value = round(weighed.mass_g * chance.choice((0.99, 1.01)), 2)
        led.send(ask.Correct(at, value, f"{value}", chance.choice(REASONS)))
    if chance.random() < 0.1:
        read = [(at, one) for at, one in enumerate(events, start=1) if isinstance(one, TemperatureRead)]
        at, reading = chance.choice(read)
        value = round(reading.raw_c - 1.0, 1)
        led.send(ask.Correct(at, value, f"{value}", chance.choice(REASONS)))


def make_history(target: Path, sessions: int = 200, processes: int | None = None) -> int:
    """Write the project; how many entries it has.  `processes` None: one for each processor."""
    opening.create(target, FIRST_DAY, PROJECT_ID)
    numbers, entries = range(1, sessions + 1), 0
    with Project.open(target, now=lambda: FIRST_DAY) as project:
        project.save_shelf(shelf())
        for made in made_in_order(numbers, sessions, processes or os.cpu_count() or 1):
            have = {entry.recipe.name: entry.revision for entry in project.recipes()}
            while have.get(made.recipe.name, 0) < made.revision:
                have[made.recipe.name] = have.get(made.recipe.name, 0) + 1
                which = [each.name for each in FAMILIES].index(made.recipe.name)
                project.save_recipe(family(which, have[made.recipe.name]))
            events = [event_adapter.validate_json(text) for text in made.events]
            entries += project.append(project.new_session(), 1, events)
    return entries


def made_in_order(numbers: Iterable[int], of: int, processes: int) -> Iterator[Made]:
    if processes == 1:
        yield from (one(number, of) for number in numbers)
        return
    with ProcessPoolExecutor(processes) as pool:
        yield from pool.map(one, numbers, [of] * len(list(numbers)), chunksize=4)


_WALL = re.compile(r'"wall":"([^"]+)"')


def multiplied(path: Path, sessions: int, apart: timedelta = timedelta(days=1)) -> None:
    """Clone the sessions of a project, each under a later date, until it has so many."""
    with Project.open(path) as project, project.writing() as connection:
        rows = connection.execute("SELECT * FROM sessions ORDER BY number").fetchall()
        for number in range(len(rows) + 1, sessions + 1):
            source, started, *rest = rows[(number - 1) % len(rows)]
            by = apart * ((number - 1) // len(rows))
            moved = (datetime.fromisoformat(started) + by).isoformat()
            connection.execute("INSERT INTO sessions VALUES (?, ?, ?, ?, ?, ?)", (number, moved, *rest))
            _clone_events(connection, project.id, source, number, by)


def _clone_events(
    connection: sqlite3.Connection, project: str, source: int, number: int, by: timedelta
) -> None:
    before, copies = journal.first_link(project), []
    for seq, at_s, _, kind, body, _ in connection.execute(
        "SELECT seq, at_s, wall, kind, body, digest FROM events WHERE session = ? ORDER BY seq", (source,)
    ):
        found = _WALL.search(body)
        assert found is not None
        wall = datetime.fromisoformat(found[1]) + by
        body = f"{body[: found.start(1)]}{wall.isoformat()}{body[found.end(1) :]}"
        before = journal.link(before, number, seq, body)
        copies.append((number, seq, at_s, wall.isoformat(), kind, body, before))
    connection.executemany("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?)", copies)
    ended, body = connection.execute(
        "SELECT ended, body FROM summaries WHERE session = ?", (source,)
    ).fetchone()
    for key in ("started", "ended"):
        body = re.sub(
            rf'"{key}":"([^"]+)"',
            partial(_later, key, by),
            body,
            count=1,
        )
    connection.execute(
        "INSERT INTO summaries VALUES (?, ?, ?, ?, ?)", (number, len(copies), before, ended, body)
    )


def _later(key: str, by: timedelta, found: re.Match[str]) -> str:
    return f'"{key}":"{(datetime.fromisoformat(found[1]) + by).isoformat()}"'


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.make_history", description=__doc__)
    parser.add_argument("project", type=Path)
    parser.add_argument("--sessions", type=int, default=200)
    parser.add_argument("--processes", type=int, help="default: one for each processor")
    given = parser.parse_args()
    began = time.perf_counter()
    entries = make_history(given.project, given.sessions, given.processes)
    took_s = time.perf_counter() - began
    print(f"{given.project}: {given.sessions} rehearsals, {entries} entries, in {took_s:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
