"""Our own halving against an independent library."""

from __future__ import annotations

import math

import pytest
from scipy.optimize import brentq

from workbench.core.heat.root import rising_root
from workbench.core.heat.setting import stefan_lambda
from workbench.core.heat.thermometer import boiling_point_c, saturation_pa


@pytest.mark.parametrize("stefan", [0.001, 0.1, 0.5, 2.0, 20.0])
def test_the_root_of_a_freezing_front_is_that_of_scipy(stefan: float) -> None:
    def front(x: float) -> float:
        return math.sqrt(math.pi) * x * math.exp(x * x) * math.erf(x) - stefan

    assert stefan_lambda(stefan) == pytest.approx(brentq(front, 1e-6, 3.0, xtol=1e-12), rel=1e-9)


@pytest.mark.parametrize("pressure_hpa", [600.0, 850.0, 1013.25, 1080.0])
def test_the_boiling_point_is_that_of_scipy(pressure_hpa: float) -> None:
    expected = brentq(lambda celsius: saturation_pa(celsius) - 100 * pressure_hpa, 50.0, 120.0, xtol=1e-10)
    assert boiling_point_c(pressure_hpa=pressure_hpa) == pytest.approx(expected, abs=1e-8)


def test_where_there_is_no_root_between_the_ends_the_nearer_one_is_given() -> None:
    assert rising_root(lambda x: x + 1, 0.0, 1.0) == pytest.approx(0.0, abs=1e-12)
    assert rising_root(lambda x: x - 2, 0.0, 1.0) == pytest.approx(1.0, abs=1e-12)
