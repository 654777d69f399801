"""Seeded pots that cool on a counter, many at a time, with what a maker would have read.

A pot is everything the forecast is told (vessel, mass, recipe, room roughly)
beside everything it is not (the true mean temperature, the true set point).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.shelf import Vessel, VesselMaterial
from workbench.core.heat.blend import Blend
from workbench.core.heat.vessels import jug
from workbench.core.recipe.composition import Composition
from workbench.core.rehearsal.body import Around, Bodies, Field, joined
from workbench.core.rehearsal.conditions import Conditions, draw
from workbench.core.rehearsal.truth import true_material, true_set_point_c, true_shape

STEP_S = 0.5
EVERY = 4  # steps between kept truths: 2 s
LONGEST_S = 10_800.0


@dataclass(frozen=True)
class Pot:
    seed: int
    conditions: Conditions
    composition: Composition
    vessel: Vessel
    mass_g: float
    start_c: float
    limit_c: float
    set_c: float  # the true one
    room_said_c: float
    interval_s: float
    stirred: bool
    times_s: Field  # of the readings
    readings_c: Field
    truth_s: Field
    truth_c: Field  # true mean temperature
    sets_s: float | None  # when a tenth of what sets at the set point has set: the start of setting

    @property
    def blend(self) -> Blend:
        return Blend.of(self.composition, CUPBOARD)

    def crossing_s(self, celsius: float) -> float | None:
        """When the true mean temperature falls to this; None if it does not while watched."""
        below = np.nonzero(self.truth_c <= celsius)[0]
        if not len(below) or below[0] == 0:
            return None
        at = int(below[0])
        high, low = self.truth_c[at - 1], self.truth_c[at]
        part = (high - celsius) / max(high - low, 1e-9)
        return float(self.truth_s[at - 1] + part * (self.truth_s[at] - self.truth_s[at - 1]))


@dataclass(frozen=True)
class _Drawn:
    seed: int
    conditions: Conditions
    composition: Composition
    vessel: Vessel
    start_c: float
    limit_c: float
    set_c: float
    room_said_c: float
    interval_s: float
    body: Bodies
    draught: float = 1.0


def at_home(conditions: Conditions, family: int, rng: np.random.Generator) -> tuple[Conditions, float]:
    """The same day in a family's own kitchen, and the true wall of its jug over the handbook's.

    The jug keeps its rim and wall, the counter stays, and half of the spread in draughts is the kitchen's.
    """
    own = np.random.default_rng([family, 80])
    home = draw(own)
    half = 0.15 / np.sqrt(2)
    level = float(np.exp(own.normal(0, half) + rng.normal(0, half)))
    base = home.base_w_m2_k * float(np.exp(rng.normal(0, 0.1)))
    return (
        replace(
            conditions,
            collar=home.collar,
            fin=home.fin,
            base_w_m2_k=base,
            table_j_m2_k=home.table_j_m2_k,
            draught_level=level,
        ),
        float(np.exp(own.normal(0, 0.15))),
    )


def _draw(seed: int, family: int | None, *, home: bool = False) -> _Drawn:
    """One pot.  Pots of one `family` share recipe and vessel and differ in everything else.

    `home`: they share their kitchen, too.
    """
    rng = np.random.default_rng([seed, 77])
    shared = rng if family is None else np.random.default_rng([family, 78])
    wax = float(shared.uniform(12, 32))
    butter = float(shared.uniform(0, 30))
    second = float(shared.uniform(0, 4)) if shared.uniform() < 0.3 else 0.0
    mass = float(np.exp(shared.uniform(np.log(20), np.log(500))))
    shares = {"beeswax": wax, "candelilla": second, "shea": butter, "almond": 100 - wax - second - butter}
    composition = Composition.of({key: share * mass / 100 for key, share in shares.items()})
    material = [VesselMaterial.GLASS, VesselMaterial.STEEL, VesselMaterial.PLASTIC][int(shared.integers(3))]
    holds = mass / 0.88 * float(shared.uniform(1.3, 4.0))
    slender = float(shared.uniform(0.7, 1.6))
    radius_m = (holds * 1e-6 / (2 * slender * np.pi)) ** (1 / 3)
    vessel = Vessel(
        key="jug",
        name="Jug",
        material=material,
        holds_ml=round(holds),
        inner_diameter_mm=round(2000 * radius_m),
    )
    resolution = float(rng.choice([0.1, 0.5, 1.0]))
    conditions = draw(rng, resolution_k=resolution)
    wall = 0.0
    if home and family is not None:
        conditions, wall = at_home(conditions, family, rng)
    set_c = true_set_point_c(composition, CUPBOARD, conditions)
    assert set_c is not None
    start = float(rng.uniform(74, 90))
    limit = min(set_c + float(rng.uniform(3, 12)), start - 6)
    matter = true_material(composition, CUPBOARD, conditions)
    volume = mass / float(matter.density_kg_m3[0]) * 1000
    # the true wall is not quite the handbook's
    shape = true_shape(jug(vessel, volume), conditions)
    shape.wall_j_m2_k *= wall or float(np.exp(rng.normal(0, 0.15)))
    body = Bodies(matter, shape, np.array([start]))
    body.table_c = np.array([conditions.room_c])
    return _Drawn(
        seed,
        conditions,
        composition,
        vessel,
        start,
        limit,
        set_c,
        conditions.room_c + float(rng.normal(0, 1.5)),
        float(np.exp(rng.uniform(np.log(15), np.log(120)))),
        body,
    )


def cool(
    seeds: list[int], *, stirred: bool = True, families: list[int] | None = None, home: bool = False
) -> list[Pot]:
    """Let pots cool until all have set; about 2 s per simulated quarter of an hour for 100 pots."""
    drawn = [
        _draw(seed, None if families is None else families[at], home=home) for at, seed in enumerate(seeds)
    ]
    bodies = drawn[0].body
    for one in drawn[1:]:
        bodies = joined(bodies, one.body)
    count = len(drawn)
    rng = np.random.default_rng([len(seeds), seeds[0], 79])

    def column(get: str) -> Field:
        return np.array([float(getattr(one.conditions, get)) for one in drawn])

    interval = np.array([one.interval_s for one in drawn])
    first = np.minimum(interval, 30.0)
    stir_for = np.minimum(20.0, interval * 0.6)
    lag, film = column("lag_s"), column("film_g") * np.array([one.composition.mass_g / 150 for one in drawn])
    wander, memory = column("draught_wander"), column("draught_s")
    room, drift, level = column("room_c"), column("drift_k_h"), column("draught_level")
    phase = rng.uniform(0, 2 * np.pi, count)
    stop_c = np.array([one.set_c - 2.0 for one in drawn])
    draught = np.zeros(count)
    probe = np.array([one.start_c for one in drawn])
    next_read = first.copy()
    times: list[list[float]] = [[] for _ in drawn]
    readings: list[list[float]] = [[] for _ in drawn]
    truth_s: list[float] = [0.0]
    truth: list[Field] = [bodies.mean_c]
    matter = bodies.material
    at_set = np.array(
        [float(np.interp(one.set_c, matter.grid_c, matter.bound_j_kg[at])) for at, one in enumerate(drawn)]
    )
    begun = np.full(count, np.nan)
    keep = np.exp(-STEP_S / memory)
    step = 0
    now = 0.0
    while now < LONGEST_S and bool((truth[-1] > stop_c).any()):
        draught = draught * keep + wander * np.sqrt(1 - keep**2) * rng.normal(size=count)
        room_now = room + drift * now / 3600 + 0.3 * np.sin(2 * np.pi * now / 2400 + phase)
        evaporated = np.minimum(film, film * STEP_S / 90)
        film = film - evaporated
        stirring = ((now >= next_read - stir_for) & (now < next_read)).astype(float) if stirred else None
        bodies.step(
            STEP_S,
            Around(
                room_now,
                np.maximum(level * (1 + draught), 0.2),
                film_w=evaporated * 2260 / STEP_S,
                stirred=stirring,
            ),
        )
        step += 1
        now = step * STEP_S
        probe += -np.expm1(-STEP_S / lag) * (bodies.at_probe_c() - probe)
        for at in np.nonzero(now >= next_read)[0]:
            c = drawn[at].conditions
            shown = probe[at] + c.offset_k + rng.normal(0, c.noise_k)
            times[at].append(now)
            readings[at].append(round(shown / c.resolution_k) * c.resolution_k)
            next_read[at] += interval[at] * rng.uniform(0.8, 1.25)
        if step % EVERY == 0:
            set_share = (bodies.given * bodies.fraction).sum(axis=(1, 2)) / at_set
            begun = np.where(np.isnan(begun) & (set_share > 0.1), now, begun)
            truth_s.append(now)
            truth.append(bodies.mean_c)
    kept = np.array(truth)
    seconds = np.array(truth_s)
    return [
        Pot(
            one.seed,
            one.conditions,
            one.composition,
            one.vessel,
            one.composition.mass_g,
            one.start_c,
            one.limit_c,
            one.set_c,
            one.room_said_c,
            one.interval_s,
            stirred,
            np.array(times[at]),
            np.array(readings[at]),
            seconds,
            kept[:, at],
            None if np.isnan(begun[at]) else float(begun[at]),
        )
        for at, one in enumerate(drawn)
    ]
