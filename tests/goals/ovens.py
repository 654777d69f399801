"""Simulated microwave ovens that melt a batch by the burst rule, for the goal on overheating.

The oven's truth is apart from the rule's: its own latent heat, its own start-up
time, solids that take up less than melt, a hot spot, a probe with noise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.goals.cupboard import CUPBOARD
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import Burst, next_burst, water_test
from workbench.core.recipe.composition import Composition
from workbench.core.rehearsal.conditions import draw
from workbench.core.rehearsal.truth import true_material

CEILING_C = 85.0
GOAL_C = 75.0
MOST_BURSTS = 60
PROBE_SD_K = 0.6


@dataclass(frozen=True)
class Melted:
    seed: int
    mass_g: float
    bursts: int
    waits: int
    highest_mean_c: float
    highest_spot_c: float
    done: bool


def melt(
    seed: int, *, low_g: float = 50.0, high_g: float = 500.0, cup_g: float = 0.0, forgotten: bool = False
) -> Melted:
    """One melt in one oven; mass log-uniform between `low_g` and `high_g`.

    `cup_g`: of water in a cup beside it, in the water test too.  `forgotten`: from the third burst on it is not.
    """
    rng = np.random.default_rng([seed, 81])
    mass = float(np.exp(rng.uniform(np.log(low_g), np.log(high_g))))
    wax, butter = float(rng.uniform(12, 32)), float(rng.uniform(0, 30))
    composition = Composition.of(
        {
            "beeswax": wax * mass / 100,
            "shea": butter * mass / 100,
            "almond": (100 - wax - butter) * mass / 100,
        }
    )
    blend = Blend.of(composition, CUPBOARD)
    conditions = draw(rng)
    matter = true_material(composition, CUPBOARD, conditions)
    latent = matter.bound_j_kg[0] / 1000
    capacity = float(matter.capacity_j_kg_k[0]) / 1000
    # heat content of solids and melt at equilibrium, on the grid of the simulation
    heat = capacity * matter.grid_c - latent
    full = max(float(latent[0]), 1.0)
    rated = float(rng.uniform(500, 1200))
    into_water = rated * mass / (mass + cup_g + 65.0)
    filament = float(rng.uniform(1.0, 3.0))
    kappa = float(rng.uniform(1.2, 2.5))
    absorbs = float(np.exp(rng.uniform(np.log(0.15), 0.0)))
    solids = float(rng.uniform(0.3, 1.0))
    # the water test, made with the mass of the batch, for as long as it stays well below boiling
    seconds = float(np.clip(25.0 * mass * 4.187 / into_water, 20, 120))
    if cup_g:  # all of the water by 15 K, as the sheet of the test says
        seconds = float(np.clip(2 + 4.187 * (mass + cup_g) * 15.0 / rated, 20, 120))
    rise = into_water * max(seconds - filament, 1) / (mass * 4.187)
    first = float(rng.normal(0, 0.5))
    second = float(rng.normal(0, 0.5))
    power = water_test(mass, 18 + first, 18 + rise + second, seconds - 2.0)

    def read(celsius: float) -> float:
        return celsius + float(rng.normal(0, PROBE_SD_K))

    celsius = 21.0
    highest = spot = celsius
    bursts: list[Burst] = []
    shown = read(celsius)
    waits = 0
    clear = False
    while len(bursts) < MOST_BURSTS and waits < 40:
        clear = float(np.interp(celsius, matter.grid_c, latent)) < 0.01 * full
        if clear and shown >= GOAL_C - 2.0:
            break
        chosen = next_burst(
            bursts,
            blend,
            mass,
            power,
            celsius=shown,
            ceiling_c=CEILING_C,
            goal_c=GOAL_C,
            clear=clear,
            ballast_g=cup_g,
        )
        if chosen.seconds <= 0:
            waits += 1
            celsius -= 1.0  # half a minute of stirring
            shown = read(celsius)
            continue
        before = celsius
        if forgotten and len(bursts) == 2:
            into_water = rated * mass / (mass + 65.0)
        content = float(np.interp(celsius, matter.grid_c, heat))
        for _ in range(round((chosen.seconds - filament) / 0.25)):
            liquid = 1 - float(np.interp(celsius, matter.grid_c, latent)) / full
            share = absorbs * (solids + (1 - solids) * liquid)
            content += share * into_water * 0.25 / mass
            celsius = float(np.interp(content, heat, matter.grid_c))
        highest = max(highest, celsius)
        spot = max(spot, before + kappa * (celsius - before))
        after = read(celsius)
        bursts.append(Burst(chosen.seconds, shown, after, clear))
        shown = after
    return Melted(seed, mass, len(bursts), waits, highest, spot, clear and shown >= GOAL_C - 2.0)
