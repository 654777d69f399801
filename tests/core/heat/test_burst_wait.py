"""How long to wait for the next burst."""

from __future__ import annotations

import pytest

from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.shelf import Vessel, VesselMaterial
from workbench.core.heat.blend import Blend
from workbench.core.heat.burst_wait import wait_for_burst
from workbench.core.heat.bursts import NextBurst, OvenPower, next_burst
from workbench.core.recipe.composition import Composition

BALM = Blend.of(Composition.of({"beeswax": 20, "shea": 20, "almond": 60}), CUPBOARD)
BEAKER = Vessel(key="b", name="B", material=VesselMaterial.GLASS, holds_ml=250, inner_diameter_mm=66)


def ask(celsius: float, mass_g: float = 100.0) -> NextBurst:
    return next_burst((), BALM, mass_g, OvenPower(500, 25), celsius=celsius, ceiling_c=80)


def test_it_waits_until_a_burst_fits_and_no_longer() -> None:
    found = wait_for_burst(ask, 79.0, BALM, BEAKER, 100, 21)
    assert found is not None
    assert found.median_s is not None
    assert ask(found.below_c).seconds > 0
    assert ask(found.below_c + 0.5).seconds == 0
    # A beaker of 100 g loses 1 to 2.5 K a minute near 78 °C (black coffee, Gould and Tobochnik: 1.9 to 2.1)
    k_min = (79.0 - found.below_c) / (found.median_s / 60)
    assert 1.0 < k_min < 3.5


@pytest.mark.parametrize(
    ("celsius", "mass_g", "room_c"),
    [
        (40.0, 100.0, 21.0),  # a burst fits now
        (79.0, 30.0, 21.0),  # never in the microwave
        (79.0, 100.0, 78.5),  # it cools no further
    ],
)
def test_no_wait_where_none_helps(celsius: float, mass_g: float, room_c: float) -> None:
    assert wait_for_burst(lambda at: ask(at, mass_g), celsius, BALM, BEAKER, mass_g, room_c) is None
