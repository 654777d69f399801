"""Prints the factors of heat.toml again:  python -m tests.goals.calibrate

Split-conformal, by bisection: the factor with which the 80 % ranges of pots
that are never scored hold the truth in 80 of 100 cases.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from tests.goals.cupboard import CUPBOARD
from tests.goals.pots import Pot, cool
from tests.goals.scoring import MOMENTS, readings_of
from workbench.core.catalogue.model import Confidence, Figure
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import Crossing, forecast


def coverage(pots: Sequence[Pot], factor: float, *, setting: bool) -> float:
    names = ("interval_factor", "interval_factor_set", "interval_factor_unstirred")
    figures = {name: Figure(value=factor, source="trial", confidence=Confidence.DERIVED) for name in names}
    inside = []
    for pot in pots:
        seen = pot.set_c + float(np.random.default_rng([pot.seed, 85]).normal(0, 1.0))
        blend = Blend.of(pot.composition, CUPBOARD, observed_c=seen if setting else None)
        truth = pot.sets_s if setting else pot.crossing_s(pot.limit_c)
        # setting is scored at a quarter and a half; later the knee itself decides, not the forecast
        for moment in MOMENTS[:2] if setting else MOMENTS:
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
            found: Crossing | None = made.sets if setting else made.crossings[0]
            assert found is not None
            inside.append((found.low80_s or 0.0) <= truth <= (found.high80_s or np.inf))
    return float(np.mean(inside))


def factor_for_80(covered: Callable[[float], float]) -> float:
    low, high = 0.4, 2.0
    for _ in range(5):
        middle = (low + high) / 2
        low, high = (middle, high) if covered(middle) < 0.8 else (low, middle)
    return (low + high) / 2


def main() -> None:
    stirred = cool(list(range(50_000, 50_200)))
    print("interval_factor", round(factor_for_80(lambda f: coverage(stirred, f, setting=False)), 2))
    print("interval_factor_set", round(factor_for_80(lambda f: coverage(stirred, f, setting=True)), 2))
    unstirred = cool(list(range(51_000, 51_060)), stirred=False)
    print(
        "interval_factor_unstirred", round(factor_for_80(lambda f: coverage(unstirred, f, setting=False)), 2)
    )


if __name__ == "__main__":
    main()
