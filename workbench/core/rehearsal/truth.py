"""The balm as the simulation has it: near the handbook, never equal to it."""

from __future__ import annotations

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.heat.dissolving import (
    Ingredient,
    Part,
    butter_solid,
    ideal_liquidus_c,
    ingredients,
    wax_solid,
)
from workbench.core.heat.vessels import Round
from workbench.core.recipe.composition import Composition
from workbench.core.rehearsal.body import Field, Material, Shape
from workbench.core.rehearsal.conditions import GRID_C, Conditions

LATE_BUTTER_K = 8.0  # on cooling, butters hold back this much; they go on for hours after


def true_set_point_c(composition: Composition, catalogue: Catalogue, conditions: Conditions) -> float | None:
    """Where this balm, on this day, starts to gel.  None: it does not."""
    parts = ingredients(composition, catalogue)
    points = []
    for part in parts:
        if part.part is Part.WAX and part.share >= 0.9 * part.gels_from:
            ideal = ideal_liquidus_c(part, _others(parts, part))
            points.append(ideal + conditions.above_ideal_k - conditions.undercooling_k)
        elif part.part is Part.BUTTER and part.share > 0.15:
            points.append(part.clear_c - LATE_BUTTER_K - conditions.undercooling_k)
    return max(points, default=None)


def _others(parts: tuple[Ingredient, ...], one: Ingredient) -> float:
    return sum(part.share / part.molar_g_mol for part in parts if part is not one)


def true_material(composition: Composition, catalogue: Catalogue, conditions: Conditions) -> Material:
    """One body's worth of balm for `Bodies`."""
    parts = ingredients(composition, catalogue)
    bound = np.zeros_like(GRID_C)
    solid = np.zeros_like(GRID_C)
    capacity = density = 0.0
    for part in parts:
        capacity += part.share * (part.cp_liquid or 2.05) * 1000
        density += part.share / (part.density_liquid_20 + part.density_slope * 40)
        if part.part is Part.LIQUID:
            continue
        others = _others(parts, part)
        if part.part is Part.WAX:
            # the wax of this day melts a little higher than the ideal line
            own = wax_solid(part, others, GRID_C - conditions.above_ideal_k + 2.0)
        else:
            own = butter_solid(part, others, GRID_C)
        bound += own * part.fusion_j_g * 1000 * conditions.latent
        solid += own
    set_c = true_set_point_c(composition, catalogue, conditions)
    return Material(
        grid_c=GRID_C,
        bound_j_kg=bound[None, :],
        solid=np.maximum(solid, 1e-6)[None, :],
        capacity_j_kg_k=np.array([capacity * conditions.capacity]),
        density_kg_m3=np.array([1000 / density]),
        set_c=np.array([GRID_C[0] if set_c is None else set_c]),
        catch_up_s=np.array([conditions.catch_up_s]),
    )


def true_shape(thing: Round, conditions: Conditions, *, open_top: bool = False) -> Shape:
    """A jug or tin for `Bodies`; the wall above the filling takes and loses a little, too."""
    rim = conditions.fin * thing.rim_m / max(thing.height_m, 1e-4)
    return Shape(
        radius_m=np.array([thing.radius_m]),
        height_m=np.array([thing.height_m]),
        wall_j_m2_k=np.array([thing.wall_j_m2_k * (1 + min(rim, 1.0))]),
        wall_m2_k_w=np.array([thing.wall_m2_k_w]),
        emissivity_wall=np.array([thing.emissivity * (1 + 0.5 * min(rim, 1.0))]),
        collar=np.array([1.0 if open_top else conditions.collar]),
        base_w_m2_k=np.array([conditions.base_w_m2_k]),
        table_j_k=np.array([conditions.table_j_m2_k * np.pi * thing.radius_m**2]),
    )


def hot_pattern(rng: np.random.Generator, rows: int, rings: int, ratio: float, volume: Field) -> Field:
    """Where an oven heats: shares of the power per cell, the hottest `ratio` times the mean rise."""
    row, ring = rng.uniform(0, rows - 1), rng.uniform(rings / 2, rings - 1)
    distance = (np.arange(rows)[:, None] - row) ** 2 / 4 + (np.arange(rings)[None, :] - ring) ** 2 / 4
    bump = np.exp(-distance)
    weight = volume / volume.sum()
    mean = float((bump * weight).sum())
    height = (ratio - 1) / max(float(bump.max()) - ratio * mean, 1e-3)
    rise = 1 + min(max(height, 0.0), 50.0) * bump
    return np.asarray(weight * rise / (weight * rise).sum())
