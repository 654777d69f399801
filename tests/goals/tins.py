"""Seeded tins that set on a counter, for the forecast without a thermometer."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.shelf import Tin, TinShape
from workbench.core.heat.blend import Blend
from workbench.core.heat.setting import COOL_ABOVE_ROOM_K, MOVED_BELOW_SET_K, setting
from workbench.core.heat.vessels import tin_round
from workbench.core.recipe.composition import Composition
from workbench.core.rehearsal.body import Around, Bodies, joined
from workbench.core.rehearsal.conditions import draw
from workbench.core.rehearsal.truth import true_material, true_set_point_c, true_shape

STEP_S = 2.0


@dataclass(frozen=True)
class SetTin:
    """Forecast and truth in s; `known`: with the set point measured once (sd 1 K)."""

    seed: int
    movable_s: float
    movable_truth_s: float
    movable_known_s: float
    within_80: bool
    cool_s: float
    cool_truth_s: float


def set_tins(seeds: list[int]) -> list[SetTin]:
    """Pour one tin per seed and let all of them cool."""
    drawn = []
    bodies: Bodies | None = None
    for seed in seeds:
        rng = np.random.default_rng([seed, 83])
        wax, butter = float(rng.uniform(12, 32)), float(rng.uniform(0, 30))
        mass = float(rng.uniform(10, 60))
        composition = Composition.of({"beeswax": wax, "shea": butter, "almond": 100 - wax - butter})
        conditions = draw(rng)
        set_c = true_set_point_c(composition, CUPBOARD, conditions)
        assert set_c is not None
        matter = true_material(composition, CUPBOARD, conditions)
        pour = set_c + float(rng.uniform(4, 12))
        volume = mass / float(matter.density_kg_m3[0]) * 1000
        flat = float(rng.uniform(0.3, 0.9))  # height over radius
        radius_mm = 10 * (volume / (np.pi * flat)) ** (1 / 3)
        tin = Tin(
            key="tin", name="Tin", shape=TinShape.ROUND, diameter_mm=round(2 * radius_mm), fill_height_mm=20
        )
        counter = replace(conditions, base_w_m2_k=max(conditions.base_w_m2_k, 10.0))
        shape = true_shape(tin_round(tin, volume), counter, open_top=True)
        body = Bodies(matter, shape, np.array([pour]), rows=5)
        body.table_c = np.array([conditions.room_c])
        bodies = body if bodies is None else joined(bodies, body)
        said = conditions.room_c + float(rng.normal(0, 1.5))
        blend = Blend.of(composition, CUPBOARD)
        seen = Blend.of(composition, CUPBOARD, observed_c=set_c + float(rng.normal(0, 1.0)))
        drawn.append(
            (
                seed,
                conditions,
                set_c,
                setting(blend, tin, mass, pour, said),
                setting(seen, tin, mass, pour, said),
            )
        )
    assert bodies is not None
    count = len(drawn)
    rng = np.random.default_rng([seeds[0], 84])
    room = np.array([one[1].room_c for one in drawn])
    drift = np.array([one[1].drift_k_h for one in drawn])
    level = np.array([one[1].draught_level for one in drawn])
    firm = np.maximum(np.array([one[2] for one in drawn]) - MOVED_BELOW_SET_K, room + 1.5)
    movable, cool = np.full(count, np.nan), np.full(count, np.nan)
    draught = np.zeros(count)
    now = 0.0
    while now < 5 * 3600 and bool(np.isnan(cool).any() or np.isnan(movable).any()):
        draught = draught * 0.993 + 0.12 * np.sqrt(1 - 0.993**2) * rng.normal(size=count)
        here = room + drift * now / 3600
        bodies.step(STEP_S, Around(here, np.maximum(level * (1 + draught), 0.2)))
        now += STEP_S
        centre = bodies.centre_c
        movable = np.where(np.isnan(movable) & (centre <= firm), now, movable)
        cool = np.where(np.isnan(cool) & (centre <= room + COOL_ABOVE_ROOM_K), now, cool)
    made = []
    for at, (seed, _, _, blind, known) in enumerate(drawn):
        assert blind.movable is not None
        assert known.movable is not None
        made.append(
            SetTin(
                seed,
                blind.movable.median_s,
                float(movable[at]),
                known.movable.median_s,
                blind.movable.low80_s <= movable[at] <= blind.movable.high80_s,
                blind.cool.median_s,
                float(cool[at]),
            )
        )
    return made
