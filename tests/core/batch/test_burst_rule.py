"""The session's bursts by what is really in the jug."""

from __future__ import annotations

from dataclasses import replace

from workbench.core.batch import commands as ask
from workbench.core.batch.burst_rule import burst_rule, burst_seconds
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.real_rules import rules_for
from workbench.core.recipe.model import BatchSize, Heat
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


def test_enough_balm_is_refused_only_near_its_ceiling_and_that_passes() -> None:
    catalogue = sample_catalogue()
    recipe = sample_recipe(heat=Heat.MICROWAVE).model_copy(update={"size": BatchSize(mass_g=120)})
    plan = make_plan(recipe, 1, catalogue, sample_steps(), today=BEGIN.date())
    rules = rules_for(catalogue, sample_rules().alarms)
    conductor, clock, _ = begin(plan, rules=rules)
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    assert maker.state.temperatures.melt_ceiling_c is not None
    maker.read(maker.state.temperatures.melt_ceiling_c - 0.5)
    assert rules.burst_refused(maker.state) == ""
    refused = conductor.send(ask.StartBurst(maker.step.id, 3.0))
    assert refused is not None
    assert "close enough to its ceiling" in refused.says
