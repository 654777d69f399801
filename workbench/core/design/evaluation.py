"""Everything that can be known about a recipe before anything is heated, in one go.

The editor, the terminal and the plan all ask here, so that they can never
disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.temperatures import reckon
from workbench.core.heat.window import Temperatures
from workbench.core.recipe.amounts import Weighed, work_out
from workbench.core.recipe.composition import Composition, expand
from workbench.core.recipe.model import Recipe
from workbench.core.skin.assess import assess
from workbench.core.skin.label import Declared, allergens_to_declare
from workbench.core.skin.verdict import SkinVerdict


@dataclass(frozen=True, slots=True)
class Evaluation:
    recipe: Recipe
    weighed: Weighed
    skin: SkinVerdict
    temperatures: Temperatures
    allergens: tuple[Declared, ...]


def premix_of(recipe: Recipe, weighed: Weighed) -> Composition | None:
    """What will be poured in where part of the carrier is held back; None for a neat blend."""
    if recipe.premix is None:
        return None
    held_back = {line.material: line.held_back_g for line in weighed.lines if line.held_back_g > 0}
    return weighed.scent_composition.plus(held_back)


def temperatures_of(recipe: Recipe, catalogue: Catalogue, weighed: Weighed | None = None) -> Temperatures:
    """All temperatures of a recipe; `weighed` where its grams are worked out already."""
    if weighed is None:
        weighed = work_out(recipe, catalogue)
    return reckon(
        expand(weighed.base_composition, catalogue.materials),
        weighed.scent_composition,
        catalogue,
        premix=premix_of(recipe, weighed),
        margin_k=recipe.flash_margin_k,
        observed_set_point_c=recipe.observed_set_point_c,
        paper_flash_c=recipe.blend_flash_on_paper_c,
    )


def evaluate(recipe: Recipe, catalogue: Catalogue, on: date) -> Evaluation:
    """Work out grams, limits, temperatures and allergens of one recipe.

    `on` is the day for which allergen law is asked.  Raises `Trouble` where
    the recipe cannot be worked out at all.
    """
    weighed = work_out(recipe, catalogue)
    whole = weighed.composition
    return Evaluation(
        recipe=recipe,
        weighed=weighed,
        skin=assess(whole, catalogue, recipe.uses, recipe.place),
        temperatures=temperatures_of(recipe, catalogue, weighed),
        allergens=allergens_to_declare(whole, catalogue, recipe.place, on),
    )
