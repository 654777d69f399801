"""What an oven gives by its water tests, and how far what was learned is carried to another load."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.goals.cupboard import CUPBOARD
from workbench.core.catalogue.shelf import Learned, Microwave, Shelf, Vessel, VesselMaterial, WaterTest
from workbench.core.heat.bath import CONTACT, contact_says, melt_ahead
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import SHARE_TAKEN, next_burst, share_for
from workbench.core.heat.bursts_ahead import play_bursts
from workbench.core.heat.cooling import LOSS, describe
from workbench.core.heat.forecast import Reading, forecast
from workbench.core.heat.oven_power import (
    CUP_G,
    WATTS,
    by_tests,
    cup_power,
    power_of,
    usual_power,
)
from workbench.core.recipe.composition import Composition

DAY = date(2026, 3, 1)
BALM = Blend.of(Composition.of({"beeswax": 20, "shea": 20, "almond": 60}), CUPBOARD)


def reading_of(
    watts: float, water_g: float, *, day: int = 1, cup_g: float = 0.0, seconds: float = 42.0
) -> WaterTest:
    """A test by which the formula gives these watts: IEC 60705, 4.187 m (T2 - T1) / t, 2 s of start not counted."""
    rise = watts * (seconds - 2) / (4.187 * water_g)
    return WaterTest(
        day=date(2026, 3, day), water_g=water_g, before_c=15, after_c=15 + rise, seconds=seconds, cup_g=cup_g
    )


def oven(*tests: WaterTest, rated_w: float | None = 900) -> Microwave:
    return Microwave(key="m", name="M", rated_w=rated_w, tests=tests)


def test_watts_are_worked_out_from_the_readings_by_the_formula_of_today() -> None:
    # by hand: 250 g from 15 to 40 °C in 42 s set, 40 s of heat: 4.187 x 250 x 25 / 40
    test = WaterTest(day=DAY, water_g=250, before_c=15, after_c=40, seconds=42)
    assert power_of(test).watts == pytest.approx(654.2, abs=0.1)
    found = by_tests(oven(test), 250)
    assert found is not None
    assert found.watts == pytest.approx(654.2, abs=0.1)
    assert (found.count, found.early) == (1, False)
    # a result that lies beside the readings, as an older program may have kept it, does not count
    stale = oven(test).model_copy(update={"learned": (Learned(what=WATTS, value=620, sd=10, batches=1),)})
    assert by_tests(stale, 250) == found


def test_a_result_without_its_readings_is_known_for_an_early_one_and_doubted() -> None:
    early = oven().model_copy(update={"learned": (Learned(what=WATTS, value=600, sd=10, batches=2),)})
    found = by_tests(early, 250)
    assert found is not None
    assert found.early
    # the 2 s of start that were counted are 2 to 10 % of the 20 to 120 s of a test
    assert found.watts + 1.96 * found.sd_w >= 1.1 * 600 * 0.99
    assert usual_power(early, 250).measured
    assert "Repeat it once" in usual_power(early, 250).says


def test_tests_that_agree_are_averaged_and_one_that_does_not_takes_their_place() -> None:
    two = by_tests(oven(reading_of(600, 250), reading_of(620, 250, day=2)), 250)
    assert two is not None
    # two like precisions: near the plain mean, and the standard error of a mean of two
    assert two.watts == pytest.approx(610, abs=1)
    assert two.sd_w == pytest.approx(power_of(reading_of(610, 250)).sd_w / math.sqrt(2), rel=0.03)
    assert two.count == 2
    other = by_tests(
        oven(reading_of(600, 250), reading_of(620, 250, day=2), reading_of(400, 250, day=3)), 250
    )
    assert other is not None
    assert other.watts == pytest.approx(400)
    assert other.count == 1


def test_of_two_loads_the_nearer_counts() -> None:
    both = oven(reading_of(450, 100), reading_of(700, 500, day=2))
    assert usual_power(both, 110).watts == pytest.approx(450)
    assert usual_power(both, 480).watts == pytest.approx(700)
    assert usual_power(both, 230).says == ""  # between what was measured


def test_for_a_much_larger_load_the_plate_counts_and_says_so() -> None:
    """The terminal refuses water of less than 0.6 of the balm for the same reason: bursts would come out too long."""
    small = oven(reading_of(450, 100))
    assert usual_power(small, 100).says == ""
    near = usual_power(small, 150)
    assert near.measured
    assert "more doubt" in near.says
    assert near.sd_w > usual_power(small, 100).sd_w
    far = usual_power(small, 170)
    assert (far.watts, far.measured) == (900, False)
    assert "not counted" in far.says
    assert "170 g" in far.says
    # even where the plate is not known or says less than was measured
    assert usual_power(oven(reading_of(450, 100), rated_w=None), 400).watts >= 1000
    assert usual_power(oven(reading_of(950, 100, seconds=22)), 400).watts == pytest.approx(950)


@given(st.floats(50, 100), st.floats(500, 1200))
def test_a_smaller_load_is_doubted_by_as_much_as_ovens_differ(mass: float, rated: float) -> None:
    """Judge: an oven that gives m / (m + 65 g) of its rating to m grams, as the simulated kitchens have it."""
    large = 250.0
    power = usual_power(
        oven(reading_of(rated * large / (large + 65), large, seconds=60), rated_w=rated), mass
    )
    truth = rated * mass / (mass + 65)
    assert power.measured
    assert truth < power.watts  # what is taken for the first burst is never too little
    assert abs(math.log(truth / power.watts)) < 2 * power.sd_w / power.watts
    assert power.says


def test_a_burst_says_what_its_oven_was_tested_with() -> None:
    tested = oven(reading_of(450, 100))
    told = next_burst((), BALM, 400, usual_power(tested, 400), celsius=22, ceiling_c=80)
    assert any("not counted" in each for each in told.more)
    like = next_burst((), BALM, 100, usual_power(tested, 100), celsius=22, ceiling_c=80)
    assert like.more == ()
    played = play_bursts(BALM, tested, None, 400, 21.0, 65.0, 85.0)
    assert any("not counted" in each for each in played.doubts)


def test_a_share_learned_with_a_large_load_leaves_room_for_what_little_oil_takes_up() -> None:
    """25 g of canola took 472 J where 25 g of water took 2718 J (physics.stackexchange 649241): 0.17 of water's
    power, against about all of it in large loads (Zhou et al., ASABE 2023)."""
    large = Learned(what=SHARE_TAKEN, value=-0.05, sd=0.1, batches=6, low_g=800, high_g=1000)
    mean, sd = share_for(large, 25)
    assert mean - 2 * sd < math.log(0.174) < mean
    same = share_for(large, 900)
    assert same == (-0.05, 0.15)
    near = share_for(large, 500)
    assert same[1] < near[1] < sd
    unknown = large.model_copy(update={"low_g": None, "high_g": None})
    assert share_for(unknown, 25) == (-0.05, 0.15)  # nobody wrote down with which loads


def test_a_burst_says_that_the_share_was_learned_with_other_loads() -> None:
    share = Learned(what=SHARE_TAKEN, value=-0.5, sd=0.1, batches=3, low_g=60, high_g=90)
    told = next_burst((), BALM, 300, usual_power(None, 300), celsius=22, ceiling_c=80, share=share)
    assert any("learned with 60 g to 90 g; for 300 g" in each for each in told.more)
    assert next_burst((), BALM, 80, usual_power(None, 80), celsius=22, ceiling_c=80, share=share).more == ()


JUG = Vessel(key="v", name="Beaker", material=VesselMaterial.GLASS, holds_ml=600)


def knowing(low_g: float | None, high_g: float | None) -> Vessel:
    row = Learned(what=LOSS, value=0.1, sd=0.05, batches=5, low_g=low_g, high_g=high_g)
    return JUG.model_copy(update={"learned": (row,)})


def test_what_a_jug_taught_counts_less_for_quite_another_filling_and_it_says_so() -> None:
    known, like = knowing(80, 120), describe(BALM, knowing(80, 120), 100).ln_loss_sd
    assert like == describe(BALM, knowing(None, None), 100).ln_loss_sd
    far = describe(BALM, known, 500).ln_loss_sd
    assert like < describe(BALM, known, 180).ln_loss_sd < far
    assert far <= describe(BALM, JUG, 500).ln_loss_sd + 1e-9  # never worse than a jug nobody knows
    told = forecast([Reading(0.0, 80.0)], BALM, known, 500, 21.0, below=(60.0,))
    assert any("learned with 80 g to 120 g; with 500 g" in each for each in told.says)
    wide, narrow = (
        told.crossings[0],
        forecast([Reading(0.0, 80.0)], BALM, knowing(450, 550), 500, 21.0, below=(60.0,)).crossings[0],
    )
    assert wide.low80_s is not None
    assert wide.high80_s is not None
    assert narrow.low80_s is not None
    assert narrow.high80_s is not None
    assert wide.high80_s - wide.low80_s > 1.1 * (narrow.high80_s - narrow.low80_s)
    like_said = forecast([Reading(0.0, 80.0)], BALM, known, 110, 21.0, below=(60.0,)).says
    assert not any("learned with" in each for each in like_said)


def test_what_a_jug_taught_of_its_bath_counts_less_for_quite_another_filling() -> None:
    row = Learned(what=CONTACT, value=0.2, sd=0.05, batches=5, low_g=40, high_g=60)
    jug = JUG.model_copy(update={"learned": (row,)})
    known = JUG.model_copy(update={"learned": (row.model_copy(update={"high_g": 450}),)})

    def width(vessel: Vessel) -> float:
        molten = melt_ahead((), BALM, vessel, 400, 21.0, 65.0).molten
        assert molten.low80_s is not None
        assert molten.high80_s is not None
        return molten.high80_s - molten.low80_s

    assert width(known) < width(jug) <= width(JUG) * 1.05
    assert "learned with 40 g to 60 g; with 400 g" in contact_says(jug, 400)
    assert contact_says(known, 400) == contact_says(JUG, 400) == ""


def test_a_cup_beside_the_jug_counts_only_by_a_test_made_with_it() -> None:
    plain, beside = reading_of(500, 100), reading_of(60, 40, cup_g=250, day=2)
    assert cup_power(oven(plain), 40) is None
    both = oven(plain, beside)
    found = cup_power(both, 40)
    assert found is not None
    assert found.watts == pytest.approx(60)
    assert usual_power(both, 40).watts == pytest.approx(500)  # and by itself as before
    assert cup_power(both, 90) is None  # far more than was tested
    # a cup too small to hold anything back is neither the one nor the other
    assert by_tests(oven(reading_of(60, 40, cup_g=50)), 40, with_cup=True) is None
    assert by_tests(oven(reading_of(60, 40, cup_g=50)), 40) is None
    told = next_burst((), BALM, 40, found, celsius=22, ceiling_c=80, ballast_g=CUP_G)
    assert told.seconds >= 3
    assert any("Fresh cold water into the cup" in each for each in told.more)


def test_with_a_cup_a_small_melt_stays_under_its_ceiling_and_its_water_far_from_boiling() -> None:
    """40 g beside 250 g of water in an oven of 800 W that gives each its share of m / (m + 65 g), by hand."""
    mass, jug_w = 40.0, 800 * 40 / (40 + 250 + 65)
    played = play_bursts(BALM, oven(reading_of(jug_w, mass, cup_g=250)), None, mass, 21.0, 65.0, 80.0)
    assert played.with_cup
    assert played.median_s is not None
    assert 0 < played.bursts <= 40
    # all the rest of the oven's watts into the cup for two bursts of 30 s, from cold water of 20 °C
    assert 20 + 2 * 30 * 1200 / (4.187 * 250) < 95


def test_what_is_not_known_is_not_written_and_older_files_open() -> None:
    plain = Shelf(microwaves=(oven(),))
    text = plain.model_dump_json()
    for name in ("tests", "low_g", "high_g", "mass_g"):
        assert f'"{name}"' not in text
    full = Shelf(microwaves=(oven(reading_of(500, 100)),), vessels=(knowing(80, 120),))
    assert Shelf.model_validate_json(full.model_dump_json()) == full
    assert Shelf.model_validate(plain.model_dump(mode="json")) == plain
