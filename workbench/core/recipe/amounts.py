"""From parts, drops and per cent to grams that a scale at hand can weigh.

The grams follow in this order: the scent's share of the batch (the load, or
the scent's own grams), what that leaves for the base, the lines of both
groups (`shares`), the batch mass (given, or from the tins and the density of
what is in them), and last what each scale makes of each line (`scales`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material
from workbench.core.catalogue.shelf import Tin
from workbench.core.recipe.cost import cost_of
from workbench.core.recipe.densities import (
    UNKNOWN_DENSITY_G_ML,
    density_of,
    drop_weighed_g,
    mixed_density_g_ml,
)
from workbench.core.recipe.lines import Worked, as_meant, lines_to_weigh
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe, ScentLine
from workbench.core.recipe.refusals import equipment_notes, refusals
from workbench.core.recipe.shares import (
    NOTHING,
    Affine,
    Row,
    Rule,
    explain,
    scent_that_sets_the_load,
    share_out,
)
from workbench.core.recipe.tins import tin_volume_ml
from workbench.core.recipe.weighed import Cost, Drops, Line, TinFill, WayOut, Weighed, Where
from workbench.core.trouble import Fault, Trouble
from workbench.core.units import drops_g, plain_number
from workbench.core.wording import Grams, Said, say

__all__ = [
    "Cost",
    "Drops",
    "Line",
    "TinFill",
    "WayOut",
    "Weighed",
    "Where",
    "as_meant",
    "refusals",
    "work_out",
]


def work_out(recipe: Recipe, catalogue: Catalogue) -> Weighed:
    """The recipe in grams.  Raises `Trouble` for a recipe that cannot be.

    Masses of all lines add up to the batch, shares to 100 %.  Remarks that do
    not stop anything are in `notes`.
    """
    base, scent = _resolve(recipe, catalogue)
    notes: list[Said] = []

    scent_total = _scent_total(recipe, scent.rows, notes)
    base_total = Affine(-scent_total.fixed, 1 - scent_total.per_g)
    shared_scent = share_out(scent.rows, scent_total, Where.SCENT)
    shared_base = share_out(base.rows, base_total, Where.BASE)
    if shared_base.rule is Rule.EMPTY:
        raise Trouble(say("The base is empty. Add a wax, a butter or a carrier oil with an amount."))

    masses = (*shared_base.masses, *shared_scent.masses)
    densities = [
        UNKNOWN_DENSITY_G_ML if density is None else density for density in base.densities + scent.densities
    ]
    tins = [
        (tin, row.count, tin_volume_ml(tin))
        for row, tin in ((row, catalogue.tin(row.tin)) for row in recipe.size.tins)
    ]
    batch_g, allowance_g = _batch(recipe, tins, masses, densities)
    if base_total.at(batch_g) <= 0:
        raise Trouble(
            say(
                "The scent alone comes to {scent}, the batch to {batch}. Make the batch larger or take less scent.",
                scent=Grams(scent_total.at(batch_g), 2),
                batch=Grams(max(batch_g, 0.0), 2),
            )
        )
    notes += explain(shared_base, batch_g, Where.BASE)
    notes += explain(shared_scent, batch_g, Where.SCENT)

    grams = [affine.at(batch_g) for affine in masses]
    density = mixed_density_g_ml(zip(grams, densities, strict=True))
    if tins:
        notes += _unknown_densities(base, scent)
    lines = lines_to_weigh(
        recipe,
        catalogue.shelf,
        [
            Worked(material, density, mass)
            for material, density, mass in zip(
                base.materials + scent.materials, base.densities + scent.densities, masses, strict=True
            )
        ],
        batch_g,
        notes,
    )
    scent_g = sum(line.exact_g for line in lines if line.where is Where.SCENT)
    notes += equipment_notes(recipe, catalogue, lines, density)
    return Weighed(
        batch_g=batch_g,
        base_g=batch_g - scent_g,
        scent_g=scent_g,
        load_percent=100 * scent_g / batch_g,
        lines=lines,
        tins=tuple(
            TinFill(tin.key, tin.name, count, volume, volume * density) for tin, count, volume in tins
        ),
        density_g_ml=density,
        jug_allowance_g=allowance_g,
        cost=cost_of(lines, catalogue.shelf.currency),
        notes=tuple(notes),
    )


@dataclass(frozen=True, slots=True)
class _Group:
    """The lines of base or scent with their rows of the catalogue."""

    materials: tuple[Material, ...]
    rows: tuple[Row, ...]
    densities: list[float | None]


def _resolve(recipe: Recipe, catalogue: Catalogue) -> tuple[_Group, _Group]:
    """Look everything up and tell all that is missing at once."""
    faults: list[Fault] = []
    base = _group(recipe.base, catalogue, faults)
    scent = _group(recipe.scent, catalogue, faults)
    carriers = {line.material for line in recipe.base}
    if recipe.premix is not None and recipe.premix.carrier not in carriers:
        faults.append(
            Fault(
                recipe.premix.carrier,
                say("The carrier held back for the premix is not in the base. Add it, or choose another."),
            )
        )
    if faults:
        raise Trouble(say("“{recipe}” cannot be turned into grams yet.", recipe=recipe.name), tuple(faults))
    return base, scent


def _group(lines: Sequence[BaseLine | ScentLine], catalogue: Catalogue, faults: list[Fault]) -> _Group:
    materials: list[Material] = []
    rows: list[Row] = []
    densities: list[float | None] = []
    for line in lines:
        material = catalogue.materials.get(line.material)
        if material is None:
            faults.append(
                Fault(
                    line.material,
                    say("There is no such material here. Choose another or add it to the shelf."),
                )
            )
            continue
        density = density_of(line.material, catalogue.materials)
        materials.append(material)
        densities.append(density)
        grams = _grams(line.amount, density, drop_weighed_g(line.material, line.lot, catalogue.shelf.lots))
        if grams is None and line.amount.measure is Measure.MILLILITRES:
            faults.append(
                Fault(
                    material.name,
                    say(
                        "A volume needs a density to become grams, and none is known. Weigh it, or add its density."
                    ),
                )
            )
        rows.append(Row(line.amount.measure, line.amount.value, grams))
    return _Group(tuple(materials), tuple(rows), densities)


def _grams(amount: Amount, density_g_ml: float | None, drop_g: float | None) -> float | None:
    """Grams of an amount that says them by itself; None for parts, per cent and unknown volumes."""
    if amount.measure is Measure.GRAMS:
        return amount.value
    if amount.measure is Measure.MILLILITRES:
        return None if density_g_ml is None else amount.value * density_g_ml
    if amount.measure is Measure.DROPS:
        return drops_g(amount.value, density_g_ml)[0] if drop_g is None else amount.value * drop_g
    return None


def _scent_total(recipe: Recipe, rows: Sequence[Row], notes: list[Said]) -> Affine:
    """The scent as a share of the batch, or the grams it says itself."""
    if not any(row.value > 0 for row in rows):
        if rows:
            notes.append(say("Every line of the scent is at 0, so the balm is without scent."))
        return NOTHING
    if recipe.load_from_scent:
        grams = scent_that_sets_the_load(rows)
        notes.append(say("The scent sets the load: its lines come to {scent}.", scent=Grams(grams, 2)))
        return Affine(grams, 0.0)
    if recipe.load_percent == 0:
        notes.append(say("The fragrance load is 0 %, so nothing of the scent goes in."))
    return Affine(0.0, recipe.load_percent / 100)


def _batch(
    recipe: Recipe,
    tins: Sequence[tuple[Tin, int, float]],
    masses: Sequence[Affine],
    densities: Sequence[float],
) -> tuple[float, float]:
    """Mass of the batch and what of it is meant to stay in the jug, in g.

    For tins the volumes of all lines must add up to the tins and the
    allowance.  Each volume is linear in the batch mass, so one division
    finds it.
    """
    if recipe.size.mass_g is not None:
        return recipe.size.mass_g, 0.0
    extra = recipe.size.jug_allowance_percent / 100
    volume_ml = sum(count * volume for _tin, count, volume in tins) * (1 + extra)
    fixed_ml = sum(mass.fixed / density for mass, density in zip(masses, densities, strict=True))
    ml_per_g = sum(mass.per_g / density for mass, density in zip(masses, densities, strict=True))
    batch_g = (volume_ml - fixed_ml) / ml_per_g
    return batch_g, batch_g * extra / (1 + extra)


def _unknown_densities(base: _Group, scent: _Group) -> list[Said]:
    names = [
        material.name
        for group in (base, scent)
        for material, density in zip(group.materials, group.densities, strict=True)
        if density is None
    ]
    if not names:
        return []
    return [
        say(
            "No density is known for {names}; it was counted at {density} g/mL to fill the tins.",
            names=", ".join(names),
            density=plain_number(UNKNOWN_DENSITY_G_ML),
        )
    ]
