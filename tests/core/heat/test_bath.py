"""The water bath against its closed form, hand arithmetic and common practice."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm

from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.shelf import Vessel, VesselMaterial
from workbench.core.heat.bath import Bath, melt_ahead, top_up_after_s, two_nodes
from workbench.core.heat.blend import Blend
from workbench.core.heat.forecast import Reading
from workbench.core.recipe.composition import Composition
from workbench.core.rehearsal.pot import Kitchen

BEAKER = Vessel(
    key="b", name="B", material=VesselMaterial.GLASS, holds_ml=250, empty_g=110, inner_diameter_mm=66
)
GRAMS = {"beeswax": 20.0, "shea": 20.0, "almond": 60.0}
BALM = Blend.of(Composition.of(GRAMS), CUPBOARD)


@pytest.mark.parametrize(("seconds", "bath_c", "jug_c"), [(120, 36.049, 23.375), (600, 83.379, 61.976)])
def test_two_nodes_against_the_matrix_exponential(seconds: float, bath_c: float, jug_c: float) -> None:
    # 1 kg of water, 100 g of blend in 60 g of glass (259.8 J/K), G 1.04, loss 4 W/K, 600 W, all at 20 °C.
    one, two = two_nodes(
        np.array([20.0]),
        np.array([20.0]),
        bath_j_k=4186,
        jug_j_k=259.8,
        between_w_k=1.04,
        air_w_k=4.0,
        stove_w=600,
        air_c=20,
        seconds=seconds,
    )
    matrix = np.array([[-(4.0 + 1.04) / 4186, 1.04 / 4186], [1.04 / 259.8, -1.04 / 259.8]])
    limit = np.linalg.solve(matrix, [-600 / 4186, 0.0])
    judged = 20 + limit + expm(matrix * seconds) @ (-limit)
    assert (one[0], two[0]) == pytest.approx(tuple(judged), abs=1e-4)
    assert (one[0], two[0]) == pytest.approx((bath_c, jug_c), abs=1e-3)
    assert -1 / np.linalg.eigvals(matrix) == pytest.approx([1129.886, 231.372], abs=1e-3) or -1 / np.linalg.eigvals(matrix)[::-1] == pytest.approx([1129.886, 231.372], abs=1e-3)  # fmt: skip


def test_100_g_melt_in_10_to_20_minutes() -> None:
    # Common practice, no source; the bath starts cold.
    ahead = melt_ahead([], BALM, BEAKER, 100, 21, 60)
    assert ahead.molten.median_s is not None
    assert 8 * 60 < ahead.molten.median_s < 20 * 60
    # hand arithmetic: 100 g, 21 -> 60 °C: 2.05 x 39 x 100 = 8.0 kJ and 3.8 kJ of wax
    assert ahead.energy_kj == pytest.approx(8.0 + 3.8, rel=0.05)
    hot = melt_ahead([], BALM, BEAKER, 100, 21, 60, bath=Bath(start_c=90))
    assert hot.molten.median_s is not None
    assert hot.molten.median_s < ahead.molten.median_s


def test_readings_narrow_it_and_find_a_slow_bath() -> None:
    blind = melt_ahead([], BALM, BEAKER, 100, 21, 60)
    slow = [Reading(120, 22.5), Reading(240, 26.5), Reading(360, 31.5), Reading(480, 36.5)]
    seen = melt_ahead(slow, BALM, BEAKER, 100, 21, 60)
    assert seen.molten.median_s is not None
    assert blind.molten.median_s is not None
    assert seen.molten.median_s > blind.molten.median_s
    assert seen.contact.sd < blind.contact.sd
    assert seen.lag_k > 0


def test_against_the_simulated_kitchen() -> None:
    errors = []
    for seed in range(5):
        kitchen = Kitchen(CUPBOARD, seed, vessel=BEAKER)
        kitchen.put_in(GRAMS)
        kitchen.into_bath(90)
        readings = []
        for _ in range(4):
            kitchen.pass_time(100)
            kitchen.stir(15)
            kitchen.pass_time(20)
            readings.append(Reading(kitchen.now_s, kitchen.read()))
        ahead = melt_ahead(readings, BALM, BEAKER, 100, 21, 65)
        while kitchen.mean_c < 65:
            kitchen.stir(15)
            kitchen.pass_time(30)
        assert ahead.molten.median_s is not None
        errors.append(abs(ahead.molten.median_s - kitchen.now_s) / (kitchen.now_s - readings[-1].seconds))
    assert float(np.median(errors)) < 0.35


def test_a_cool_bath_never_gets_there_and_says_so() -> None:
    ahead = melt_ahead([], BALM, BEAKER, 100, 21, 75, bath=Bath(held_at_c=60))
    assert ahead.molten.median_s is None
    assert "not warm enough" in ahead.says[0]


def test_a_bath_that_boils_loses_what_the_stove_gives() -> None:
    # 1000 W less 320 W to the air, 2257 J/g (steam tables, 100 °C): a quarter of 1 kg in 830 s
    assert top_up_after_s(1000, 100, 1000) == pytest.approx(250 / (680 / 2257), rel=1e-6)
    assert top_up_after_s(1000, 80) > top_up_after_s(1000, 95)
