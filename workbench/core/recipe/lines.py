"""Every line of a worked-out recipe as it is weighed: scale, rounding, ways out, cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from workbench.core.catalogue.model import Material, MaterialKind
from workbench.core.catalogue.shelf import Lot, Scale, Shelf
from workbench.core.recipe.cost import price_per_kg
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe, ScentLine
from workbench.core.recipe.scales import Carrier, best_scale, read_on, ways_out
from workbench.core.recipe.shares import Affine
from workbench.core.recipe.weighed import Line, WayOut, Where
from workbench.core.units import plain_number
from workbench.core.wording import Count, Grams, Said, say

_LIQUID = (MaterialKind.CARRIER, MaterialKind.OIL, MaterialKind.BLEND)


class Worked(NamedTuple):
    """One line whose mass is known; `density_g_ml` None where nobody knows it."""

    material: Material
    density_g_ml: float | None
    mass: Affine


def lines_to_weigh(
    recipe: Recipe, shelf: Shelf, worked: Sequence[Worked], batch_g: float, notes: list[Said]
) -> tuple[Line, ...]:
    """Lines of base, then scent, in the order of the recipe; remarks go onto `notes`."""
    if not shelf.scales:
        notes.append(
            say("There is no scale on the shelf, so nothing could be matched to what it shows. Add one.")
        )
    lots: dict[str, list[Lot]] = {}
    for lot in shelf.lots:
        lots.setdefault(lot.material, []).append(lot)
    base = len(recipe.base)
    carrier = _carrier(worked[:base], batch_g)
    meant: tuple[BaseLine | ScentLine, ...] = (*recipe.base, *recipe.scent)
    return tuple(
        _line(
            recipe,
            row,
            line,
            (Where.BASE, at) if at < base else (Where.SCENT, at - base),
            batch_g,
            _scale(row, line, batch_g, shelf, notes),
            shelf.scales,
            carrier,
            lots,
        )
        for at, (row, line) in enumerate(zip(meant, worked, strict=True))
    )


def _line(
    recipe: Recipe,
    meant: BaseLine | ScentLine,
    worked: Worked,
    place: tuple[Where, int],
    batch_g: float,
    scale: Scale | None,
    scales: Sequence[Scale],
    carrier: Carrier | None,
    lots: Mapping[str, Sequence[Lot]],
) -> Line:
    material, density, mass = worked
    exact_g = mass.at(batch_g)
    reading = read_on(exact_g, scale)
    offers: tuple[WayOut, ...] = ()
    if scale is not None and exact_g > 0 and not reading.weighable:
        offers = ways_out(
            material.name,
            exact_g,
            mass,
            batch_g,
            scale,
            others=scales if meant.scale else (),  # otherwise the best was taken anyway
            density_g_ml=density,
            liquid=material.kind in _LIQUID,
            carrier=None if carrier is None or carrier.name == material.name else carrier,
        )
    held_back = 0.0
    if recipe.premix is not None and place[0] is Where.BASE and recipe.premix.carrier == material.key:
        held_back = exact_g * recipe.premix.share_of_carrier_percent / 100
    price = price_per_kg(material.key, meant.lot, lots)
    return Line(
        where=place[0],
        index=place[1],
        material=material.key,
        name=material.name,
        as_meant=as_meant(meant.amount),
        exact_g=exact_g,
        weigh_g=reading.weigh_g,
        share_percent=100 * exact_g / batch_g,
        scale=reading.scale,
        readability_g=reading.readability_g,
        error_percent=reading.error_percent,
        weighable=reading.weighable,
        ways_out=offers,
        cost=None if price is None else exact_g / 1000 * price,
        held_back_g=held_back,
    )


def _scale(
    meant: BaseLine | ScentLine, worked: Worked, batch_g: float, shelf: Shelf, notes: list[Said]
) -> Scale | None:
    """The scale chosen for the line, or the best at hand; says what is odd about it."""
    mass_g = worked.mass.at(batch_g)
    chosen = next((scale for scale in shelf.scales if scale.key == meant.scale), None)
    if meant.scale and chosen is None and shelf.scales:
        notes.append(
            say(
                "The scale chosen for {name} is no longer on the shelf; the best one at hand was taken.",
                name=worked.material.name,
            )
        )
    scale = chosen or best_scale(mass_g, shelf.scales)
    if scale is not None and mass_g > scale.capacity_g:
        notes.append(
            say(
                "{name} is more than “{scale}” carries; weigh it in {count} goes.",
                "{name} is more than “{scale}” carries; weigh it in one go.",
                name=worked.material.name,
                scale=scale.name,
                count=Count(read_on(mass_g, scale).goes),
            )
        )
    return scale


def _carrier(base: Sequence[Worked], batch_g: float) -> Carrier | None:
    """The largest line of carrier oil, for dilutions."""
    found = [
        Carrier(line.material.name, line.mass.at(batch_g))
        for line in base
        if line.material.kind is MaterialKind.CARRIER
    ]
    return max(found, key=lambda carrier: carrier.mass_g, default=None)


def as_meant(amount: Amount) -> str:
    """The amount in the maker's words: as typed, or "3 parts"."""
    return amount.typed or _in_words(amount.value, amount.measure)


@lru_cache(maxsize=1024)  # every edit asks again for every line
def _in_words(value: float, measure: Measure) -> Said:
    number = plain_number(value)
    if measure is Measure.PARTS:
        if number.digits:
            return say("{number} parts", number=number)
        return say("{count} parts", "{count} part", count=Count(value))
    if measure is Measure.DROPS:
        if number.digits:
            return say("{number} drops", number=number)
        return say("{count} drops", "{count} drop", count=Count(value))
    if measure is Measure.PERCENT:
        return say("{number} %", number=number)
    if measure is Measure.MILLILITRES:
        return say("{number} mL", number=number)
    return say("{mass}", mass=Grams(value, number.digits))
