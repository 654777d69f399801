"""What a batch took from the shelf."""

from __future__ import annotations

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.made import composition_made
from workbench.core.batch.record import summary
from workbench.core.batch.used import used_of
from workbench.testing import Maker, begin


def test_what_was_used_is_what_was_made() -> None:
    """Grams by lot come to the composition as made, line by line: nothing is counted twice or forgotten."""
    conductor, clock, _ = begin()
    Maker(conductor, clock).go_to_end()
    made = conductor.state
    by_material: dict[str, float] = {}
    for material, _lot, mass_g in used_of(made):
        by_material[material] = by_material.get(material, 0.0) + mass_g
    assert by_material == pytest.approx(composition_made(made).as_dict())


def test_the_newest_weighing_of_a_line_counts_with_its_lot() -> None:
    bench = Bench.at("weigh:beeswax")
    bench.do(ask.Weigh(bench.step, "mass:beeswax", 8.07, "8.07", lot="b7"))
    assert summary(bench.state).used == (("beeswax", "b7", 8.07),)
