"""The guided water test: arithmetic of the standard, and readings that cannot be right."""

from __future__ import annotations

from datetime import date

import pytest

from workbench.core.catalogue.shelf import Learned, Microwave, WaterTest
from workbench.core.heat.oven_power import WATTS
from workbench.core.heat.water_test import least_water_g, time_for_test_s, try_oven
from workbench.core.trouble import Trouble

OVEN = Microwave(key="m", name="M", rated_w=800)


def made(water_g: float, before_c: float, after_c: float, seconds: float, **more: float) -> WaterTest:
    return WaterTest(
        day=date(2026, 3, 1), water_g=water_g, before_c=before_c, after_c=after_c, seconds=seconds, **more
    )


def test_watts_by_the_formula_of_the_standard() -> None:
    # IEC 60705: P = [4.187 m (T2 - T1) + 0.55 m_c (T2 - T0)] / t; here the bowl starts as warm as the water
    # and t is without the start of the oven, which the time that was set holds
    found = try_oven(OVEN, made(250, 15, 40, 42, bowl_g=300))
    assert found.power.watts == pytest.approx((4.187 * 250 * 25 + 0.55 * 300 * 25) / 40)
    assert "760 W" in found.says
    assert found.power.sd_w > 0
    assert any("melts like 250 g" in each for each in found.more)


def test_a_test_in_the_window_tells_the_watts_that_the_rule_of_the_bursts_counts_with() -> None:
    """An oven of 700 W that gives nothing for its first two seconds, played by hand."""
    for seconds in (20, 40, 90):
        warmer_k = 700 * (seconds - 2) / (4.187 * 500)
        assert try_oven(OVEN, made(500, 15, 15 + warmer_k, seconds)).power.watts == pytest.approx(700)


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ((60, 15, 40, 30), "at least 100 g"),
        ((250, 45, 60, 30), "Begin with cold water"),
        ((250, 15, 15, 30), "did not get warmer"),
        ((250, 15, 18, 30), "too little to tell"),
        ((250, 15, 95, 60), "close to boiling"),
        ((250, 15, 40, 400), "longer than"),
        ((250, 15, 40, 16), "at least: an oven needs"),
        ((1000, 15, 45, 30), "One of the numbers is not right"),
        ((250, 15, 22, 100), "One of the numbers is not right"),
    ],
)
def test_refused_readings_say_which_and_why(readings: tuple[float, float, float, float], says: str) -> None:
    with pytest.raises(Trouble, match=says):
        try_oven(OVEN, made(*readings))


def test_the_time_warms_water_well_and_never_near_boiling() -> None:
    for watts in (300, 800, 1500):
        oven = Microwave(key="m", name="M", rated_w=watts)
        for grams in (100, 250, 500, 1000):
            if grams < least_water_g(oven):
                continue
            seconds = time_for_test_s(oven, grams)
            # energy over heat capacity of cold water, by an oven a third stronger than its plate
            warmest = 20 + 1.33 * watts * seconds / (4.187 * grams)
            assert warmest < 75
            assert 20 <= seconds <= 120
    assert least_water_g(OVEN) == 100
    assert least_water_g(OVEN.model_copy(update={"rated_w": 1500})) > 100
    known = OVEN.model_copy(update={"learned": (Learned(what=WATTS, value=400, sd=10, batches=1),)})
    assert time_for_test_s(known, 300) > time_for_test_s(OVEN, 300)


def test_with_a_cup_beside_it_a_small_glass_is_tested() -> None:
    # by hand: 40 g from 15 to 30 °C in 26 s set, 24 s of heat
    found = try_oven(OVEN, made(40, 15, 30, 26, cup_g=250))
    assert found.power.watts == pytest.approx(4.187 * 40 * 15 / 24)
    assert any("same cup beside the jug" in each for each in found.more)
    with pytest.raises(Trouble, match="at least 200 g of water in the cup"):
        try_oven(OVEN, made(40, 15, 30, 26, cup_g=100))
    with pytest.raises(Trouble, match="at least 20 g"):
        try_oven(OVEN, made(15, 15, 30, 26, cup_g=250))
    with pytest.raises(Trouble, match="at least 100 g"):
        try_oven(OVEN, made(40, 15, 30, 26))
    # so short that the small glass stays far from boiling even if it got twice its part by mass
    for watts in (500, 800, 1200):
        seconds = time_for_test_s(OVEN.model_copy(update={"rated_w": watts}), 30, 250)
        assert 20 + 2 * watts * (seconds - 2) / (4.187 * 280) < 70
