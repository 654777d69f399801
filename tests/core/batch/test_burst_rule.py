"""The session's bursts by what is really in the jug."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.burst_rule import burst_rule, burst_seconds
from workbench.core.batch.bursts import CLEAR, CUP, cautious_burst_s, no_burst
from workbench.core.batch.limits import ceiling_c
from workbench.core.batch.needs import missing
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.real_rules import rules_for
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import WaterTest
from workbench.core.recipe.model import BatchSize, Heat
from workbench.core.rehearsal.feed import RehearsalFeed
from workbench.testing import (
    BEGIN,
    Maker,
    begin,
    sample_catalogue,
    sample_plan,
    sample_recipe,
    sample_rules,
    sample_steps,
)


def test_a_large_batch_gets_bursts_and_a_small_one_the_water_bath() -> None:
    catalogue = sample_catalogue()
    recipe = sample_recipe(heat=Heat.MICROWAVE).model_copy(update={"size": BatchSize(mass_g=120)})
    plan = make_plan(recipe, 1, catalogue, sample_steps(), today=BEGIN.date())
    rules = replace(sample_rules(), next_burst_s=burst_seconds(catalogue))
    conductor, clock, _ = begin(plan, rules=rules)
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    maker.read(22.0)
    first = burst_rule(catalogue)(maker.state)
    assert 3 <= first.seconds <= 30
    assert burst_seconds(catalogue)(maker.state) == first.seconds
    maker.send(ask.StartBurst(maker.step.id, first.seconds))
    maker.wait(first.seconds)
    maker.send(ask.EndBurst(maker.step.id))
    maker.send(ask.Stir(maker.step.id))
    maker.read(26.0)
    assert burst_rule(catalogue)(maker.state).seconds > first.seconds

    conductor, clock, _ = begin(sample_plan(heat=Heat.MICROWAVE))  # about 43 g
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    small = burst_rule(catalogue)(maker.state)
    assert small.refused
    assert "water bath" in small.says


def test_what_the_oven_refuses_the_session_refuses_in_the_same_words() -> None:
    catalogue = sample_catalogue()
    rules = rules_for(catalogue, sample_rules().alarms)
    conductor, clock, _ = begin(sample_plan(heat=Heat.MICROWAVE), rules=rules)  # about 43 g
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    maker.read(22.0)
    says = burst_rule(catalogue)(maker.state).says
    assert rules.next_burst_s(maker.state) == 0
    assert rules.burst_refused(maker.state) == says
    refused = conductor.send(ask.StartBurst(maker.step.id, 3.0))
    assert refused is not None
    assert refused.says == says
    assert "water bath" in refused.what_to_do
    assert not maker.state.burst.past
    assert conductor.send(ask.ChangeHeat(maker.step.id, Heat.WATER_BATH, "too little for bursts")) is None
    assert maker.state.heat is Heat.WATER_BATH


@pytest.fixture
def melting() -> Maker:
    """120 g in the microwave step, its cautions read, by the oven's own rule."""
    catalogue = sample_catalogue()
    recipe = sample_recipe(heat=Heat.MICROWAVE).model_copy(update={"size": BatchSize(mass_g=120)})
    plan = make_plan(recipe, 1, catalogue, sample_steps(), today=BEGIN.date())
    conductor, clock, _ = begin(plan, rules=rules_for(catalogue, sample_rules().alarms))
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    return maker


def read_sure(maker: Maker, celsius: float) -> None:
    """A reading far from the one before, typed once more."""
    maker.send(ask.ReadTemperature(maker.step.id, celsius, f"{celsius}", True, sure=True))


@pytest.mark.parametrize("over_k", [0.0, 1.0, 9.0])
@pytest.mark.parametrize("clear", [False, True])
def test_at_its_stop_and_over_it_no_burst_is_offered_nor_taken(
    melting: Maker, over_k: float, clear: bool
) -> None:
    """The step says "Stop at {aim}": melt-out, which lies 5 K over the liquidus, where nothing solid is left."""
    conductor, aim_c = melting.conductor, melting.step.aim_c
    assert aim_c is not None
    if clear:
        melting.send(ask.Answer(melting.step.id, CLEAR, True))
    read_sure(melting, aim_c - 8.0)
    assert conductor.rules.next_burst_s(melting.state) >= 3.0
    assert no_burst(melting.state) is None
    read_sure(melting, aim_c + over_k)
    for rule in (conductor.rules.next_burst_s, cautious_burst_s):
        assert rule(melting.state) == 0.0
    assert conductor.rules.burst_refused(melting.state) == ""  # nothing is wrong with the oven
    refused = conductor.send(ask.StartBurst(melting.step.id, 3.0))
    assert refused is not None
    assert "No more bursts" in refused.says
    assert ("next step" if clear else "last grain") in refused.what_to_do
    # lumps that melt as it is stirred take heat: below its aim the melt goes on
    read_sure(melting, aim_c - 4.0)
    assert conductor.rules.next_burst_s(melting.state) >= 3.0
    assert conductor.send(ask.StartBurst(melting.step.id, 3.0)) is None


def test_near_its_ceiling_a_correction_at_the_spoon_waits() -> None:
    """No aim there: only the ceiling stops a burst, by the 1.5 K that one reading may be off."""
    bench = Bench.at("spoon", heat=Heat.MICROWAVE)
    ceiling_c = bench.state.temperatures.melt_ceiling_c
    assert ceiling_c is not None
    bench.read(ceiling_c - 1.5)
    refused = bench.refused(ask.StartBurst("spoon", 3.0))
    assert "close enough to its ceiling" in refused.says
    bench.read(ceiling_c - 12.0)
    bench.do(ask.StartBurst("spoon", 3.0))


def test_no_burst_is_meant_to_carry_a_melt_past_its_stop(melting: Maker) -> None:
    aim_c = melting.step.aim_c
    assert aim_c is not None
    rule = burst_rule(sample_catalogue())
    for under_k in (20.0, 8.0, 3.0, 0.2):
        read_sure(melting, aim_c - under_k)
        found = rule(melting.state)
        # what three seconds give cannot be made less
        assert found.expect_c < aim_c + 1.5 or found.seconds == 3.0


# --- a cup of water beside a small jug ---


def with_cup_tested() -> Catalogue:
    """The sample oven after a test of 40 g with a cup of 250 g of water beside it, its part by m / (m + 65 g)."""
    catalogue, watts = sample_catalogue(), 800 * 40 / (40 + 250 + 65)
    rise = watts * 40 / (4.187 * 40)
    test = WaterTest(day=BEGIN.date(), water_g=40, before_c=15, after_c=15 + rise, seconds=42, cup_g=250)
    oven = catalogue.shelf.microwaves[0].model_copy(update={"tests": (test,)})
    return catalogue.over(catalogue.shelf.model_copy(update={"microwaves": (oven,)}))


def small_melt(catalogue: Catalogue) -> Maker:
    rules = rules_for(catalogue, sample_rules().alarms)
    recipe = sample_plan(heat=Heat.MICROWAVE).recipe  # about 43 g
    conductor, clock, _ = begin(
        make_plan(recipe, 1, catalogue, sample_steps(), today=BEGIN.date()), rules=rules
    )
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    maker.read(22.0)
    return maker


def test_a_small_melt_is_offered_a_cup_of_water_and_allowed_bursts_only_with_it() -> None:
    catalogue = with_cup_tested()
    maker = small_melt(catalogue)
    conductor, rule = maker.conductor, burst_rule(catalogue)
    assert "cup_beside" in maker.step.cautions  # read before anything is heated
    offered = rule(maker.state)
    assert offered.refused
    assert any("stand a cup with 250 g of cold water beside the jug" in each for each in offered.more)
    assert conductor.send(ask.StartBurst("melt:bursts", 3.0)) is not None
    maker.send(ask.Answer("melt:bursts", CUP, True))
    allowed = rule(maker.state)
    assert not allowed.refused
    assert allowed.seconds >= 3
    assert any("Fresh cold water into the cup" in each for each in allowed.more)
    assert conductor.rules.burst_refused(maker.state) == ""
    assert conductor.send(ask.StartBurst("melt:bursts", allowed.seconds)) is None


def test_a_cup_that_was_not_tested_with_the_oven_allows_nothing() -> None:
    catalogue = sample_catalogue()
    maker = small_melt(catalogue)
    assert maker.state.need(CUP) is None  # it is not even asked for
    found = burst_rule(catalogue)(maker.state)
    assert found.refused
    assert any("needs a water test made with that cup" in each for each in found.more)
    assert maker.conductor.send(ask.StartBurst("melt:bursts", 3.0)) is not None
    # and where the oven has gone from the shelf since it was planned, the tick alone allows nothing either
    planned = small_melt(with_cup_tested())
    planned.send(ask.Answer("melt:bursts", CUP, True))
    assert burst_rule(catalogue)(planned.state).refused


def test_the_cup_is_not_needed_to_go_on() -> None:
    maker = small_melt(with_cup_tested())
    assert not any(each.need == CUP for each in missing(maker.state))


def test_in_practice_a_melt_beside_a_cup_stays_under_its_ceiling() -> None:
    """The simulated oven gives jug and cup together m / (m + 65 g) of its watts; its hot spot is its own."""
    catalogue = with_cup_tested()
    maker = small_melt(catalogue)
    maker.send(ask.Answer("melt:bursts", CUP, True))
    plan = maker.state.plan
    assert plan is not None
    feed, conductor = RehearsalFeed(plan, catalogue, 7), maker.conductor
    feed.follow(maker.state, conductor.now_s())
    for _ in range(60):
        seconds = conductor.rules.next_burst_s(maker.state)
        if seconds <= 0:
            break
        maker.send(ask.StartBurst("melt:bursts", seconds))
        feed.follow(maker.state, conductor.now_s())
        maker.wait(seconds)
        feed.follow(maker.state, conductor.now_s())
        maker.send(ask.EndBurst("melt:bursts"))
        feed.follow(maker.state, conductor.now_s())
        maker.send(ask.Stir("melt:bursts"))
        maker.wait(20.0)
        feed.kitchen.stir(20.0)
        feed.follow(maker.state, conductor.now_s())
        read_sure(maker, feed.read())
    assert maker.step.aim_c is not None
    assert maker.state.last_c is not None
    assert maker.state.last_c >= maker.step.aim_c - 1.0
    assert feed.kitchen.mean_c < ceiling_c(maker.state)
