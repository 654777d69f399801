"""How long the check of a recipe of 40 lines takes.

    python -m tests.benchmarks.check_speed

Prints the median of each part in ms.  An editor asks for all of it after
every key, so the whole must stay under 50 ms.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import date

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note, Use
from workbench.core.design.evaluation import evaluate
from workbench.core.design.headroom import headrooms
from workbench.core.design.remedies import remedies, temperatures_of
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.model import Amount, BaseLine, Measure, Recipe, ScentLine
from workbench.core.skin.assess import assess
from workbench.core.skin.label import allergens_to_declare, ingredient_list
from workbench.core.skin.rules import compile_rules
from workbench.core.skin.tables import compile_tables
from workbench.store.resources import load_catalogue

TODAY = date(2026, 11, 25)
LINES = 40
EVERY_USE = (Use.PERFUME, Use.LIPS, Use.HANDS, Use.BODY, Use.FACE)


def long_recipe(catalogue: Catalogue) -> Recipe:
    """Forty lines: ten of base, thirty of scent."""
    base = [key for key, material in catalogue.materials.items() if material.kind.is_base][:10]
    scent = [
        key
        for key, material in catalogue.materials.items()
        if material.kind.is_scent and material.composition
    ][: LINES - len(base)]
    notes = tuple(Note)
    return Recipe(
        name="Forty lines",
        base=tuple(
            BaseLine(material=key, amount=Amount(value=1 + n, measure=Measure.PARTS))
            for n, key in enumerate(base)
        ),
        scent=tuple(
            ScentLine(material=key, amount=Amount(value=1 + n % 4, measure=Measure.PARTS), note=notes[n % 3])
            for n, key in enumerate(scent)
        ),
        uses=EVERY_USE,
    )


def median_ms(work: Callable[[], object], times: int = 15) -> float:
    """Median time of the processor for one call, in ms, after one to warm up."""
    work()
    taken = []
    for _ in range(times):
        start = time.thread_time()
        work()
        taken.append((time.thread_time() - start) * 1000)
    return statistics.median(taken)


def measure() -> dict[str, float]:
    catalogue = load_catalogue()
    recipe = long_recipe(catalogue)
    weighed = work_out(recipe, catalogue)
    whole = weighed.composition
    assert len(weighed.lines) == LINES
    return {
        "skin tables (once per catalogue)": median_ms(lambda: compile_tables(catalogue), 5),
        "skin rules (once per uses and place)": median_ms(
            lambda: compile_rules(compile_tables(catalogue), recipe.uses, recipe.place, "51st"), 5
        ),
        "amounts": median_ms(lambda: work_out(recipe, catalogue)),
        "limits": median_ms(lambda: assess(whole, catalogue, recipe.uses, recipe.place)),
        "allergens": median_ms(lambda: allergens_to_declare(whole, catalogue, recipe.place, TODAY)),
        "ingredient list": median_ms(lambda: ingredient_list(whole, catalogue, recipe.place, TODAY)),
        "headroom of all oils": median_ms(lambda: headrooms(whole, catalogue, recipe.uses, recipe.place)),
        "temperatures": median_ms(lambda: temperatures_of(recipe, catalogue, weighed)),
        "whole check": median_ms(lambda: evaluate(recipe, catalogue, TODAY)),
        "remedies (when asked for)": median_ms(lambda: remedies(recipe, catalogue), 3),
    }


def main() -> int:
    for name, taken in measure().items():
        print(f"{name:38} {taken:8.2f} ms")
    return 0


if __name__ == "__main__":
    sys.exit(main())
