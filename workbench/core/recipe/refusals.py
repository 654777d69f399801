"""What a recipe asks of the equipment that the equipment cannot do."""

from __future__ import annotations

from collections.abc import Sequence

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import MaterialKind
from workbench.core.catalogue.shelf import Tin, Vessel
from workbench.core.recipe.model import Heat, Recipe
from workbench.core.recipe.weighed import Line
from workbench.core.wording import Number, Said, say

# A fifth of the jug stays free, so that it can be stirred and carried without slopping
# (common practice, no source).
FREE_SHARE = 0.2


def refusals(recipe: Recipe, catalogue: Catalogue) -> tuple[Said, ...]:
    """Why this recipe may not be made like that; empty if nothing speaks against it."""
    found: list[Said] = []
    vessel = _vessel(recipe, catalogue)
    if recipe.heat is Heat.MICROWAVE:
        if vessel is not None and not vessel.material.microwave_safe:
            found.append(
                say(
                    "“{vessel}” is of metal and must not go into the microwave. Choose another jug, or the water bath.",
                    vessel=vessel.name,
                )
            )
        if vessel is None:
            found += [
                say(
                    "“{tin}” is of metal and must not go into the microwave. Choose a jug to melt in, or the water bath.",
                    tin=tin.name,
                )
                for tin in _tins(recipe, catalogue)
                if tin.metal
            ]
    if recipe.premix is not None:
        material = catalogue.materials.get(recipe.premix.carrier)
        if material is not None and material.kind is not MaterialKind.CARRIER:
            found.append(
                say(
                    "{name} is not liquid, so the scent cannot be premixed with it. Hold back a carrier oil instead.",
                    name=material.name,
                )
            )
    return tuple(found)


def equipment_notes(
    recipe: Recipe, catalogue: Catalogue, lines: Sequence[Line], density_g_ml: float
) -> list[Said]:
    """Remarks on the jug and the tins that do not forbid anything."""
    notes: list[Said] = []
    vessel = _vessel(recipe, catalogue)
    if vessel is not None:
        volume = _melted_ml(lines, catalogue, density_g_ml)
        if volume > vessel.holds_ml:
            notes.append(
                say(
                    "Melted, the batch takes about {volume} mL and “{vessel}” holds {holds} mL. Choose a larger jug or melt in two goes.",
                    volume=Number(volume, 0),
                    vessel=vessel.name,
                    holds=Number(vessel.holds_ml, 0),
                )
            )
        elif volume > (1 - FREE_SHARE) * vessel.holds_ml:
            notes.append(
                say(
                    "Melted, the batch takes about {volume} mL of the {holds} mL of “{vessel}”. That leaves little room for stirring.",
                    volume=Number(volume, 0),
                    vessel=vessel.name,
                    holds=Number(vessel.holds_ml, 0),
                )
            )
    if (
        recipe.heat is Heat.MICROWAVE
        and vessel is not None
        and any(tin.metal for tin in _tins(recipe, catalogue))
    ):
        notes.append(
            say("The tins are of metal: they are filled from the jug and never go into the microwave.")
        )
    return notes


def _melted_ml(lines: Sequence[Line], catalogue: Catalogue, density_g_ml: float) -> float:
    """Volume when liquid: waxes swell by up to a seventh on melting."""
    volume = 0.0
    for line in lines:
        row = catalogue.materials[line.material]
        figure = row.density_liquid_g_ml or row.density_g_ml
        volume += line.exact_g / (figure.value if figure is not None else density_g_ml)
    return volume


def _vessel(recipe: Recipe, catalogue: Catalogue) -> Vessel | None:
    return next((row for row in catalogue.shelf.vessels if row.key == recipe.vessel), None)


def _tins(recipe: Recipe, catalogue: Catalogue) -> list[Tin]:
    wanted = {count.tin for count in recipe.size.tins}
    return [row for row in catalogue.shelf.tins if row.key in wanted]
