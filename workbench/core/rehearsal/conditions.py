"""What a kitchen throws at a batch: all that is drawn by chance, from one seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

GRID_C = np.arange(-10.0, 140.01, 0.5)


@dataclass(frozen=True, slots=True)
class Conditions:
    """One day in one kitchen.  Levels are judged, not measured.

    Room temperature and drift; draughts as a lasting level and a wander over
    minutes; the counter; the probe; how far this balm differs from the
    handbook; the oven.
    """

    room_c: float
    drift_k_h: float
    draught_level: float
    draught_wander: float
    draught_s: float
    base_w_m2_k: float
    table_j_m2_k: float
    collar: float
    fin: float
    film_g: float
    lag_s: float
    offset_k: float
    noise_k: float
    resolution_k: float
    above_ideal_k: float
    undercooling_k: float
    latent: float
    capacity: float
    catch_up_s: float
    bath_water_g: float
    stove_w: float
    oven_w: float
    absorbs: float
    solids_absorb: float
    hot_spot: float


def draw(rng: np.random.Generator, *, room_c: float = 21.0, resolution_k: float = 0.1) -> Conditions:
    """Conditions of an ordinary, unkind kitchen."""

    def between(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    def about(mean: float, sd: float) -> float:
        return float(rng.normal(mean, sd))

    return Conditions(
        room_c=room_c + about(0, 1.0),
        drift_k_h=between(-0.7, 0.7),
        draught_level=float(np.exp(about(0, 0.15))),
        draught_wander=0.12,
        draught_s=between(120, 420),
        base_w_m2_k=float(rng.choice([6.0, 15.0, 40.0])) * between(0.8, 1.25),
        table_j_m2_k=between(15_000, 45_000),
        collar=between(0.6, 1.0),
        fin=between(0.1, 0.4),
        film_g=between(0.0, 0.25) * float(rng.integers(0, 2)),
        lag_s=between(4, 15),
        offset_k=about(0, 0.5),
        noise_k=0.25,
        resolution_k=resolution_k,
        above_ideal_k=between(0, 4),
        undercooling_k=between(1, 6),
        latent=float(np.exp(about(0, 0.12))),
        capacity=float(np.exp(about(0, 0.05))),
        catch_up_s=between(15, 60),
        bath_water_g=between(700, 1300),
        stove_w=between(900, 1600),
        oven_w=between(500, 1200),
        absorbs=float(np.exp(between(np.log(0.15), np.log(1.0)))),
        solids_absorb=between(0.3, 1.0),
        hot_spot=between(1.2, 2.5),
    )
