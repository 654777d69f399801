"""The window ahead: when a cooling jug will cross a temperature, and how sure that is.

Bayesian estimate on the lumped model of `cooling`: maximum a posteriori by
Gauss-Newton with a heavy-tailed likelihood (Student, so that one typing slip
counts for next to nothing), Laplace's approximation around it, and a fixed set
of draws pushed through the model to every crossing.  Draughts wander: their
factor is unknown at knots in time, with a memory of some minutes, before and
after now.  All of it is deterministic; an update takes some 50 ms however
long the batch has run.

The gate for fragrance is never this forecast but a stirred reading.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from workbench.core.catalogue.model import Figure
from workbench.core.catalogue.shelf import Learned, Vessel
from workbench.core.heat.blend import Blend
from workbench.core.heat.cooling import BASE, LOSS, Field, Jug, describe, loss_says, paths
from workbench.core.heat.fitting import (
    BASE_AT,
    LOSS_AT,
    PAST_STEPS,
    ROOM,
    SET,
    START,
    Fit,
    Reading,
    guesses_of,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import Count, Degrees, Duration, Kelvins, say

__all__ = ["Crossing", "Fan", "Forecast", "Reading", "forecast"]

DRAWS = 160
ODD_K = 6.0
SET_AT = (0.25, 0.5, 0.75)  # of the way to the start of setting
SET_FACTORS = ("interval_factor_set_quarter", "interval_factor_set", "interval_factor_set_three_quarters")
SETS_AT_K = 0.75  # the wall sets while the mean is still this much above the set point


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the mean falls to a temperature, in seconds from the first reading's zero.

    None: not within four hours.  `low80_s` to `high80_s` holds the truth in about 80 of 100 cases.
    A crossing before now lies in the past and is given all the same.
    """

    below_c: float
    median_s: float | None
    low80_s: float | None
    high80_s: float | None

    def remaining_s(self, now_s: float) -> float | None:
        return None if self.median_s is None else max(self.median_s - now_s, 0.0)


@dataclass(frozen=True, slots=True)
class Fan:
    """The curve and its 80 % band, for drawing; seconds from the first reading's zero and °C."""

    seconds: tuple[float, ...]
    median_c: tuple[float, ...]
    low80_c: tuple[float, ...]
    high80_c: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    crossings: tuple[Crossing, ...]
    sets: Crossing | None  # when it starts to set, with the set point itself uncertain; None: it does not
    floor: Crossing | None  # set point + 3 K: the end of the window
    now_s: float
    now_c: float
    now_low80_c: float
    now_high80_c: float
    rate_k_min: float  # negative: cooling
    set_point_c: float | None
    set_point_sd_k: float
    set_point_found: bool  # the curve has shown its knee
    next_reading_s: float  # when a reading is most worth taking, same zero
    odd: tuple[int, ...]  # readings that fit nothing: ask about them
    fan: Fan
    loss: Learned  # what this batch says of the vessel
    base: Learned
    stirred: bool  # every recent reading was
    says: tuple[str, ...]  # what was assumed, what would narrow it
    fastest_k_min: float = math.inf  # cooling now, in the fastest of the draws; above 0
    bends: str = ""  # the sentence in `says` that the curve has shown its knee

    def window_s(self, opens: Crossing) -> float | None:
        """How long the window lasts after it opens; None if either end is not known."""
        if self.floor is None or self.floor.median_s is None or opens.median_s is None:
            return None
        return max(self.floor.median_s - max(opens.median_s, self.now_s), 0.0)


def forecast(
    readings: Sequence[Reading],
    blend: Blend,
    vessel: Vessel | None,
    mass_g: float,
    room_c: float,
    *,
    below: Sequence[float] = (),
    now_s: float | None = None,
    room_sd_k: float = 1.5,
    resolution_k: float = 0.1,
    probe_sd_k: float = 0.5,
    figures: Mapping[str, Figure] | None = None,
) -> Forecast:
    """When the jug falls to each of `below` (°C), from its readings since it left the heat.

    `mass_g` 5 to 20,000; at least one reading, in order of time.  `probe_sd_k`: how far the probe may be
    off (0.2 for one that was checked).  `now_s` defaults to the last reading.  `figures`: calibrated
    factors of the catalogue (`heat.toml`).  Raises Trouble where there is nothing to go by.
    """
    if not readings:
        raise Trouble(say("A forecast needs at least one reading. Stir, read and type it in."))
    if any(late.seconds < early.seconds for early, late in pairwise(readings)):
        raise Trouble(say("The readings are not in order of time. Sort them."))
    if not 1 <= mass_g <= 50_000:
        raise Trouble(say("A forecast needs the mass in the jug, in grams."))
    jug = describe(blend, vessel, mass_g)
    now = readings[-1].seconds if now_s is None else max(now_s, readings[-1].seconds)
    fit = Fit.of(readings, jug, room_c, now, room_sd_k, resolution_k, probe_sd_k)
    made = _read_out(fit, jug, blend, vessel, below, room_c, _widths(figures, fit.stirred))
    doubt = loss_says(vessel, mass_g)
    # the last sentence stays the last: it is about the next reading
    return replace(made, says=(*made.says[:-1], doubt, made.says[-1])) if doubt else made


@dataclass(frozen=True, slots=True)
class _Widths:
    """Factors that make 80 % out of what the model thinks are 80 %; 1 where nothing was calibrated.

    The start of setting has three, for a forecast made at a quarter, a half and three quarters of the way: the
    nearer it comes, the more the set point itself counts, and the less the draughts the model knows of.
    """

    draws: float
    set_stretches: tuple[float, ...]

    def stretched(self, found: Crossing, now_s: float, zero_s: float) -> Crossing:
        """By how much of the way, in the best estimate, lies behind; `now_s` from `zero_s`."""
        way_s = np.inf if found.median_s is None else max(found.median_s - zero_s, 1.0)
        return _stretched(found, float(np.interp(now_s / way_s, SET_AT, self.set_stretches)))


def _widths(figures: Mapping[str, Figure] | None, stirred: bool) -> _Widths:
    def factor(key: str) -> float:
        found = None if figures is None else figures.get(key)
        return 1.0 if found is None else found.value

    draws = factor("interval_factor" if stirred else "interval_factor_unstirred")
    calibrated_with = factor("interval_factor")
    return _Widths(draws, tuple(max(factor(key) / calibrated_with, 0.2) for key in SET_FACTORS))


def _draws(size: int) -> Field:
    """The same normal numbers at every call, in pairs of opposite sign so that medians stand still."""
    half = np.random.default_rng(20260101).normal(size=(size, DRAWS // 2))
    half -= half.mean(axis=1, keepdims=True)
    half /= half.std(axis=1, keepdims=True)
    return np.concatenate((np.zeros((size, 1)), half, -half), axis=1)


def _read_out(
    fit: Fit,
    jug: Jug,
    blend: Blend,
    vessel: Vessel | None,
    below: Sequence[float],
    room_c: float,
    widths: _Widths,
) -> Forecast:
    widen = widths.draws
    unknowns = fit.mean[:, None] + widen * (fit.root @ _draws(len(fit.mean)))
    unknowns[ROOM] = np.minimum(unknowns[ROOM], unknowns[START] - 1.0)
    past = np.linspace(0.0, max(fit.now_s, 1.0), max(3, min(PAST_STEPS, int(fit.now_s / 5) + 3)))
    future = 5.0 * (1.06 ** np.arange(1, 91) - 1) / 0.06
    grid = np.concatenate((past, past[-1] + future))
    path = paths(jug, guesses_of(unknowns), grid, fit.knots_s)
    now_row = len(past) - 1

    def crossing(target: Field, label_c: float) -> Crossing:
        return _crossing(grid, path, target, label_c, fit.zero_s)

    sets = floor = None
    if jug.sets:
        sets = crossing(unknowns[SET] + SETS_AT_K, float(fit.mean[SET]))
        floor = crossing(unknowns[SET] + 3.0, float(fit.mean[SET]) + 3.0)
        sets, floor = (widths.stretched(each, fit.now_s, fit.zero_s) for each in (sets, floor))
    crossings = tuple(crossing(np.full(path.shape[1], float(c)), float(c)) for c in below)
    low, middle, high = np.quantile(path, (0.1, 0.5, 0.9), axis=1)
    sd = np.sqrt((fit.root**2).sum(axis=1)) * widen
    rates = (path[now_row + 1] - path[now_row]) / (grid[now_row + 1] - grid[now_row]) * 60
    found = bool(
        jug.sets
        and fit.now_s > 0
        and float(middle[now_row]) < fit.mean[SET] - 0.5
        and sd[SET] < max(1.3, 0.6 * jug.set_point_sd_k)
        and sd[SET] < 0.75 * jug.set_point_sd_k
    )
    made = Forecast(
        crossings=crossings,
        sets=sets,
        floor=floor,
        now_s=fit.zero_s + fit.now_s,
        now_c=float(path[now_row, 0]),
        now_low80_c=float(low[now_row]),
        now_high80_c=float(high[now_row]),
        rate_k_min=float(rates[0]),
        set_point_c=float(fit.mean[SET]) if jug.sets else None,
        set_point_sd_k=float(sd[SET]) if jug.sets else 0.0,
        set_point_found=found,
        next_reading_s=0.0,
        odd=tuple(int(at) for at in np.nonzero(np.abs(fit.residuals) > np.maximum(ODD_K, 8 * fit.scale))[0]),
        fan=_fan(grid, low, middle, high, fit.zero_s, now_row),
        loss=Learned(what=LOSS, value=float(fit.mean[LOSS_AT]), sd=float(sd[LOSS_AT]), batches=1),
        base=Learned(what=BASE, value=float(fit.mean[BASE_AT]), sd=float(sd[BASE_AT]), batches=1),
        stirred=fit.stirred,
        says=(),
        fastest_k_min=max(-float(rates.min()), 1e-3),
        bends=say(
            "The curve bends near {celsius}: it has begun to set.", celsius=Degrees(float(fit.mean[SET]))
        )
        if found
        else "",
    )
    made = replace(made, next_reading_s=fit.zero_s + _next_reading(grid, low, high, now_row, crossings, fit))
    return replace(made, says=_says(made, blend, vessel, room_c))


def _crossing(grid: Field, path: Field, target: Field, label_c: float, zero_s: float) -> Crossing:
    below = path <= target[None, :]
    first = below.argmax(axis=0)
    never = ~below.any(axis=0)
    row = np.maximum(first, 1)
    column = np.arange(path.shape[1])
    upper, lower = path[row - 1, column], path[row, column]
    part = np.clip((upper - target) / np.maximum(upper - lower, 1e-9), 0.0, 1.0)
    at = grid[row - 1] + part * (grid[row] - grid[row - 1])
    at = np.where(first == 0, 0.0, at)
    at = np.where(never, np.inf, at)
    low, median, high = np.quantile(at, (0.1, 0.5, 0.9), method="nearest")

    def seconds(value: float) -> float | None:
        return float(value) + zero_s if np.isfinite(value) and value <= grid[-1] else None

    return Crossing(label_c, seconds(median), seconds(low), seconds(high))


def _stretched(found: Crossing, factor: float) -> Crossing:
    if found.median_s is None:
        return found

    def moved(end: float | None) -> float | None:
        assert found.median_s is not None
        return None if end is None else max(found.median_s + factor * (end - found.median_s), 0.0)

    return replace(found, low80_s=moved(found.low80_s), high80_s=moved(found.high80_s))


def _fan(grid: Field, low: Field, middle: Field, high: Field, zero_s: float, now_row: int) -> Fan:
    keep = slice(0, now_row + 70)

    def numbers(values: Field) -> tuple[float, ...]:
        return tuple(float(value) for value in values[keep])

    return Fan(numbers(grid + zero_s), numbers(middle), numbers(low), numbers(high))


def _next_reading(
    grid: Field, low: Field, high: Field, now_row: int, crossings: tuple[Crossing, ...], fit: Fit
) -> float:
    """Seconds from zero: when the band has grown to twice what a reading tells, or before a crossing."""
    noise = 2.56 * float(fit.scale.min())
    wide = np.nonzero(high[now_row:] - low[now_row:] > max(1.5 * noise, 1.3 * (high - low)[now_row]))[0]
    wait = float(grid[now_row + wide[0]] - grid[now_row]) if len(wide) else 300.0
    ahead = [
        each.low80_s - fit.zero_s - fit.now_s
        for each in crossings
        if each.low80_s is not None and each.low80_s - fit.zero_s > fit.now_s
    ]
    if ahead:
        wait = min(wait, max(min(ahead), 20.0))
    if len(fit.seconds) < 4:
        wait = min(wait, 60.0)
    return fit.now_s + float(np.clip(wait, 20.0, 300.0))


def _says(made: Forecast, blend: Blend, vessel: Vessel | None, room_c: float) -> tuple[str, ...]:
    lines: list[str] = []
    if made.odd:
        lines.append(
            say(
                "{count} readings fit none of the others and count for little. Were they typed right?",
                "One reading fits none of the others and counts for little. Was it typed right?",
                count=Count(len(made.odd)),
            )
        )
    if not made.stirred:
        lines.append(
            say("Not stirred before reading: the probe sits in the hot middle. Stir 20 s, then read.")
        )
    if vessel is None:
        lines.append(say("The vessel is not known: a glass one was assumed, and the range is wide."))
    if blend.set_point.celsius is not None and made.set_point_sd_k > 1.5:
        lines.append(
            say(
                "The set point is known to {sd} only. A drop on a cold plate, read once, narrows it for good.",
                sd=Kelvins(1.28 * made.set_point_sd_k, 0),
            )
        )
    if made.bends:
        lines.append(made.bends)
    lines.append(say("Room taken as {room}.", room=Degrees(room_c)))
    wait = made.next_reading_s - made.now_s
    lines.append(say("The next reading is most worth taking in {wait}.", wait=Duration(wait)))
    return tuple(lines)
