"""What opens an empty window, worked out on this very recipe.

Every remedy is tried: the recipe is changed, its temperatures are reckoned
anew, and what it gains and costs is told.  They are ranked by what they do
here; adding above the flash-safe temperature always comes last.
"""

from __future__ import annotations

import math

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.evaluation import temperatures_of
from workbench.core.design.remedies_base import less_wax, lower_wax, mixing_temperature_c, premix
from workbench.core.design.remedies_scent import (
    heavy_first,
    less_fragrance,
    less_of_the_lightest,
    without_ignition,
)
from workbench.core.design.remedy import (
    HEAVY_FIRST,
    LESS_FRAGRANCE,
    LESS_OF_THE_LIGHTEST,
    LESS_WAX,
    LOWER_WAX,
    PREMIX,
    WITHOUT_IGNITION,
    Case,
    Remedy,
)
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Recipe

__all__ = [
    "HEAVY_FIRST",
    "LESS_FRAGRANCE",
    "LESS_OF_THE_LIGHTEST",
    "LESS_WAX",
    "LOWER_WAX",
    "PREMIX",
    "WITHOUT_IGNITION",
    "Remedy",
    "mixing_temperature_c",
    "remedies",
    "temperatures_of",
]


def remedies(recipe: Recipe, catalogue: Catalogue) -> tuple[Remedy, ...]:
    """Remedies for an empty window, best first; none where it is open or cannot be known.

    Takes a few tenths of a second: call it when asked for, not at every key.
    Raises `Trouble` where the recipe cannot be worked out.
    """
    weighed = work_out(recipe, catalogue)
    before = temperatures_of(recipe, catalogue, weighed)
    if before.open is not False:
        return ()
    case = Case(recipe, catalogue, weighed, before)
    tried = [
        less_of_the_lightest(case),
        less_fragrance(case),
        less_wax(case),
        lower_wax(case),
        premix(case),
        heavy_first(case),
    ]
    found = [
        remedy
        for remedy in tried
        if remedy is not None and (remedy.opens or remedy.gains_k > 0.05 or remedy.kind == HEAVY_FIRST)
    ]
    found.sort(key=lambda remedy: (not remedy.opens, -(remedy.width_k or -math.inf)))
    last = without_ignition(case)
    return (*found, *([last] if last is not None else []))
