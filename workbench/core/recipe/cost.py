"""What a batch costs, from the prices on the maker's lots."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from workbench.core.catalogue.shelf import Lot
from workbench.core.recipe.weighed import Cost, Line
from workbench.core.wording import Number, say


def price_per_kg(material: str, lot: str | None, lots: Mapping[str, Sequence[Lot]]) -> float | None:
    """Of the lot chosen, or else of the first lot of that material that has a price."""
    of_material = lots.get(material, ())
    chosen = next((row for row in of_material if row.key == lot), None)
    if chosen is not None and chosen.price_per_kg is not None:
        return chosen.price_per_kg
    return next((row.price_per_kg for row in of_material if row.price_per_kg is not None), None)


def cost_of(lines: Sequence[Line], currency: str) -> Cost:
    """The sum, or None with the lines that have no price; packaging and work are not in it."""
    used = [line for line in lines if line.exact_g > 0]
    missing = tuple(line.name for line in used if line.cost is None)
    known = sum(line.cost for line in used if line.cost is not None)
    if not missing:
        return Cost(known, currency, ())
    if len(missing) == len(used):
        return Cost(
            None, currency, missing, say("No line has a price yet. Add prices to the lots on the shelf.")
        )
    why = say(
        "No price is known for {names}; the other lines come to {known} {currency}.",
        names=", ".join(missing),
        known=Number(known, 2),
        currency=currency,
    )
    return Cost(None, currency, missing, why)
