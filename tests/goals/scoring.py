"""Scores of forecasts on seeded pots, with their sampling errors, and the two yardsticks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from tests.goals.cupboard import CUPBOARD
from tests.goals.pots import Pot
from workbench.core.catalogue.shelf import Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import Reading, forecast
from workbench.core.rehearsal.body import Field
from workbench.store.resources import load_catalogue

MOMENTS = (0.25, 0.5, 0.75)
NEVER_S = 4 * 3600.0


@dataclass(frozen=True)
class Row:
    seed: int
    moment: float
    remaining_s: float
    error_s: float
    inside: bool
    width_s: float
    newton_s: float
    linear_s: float

    @property
    def relative(self) -> float:
        return self.error_s / self.remaining_s

    def within(self, share: float, floor_s: float) -> bool:
        return abs(self.error_s) <= max(share * self.remaining_s, floor_s)


def newton_s(times: Field, celsius: Field, room_c: float, target_c: float) -> float:
    """Newton's law of cooling fitted by least squares, room given: when it crosses; NEVER_S if not."""

    def off(unknown: Field) -> Field:
        return np.asarray(room_c + (unknown[0] - room_c) * np.exp(-times / np.exp(unknown[1])) - celsius)

    found = least_squares(off, [celsius[0], np.log(1800.0)]).x
    ratio = (found[0] - room_c) / (target_c - room_c)
    return float(np.exp(found[1]) * np.log(ratio)) if ratio > 1 else 0.0 if ratio > 0 else NEVER_S


def linear_s(times: Field, celsius: Field, target_c: float) -> float:
    """A straight line through the last four minutes."""
    recent = times >= times[-1] - 240
    if recent.sum() < 2:
        recent[-2:] = True
    slope, start = np.polyfit(times[recent], celsius[recent], 1)
    return float((target_c - start) / slope) if slope < 0 else NEVER_S


def readings_of(pot: Pot, until_s: float) -> list[Reading]:
    return [
        Reading(float(at), float(celsius), pot.stirred)
        for at, celsius in zip(pot.times_s, pot.readings_c, strict=True)
        if at <= until_s
    ]


def score(
    pots: Sequence[Pot],
    *,
    setting: bool = False,
    vessel: Callable[[Pot], Vessel] = lambda pot: pot.vessel,
    moments: Sequence[float] = MOMENTS,
) -> list[Row]:
    """Forecast each pot at each moment; `setting`: the start of setting, set point measured once (sd 1 K)."""
    figures = load_catalogue().heat
    rows = []
    for pot in pots:
        seen = pot.set_c + float(np.random.default_rng([pot.seed, 85]).normal(0, 1.0))
        blend = Blend.of(pot.composition, CUPBOARD, observed_c=seen if setting else None)
        truth = pot.sets_s if setting else pot.crossing_s(pot.limit_c)
        if truth is None:
            continue
        target_c = seen if setting else pot.limit_c
        for moment in moments:
            now = moment * truth
            given = readings_of(pot, now)
            if len(given) < 4:
                continue
            made = forecast(
                given,
                blend,
                vessel(pot),
                pot.mass_g,
                pot.room_said_c,
                below=[target_c],
                now_s=now,
                resolution_k=pot.conditions.resolution_k,
                figures=figures,
            )
            found = made.sets if setting else made.crossings[0]
            assert found is not None
            times = np.array([each.seconds for each in given])
            celsius = np.array([each.celsius for each in given])
            low = NEVER_S if found.low80_s is None else found.low80_s
            high = NEVER_S if found.high80_s is None else found.high80_s
            rows.append(
                Row(
                    pot.seed,
                    moment,
                    truth - now,
                    (NEVER_S if found.median_s is None else found.median_s) - truth,
                    low <= truth <= high,
                    high - low,
                    newton_s(times, celsius, pot.room_said_c, target_c) - truth,
                    linear_s(times, celsius, target_c) - truth,
                )
            )
    return rows


def at(rows: Sequence[Row], moment: float) -> list[Row]:
    return [row for row in rows if row.moment == moment]


def with_error(values: Sequence[float], statistic: Callable[[Field], float]) -> tuple[float, float]:
    """A statistic and its standard error by 200 resamplings (fixed draws)."""
    numbers = np.asarray(values, dtype=np.float64)
    if not len(numbers):
        return float("nan"), float("nan")
    rng = np.random.default_rng(86)
    again = [statistic(numbers[rng.integers(0, len(numbers), len(numbers))]) for _ in range(200)]
    return float(statistic(numbers)), float(np.std(again))


def median(values: Field) -> float:
    return float(np.median(values))


def mean(values: Field) -> float:
    return float(np.mean(values))


def p90(values: Field) -> float:
    return float(np.quantile(values, 0.9))
