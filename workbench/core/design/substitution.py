"""An oil that is missing, replaced by what is nearest: in volatility, strength and limits.

The claim is modest.  What is compared can be computed: how an oil leaves the
skin, how strongly it smells per gram, which constituents it shares, and how
much of it the limits allow.  Whether it is as beautiful nobody computes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Place, Use
from workbench.core.design.headroom import headroom
from workbench.core.design.in_stock import in_stock
from workbench.core.recipe.change import change
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.densities import density_of
from workbench.core.recipe.model import Amount, Measure, Recipe, ScentLine
from workbench.core.scent.course import HOUR_S, course
from workbench.core.scent.strength import strength
from workbench.core.scent.volatility import Array, Carrier, Film, carrier_of, volatility_of
from workbench.core.trouble import Trouble
from workbench.core.wording import Grams, Number, Said, Share, say

QUANTILES = (0.25, 0.5, 0.75, 0.9)  # of the volatile mass that has left
# How much each difference counts: decades of time, decades of dose, share of mass not in common.
TIME_WEIGHT, STRENGTH_WEIGHT, MAKE_WEIGHT = 1.0, 0.7, 1.5
FAR = 1.5  # beyond this distance nothing is called near


@dataclass(frozen=True, slots=True)
class Substitute:
    """One oil in place of another, `grams` for the grams that were meant.

    `distance` 0 is the same; `in_common` is the share of mass 0..1 in
    constituents that both have; `left_hour` and `left_hour_before` are the
    shares left on skin after an hour.
    """

    oil: str
    grams: float
    distance: float
    in_common: float
    left_hour: float
    left_hour_before: float
    within_limits: bool | None
    says: tuple[Said, ...]


def substitutes(
    missing: str,
    composition: Composition,
    catalogue: Catalogue,
    uses: Iterable[Use],
    place: Place,
    *,
    offered: Iterable[str] | None = None,
    most: int = 3,
    today: date | None = None,
) -> tuple[Substitute, ...]:
    """The nearest oils for `missing` in this balm, nearest first.

    `offered` defaults to the scent materials with a lot on the shelf, and to
    all known ones where the shelf is empty; by `today` what is past its date
    altogether is not offered (None asks for no dates).  Raises `Trouble` where nothing
    is known of what the missing oil is made of.
    """
    uses = tuple(uses)
    volatility = volatility_of(catalogue)
    name = catalogue.material(missing).name
    if missing not in volatility.contents:
        raise Trouble(
            say("Nothing is known of what {name} is made of, so nothing can be called near to it.", name=name)
        )
    masses = composition.as_dict()
    meant_g = masses.get(missing, 0.0)
    rest = Composition.of([(key, mass) for key, mass in masses.items() if key != missing])
    carrier = carrier_of(composition, catalogue)
    shelf = dict.fromkeys(lot.material for lot in catalogue.shelf.lots)
    usable = [key for key in shelf if in_stock(key, catalogue, today).gone is None]
    pool = tuple(offered) if offered is not None else tuple(usable if shelf else catalogue.materials)
    found = []
    for oil in dict.fromkeys(pool):
        if oil == missing or oil in masses or oil not in volatility.contents:
            continue
        one = _compare(missing, oil, meant_g, rest, carrier, catalogue, uses, place)
        if one.distance <= FAR:
            found.append(one)
    found.sort(key=lambda one: (one.within_limits is False, one.distance))
    return tuple(found[:most])


def with_substitute(
    recipe: Recipe, missing: str, found: Substitute, meant_g: float, catalogue: Catalogue
) -> Recipe:
    """The recipe with another oil on the line of the missing one; its note is that of the new oil.

    `meant_g` are the grams of the missing oil that `found` was reckoned for.
    """
    lines = []
    for line in recipe.scent:
        if line.material != missing:
            lines.append(line)
            continue
        factor = found.grams / meant_g if meant_g > 0 else 1.0
        old, new = (density_of(key, catalogue.materials) for key in (missing, found.oil))
        if line.amount.measure in (Measure.DROPS, Measure.MILLILITRES) and old and new:
            factor *= old / new  # both count volume
        value = line.amount.value * factor
        if line.amount.measure is Measure.DROPS:
            value = max(1.0, round(value))
        lines.append(
            ScentLine(
                material=found.oil,
                amount=Amount(value=round(value, 3) or 0.001, measure=line.amount.measure),
                note=catalogue.material(found.oil).note or line.note,
                scale=line.scale,
            )
        )
    return change(recipe, scent=tuple(lines))


def profile(oil: str, catalogue: Catalogue, carrier: Carrier) -> Array:
    """log10 of the times in s by which given shares of the volatile mass have left."""
    volatility = volatility_of(catalogue)
    places, shares = volatility.contents[oil]
    rates = volatility.rates_per_s(carrier, Film())[places]
    moves = rates > 0
    if not moves.any():
        return np.full(len(QUANTILES), 9.0)
    shares, rates = shares[moves] / shares[moves].sum(), rates[moves]
    grid = np.geomspace(1.0, 1e9, 400)
    gone = 1.0 - shares @ np.exp(-np.minimum(np.outer(rates, grid), 60.0))
    made: Array = np.interp(QUANTILES, gone, np.log10(grid))
    return made


def _compare(
    missing: str,
    oil: str,
    meant_g: float,
    rest: Composition,
    carrier: Carrier,
    catalogue: Catalogue,
    uses: tuple[Use, ...],
    place: Place,
) -> Substitute:
    wanted_g = meant_g if meant_g > 0 else 1.0
    # Equal strength after a quarter of an hour decides the grams, within a third and three times.
    old, new = _loudness(missing, rest, wanted_g, catalogue), _loudness(oil, rest, wanted_g, catalogue)
    decades = max(-0.5, min(0.5, old - new)) if math.isfinite(old) and math.isfinite(new) else 0.0
    grams = wanted_g * 10.0**decades
    times = float(np.mean(np.abs(profile(missing, catalogue, carrier) - profile(oil, catalogue, carrier))))
    in_common = _in_common(missing, oil, catalogue)
    strengths = min(abs(old - new), 3.0) if math.isfinite(old) and math.isfinite(new) else 1.0
    distance = TIME_WEIGHT * times + STRENGTH_WEIGHT * 0.5 * strengths + MAKE_WEIGHT * (1.0 - in_common) * 0.5
    room = headroom(rest, catalogue, uses, place, oil) if rest.mass_g > 0 else None
    within = None if room is None or room.grams is None or not room.complete else room.grams >= grams
    left = [
        course(rest.plus({key: wanted_g}), catalogue, np.array([HOUR_S]), carrier=carrier).left_at(
            key, HOUR_S
        )
        for key in (oil, missing)
    ]
    return Substitute(
        oil=oil,
        grams=grams,
        distance=distance,
        in_common=in_common,
        left_hour=left[0],
        left_hour_before=left[1],
        within_limits=within,
        says=(
            say(
                "{grams} of {name} for {meant} of {missing}: after an hour {left} of it is left instead of {before}.",
                grams=Grams(grams, 2),
                name=catalogue.material(oil).name,
                meant=Grams(wanted_g, 2),
                missing=catalogue.material(missing).name,
                left=Share(100 * left[0], 0),
                before=Share(100 * left[1], 0),
            ),
            _say_limits(oil, grams, within, room.grams if room else None, catalogue),
            say(
                "They share {common} of what they are made of; whether it is as beautiful only your nose can tell.",
                common=Share(100 * in_common, 0),
            ),
        ),
    )


def _loudness(oil: str, rest: Composition, grams: float, catalogue: Catalogue) -> float:
    """Decades of dose by which its strongest constituent is above half-way, after a quarter of an hour."""
    run = course(rest.plus({oil: grams}), catalogue, np.array([900.0]))
    if oil not in run.oils:
        return -math.inf
    row = run.oils.index(oil)
    of_it = strength(run, {})
    value, lead = float(of_it.oils[row, 0]), int(of_it.oil_leads[row, 0])
    if lead < 0 or value <= 0:
        return -math.inf
    v = run.volatility
    ratio = float(v.odour_max[lead]) / value - 1.0
    width_decades = float(v.odour_width[lead])
    return -width_decades * math.log(max(ratio, 1e-12))


def _in_common(one: str, other: str, catalogue: Catalogue) -> float:
    contents = volatility_of(catalogue).contents
    (a, share_a), (b, share_b) = contents[one], contents[other]
    first = dict(zip(a.tolist(), (share_a / share_a.sum()).tolist(), strict=True))
    second = dict(zip(b.tolist(), (share_b / share_b.sum()).tolist(), strict=True))
    return float(sum(min(share, second.get(key, 0.0)) for key, share in first.items()))


def _say_limits(
    oil: str, grams: float, within: bool | None, room_g: float | None, catalogue: Catalogue
) -> Said:
    name = catalogue.material(oil).name
    if within is None or room_g is None:
        return say("The limits on skin for {name} in this balm cannot be judged.", name=name)
    if not within:
        return say("Of {name} the limits on skin allow only {room} here.", name=name, room=Grams(room_g, 2))
    if math.isinf(room_g):
        return say("No limit on skin stands against {name} here.", name=name)
    return say(
        "The limits on skin leave room for {times} times as much of {name}.",
        times=Number(room_g / grams, 1),
        name=name,
    )
