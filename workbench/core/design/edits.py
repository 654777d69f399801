"""Edits of a recipe that remedies propose; each gives one new recipe, so it is one undo step."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.recipe.amounts import Weighed, work_out
from workbench.core.recipe.model import Amount, BaseLine, Measure, Premix, Recipe, ScentLine

# A line that would keep less than this share of itself is left out instead.
_LEAVE_OUT_BELOW = 0.08


def scaled(amount: Amount, factor: float) -> Amount:
    """The same measure with another number; what was typed no longer holds."""
    return Amount(value=round(amount.value * factor, 4), measure=amount.measure)


def with_less_of(recipe: Recipe, weighed: Weighed, oils: Collection[str], factor: float) -> Recipe:
    """Take `factor` of these oils and leave the grams of all others as they are; the load falls."""
    keep = factor >= _LEAVE_OUT_BELOW
    lines: list[ScentLine] = []
    for line in recipe.scent:
        if line.material not in oils:
            lines.append(line)
        elif keep:
            lines.append(line.model_copy(update={"amount": scaled(line.amount, factor)}))
    masses = weighed.scent_composition.as_dict()
    left_g = sum(mass * ((factor if keep else 0.0) if key in oils else 1.0) for key, mass in masses.items())
    rest_g = weighed.batch_g - weighed.scent_g
    load = 100.0 * left_g / (left_g + rest_g) if left_g > 0 else 0.0
    update: dict[str, object] = {"scent": tuple(_percent_to_whole(recipe.scent, lines))}
    if not recipe.load_from_scent:
        update["load_percent"] = round(load, 3)
    return _changed(recipe, update)


def _percent_to_whole(before: tuple[ScentLine, ...], lines: list[ScentLine]) -> list[ScentLine]:
    """Lines in per cent of the scent add up to what they did before."""
    was = sum(line.amount.value for line in before if line.amount.measure is Measure.PERCENT)
    now = sum(line.amount.value for line in lines if line.amount.measure is Measure.PERCENT)
    if was <= 0 or now <= 0:
        return lines
    return [
        line.model_copy(update={"amount": scaled(line.amount, was / now)})
        if line.amount.measure is Measure.PERCENT
        else line
        for line in lines
    ]


def with_load(recipe: Recipe, weighed: Weighed, load_percent: float) -> Recipe:
    """The same scent blend, less of it."""
    if not recipe.load_from_scent:
        return _changed(recipe, {"load_percent": round(load_percent, 3)})
    factor = load_percent / weighed.load_percent
    lines = tuple(line.model_copy(update={"amount": scaled(line.amount, factor)}) for line in recipe.scent)
    return _changed(recipe, {"scent": lines})


def with_less_wax(recipe: Recipe, catalogue: Catalogue, factor: float) -> Recipe:
    """Take `factor` of every wax and give the difference to the largest carrier oil, if there is one.

    A set point that was observed belonged to the old recipe and is dropped.
    """
    waxes = {line.material for line in recipe.base if _kind(catalogue, line.material) is MaterialKind.WAX}
    measures = {line.amount.measure for line in recipe.base}
    freed = sum(line.amount.value * (1 - factor) for line in recipe.base if line.material in waxes)
    carrier = largest_carrier(recipe, catalogue) if len(measures) == 1 else None
    lines = []
    for line in recipe.base:
        amount = line.amount
        if line.material in waxes:
            amount = scaled(amount, factor)
        elif line.material == carrier:
            amount = Amount(value=round(amount.value + freed, 4), measure=amount.measure)
        lines.append(line.model_copy(update={"amount": amount}))
    return _changed(recipe, {"base": tuple(lines), "observed_set_point_c": None})


def with_other_wax(recipe: Recipe, old: str, new: str, factor: float) -> Recipe:
    """Put another wax on the line of the old one, `factor` times as much."""
    lines = tuple(
        BaseLine(material=new, amount=scaled(line.amount, factor)) if line.material == old else line
        for line in recipe.base
    )
    return _changed(recipe, {"base": lines, "observed_set_point_c": None})


def with_premix(recipe: Recipe, carrier: str, share_percent: float, warmed_to_c: float | None) -> Recipe:
    return _changed(
        recipe,
        {"premix": Premix(carrier=carrier, share_of_carrier_percent=share_percent, warmed_to_c=warmed_to_c)},
    )


def largest_carrier(recipe: Recipe, catalogue: Catalogue) -> str | None:
    """The carrier oil with the most grams in the base; None where there is none."""
    carriers = _masses(recipe, catalogue, MaterialKind.CARRIER)
    return max(carriers, key=carriers.__getitem__, default=None)


def waxes_of(recipe: Recipe, catalogue: Catalogue) -> Mapping[str, float]:
    """Waxes of the base with their grams."""
    return _masses(recipe, catalogue, MaterialKind.WAX)


def _masses(recipe: Recipe, catalogue: Catalogue, kind: MaterialKind) -> dict[str, float]:
    masses = work_out(recipe, catalogue).base_composition.as_dict()
    return {key: mass for key, mass in masses.items() if _kind(catalogue, key) is kind}


def _kind(catalogue: Catalogue, key: str) -> MaterialKind:
    return catalogue.material(key).kind


def marked(recipe: Recipe, remedy: str, **update: object) -> Recipe:
    """The recipe with the remedy written down as accepted."""
    return _changed(recipe, {"accepted_remedy": remedy, **update})


def _changed(recipe: Recipe, update: Mapping[str, object]) -> Recipe:
    # validated again: a remedy must never write a recipe that could not be typed
    return Recipe.model_validate({**dict(recipe), **update})
