"""Prints the factors of heat.toml again:  python -m tests.goals.calibrate

Split-conformal: the factors with which the 80 % ranges of pots that are never
scored hold the truth in 80 of 100 cases.  Those of the flash-safe limit by
bisection over all three moments; those of the start of setting for each
moment by itself, as the 80 % quantile of how far the truth lies out in units
of the range (the range is stretched around its median, so one pass will do).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from tests.goals.cupboard import CUPBOARD
from tests.goals.pots import Pot, cool
from tests.goals.scoring import MOMENTS, readings_of
from workbench.core.catalogue.model import Confidence, Figure
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import SET_FACTORS, Crossing, forecast

NAMES = ("interval_factor", "interval_factor_unstirred", *SET_FACTORS)
FLASH_SEEDS, SET_SEEDS, UNSTIRRED_SEEDS = (50_000, 50_200), (53_000, 53_500), (51_000, 51_060)


def asked(
    pots: Sequence[Pot], factor: float, moment: float, *, setting: bool
) -> Iterator[tuple[float, Crossing]]:
    """(truth, forecast) of each pot that has four readings by then."""
    figures = {name: Figure(value=factor, source="trial", confidence=Confidence.DERIVED) for name in NAMES}
    for pot in pots:
        seen = pot.set_c + float(np.random.default_rng([pot.seed, 85]).normal(0, 1.0))
        blend = Blend.of(pot.composition, CUPBOARD, observed_c=seen if setting else None)
        truth = pot.sets_s if setting else pot.crossing_s(pot.limit_c)
        given = [] if truth is None else readings_of(pot, moment * truth)
        if truth is None or len(given) < 4:
            continue
        made = forecast(
            given,
            blend,
            pot.vessel,
            pot.mass_g,
            pot.room_said_c,
            below=[pot.limit_c],
            now_s=moment * truth,
            resolution_k=pot.conditions.resolution_k,
            figures=figures,
        )
        found = made.sets if setting else made.crossings[0]
        assert found is not None
        yield truth, found


def coverage(pots: Sequence[Pot], factor: float) -> float:
    inside = [
        (found.low80_s or 0.0) <= truth <= (found.high80_s or np.inf)
        for moment in MOMENTS
        for truth, found in asked(pots, factor, moment, setting=False)
    ]
    return float(np.mean(inside))


def factor_for_80(covered: Callable[[float], float]) -> float:
    low, high = 0.4, 2.0
    for _ in range(5):
        middle = (low + high) / 2
        low, high = (middle, high) if covered(middle) < 0.8 else (low, middle)
    return (low + high) / 2


def set_factor(pots: Sequence[Pot], moment: float, factor: float) -> float:
    """What the range of the start of setting, made with `factor`, has to be stretched to."""
    out = []
    for truth, found in asked(pots, factor, moment, setting=True):
        median_s = np.inf if found.median_s is None else found.median_s
        low_s = 0.0 if found.low80_s is None else found.low80_s
        high_s = np.inf if found.high80_s is None else found.high80_s
        side = high_s - median_s if truth > median_s else median_s - low_s
        out.append(0.0 if not np.isfinite(side) else abs(truth - median_s) / max(side, 1e-9))
    return factor * float(np.quantile(out, 0.8))


def main() -> None:
    stirred = cool(list(range(*FLASH_SEEDS)))
    factor = factor_for_80(lambda f: coverage(stirred, f))
    print("interval_factor", round(factor, 2))
    setting = [pot for first in range(*SET_SEEDS, 100) for pot in cool(list(range(first, first + 100)))]
    for key, moment in zip(SET_FACTORS, MOMENTS, strict=True):
        print(key, round(set_factor(setting, moment, factor), 2))
    unstirred = cool(list(range(*UNSTIRRED_SEEDS)), stirred=False)
    print("interval_factor_unstirred", round(factor_for_80(lambda f: coverage(unstirred, f)), 2))


if __name__ == "__main__":
    main()
