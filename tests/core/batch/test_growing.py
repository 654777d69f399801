"""A slip at the scale is answered by growing the batch: how far, what is asked for then, and in which words."""

from __future__ import annotations

import pytest

from tests.core.batch.bench import Bench, started
from workbench.core.batch import commands as ask
from workbench.core.batch.made import Grown, composition_now, grown_targets
from workbench.core.batch.plan import Plan
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.state import StepMark
from workbench.core.batch.words import sentence_of
from workbench.core.recipe.model import Heat, Premix
from workbench.testing import sample_catalogue, sample_plan, sample_recipe, sample_steps


def shares(bench: Bench) -> dict[str, float]:
    now = composition_now(bench.state)
    return {line.material: 100 * now.share(line.material) for line in plan_of(bench).lines}


def planned_shares() -> dict[str, float]:
    return {line.material: line.share_percent for line in sample_plan().lines}


def plan_of(bench: Bench) -> Plan:
    assert bench.state.plan is not None
    return bench.state.plan


def test_what_was_grown_to_is_said_on_the_steps_that_wait() -> None:
    bench = Bench.at("weigh:shea_butter")
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 9.684, "9.684"))
    bench.do(ask.GrowBatch("weigh:shea_butter", "slipped"))
    waiting = {each.step.id: each.step for each in bench.state.steps if each.mark is StepMark.WAITING}
    for step, grams in (("weigh:jojoba", "29.06 g"), ("weigh:lavender", "1.02 g"), ("add", "2.5 g")):
        assert grams in waiting[step].instruction
        assert grams in str(sentence_of(waiting[step], "instruction"))
    assert waiting["weigh:jojoba"].bench == "Weigh 29.06 g of Jojoba oil."
    assert "29.06 g" in sentence_of(waiting["weigh:jojoba"], "bench")
    assert sentence_of(waiting["weigh:beeswax:more"], "bench") == "Weigh 1.61 g more of Beeswax."
    assert waiting["set"] == next(step for step in sample_plan().steps if step.id == "set")


def test_growing_is_counted_from_the_plan_however_often_it_is_asked_for() -> None:
    """Proportions are the recipe's own; of one material all portions count together."""
    bench = Bench.at("weigh:shea_butter")
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 9.0, "9.0"))
    bench.do(ask.GrowBatch("weigh:shea_butter", "slipped"))
    assert "grown to it already" in bench.refused(ask.GrowBatch("weigh:shea_butter", "again")).says
    bench.do(ask.FinishStep("weigh:shea_butter", sure=True))
    assert bench.step == "weigh:beeswax:more"
    bench.do(ask.Weigh(bench.step, "mass:beeswax:more", 1.23, "1.23"))  # 0.3 g too much of 9 g: 3 %
    grown = grown_targets(bench.state)
    assert isinstance(grown, Grown)
    assert grown.factor == pytest.approx((8.07 + 1.23) / 8.07)
    bench.do(ask.GrowBatch(bench.step, "slipped once more"))
    assert shares(bench) == pytest.approx(planned_shares(), abs=0.05)
    bench.do(ask.FinishStep(bench.step, sure=True))
    assert bench.step == "weigh:shea_butter:more"
    bench.do(ask.Weigh(bench.step, "mass:shea_butter:more", 0.5, "0.5"))  # 0.3 g were asked for
    bench.do(ask.GrowBatch(bench.step, "and again"))
    bench.do(ask.FinishStep(bench.step, sure=True))
    more = bench.state.steps[bench.state.index].step.needs[0]
    assert more.key == "mass:beeswax:more:more"  # one of its own, or it would get the target of the first
    assert shares(bench) == pytest.approx(planned_shares(), abs=0.05)


def test_a_step_that_weighs_more_and_still_waits_grows_with_the_rest() -> None:
    bench = Bench.at("weigh:jojoba")
    bench.do(ask.Weigh("weigh:jojoba", "mass:jojoba", 26.0, "26.0"))
    bench.do(ask.GrowBatch("weigh:jojoba", "slipped"))
    bench.do(ask.FinishStep("weigh:jojoba", sure=True))
    assert bench.step == "weigh:beeswax:more"
    bench.do(ask.Weigh(bench.step, "mass:beeswax:more", 1.0, "1.0"))
    bench.do(ask.GrowBatch(bench.step, "slipped"))
    waits = [each.step.needs[0].key for each in bench.state.steps if "more" in each.step.id]
    assert waits.count("mass:shea_butter:more") == 1
    assert shares(bench) == pytest.approx(planned_shares(), abs=0.05)


def test_a_slip_at_the_carrier_that_is_held_back_is_a_small_share_of_that_carrier() -> None:
    premix = Premix(carrier="jojoba", share_of_carrier_percent=10)
    recipe = sample_recipe().model_copy(update={"premix": premix})
    bench = started(make_plan(recipe, 1, sample_catalogue(), sample_steps()))
    for _ in range(20):
        needs = bench.state.step.needs if bench.state.step is not None else ()
        if bench.step == "mix":
            break
        for need in needs:
            if need.material:
                bench.do(ask.Weigh(bench.step, need.key, need.target or 0.0, "as planned"))
            else:
                bench.do(ask.Answer(bench.step, need.key, True))
        bench.do(ask.FinishStep(bench.step))
    held = next(need for need in bench.state.step.needs if need.material)  # type: ignore[union-attr]
    assert held.target is not None
    bench.do(ask.Weigh("mix", held.key, 1.4 * held.target, "a splash too much", sure=True))
    grown = grown_targets(bench.state)
    assert isinstance(grown, Grown)
    assert grown.factor == pytest.approx(1.04, abs=0.001)  # 40 % of a tenth


def test_another_way_of_heating_does_not_bring_the_old_grams_back() -> None:
    bench = Bench.at("weigh:jojoba")
    bench.do(ask.Weigh("weigh:jojoba", "mass:jojoba", 1.2 * 24.22, "29.06"))
    bench.do(ask.GrowBatch("weigh:jojoba", "slipped"))
    while bench.step != "melt:bath":
        for need in bench.state.step.needs if bench.state.step is not None else ():
            if need.material:
                target = bench.state.with_target(need).target or 0.0
                bench.do(ask.Weigh(bench.step, need.key, target, "as asked", sure=True))
            else:
                bench.do(ask.Answer(bench.step, need.key, True))
        bench.now_s += 60.0
        bench.do(ask.FinishStep(bench.step, sure=True))
    bench.do(ask.ChangeHeat("melt:bath", Heat.MICROWAVE, "no gas"))
    add = next(each.step for each in bench.state.steps if each.step.id == "add")
    assert "2.5 g" in add.instruction
    assert "2.5 g" in sentence_of(add, "instruction")


def test_two_slips_at_one_material_that_cancel_are_not_called_a_batch_that_has_grown() -> None:
    premix = Premix(carrier="jojoba", share_of_carrier_percent=10)
    recipe = sample_recipe().model_copy(update={"premix": premix})
    bench = started(make_plan(recipe, 1, sample_catalogue(), sample_steps()))
    while bench.step != "mix":
        for need in bench.state.step.needs if bench.state.step is not None else ():
            if need.material:
                short_g = 0.6 if need.material == "jojoba" else 0.0
                bench.do(ask.Weigh(bench.step, need.key, (need.target or 0.0) - short_g, "typed"))
            else:
                bench.do(ask.Answer(bench.step, need.key, True))
        bench.do(ask.FinishStep(bench.step, sure=True))
    for need in bench.state.step.needs if bench.state.step is not None else ():
        if need.material:
            bench.do(ask.Weigh("mix", need.key, (need.target or 0.0) + 0.6, "what was missing", sure=True))
        else:
            bench.do(ask.Answer("mix", need.key, True))
    bench.now_s += 600.0
    told = bench.refused(ask.FinishStep("mix")).says
    assert "grow" not in told
    assert "In all, the proportions hold" in told


def test_less_after_the_batch_has_grown_to_it_is_asked_about() -> None:
    """Else the steps that wait would ask for grams of a batch that is not made any more, and nobody would know."""
    bench = Bench.at("weigh:shea_butter")
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 9.684, "9.684"))
    bench.do(ask.GrowBatch("weigh:shea_butter", "slipped"))
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 8.07, "8.07"))  # some taken out after all
    told = bench.refused(ask.FinishStep("weigh:shea_butter")).says
    assert "9.68 g" in told
    assert "Add what is missing" in told
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 9.684, "9.684"))
    assert "grown to it" in bench.refused(ask.FinishStep("weigh:shea_butter")).says
    bench.do(ask.FinishStep("weigh:shea_butter", sure=True))
    bench.do(ask.Weigh("weigh:beeswax:more", "mass:beeswax:more", 1.61, "1.61"))
    bench.do(ask.FinishStep("weigh:beeswax:more"))  # as asked for: nothing to say


def test_what_still_comes_as_a_little_more_has_not_fallen_behind() -> None:
    bench = Bench.at("weigh:shea_butter")
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 8.07, "8.07"))
    wax = next(entry for entry in bench.state.entries if entry.need == "mass:beeswax")
    bench.do(ask.Correct(wax.seq, 9.684, "9.684", "read wrongly"))
    bench.do(ask.GrowBatch("weigh:shea_butter", "slipped"))
    bench.do(ask.FinishStep("weigh:shea_butter"))
    assert bench.step == "weigh:shea_butter:more"
