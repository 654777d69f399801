"""Lessons of several batches weighed against each other."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from workbench.core.catalogue.shelf import Learned, Lesson, Microwave, WaterTest
from workbench.core.heat.bursts import SHARE_TAKEN, WATTS
from workbench.core.heat.cooling import BASE, LOSS
from workbench.core.heat.learning import (
    COUNTER,
    QUANTITIES,
    age_weight,
    believed,
    combined,
    observed,
    oven_after_test,
)
from workbench.core.recipe.densities import DROP

DAY = date(2026, 3, 14)
PRIOR_SD = QUANTITIES[LOSS].sd
DIFFERS = QUANTITIES[LOSS].differs


def lesson(
    value: float, sd: float = 0.1, *, day: date = DAY, weight: float = 1.0, what: str = LOSS
) -> Lesson:
    return Lesson(day=day, about="vessel:jug", what=what, value=value, sd=sd, weight=weight)


def test_one_lesson_is_the_conjugate_normal_update() -> None:
    # Gelman et al., Bayesian Data Analysis, normal model with known variance: precisions add
    found = combined([lesson(0.06, 0.1)], DAY)
    assert found is not None
    noise, prior = 1 / (0.1**2 + DIFFERS**2), PRIOR_SD**-2
    assert found.value == pytest.approx(0.06 * noise / (noise + prior))
    assert found.sd == pytest.approx((noise + prior) ** -0.5)
    assert found.batches == 1


def test_the_prior_of_a_fit_is_taken_out_again() -> None:
    # the same theorem backwards: a fit that saw 0.3 with sd 0.1 from a prior of 0 with sd 0.22
    prior, data = QUANTITIES[LOSS].fit_sd ** -2, 0.1**-2
    posterior = Learned(what=LOSS, value=0.3 * data / (data + prior), sd=(data + prior) ** -0.5, batches=1)
    alone = observed(posterior)
    assert alone == pytest.approx((0.3, 0.1))
    nothing = Learned(what=LOSS, value=0.0, sd=QUANTITIES[LOSS].fit_sd, batches=1)
    assert observed(nothing) is None


def test_batches_add_up_to_what_they_say_together() -> None:
    values = (0.22, 0.18, 0.25, 0.2, 0.21, 0.19)
    one, all_ = combined([lesson(values[0])], DAY), combined([lesson(each) for each in values], DAY)
    assert one is not None
    assert all_ is not None
    assert abs(all_.value - 0.21) < abs(one.value - 0.21)
    assert all_.sd < one.sd
    assert all_.batches == 6


def test_one_odd_batch_counts_for_little() -> None:
    good = [lesson(value) for value in (0.18, 0.2, 0.22, 0.19, 0.21)]
    plain, with_odd = combined(good, DAY), combined([*good, lesson(-1.5)], DAY)
    assert plain is not None
    assert with_odd is not None
    mean = (sum(each.value for each in good) - 1.5) / 6  # what a plain average would make of it
    assert mean < 0
    assert with_odd.value == pytest.approx(plain.value, abs=0.08)
    # and it is less sure of a jug whose batches differ so much
    assert with_odd.sd > plain.sd


def test_old_batches_fade_and_marked_ones_count_less() -> None:
    old = DAY - timedelta(days=730)
    assert age_weight(old, DAY) == pytest.approx(0.5)
    assert age_weight(DAY + timedelta(days=3), DAY) == 1.0
    now, then = lesson(0.3), lesson(-0.1, day=old - timedelta(days=1460))
    fading, even = combined([now, then], DAY), combined([now, lesson(-0.1)], DAY)
    marked = combined([now, lesson(-0.1, weight=0.3)], DAY)
    assert fading is not None
    assert even is not None
    assert marked is not None
    assert even.value < marked.value
    assert even.value < fading.value


def test_a_jug_whose_batches_scatter_stays_uncertain() -> None:
    calm = combined([lesson(value, 0.05) for value in (0.1, 0.11, 0.09, 0.1, 0.1, 0.12)], DAY)
    wild = combined([lesson(value, 0.05) for value in (-0.3, 0.5, 0.1, -0.2, 0.4, 0.1)], DAY)
    assert calm is not None
    assert wild is not None
    assert wild.sd > 2 * calm.sd


def test_a_drop_has_no_belief_before_it_was_weighed() -> None:
    # 20 drops weigh 0.66 g on average (Tisserand Institute, "Drop size")
    found = combined([lesson(0.66 / 20, 0.0005, what=DROP)], DAY)
    assert found is not None
    assert found.value == pytest.approx(0.033, rel=1e-3)
    assert combined([], DAY) is None


def test_each_quantity_of_a_thing_is_believed_by_itself() -> None:
    rows = believed([lesson(0.2), lesson(-0.5, what=SHARE_TAKEN), lesson(0.1)], "vessel:jug", DAY)
    assert {row.what: row.batches for row in rows} == {LOSS: 2, SHARE_TAKEN: 1, BASE: 0}
    assert rows[-1] == COUNTER  # the loss was learned with the counter held near its usual
    assert believed([lesson(0.2)], "vessel:another", DAY) == ()


def water(watts: float, water_g: float = 250.0, cup_g: float = 0.0) -> WaterTest:
    """By the formula of IEC 60705 these watts, in 40 s of heat."""
    rise = watts * 40 / (4.187 * water_g)
    return WaterTest(day=DAY, water_g=water_g, before_c=15, after_c=15 + rise, seconds=42, cup_g=cup_g)


def test_a_water_test_is_kept_as_read_and_says_whether_it_agrees() -> None:
    early = Learned(what=WATTS, value=300, sd=20, batches=2)
    oven = Microwave(key="m", name="M", rated_w=800, learned=(early,))
    once, fits = oven_after_test(oven, water(600))
    assert fits  # the early result says nothing against it, and goes
    assert once.learned == ()
    assert once.tests == (water(600),)
    twice, fits = oven_after_test(once, water(620))
    assert fits
    assert len(twice.tests) == 2
    _, fits = oven_after_test(twice, water(400))
    assert not fits
    _, fits = oven_after_test(twice, water(400, water_g=100))
    assert fits  # another load: nothing to agree with
    _, fits = oven_after_test(twice, water(60, water_g=40, cup_g=250))
    assert fits


def test_the_loads_a_thing_was_learned_with_are_kept() -> None:
    rows = [lesson(0.1).model_copy(update={"mass_g": mass}) for mass in (80.0, 120.0, None)]
    found = combined(rows, DAY)
    assert found is not None
    assert (found.low_g, found.high_g) == (80.0, 120.0)
    bare = combined([lesson(0.1)], DAY)
    assert bare is not None
    assert (bare.low_g, bare.high_g) == (None, None)
