"""Which scale carries a line, what it will show, and what to do where none is fine enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil, floor

from workbench.core.catalogue.shelf import Scale
from workbench.core.recipe.shares import Affine
from workbench.core.recipe.weighed import Drops, WayOut
from workbench.core.units import (
    DROP_G,
    DROPS_PER_ML,
    DROPS_PER_ML_FEW,
    DROPS_PER_ML_MANY,
    drops_g,
)
from workbench.core.wording import Count, Grams, Number, Share, say

GOOD_ENOUGH_PERCENT = 5.0
_LAST_BIT = 1 + 1e-9  # forgives the last bit of arithmetic at exactly 5 %
_LARGEST_BATCH_G = 20_000.0  # what a recipe may be made for
# Each weighing of a dilution may be wrong by 2 %, so that the two that count stay under 5 %.
_DILUTION_DIGITS = 25.0
_FEWEST_DROPS = 1


@dataclass(frozen=True, slots=True)
class Reading:
    """What one scale makes of one mass."""

    scale: str | None
    readability_g: float | None
    weigh_g: float
    error_percent: float | None
    goes: int = 1  # weighings needed because of the capacity

    @property
    def weighable(self) -> bool:
        return self.error_percent is not None and self.error_percent <= GOOD_ENOUGH_PERCENT * _LAST_BIT


def best_scale(mass_g: float, scales: Sequence[Scale]) -> Scale | None:
    """The finest that can carry it; if none can, the one that carries most."""
    able = [scale for scale in scales if mass_g <= scale.capacity_g]
    if able:
        return min(able, key=lambda scale: (scale.readability_g, scale.capacity_g))
    return max(scales, key=lambda scale: scale.capacity_g, default=None)


def rounded_to(mass_g: float, readability_g: float) -> float:
    """The nearest mass a scale can show; halves go up."""
    return round(floor(mass_g / readability_g + 0.5) * readability_g, decimals_of(readability_g))


@cache
def decimals_of(readability_g: float) -> int:
    """Decimals a scale shows: 0.1 -> 1, 0.05 -> 2, 1 -> 0."""
    decimals = 0
    while decimals < 6 and abs(readability_g * 10**decimals - round(readability_g * 10**decimals)) > 1e-6:
        decimals += 1
    return decimals


def read_on(mass_g: float, scale: Scale | None) -> Reading:
    """Half a digit for each weighing, over the mass.  Without a scale: to 0.01 g, unjudged."""
    if scale is None:
        return Reading(None, None, round(mass_g, 2), None)
    goes = max(1, ceil(mass_g / scale.capacity_g))
    error = 100 * goes * scale.readability_g / 2 / mass_g if mass_g > 0 else 0.0
    return Reading(scale.key, scale.readability_g, rounded_to(mass_g, scale.readability_g), error, goes)


@dataclass(frozen=True, slots=True)
class Carrier:
    """The carrier line a dilution can be made in."""

    name: str
    mass_g: float


def ways_out(
    name: str,
    mass_g: float,
    affine: Affine,
    batch_g: float,
    scale: Scale,
    *,
    others: Sequence[Scale] = (),
    density_g_ml: float | None,
    liquid: bool,
    carrier: Carrier | None,
) -> tuple[WayOut, ...]:
    """What to do about `mass_g` of a line that `scale` cannot weigh to 5 %."""
    offers = (
        _other_scale(name, mass_g, others),
        _dilution(name, mass_g, scale, carrier) if liquid else None,
        _drops(name, mass_g, density_g_ml) if liquid else None,
        _larger_batch(name, affine, batch_g, scale),
    )
    return tuple(offer for offer in offers if offer is not None)


def _other_scale(name: str, mass_g: float, others: Sequence[Scale]) -> WayOut | None:
    """A finer scale at hand, where a coarse one was chosen for the line."""
    best = best_scale(mass_g, others)
    reading = read_on(mass_g, best)
    if best is None or not reading.weighable:
        return None
    return WayOut(
        kind="other scale",
        says=say(
            "Weigh {name} on “{scale}”, which can do it to {error}.",
            name=name,
            scale=best.name,
            error=Share(reading.error_percent or 0.0),
        ),
        scale=best.key,
    )


def _drops(name: str, mass_g: float, density_g_ml: float | None) -> WayOut | None:
    density = DROP_G * DROPS_PER_ML if density_g_ml is None else density_g_ml
    count = round(mass_g * DROPS_PER_ML / density)
    if count < _FEWEST_DROPS or mass_g > 60 * density / DROPS_PER_ML:
        return None  # less than half a drop, or more than anybody counts without a slip
    typical, low, high = drops_g(count, density_g_ml)
    return WayOut(
        kind="drops",
        says=say(
            "Count drops of {name}: {count} weigh about {typical}, and with another dropper {low} to {high} ({few} to {many} drops per mL).",
            "Count one drop of {name}: it weighs about {typical}, and with another dropper {low} to {high} ({few} to {many} drops per mL).",
            name=name,
            count=Count(count),
            typical=Grams(typical, 2),
            low=Grams(low, 2),
            high=Grams(high, 2),
            few=Number(DROPS_PER_ML_FEW, 0),
            many=Number(DROPS_PER_ML_MANY, 0),
        ),
        drops=Drops(typical=count, low_g=low, high_g=high),
    )


def _dilution(name: str, mass_g: float, scale: Scale, carrier: Carrier | None) -> WayOut | None:
    """One round dilution: weigh oil and carrier well, then take enough of it to weigh well."""
    least = _DILUTION_DIGITS * scale.readability_g
    if carrier is None or mass_g <= 0:
        return None
    times = next((k for k in (2, 5, 10, 20, 50, 100) if k * mass_g >= least), None)
    if times is None or times * least > scale.capacity_g:
        return None
    oil = rounded_to(least, scale.readability_g)
    thinned = rounded_to((times - 1) * oil, scale.readability_g)
    take = rounded_to(mass_g * (oil + thinned) / oil, scale.readability_g)
    brought = take * thinned / (oil + thinned)
    if brought > carrier.mass_g:
        return None  # the recipe has not so much carrier to give
    digits = decimals_of(scale.readability_g)
    return WayOut(
        kind="dilution",
        says=say(
            "Mix {oil} of {name} with {thinned} of {carrier}, and weigh {take} of that; take {brought} less of {carrier}.",
            oil=Grams(oil, digits),
            name=name,
            thinned=Grams(thinned, digits),
            carrier=carrier.name,
            take=Grams(take, digits),
            brought=Grams(brought, digits),
        ),
        dilute_oil_g=oil,
        dilute_carrier_g=thinned,
        take_g=take,
    )


def _larger_batch(name: str, affine: Affine, batch_g: float, scale: Scale) -> WayOut | None:
    needed = scale.readability_g / 2 / (GOOD_ENOUGH_PERCENT / 100)
    if needed > scale.capacity_g or not affine.at(batch_g) < needed <= affine.at(_LARGEST_BATCH_G):
        return None  # its grams stay the same, or nobody makes so much
    batch = ceil((needed - affine.fixed) / affine.per_g * 10 - 1e-6) / 10
    return WayOut(
        kind="larger batch",
        says=say(
            "Make at least {batch}; from there on {name} can be weighed on this scale.",
            batch=Grams(batch, 1),
            name=name,
        ),
        batch_g=batch,
    )
