"""Commands one by one: what is taken, what is refused and in which words."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.core.batch.bench import Bench, started
from workbench.core.batch import commands as ask
from workbench.core.batch.events import MassWeighed
from workbench.core.batch.made import composition_made, composition_now
from workbench.core.batch.needs import missing, off_trend, ten_times_off, timer_left_s
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.state import BurstPhase
from workbench.core.recipe.model import Heat
from workbench.testing import sample_catalogue, sample_plan, sample_recipe, sample_steps

WAX = "mass:beeswax"


# --- the primary action ---


def test_the_primary_action_is_refused_until_what_must_be_recorded_is_there() -> None:
    bench = Bench.at("prepare")
    for key in ("dry", "air", "lid"):
        refused = bench.refused(ask.FinishStep("prepare"))
        assert refused.says.startswith("Tick this first")
        assert not refused.ask_sure
        bench.do(ask.Answer("prepare", key, True))
    assert missing(bench.state) == ()
    assert bench.kinds(ask.FinishStep("prepare")) == ["step done", "step begun"]


def test_a_stale_press_does_not_finish_the_next_step() -> None:
    bench = Bench.at("weigh:beeswax")
    refused = bench.refused(ask.FinishStep("prepare"))
    assert "not the one in hand" in refused.says


def test_cautions_are_read_once_per_hot_step() -> None:
    bench = Bench.at("melt:bath", read=False)
    assert any("cautions" in each.says for each in missing(bench.state))
    read = bench.do(ask.ReadCautions("melt:bath"))
    step = bench.state.step
    assert step is not None
    assert len(read) == len(step.cautions)
    assert bench.do(ask.ReadCautions("melt:bath")) == ()


def test_finishing_outside_the_band_or_too_soon_asks_once() -> None:
    bench = Bench.at("cool")
    bench.read(73.0)
    refused = bench.refused(ask.FinishStep("cool"))
    assert refused.ask_sure
    assert "71.8 °C or less" in refused.says
    bench.read(40.0)
    assert "or more" in bench.refused(ask.FinishStep("cool")).says
    bench.do(ask.FinishStep("cool", sure=True))
    stir = Bench.at("stir")
    stir.wait(20.0)
    assert "at least 1 min" in stir.refused(ask.FinishStep("stir")).says
    stir.wait(40.0)
    stir.do(ask.FinishStep("stir"))


def test_the_stir_timer_stops_on_hold_and_the_setting_timer_does_not() -> None:
    for step, expected in (("stir", 80.0), ("set", 3600.0 - 140.0)):
        bench = Bench.at(step)
        bench.wait(40.0)
        bench.do(ask.Hold("door"))
        bench.wait(100.0)
        left = timer_left_s(bench.state, bench.now_s)
        assert left == pytest.approx(expected)
        bench.do(ask.ConfirmSafe())
        if bench.state.hot:
            bench.read(60.0)
        bench.do(ask.GoOn())
        assert timer_left_s(bench.state, bench.now_s) == pytest.approx(expected)
    assert timer_left_s(Bench.at("cool").state, 1e6) is None


def test_only_a_step_that_may_be_left_out_is_and_with_a_reason() -> None:
    bench = Bench.at("mend", read=False)
    assert "reason" in bench.refused(ask.LeaveOut("mend", " ")).says
    assert bench.kinds(ask.LeaveOut("mend", "no dip")) == ["step left out", "step begun"]
    assert "cannot be left out" in bench.refused(ask.LeaveOut("rest", "bored")).says


# --- weights and drops ---


def test_a_weight_ten_times_off_asks_once_more() -> None:
    bench = Bench.at("weigh:beeswax")
    for wrong in (80.7, 0.807):
        refused = bench.refused(ask.Weigh("weigh:beeswax", WAX, wrong, "x"))
        assert refused.ask_sure
        assert "decimal sign" in refused.what_to_do
    event = bench.do(ask.Weigh("weigh:beeswax", WAX, 80.7, "80,7", sure=True))[0]
    assert isinstance(event, MassWeighed)
    assert event.sure
    assert event.typed == "80,7"


@pytest.mark.parametrize(
    ("value", "target", "off"),
    [
        (13.0, 1.3, True),
        (1.3, 13.0, True),
        (4.0, 1.3, False),
        (1.3, None, False),
        (1.0, 0.0, False),
        (0.0, 5.0, False),
    ],
)
def test_ten_times_off(value: float, target: float | None, off: bool) -> None:
    assert ten_times_off(value, target) is off


@pytest.mark.parametrize("mass_g", [0.0, -1.0, math.nan, math.inf, 1e6])
def test_a_weight_that_cannot_be_is_refused(mass_g: float) -> None:
    bench = Bench.at("weigh:beeswax")
    assert "more than 0 g" in bench.refused(ask.Weigh("weigh:beeswax", WAX, mass_g, "x", sure=True)).says


def test_what_the_step_does_not_ask_for_is_refused() -> None:
    bench = Bench.at("weigh:beeswax")
    for command in (
        ask.Weigh("weigh:beeswax", "mass:gold", 1.0, "1"),
        ask.CountDrops("weigh:beeswax", WAX, 3, "3"),
        ask.Answer("weigh:beeswax", "dry", True),
    ):
        assert "does not ask" in bench.refused(command).says
    assert "own key" in bench.refused(ask.Answer("weigh:beeswax", WAX, 8.07)).says


def test_outside_the_tolerance_three_ways_are_offered() -> None:
    bench = Bench.at("weigh:beeswax")
    bench.do(ask.Weigh("weigh:beeswax", WAX, 9.0, "9"))
    refused = bench.refused(ask.FinishStep("weigh:beeswax"))
    assert refused.ask_sure
    assert "Accept it, grow the batch to it, or weigh again" in refused.says
    # weigh again
    bench.do(ask.Weigh("weigh:beeswax", WAX, 7.0, "7"))
    short = bench.refused(ask.FinishStep("weigh:beeswax")).says
    assert "Add what is missing" in short  # a batch does not grow to what is too little
    assert "grow" not in short
    bench.do(ask.Weigh("weigh:beeswax", WAX, 8.05, "8.05"))
    bench.do(ask.FinishStep("weigh:beeswax"))
    assert composition_made(bench.state).as_dict() == {"beeswax": 8.05}


def test_growing_scales_every_line_and_weighs_more_of_what_was_weighed() -> None:
    """Batch arithmetic: a factor of 9.684 / 8.07 = 1.2 for every line."""
    bench = Bench.at("weigh:shea_butter")
    bench.do(ask.Weigh("weigh:shea_butter", "mass:shea_butter", 9.684, "9.684"))
    assert "reason" in bench.refused(ask.GrowBatch("weigh:shea_butter", "")).says
    event = bench.do(ask.GrowBatch("weigh:shea_butter", "slipped"))[0]
    assert event.kind == "amounts changed"
    assert event.targets_g["mass:jojoba"] == pytest.approx(29.06, abs=0.006)
    assert event.targets_g["mass:lavender"] == pytest.approx(1.02, abs=0.006)
    told = bench.refused(ask.FinishStep("weigh:shea_butter")).says
    assert told.endswith("The batch has grown to it.")  # growing it is not offered once more
    bench.do(ask.FinishStep("weigh:shea_butter", sure=True))
    # beeswax was weighed before: a step for the missing 1.61 g stands next
    assert bench.step == "weigh:beeswax:more"
    need = bench.state.need("mass:beeswax:more")
    assert need is not None
    assert need.target == pytest.approx(1.61, abs=0.006)
    bench.do(ask.Weigh(bench.step, need.key, need.target or 0.0, "1.61"))
    bench.do(ask.FinishStep(bench.step))
    jojoba = bench.state.need("mass:jojoba")
    assert jojoba is not None
    assert jojoba.target == pytest.approx(29.06, abs=0.006)
    assert jojoba.low is not None
    assert jojoba.high is not None
    assert jojoba.low < 29.06 < jojoba.high
    made, plan = composition_now(bench.state), sample_plan()
    for line in plan.lines:
        assert 100 * made.share(line.material) == pytest.approx(line.share_percent, abs=0.05)


def test_there_is_nothing_to_grow_to_where_nothing_is_over() -> None:
    bench = Bench.at("weigh:beeswax")
    assert "nothing to grow" in bench.refused(ask.GrowBatch("weigh:beeswax", "hm")).says
    bench.do(ask.Weigh("weigh:beeswax", WAX, 7.0, "7"))
    assert "nothing to grow" in bench.refused(ask.GrowBatch("weigh:beeswax", "hm")).says


def drops_bench() -> Bench:
    catalogue = sample_catalogue()
    coarse = tuple(scale for scale in catalogue.shelf.scales if scale.readability_g >= 1)
    shelf = catalogue.shelf.model_copy(update={"scales": coarse})
    bench = started(make_plan(sample_recipe(), 1, catalogue.over(shelf), sample_steps()))
    for key in ("dry", "air", "lid"):
        bench.do(ask.Answer("prepare", key, True))
    bench.do(ask.FinishStep("prepare"))
    for key in ("beeswax", "shea_butter", "jojoba"):
        need = bench.state.need(f"mass:{key}")
        assert need is not None
        bench.do(ask.Weigh(bench.step, need.key, need.target or 0.0, "x"))
        bench.do(ask.FinishStep(bench.step))
    return bench


def test_drops_are_counted_whole_and_stand_for_a_mass() -> None:
    bench = drops_bench()
    need = bench.state.need("drops:cedarwood_virginia")
    assert need is not None
    assert need.target is not None
    assert "whole number" in bench.refused(ask.CountDrops(bench.step, need.key, 0, "0")).says
    bench.do(ask.CountDrops(bench.step, need.key, int(need.target), f"{need.target}"))
    made = composition_made(bench.state).as_dict()
    line = next(each for each in sample_plan().lines if each.material == "cedarwood_virginia")
    assert made["cedarwood_virginia"] == pytest.approx(line.exact_g, rel=0.05)
    # a slip of half as much again grows the other drops too
    bench.do(ask.CountDrops(bench.step, need.key, round(need.target * 1.5), "x"))
    event = bench.do(ask.GrowBatch(bench.step, "shaky"))[0]
    assert event.kind == "amounts changed"
    assert float(event.targets_g["drops:lavender"]).is_integer()
    # and a corrected count carries its mass along
    seq = bench.state.entries[-1].seq
    bench.do(ask.Correct(seq, 10.0, "10", "lost count"))
    per_drop = line.exact_g / need.target
    assert composition_made(bench.state).as_dict()["cedarwood_virginia"] == pytest.approx(
        10 * per_drop, rel=0.05
    )
    assert "whole" in bench.refused(ask.Correct(seq, 10.5, "10.5", "lost count")).says


# --- temperatures ---


@pytest.mark.parametrize("celsius", [-51.0, 401.0, math.nan, math.inf])
def test_a_temperature_that_cannot_be_is_refused(celsius: float) -> None:
    bench = Bench.at("cool")
    assert "thermometer" in bench.refused(ask.ReadTemperature("cool", celsius, "x", True, True)).says


def test_a_reading_10_k_off_the_trend_asks_once() -> None:
    bench = Bench.at("cool")
    bench.read(60.0)
    bench.wait(30.0)
    refused = bench.refused(ask.ReadTemperature("cool", 48.0, "48", True))
    assert refused.ask_sure
    bench.read(48.0, sure=True)
    assert bench.state.last_c == 48.0
    assert bench.state.readings[-1].sure


def test_a_trend_is_followed() -> None:
    bench = Bench.at("cool")
    bench.read(70.0)
    bench.wait(60.0)
    bench.read(65.0)
    bench.wait(120.0)
    assert off_trend(bench.state, 55.0, bench.now_s) is None  # 5 K a minute goes on
    assert off_trend(bench.state, 44.0, bench.now_s) == pytest.approx(55.0)
    bench.wait(300.0)
    assert off_trend(bench.state, 30.0, bench.now_s) is None  # too long ago to tell


def test_a_dangerous_reading_is_never_questioned_first() -> None:
    bench = Bench.at("melt:bath")
    bench.read(40.0)
    kinds = bench.read(97.0, sure=False)
    assert kinds[:2] == ["temperature read", "hold asked"]


def test_the_probe_correction_is_applied_and_the_raw_value_kept() -> None:
    plan = sample_plan().model_copy(update={"probe_offset_k": -0.4, "probe_slope": 1.01})
    bench = started(plan)
    bench.read(50.0)
    reading = bench.state.readings[-1]
    assert reading.raw_c == 50.0
    assert reading.celsius == pytest.approx(50.1)
    bench.do(ask.Correct(reading.seq, 40.0, "40", "misread"))
    assert bench.state.last_c == pytest.approx(40.0)
    assert bench.state.readings[-1].raw_c == 50.0
    steep = started(plan.model_copy(update={"probe_offset_k": 20.0}))
    assert (
        "correction of this probe" in steep.refused(ask.ReadTemperature("prepare", 399.0, "399", True)).says
    )


# --- answers ---


@pytest.mark.parametrize(
    ("step", "need", "wrong"),
    [
        ("prepare", "dry", False),
        ("spoon", "firmness", "lumpy"),
        ("inspect", "depth", -1.0),
        ("inspect", "depth", 61.0),
        ("inspect", "depth", math.nan),
        ("inspect", "depth", "deep"),
        ("finish", "remarks", "  "),
    ],
)
def test_an_answer_that_does_not_fit_is_refused(step: str, need: str, wrong: str | float | bool) -> None:
    bench = Bench.at(step)
    bench.refused(ask.Answer(step, need, wrong))
    assert bench.state.recorded(need) is None


def test_words_and_depths_are_recorded() -> None:
    bench = Bench.at("inspect")
    bench.do(ask.Answer("inspect", "depth", 1.5, "1,5"))
    recorded = bench.state.recorded("depth")
    assert recorded is not None
    assert recorded.value == 1.5
    end = Bench.at("finish")
    end.do(ask.Answer("finish", "remarks", "less wax next time"))


# --- bursts ---


def test_bursts_are_short_and_never_over_the_limit_of_the_moment() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    bench.rules = replace(bench.rules, next_burst_s=lambda state: 12.0)
    for seconds in (13.0, 30.0, 0.0, -1.0, math.nan):
        assert "12 s at most" in bench.refused(ask.StartBurst(bench.step, seconds)).says
    bench.rules = replace(bench.rules, next_burst_s=lambda state: 90.0)
    assert "30 s at most" in bench.refused(ask.StartBurst(bench.step, 31.0)).says
    bench.do(ask.StartBurst(bench.step, 20.0))
    assert bench.state.burst.phase is BurstPhase.RUNNING
    assert "end it first" in bench.refused(ask.FinishStep(bench.step)).says or missing(bench.state)
    assert "end it first" in bench.refused(ask.Stir(bench.step)).says
    bench.now_s += 12.0
    event = bench.do(ask.EndBurst(bench.step))[0]
    assert event.kind == "burst ended"
    assert event.early
    assert event.seconds == pytest.approx(12.0)
    assert "No burst" in bench.refused(ask.EndBurst(bench.step)).says


def test_a_corrected_reading_changes_only_the_bursts_it_was_taken_at() -> None:
    """A melt that stands still while its solids take up the heat reads the same twice."""
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    bench.rules = replace(bench.rules, next_burst_s=lambda state: 12.0)
    bench.read(50.0)
    bench.do(ask.StartBurst(bench.step, 10.0))
    bench.wait(10.0)
    bench.do(ask.EndBurst(bench.step))
    bench.read(50.0)
    before, after = bench.state.readings[-2:]
    assert bench.state.burst.past[-1].after_c == 50.0
    bench.do(ask.Correct(after.seq, 62.0, "62", "two figures swapped"))
    burst = bench.state.burst.past[-1]
    assert (burst.before_c, burst.after_c) == (50.0, 62.0)
    bench.do(ask.Correct(before.seq, 48.0, "48", "misread"))
    burst = bench.state.burst.past[-1]
    assert (burst.before_c, burst.after_c) == (48.0, 62.0)


def test_hold_ends_a_burst() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    bench.do(ask.StartBurst(bench.step, 5.0))
    bench.now_s += 2.0
    assert bench.kinds(ask.Hold("it smokes"))[:2] == ["burst ended", "hold asked"]
    assert bench.state.hold is not None
    assert "Stop the microwave" in bench.state.hold.safe_action


def test_cautions_stand_before_the_first_burst() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE, read=False)
    assert "cautions" in bench.refused(ask.StartBurst(bench.step, 5.0)).says


def test_a_bath_batch_has_no_bursts() -> None:
    bench = Bench.at("melt:bath")
    assert "step in hand" in bench.refused(ask.StartBurst("melt:bath", 5.0)).says
    spoon = Bench.at("spoon")
    assert "water bath" in spoon.refused(ask.StartBurst("spoon", 5.0)).says
