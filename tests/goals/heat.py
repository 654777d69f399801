"""The heat goals, measured and printed as one table:  python -m tests.goals.heat [--quick]

300 seeded pots, 2,000 seeded ovens and 100 seeded tins, seeds from 900000 on.
The model, the burst rule and the pots themselves were worked out on other
seeds (50000 to 72999 and 700000 to 700999), and the ranges calibrated on some
of those (`calibrate.py`).  Each figure stands with its sampling error; where a
goal is missed, by how much.

What to bear in mind.  Pots and forecast have one author.  How much water
clings to a jug (up to 0.25 g per 150 g) and what counts as the start of
setting (a tenth of what sets at the set point has set, rather than the mean
at the set point, where the curve is nearly flat) were settled while the model
was being worked out, and both choices flatter the figures.

Why the error at a quarter of the way is what it is.  On 500 pots that are
never scored it is 7.0 % (`budget.py`): 6.3 % with the probe's offset known,
5.1 % with perfect readings, and hardly less with counter, draught or room told
(6.9, 6.6 and 7.0 %); the air to come alone moves it by 2.2 % (`floor.py`).
Four to eight rounded readings of a fall of some 6 K are what there is to go by
then, so a checked probe with tenths helps more than any model.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from tests.goals.coffee import coffee
from tests.goals.cupboard import CUPBOARD
from tests.goals.ovens import CEILING_C, melt
from tests.goals.pots import Pot, cool
from tests.goals.scoring import MOMENTS, Row, at, mean, median, p90, readings_of, score, with_error
from tests.goals.tins import set_tins
from workbench.core.catalogue.shelf import Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import Reading, forecast
from workbench.core.heat.learning import teach_vessel

FIRST_SEED = 900_000
POTS, OVENS, TINS = 300, 2000, 100
AT_A_TIME = 100
NO_GOAL = ("yardstick", "information")


@dataclass(frozen=True)
class Result:
    name: str
    value: float
    error: float
    goal: str
    met: bool
    missed_by: float = 0.0
    percent: bool = True


def at_most(name: str, found: tuple[float, float], limit: float, *, percent: bool = True) -> Result:
    value, error = found
    unit = f"≤ {100 * limit:.0f} %" if percent else f"≤ {limit:g}"
    return Result(name, value, error, unit, value <= limit, max(value - limit, 0.0), percent)


def at_least(name: str, found: tuple[float, float], limit: float) -> Result:
    value, error = found
    return Result(name, value, error, f"≥ {100 * limit:.0f} %", value >= limit, max(limit - value, 0.0))


def between(name: str, found: tuple[float, float], low: float, high: float) -> Result:
    value, error = found
    missed = max(low - value, value - high, 0.0)
    return Result(name, value, error, f"{100 * low:.0f} to {100 * high:.0f} %", missed == 0, missed)


def many_pots(seeds: Sequence[int], families: Sequence[int] | None, tick: Callable[[], None]) -> list[Pot]:
    made: list[Pot] = []
    for start in range(0, len(seeds), AT_A_TIME):
        part = slice(start, start + AT_A_TIME)
        made += cool(list(seeds[part]), families=None if families is None else list(families[part]))
        tick()
    return made


def flash_safe(rows: Sequence[Row]) -> list[Result]:
    """Time to the flash-safe limit, stirred before each reading, four readings or more."""
    made = []
    for moment, middle, tail in zip(MOMENTS, (0.07, 0.08, 0.12), (0.22, 0.25, 0.30), strict=True):
        errors = [abs(row.relative) for row in at(rows, moment)]
        made.append(
            at_most(
                f"flash-safe, median error at {moment:.0%} (n {len(errors)})",
                with_error(errors, median),
                middle,
            )
        )
        made.append(at_most(f"flash-safe, 90th percentile at {moment:.0%}", with_error(errors, p90), tail))
    made.append(
        at_least(
            "flash-safe, within 15 % or 45 s", with_error([row.within(0.15, 45) for row in rows], mean), 0.80
        )
    )
    made.append(
        at_least(
            "flash-safe, within 20 % or 60 s", with_error([row.within(0.20, 60) for row in rows], mean), 0.90
        )
    )
    for moment in MOMENTS:
        here = at(rows, moment)
        ours = median(np.array([abs(row.error_s) for row in here]))
        newton = median(np.array([abs(row.newton_s) for row in here]))
        linear = median(np.array([abs(row.linear_s) for row in here]))
        limit = 0.60 if moment < 0.7 else 1.0
        pairs = np.array([(abs(row.error_s), abs(row.newton_s)) for row in here])
        rng = np.random.default_rng(87)
        picks = [pairs[rng.integers(0, len(pairs), len(pairs))] for _ in range(200)]
        spread = float(np.std([np.median(pick[:, 0]) / np.median(pick[:, 1]) for pick in picks]))
        made.append(
            at_most(f"flash-safe, error over Newton's at {moment:.0%}", (ours / newton, spread), limit)
        )
        made.append(
            Result(
                f"flash-safe, error over a straight line's at {moment:.0%}",
                ours / linear,
                0.0,
                "yardstick",
                True,
            )
        )
    for moment in MOMENTS:
        here = at(rows, moment)
        made.append(
            between(
                f"flash-safe, truth inside the 80 % range at {moment:.0%}",
                with_error([row.inside for row in here], mean),
                0.72,
                0.88,
            )
        )
        made.append(
            at_most(
                f"flash-safe, width of that range over the time left at {moment:.0%}",
                with_error([row.width_s / row.remaining_s for row in here], median),
                0.50,
            )
        )
    return made  # fmt: skip


def known_vessel(count: int, tick: Callable[[], None]) -> list[Result]:
    """A vessel that three past batches taught."""
    families = [at // 4 for at in range(count)]
    pots = many_pots([FIRST_SEED + 10_000 + at for at in range(count)], families, tick)
    taught: dict[int, Vessel] = {}
    scored = []
    for number, pot in enumerate(pots):
        family = families[number]
        if number % 4 == 3:
            scored.append(pot)
            continue
        vessel = taught.get(family, pot.vessel)
        crossing = pot.crossing_s(pot.limit_c) or pot.truth_s[-1]
        given = readings_of(pot, crossing)
        blend = Blend.of(pot.composition, CUPBOARD)
        made = forecast(given, blend, pot.vessel, pot.mass_g, pot.room_said_c)
        taught[family] = teach_vessel(vessel, [made.loss, made.base])
    by_key = {pot.seed: taught[(pot.seed - FIRST_SEED - 10_000) // 4] for pot in scored}
    rows = score(scored, vessel=lambda pot: by_key[pot.seed])
    hits = [row.within(0.15, 45) for row in rows]
    return [
        at_least(
            f"vessel known from three batches, within 15 % or 45 s (n {len(hits)})",
            with_error(hits, mean),
            0.88,
        )
    ]


def start_of_setting(rows: Sequence[Row]) -> list[Result]:
    made = []
    for moment in (0.25, 0.5):
        errors = [abs(row.relative) for row in at(rows, moment)]
        made.append(
            at_most(
                f"start of setting, set point measured once, median at {moment:.0%}",
                with_error(errors, median),
                0.13,
            )
        )
    for moment in (0.25, 0.5):
        inside = [row.inside for row in at(rows, moment)]
        made.append(
            between(
                f"start of setting, truth inside the 80 % range at {moment:.0%}",
                with_error(inside, mean),
                0.72,
                0.88,
            )
        )
    return made  # fmt: skip


def tins(count: int) -> list[Result]:
    made = set_tins([FIRST_SEED + 20_000 + at for at in range(count)])
    moved = [abs(each.movable_s / each.movable_truth_s - 1) for each in made]
    inside = [each.within_80 for each in made]
    return [
        at_most("tin without thermometer, may be moved, median error", with_error(moved, median), 0.25),
        Result("tin without thermometer, truth inside its 80 % range", *with_error(inside, mean), "information", True),
    ]  # fmt: skip


def bursts(count: int) -> list[Result]:
    melts = [melt(FIRST_SEED + 30_000 + at) for at in range(count)]
    over = [each.highest_mean_c > CEILING_C for each in melts]
    far = [each.highest_mean_c > CEILING_C + 5 for each in melts]
    spot = [each.highest_spot_c > CEILING_C for each in melts]
    number = [float(each.bursts) for each in melts]
    return [
        at_most("bursts, mean over the ceiling", with_error(over, mean), 0.01),
        at_most("bursts, mean more than 5 K over the ceiling", with_error(far, mean), 0.0),
        Result("bursts, hottest spot over the ceiling", *with_error(spot, mean), "information", True),
        at_most("bursts, median number", with_error(number, median), 10, percent=False),
        at_least("bursts, melts that came to their end", with_error([each.done for each in melts], mean), 0.99),
    ]  # fmt: skip


def speed(pot: Pot) -> list[Result]:
    """One update with 200 readings, in processor time: after ten minutes and after two hours."""
    made = []
    for label, every in (("10 min", 3.0), ("2 h", 36.0)):
        given = [
            Reading(every * number, float(np.interp(every * number, pot.truth_s, pot.truth_c)))
            for number in range(200)
        ]
        blend = pot.blend
        times = []
        for _ in range(5):
            began = time.process_time()
            forecast(given, blend, pot.vessel, pot.mass_g, pot.room_said_c, below=[pot.limit_c])
            times.append(1000 * (time.process_time() - began))
        made.append(
            at_most(
                f"one update, 200 readings over {label}, ms",
                (float(np.median(times)), float(np.std(times))),
                100,
                percent=False,
            )
        )
    return made  # fmt: skip


def published() -> list[Result]:
    ours, newton, _ = coffee()
    return [
        at_most("black coffee to 50 °C from the first 10 min", (abs(ours), 0.0), 0.20),
        at_most("the same, over Newton's error", (abs(ours) / abs(newton), 0.0), 1.0),
    ]


def measure(*, pots: int = POTS, ovens: int = OVENS, tin_count: int = TINS, say: Callable[[str], None] = lambda _: None) -> list[Result]:  # fmt: skip
    """All goals; the numbers shrink for a quick look."""

    def tick() -> None:
        say("pots")

    made = many_pots([FIRST_SEED + at for at in range(pots)], None, tick)
    results = flash_safe(score(made))
    tick()
    results += start_of_setting(score(made, setting=True, moments=(0.25, 0.5)))
    say("setting")
    results += known_vessel(pots, tick)
    results += tins(tin_count)
    say("tins")
    results += bursts(ovens)
    say("bursts")
    return results + speed(made[0]) + published()


def show(results: Sequence[Result], console: Console) -> None:
    table = Table(title="Heat goals on simulated kitchens", title_justify="left")
    for column in ("", "measured", "± 1 se", "goal", "", "missed by"):
        table.add_column(column)
    for each in results:
        factor, form = (100, "{:.1f} %") if each.percent else (1, "{:.1f}")
        table.add_row(
            each.name,
            form.format(factor * each.value),
            form.format(factor * each.error),
            each.goal,
            "" if each.goal in NO_GOAL else "yes" if each.met else "no",
            "" if each.met else form.format(factor * each.missed_by),
        )
    console.print(table)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of everything")
    quick = parser.parse_args().quick
    part = 10 if quick else 1
    console = Console(width=140)
    with Progress(console=console, transient=True) as progress:
        task = progress.add_task("Simulating kitchens", total=None)
        results = measure(
            pots=POTS // part, ovens=OVENS // part, tin_count=TINS // part,
            say=lambda what: progress.update(task, description=f"Simulating kitchens: {what}"),
        )  # fmt: skip
    show(results, console)


if __name__ == "__main__":
    main()
