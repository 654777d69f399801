"""One remedy for an empty window, and what is needed to work one out."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design import edits
from workbench.core.design.evaluation import temperatures_of
from workbench.core.heat.window import Temperatures
from workbench.core.recipe.amounts import Weighed
from workbench.core.recipe.model import Recipe
from workbench.core.wording import Said

# A reading must lie 1.5 K under the limit before fragrance goes in, so a window narrower than this helps nobody.
USEFUL_WIDTH_K = 3.0

LESS_OF_THE_LIGHTEST = "less of the lightest oils"
LESS_FRAGRANCE = "less fragrance"
LESS_WAX = "less wax"
LOWER_WAX = "a lower-setting wax"
PREMIX = "premix in carrier"
HEAVY_FIRST = "heavy notes first"
WITHOUT_IGNITION = "above flash-safe without ignition"


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to a window, already worked out."""

    kind: str
    says: Said  # what to do
    costs: Said  # what is given up for it
    temperatures: Temperatures  # after it
    recipe: Recipe  # after it; applying it is one edit
    opens: bool
    gains_k: float  # how much wider the window gets

    @property
    def width_k(self) -> float | None:
        return self.temperatures.width_k


@dataclass(frozen=True, slots=True)
class Case:
    recipe: Recipe
    catalogue: Catalogue
    weighed: Weighed
    before: Temperatures

    @property
    def width_k(self) -> float:
        return self.before.width_k or 0.0


def tried(case: Case, kind: str, recipe: Recipe, says: Said, costs: Said) -> Remedy | None:
    """The changed recipe reckoned anew; None where its window cannot be known."""
    recipe = edits.marked(recipe, kind)
    after = temperatures_of(recipe, case.catalogue)
    if after.width_k is None:
        return None
    return Remedy(kind, says, costs, after, recipe, bool(after.open), after.width_k - case.width_k)


def largest(opens: Callable[[float], bool], low: float, high: float) -> float | None:
    """The largest share between low and high that opens the window, to a hundredth; None if not even low."""
    if not opens(low):
        return None
    while high - low > 0.01:
        middle = (low + high) / 2
        if opens(middle):
            low = middle
        else:
            high = middle
    return low


def names(case: Case, keys: Collection[str]) -> str:
    return ", ".join(case.catalogue.material(key).name for key in keys)
