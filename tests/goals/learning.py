"""Do forecasts get better with batches?  python -m tests.goals.learning [--quick]

A family of simulated pots shares recipe, mass and jug.  Ten batches teach, one
more is forecast with what 0, 1, 3 and 10 of them taught.  Asked are the first
reading, where all rests on belief, and a quarter and half of the way.  The
teaching is the program's own (`learning.observed`, `learning.combined`), from
the readings down to the limit, as a batch leaves them.

Two worlds.  "At home": jug (rim, wall), counter and half of the draught stay
the same from batch to batch, which is what there is to learn.  "Anywhere": the
pots of the other heat goals, where even the wall and the counter are drawn
anew each time, so that there is next to nothing to learn and learning must not
do harm.

Seeds from 960000 on; those of tuning and calibration lie below 73000 and from
700000 to 700999, those of the other heat goals from 900000 to 950000.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from tests.goals.pots import Pot, cool
from tests.goals.scoring import mean, median, readings_of, with_error
from workbench.core.catalogue.shelf import Lesson, Vessel
from workbench.core.heat.forecast import forecast
from workbench.core.heat.learning import believed, observed, to_be_asked
from workbench.store.resources import load_catalogue

FIRST_SEED = 960_000
FAMILIES = 40
TAUGHT_BY = (0, 1, 3, 10)
MOMENTS = ("first reading", "a quarter", "half")
SHARES = {"a quarter": 0.25, "half": 0.5}
NEVER_S = 4 * 3600.0
TODAY = date(2026, 3, 14)


@dataclass(frozen=True)
class Asked:
    """One forecast of the time to the flash-safe limit."""

    family: int
    moment: str
    batches: int
    home: bool
    error_s: float
    remaining_s: float
    inside: bool
    width_s: float

    @property
    def relative(self) -> float:
        return abs(self.error_s) / self.remaining_s

    @property
    def near(self) -> bool:
        return abs(self.error_s) <= max(0.15 * self.remaining_s, 45.0)


def lessons_of(pot: Pot) -> list[Lesson]:
    """What this batch taught, by its readings down to the limit."""
    ends = pot.crossing_s(pot.limit_c) or float(pot.truth_s[-1])
    given = readings_of(pot, ends)
    if not given:
        return []
    made = forecast(
        given,
        pot.blend,
        to_be_asked(pot.vessel),
        pot.mass_g,
        pot.room_said_c,
        resolution_k=pot.conditions.resolution_k,
    )
    found = observed(made.loss)
    if found is None:
        return []
    return [Lesson(day=TODAY, about="vessel:jug", what=made.loss.what, value=found[0], sd=found[1])]


def taught(vessel: Vessel, lessons: Sequence[Sequence[Lesson]]) -> Vessel:
    """The vessel after these batches."""
    flat = [lesson for batch in lessons for lesson in batch]
    return vessel.model_copy(update={"learned": believed(flat, "vessel:jug", TODAY)})


def ask(pot: Pot, family: int, vessel: Vessel, batches: int, *, home: bool = True) -> list[Asked]:
    truth = pot.crossing_s(pot.limit_c)
    if truth is None:
        return []
    figures = load_catalogue().heat
    rows = []
    for moment in MOMENTS:
        now = float(pot.times_s[0]) if moment == "first reading" else SHARES[moment] * truth
        given = readings_of(pot, now)
        if not given or now >= truth or (moment != "first reading" and len(given) < 4):
            continue
        found = forecast(
            given,
            pot.blend,
            vessel,
            pot.mass_g,
            pot.room_said_c,
            below=[pot.limit_c],
            now_s=now,
            resolution_k=pot.conditions.resolution_k,
            figures=figures,
        ).crossings[0]
        low, high = (NEVER_S if end is None else end for end in (found.low80_s, found.high80_s))
        median_s = NEVER_S if found.median_s is None else found.median_s
        rows.append(
            Asked(
                family, moment, batches, home, median_s - truth, truth - now, low <= truth <= high, min(high, NEVER_S) - low
            )
        )  # fmt: skip
    return rows


def measure(
    families: int,
    tick: Callable[[int], None] = lambda _: None,
    *,
    home: bool = True,
    first_seed: int = FIRST_SEED,
    taught_by: Sequence[int] = TAUGHT_BY,
) -> list[Asked]:
    """Forecasts of one batch per family, with what `taught_by` others taught."""
    of_each = max(taught_by) + 1
    rows: list[Asked] = []
    at_a_time = max(1, 100 // of_each)
    for start in range(0, families, at_a_time):
        part = range(start, min(start + at_a_time, families))
        numbers = [(family, one) for family in part for one in range(of_each)]
        pots = cool(
            [first_seed + family * of_each + one for family, one in numbers],
            families=[first_seed + family for family, _ in numbers],
            home=home,
        )
        for index, family in enumerate(part):
            own = pots[index * of_each : (index + 1) * of_each]
            lessons = [lessons_of(pot) for pot in own[:-1]]
            for batches in taught_by:
                vessel = taught(own[-1].vessel, lessons[:batches]) if batches else own[-1].vessel
                rows += ask(own[-1], family, vessel, batches, home=home)
        tick(len(part))
    return rows


def show(rows: Sequence[Asked], console: Console) -> None:
    world = "at home" if rows and rows[0].home else "anywhere"
    title = f"Time to the flash-safe limit, {world}, by how many batches of the jug went before (± 1 se)"
    table = Table(title=title, title_justify="left")
    for column in ("asked at", "batches", "n", "median error", "within 15 % or 45 s", "in the 80 % range", "width over time left"):  # fmt: skip
        table.add_column(column)
    for moment in MOMENTS:
        for batches in TAUGHT_BY:
            here = [row for row in rows if row.moment == moment and row.batches == batches]
            if not here:
                continue
            figures = (
                with_error([row.relative for row in here], median),
                with_error([float(row.near) for row in here], mean),
                with_error([float(row.inside) for row in here], mean),
                with_error([row.width_s / row.remaining_s for row in here], median),
            )
            table.add_row(
                moment,
                str(batches),
                str(len(here)),
                *(f"{100 * value:.1f} ± {100 * error:.1f} %" for value, error in figures),
            )
    console.print(table)
    console.print(gains(rows))


def gains(rows: Sequence[Asked]) -> str:
    """Error with batches over error without, the same pots paired; with its sampling error."""
    lines = []
    rng = np.random.default_rng(88)
    for moment in MOMENTS:
        plain = {row.family: row.relative for row in rows if row.moment == moment and row.batches == 0}
        for batches in TAUGHT_BY[1:]:
            known = {
                row.family: row.relative for row in rows if row.moment == moment and row.batches == batches
            }
            pairs = np.array([(known[key], plain[key]) for key in plain if key in known])
            if not len(pairs):
                continue
            picks = [pairs[rng.integers(0, len(pairs), len(pairs))] for _ in range(200)]
            ratio = float(pairs[:, 0].mean() / pairs[:, 1].mean())
            spread = float(np.std([pick[:, 0].mean() / pick[:, 1].mean() for pick in picks]))
            lines.append(
                f"{moment}, mean error with {batches} over that with none: {ratio:.2f} ± {spread:.2f}"
            )
    return "\n".join(lines)  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of the families")
    families = FAMILIES // 10 if parser.parse_args().quick else FAMILIES
    console = Console(width=140)
    with Progress(console=console, transient=True) as progress:
        task = progress.add_task("Simulating kitchens", total=2 * families)
        for home in (True, False):
            rows = measure(families, lambda done: progress.advance(task, done), home=home)
            show(rows, console)


if __name__ == "__main__":
    main()
