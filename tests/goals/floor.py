"""What no forecast could know: how far the draughts still to come move the flash-safe time.

    python -m tests.goals.floor

The same pots are cooled several times over, each time with other draughts and nothing else changed.  From
the temperature that the first run has at a quarter, a half and three quarters of its way, the time to the
limit is taken in every run; how it scatters around its mean, in the median over the pots, is the error of a
forecast that knew jug, blend, room and loss exactly and only not the air to come.  (It also ignores what the
present draught says of the next minutes, so a very good forecast could lie a little below.)  These pots are
never scored.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.goals.pots import Pot, cool
from tests.goals.scoring import MOMENTS

FIRST, COUNT, RUNS = 53_000, 100, 4


@dataclass(frozen=True)
class Floor:
    """Median and 90th percentile of the error over what remained, at one moment."""

    moment: float
    median: float
    p90: float
    pots: int


def runs(first: int = FIRST, count: int = COUNT, times: int = RUNS) -> list[dict[int, Pot]]:
    """The same pots under other draughts: the air is drawn by the order in which they stand."""
    seeds = list(range(first, first + count))
    made = []
    for turn in range(times):
        order = seeds[turn:] + seeds[:turn]
        made.append({pot.seed: pot for pot in cool(order)})
    return made


def floor(all_runs: list[dict[int, Pot]]) -> list[Floor]:
    found = []
    for moment in MOMENTS:
        off: list[float] = []
        for seed, pot in all_runs[0].items():
            truth = pot.crossing_s(pot.limit_c)
            if truth is None or (pot.times_s <= moment * truth).sum() < 4:
                continue  # the same that are scored: four readings or more
            from_c = float(np.interp(moment * truth, pot.truth_s, pot.truth_c))
            left = [_between_s(run[seed], from_c, pot.limit_c) for run in all_runs]
            known = [seconds for seconds in left if seconds is not None]
            if len(known) < 3:
                continue
            mean = float(np.mean(known))
            # of n runs around their own mean the scatter is too small by sqrt((n - 1)/n)
            wider = (len(known) / (len(known) - 1)) ** 0.5
            off += [wider * abs(mean - seconds) / seconds for seconds in known]
        found.append(
            Floor(moment, float(np.median(off)), float(np.quantile(off, 0.9)), len(off) // len(all_runs))
        )
    return found


def _between_s(pot: Pot, from_c: float, to_c: float) -> float | None:
    starts, ends = pot.crossing_s(from_c), pot.crossing_s(to_c)
    return None if starts is None or ends is None else ends - starts


def main() -> None:
    for each in floor(runs()):
        print(
            f"flash-safe at {each.moment:.0%}: draughts to come alone, median {each.median:.1%}, "
            f"90th percentile {each.p90:.1%} ({each.pots} pots)"
        )


if __name__ == "__main__":
    main()
