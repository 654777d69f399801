"""The composer beside scipy's differential evolution on the same problem: objective and time.

    python -m tests.benchmarks.compose

Both are given the same oils, limits and wish; the objective is the distance
from the wish in doublings of dose.  The evolution works on whole units with a
penalty for every broken row, as one would write it without a linear model.
"""

from __future__ import annotations

import math
import sys
import time

import numpy as np
from scipy.optimize import Bounds, differential_evolution

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.design.composer import compose
from workbench.core.design.composer_problem import (
    OTHER_SLOPE,
    SHORT_MOST,
    TANGENTS,
    Problem,
    build,
    candidates,
)
from workbench.core.design.composer_solve import solve
from workbench.core.design.wish import Wish
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe
from workbench.core.scent.volatility import Array
from workbench.store.resources import load_catalogue

PENALTY = 20.0


def problem_for(wish: Wish, recipe: Recipe, catalogue: Catalogue) -> Problem:
    weighed = work_out(recipe, catalogue)
    chosen = candidates(wish, recipe, catalogue, weighed.batch_g)
    return build(wish, recipe, catalogue, weighed.base_composition, weighed.batch_g, chosen)


def short_of(dose: float) -> float:
    """Doublings by which a dose falls short of 1, by the same four tangents."""
    tangents = [
        min(-math.log2(p) + 1 / math.log(2), SHORT_MOST) - min(dose, 1.0) / (p * math.log(2))
        for p in TANGENTS
    ]
    return max(0.0, *tangents)


def cost_of(problem: Problem, units: Array) -> float:
    """The objective for given units, written out anew; infinite where a row is broken."""
    broken = broken_by(problem, units)
    return _distance(problem, units) if broken <= 1e-9 else math.inf


def _distance(problem: Problem, units: Array) -> float:
    used = (units > 0).astype(np.float64)
    n = problem.count
    grams = units * problem.candidates.unit_g
    total = float(problem.cost[:n] @ units + problem.cost[n : 2 * n] @ used)
    for dose in problem.doses:
        own = dose.own @ grams
        other = dose.other @ grams
        total += short_of(float(own.max(initial=0.0))) if len(own) else SHORT_MOST
        total += max(0.0, float(own.max(initial=0.0)) - 1.0)
        total += OTHER_SLOPE * max(0.0, float(other.max(initial=0.0)) - 1.0)
    return total


def broken_by(problem: Problem, units: Array) -> float:
    """Sum of relative violations of all rows that hold amounts, and of the bounds."""
    n = problem.count
    v = np.zeros(problem.width)
    v[:n], v[n : 2 * n] = units, units > 0
    amounts_only = [at for at, row in enumerate(problem.rows) if not np.any(row[2 * n :])]
    matrix = problem.matrix()[amounts_only]
    held = matrix @ v
    low, high = np.array(problem.low)[amounts_only], np.array(problem.high)[amounts_only]
    scale = np.maximum(1.0, np.abs(np.where(np.isfinite(high), high, np.where(np.isfinite(low), low, 1.0))))
    too_much = np.maximum(0.0, held - high) / scale
    too_little = np.maximum(0.0, low - held) / scale
    musts = np.maximum(0.0, problem.lower[n : 2 * n] - v[n : 2 * n])
    tolerance = np.where(too_much + too_little < 1e-7, 0.0, too_much + too_little)
    return float(tolerance.sum() + musts.sum())


def evolve(problem: Problem, generations: int, seed: int) -> tuple[float, Array]:
    """Differential evolution over whole units; answers with objective and units."""

    def cost(x: Array) -> float:
        units = np.where(x < 1.0, 0.0, np.round(x))
        return _distance(problem, units) + PENALTY * broken_by(problem, units)

    # most oils are not in a blend, so half of each range means "not in"
    most = problem.candidates.most.astype(np.float64)
    bounds = Bounds(-most, most)
    found = differential_evolution(
        cost, bounds, maxiter=generations, popsize=8, seed=seed, polish=False, tol=0.0, init="sobol"
    )
    units = np.where(found.x < 1.0, 0.0, np.round(found.x))
    return (cost_of(problem, units), units)


def main() -> int:
    catalogue = load_catalogue()
    oils = [
        "lavender",
        "bergamot",
        "lemon",
        "sweet_orange",
        "grapefruit",
        "petitgrain",
        "neroli",
        "ylang",
        "geranium",
        "rose",
        "rosemary",
        "peppermint",
        "eucalyptus",
        "clary_sage",
        "cinnamon_bark",
        "clove_bud",
        "nutmeg",
        "cardamom",
        "black_pepper",
        "frankincense",
        "cedarwood_virginia",
        "patchouli",
        "vetiver",
        "sandalwood",
        "tea_tree",
    ]
    recipe = Recipe(
        name="A balm",
        base=tuple(
            BaseLine(material=key, amount=Amount(value=1, measure=Measure.PARTS))
            for key in ("beeswax", "shea_butter", "jojoba")
        ),
        size=BatchSize(mass_g=60.0),
    )
    wishes = {
        "unfolds: top, middle, base": [(60, Note.TOP, 25), (3600, Note.MIDDLE, 15), (14400, Note.BASE, 6)],
        "bright: top, and top again": [(60, Note.TOP, 35), (3600, Note.TOP, 15)],
        "impossible: top after four hours": [(60, Note.MIDDLE, 25), (14400, Note.TOP, 35)],
    }
    print(
        f"{'wish, 25 oils, whole drops':36} {'HiGHS':>8} {'time':>8} {'all three':>10}   {'evolution':>9} {'time':>8}"
    )
    for name, aims in wishes.items():
        wish = Wish.model_validate(
            {
                "aims": [{"at_s": at, "note": note, "strength": strength} for at, note, strength in aims],
                "oils": oils,
                "load_percent": 6.0,
            }
        )
        problem = problem_for(wish, recipe, catalogue)
        times = []
        for _ in range(5):
            start = time.perf_counter()
            ours = solve(problem)
            times.append(time.perf_counter() - start)
        whole = []
        for _ in range(5):
            start = time.perf_counter()
            compose(wish, recipe, catalogue)
            whole.append(time.perf_counter() - start)
        start = time.perf_counter()
        theirs, _units = evolve(problem, generations=30, seed=1)
        took = time.perf_counter() - start
        assert ours is not None
        print(
            f"{name:36} {ours.cost:8.3f} {1e3 * min(times):5.0f} ms {1e3 * min(whole):7.0f} ms   "
            f"{theirs:9.3f} {1e3 * took:5.0f} ms"
        )
    print("Objective: doublings of dose by which the wish is missed, smaller is closer; best of 5 runs.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
