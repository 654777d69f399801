"""Guards follow what is really in the jug: slips at the scale, corrections, one oil poured in alone."""

from __future__ import annotations

from dataclasses import replace

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.guards import NO_SPARK, fragrance_limit
from workbench.core.batch.limits import Ceiling, ceiling
from workbench.core.batch.plan import PlannedSkin
from workbench.core.batch.steps import Guard
from workbench.core.recipe.model import Heat


def overweighed(need: str, mass_g: float) -> Bench:
    """At the fragrance step, after one weight was corrected to what the scale had really shown."""
    bench = Bench.at("add")
    entry = next(each for each in bench.state.entries if each.need == need)
    bench.read(56.0)
    assert "temperatures reckoned" in bench.kinds(ask.Correct(entry.seq, mass_g, f"{mass_g}", "misread"))
    return bench


def test_a_corrected_weight_moves_the_limits_of_a_hot_jug() -> None:
    planned = Bench.at("add").state.temperatures.scented_ceiling_c or 0.0
    bench = overweighed("mass:lavender", 20.0)
    assert (bench.state.temperatures.scented_ceiling_c or 0.0) < planned - 5


def test_a_corrected_weight_of_a_finished_batch_stays_a_correction() -> None:
    bench = Bench.at("finish")
    entry = next(each for each in bench.state.entries if each.need == "mass:lavender")
    assert bench.kinds(ask.Correct(entry.seq, 1.0, "1", "misread")) == ["corrected"]


def over_when_weighed(bench: Bench) -> Bench:
    bench.rules = replace(
        bench.rules, judge_skin=lambda plan, made: PlannedSkin(verdict="over", over=("Too much linalool.",))
    )
    return bench


def test_fragrance_that_was_weighed_over_a_skin_limit_goes_in_only_with_a_reason() -> None:
    bench = over_when_weighed(Bench.at("add"))
    bench.read(56.0)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.SKIN_LIMITS
    assert refused.can_set_aside
    bench.do(ask.SetAside("add", Guard.SKIN_LIMITS, "for a drawer"))
    bench.do(ask.Answer("add", "in", True))
    assert bench.state.over_skin_limit  # and so do the record and every label


def test_nothing_over_a_skin_limit_is_poured_without_a_reason() -> None:
    bench = over_when_weighed(Bench.at("pour:1"))
    bench.read(56.0)
    assert bench.refused(ask.Pour("pour:1", 1, 13.0, "13")).guard is Guard.SKIN_LIMITS


def test_one_oil_added_later_stands_under_its_own_flash_point() -> None:
    """The blend of the plan flashes higher than lavender alone does."""
    bench = Bench.at("stir")
    own_c = bench.rules.own_flash_c
    assert own_c is not None
    lavender_c = own_c("lavender")
    assert lavender_c is not None
    blend_c = bench.state.temperatures.neat_flash_c
    assert blend_c is not None
    assert lavender_c < blend_c
    bench.read(lavender_c - 4.0)  # under the blend's flash-safe temperature, over that of lavender
    refused = bench.refused(ask.Add("stir", "lavender", 0.1, "0.1", "a little more"))
    assert refused.guard is Guard.FLASH_SAFE
    bench.read(lavender_c - 6.5)
    bench.do(ask.Add("stir", "lavender", 0.1, "0.1", "a little more"))


def test_an_oil_of_unknown_flash_point_is_not_added_on_that_of_the_blend() -> None:
    bench = Bench.at("stir")
    bench.rules = replace(bench.rules, own_flash_c=lambda material: None)
    bench.read(50.0)
    assert "not known" in bench.refused(ask.Add("stir", "lavender", 0.1, "0.1", "more")).says


def test_an_unknown_scented_ceiling_is_no_permission_either() -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=None, scented_ceiling_c=None)
    bench.read(50.0)
    bench.do(ask.SetAside("add", Guard.FLASH_SAFE, "paper lost", NO_SPARK))
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.SCENTED_CEILING
    assert not refused.can_set_aside


def test_a_correction_melted_in_by_bursts_stays_under_the_melt_ceiling() -> None:
    bench = Bench.at("spoon", heat=Heat.MICROWAVE)
    limit_c = bench.state.temperatures.melt_ceiling_c
    assert limit_c is not None
    assert ceiling(bench.state) == Ceiling(limit_c, Guard.MELT_CEILING)
    assert "hold asked" in bench.read(limit_c)


def test_the_way_of_heating_is_not_changed_once_tins_are_poured() -> None:
    bench = Bench.at("pour:1", scented=False)
    bench.read(60.0)
    bench.do(ask.Pour("pour:1", 1, 13.0, "13", sure=True))
    bench.do(ask.GoBackToBath("pour:1", "set too early"))
    refused = bench.refused(ask.ChangeHeat("rewarm", Heat.MICROWAVE, "quicker"))
    assert "poured already" in refused.says


def test_topping_up_waits_for_the_cautions() -> None:
    bench = Bench.at("mend", read=False)
    assert "cautions" in bench.refused(ask.Pour("mend", 1, 1.0, "1")).says


def test_a_reading_too_hot_for_fragrance_is_never_questioned_while_an_older_one_would_let_it_in() -> None:
    bench = Bench.at("add")
    bench.read(60.0)
    bench.wait(20.0)
    assert bench.refused(ask.ReadTemperature("add", 49.0, "49", True)).ask_sure
    limit = fragrance_limit(bench.state)
    assert limit is not None
    bench.read(round(limit.celsius, 1), sure=False)  # 13 K off, and taken at once
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is not None
    assert not bench.state.scented
