"""The single figures of a batch, against sums made by hand from the same events."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch import figures
from workbench.core.batch.record import summary
from workbench.core.batch.session import EMPTY
from workbench.core.batch.state import HoldPast, SessionState, StepProgress
from workbench.core.recipe.model import Heat
from workbench.testing import Maker, begin, sample_plan


def finished(heat: Heat = Heat.WATER_BATH, *, scented: bool = True) -> SessionState:
    conductor, clock, _ = begin(sample_plan(heat=heat, scented=scented))
    Maker(conductor, clock).go_to_end()
    return conductor.state


def step_of(state: SessionState, step: str) -> StepProgress:
    found = state.progress(step)
    assert found is not None
    return found


def begun_s(state: SessionState, step: str) -> float:
    begun = step_of(state, step).begun_at_s
    assert begun is not None
    return begun


def test_nothing_is_known_before_the_start() -> None:
    row = summary(EMPTY)
    assert (row.materials, row.lots, row.tin_counts, row.words, row.step_starts) == ((), (), (), "", ())
    found = (row.melt_s, row.addition_c, row.pour_c, row.window_s, row.window_k, row.net_g, row.target_g)
    assert found == (None,) * 7


def test_a_smooth_batch() -> None:
    state = finished()
    row = summary(state)
    assert row.materials == ("beeswax", "shea_butter", "jojoba", "cedarwood_virginia", "lavender")
    assert row.tin_counts == (("round_15", 3),)
    assert (row.vessel, row.heat, row.microwave) == ("beaker_250", "water-bath", "")
    plan = sample_plan()
    assert row.target_g == pytest.approx(sum(tin.fill_g for tin in plan.tins) / 3)
    assert row.net_g == pytest.approx(row.target_g)
    melt = step_of(state, "melt:bath")
    assert melt.step.low_c is not None
    warm_s = next(
        each.at_s for each in state.readings if each.step == "melt:bath" and each.celsius >= melt.step.low_c
    )
    assert warm_s > melt.recorded["clear"].at_s  # this maker ticks ahead, which does not count
    assert row.melt_s == pytest.approx(warm_s - begun_s(state, "melt:bath"))
    add_readings = [each for each in state.readings if each.step == "add"]
    assert row.addition_c == add_readings[-1].celsius
    assert row.pour_c == next(each.celsius for each in state.readings if each.step == "pour:1")
    assert row.start_of("pour") == begun_s(state, "pour:1")
    assert row.start_of("mend") is None
    limits = state.temperatures
    assert limits.add_below_c is not None
    assert limits.pour_floor_c is not None
    assert row.window_k == pytest.approx(limits.add_below_c - limits.pour_floor_c)
    assert row.window_s == pytest.approx(max(t.at_s for t in state.poured.values()) - begun_s(state, "add"))


def test_the_window_ends_with_the_first_reading_below_the_pour_floor() -> None:
    state = finished()
    added_s = begun_s(state, "add")
    cold = next(each for each in state.readings if each.step == "pour:1")
    floor_c = cold.celsius + 0.1
    warmer = replace(state, temperatures=state.temperatures.model_copy(update={"pour_floor_c": floor_c}))
    below = next(each for each in state.readings if each.at_s >= added_s and each.celsius < floor_c)
    assert figures.window_s(warmer) == pytest.approx(below.at_s - added_s)


def test_a_plain_balm_has_no_addition() -> None:
    row = summary(finished(scented=False))
    assert row.addition_c is None
    assert row.window_s is not None  # from the pouring step on
    assert row.pour_c is not None


def test_holds_are_no_melting() -> None:
    state = finished()
    melt_s = begun_s(state, "melt:bath")
    plain_s = figures.melt_s(state)
    assert plain_s is not None
    held = HoldPast("melt:bath", "door", "maker", melt_s + 5, None, melt_s + 35)
    earlier = HoldPast("weigh", "door", "maker", 0.0, None, melt_s - 1)
    with_holds = replace(state, holds=state.holds.plus(earlier).plus(held))
    assert figures.melt_s(with_holds) == pytest.approx(plain_s - 30)


def test_both_ways_of_melting_count_and_lots_and_words_are_found() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    begun = bench.state.at_s
    bench.do(ask.WriteNote("smells of honey"))
    noted = bench.state.entries[-1].seq
    bench.do(ask.Correct(noted, "smells of smoke", "smells of smoke", "misheard", "M"))
    bench.wait(60.0)
    bench.do(ask.ChangeHeat(bench.step, Heat.WATER_BATH, "no power"))
    bench.wait(30.0)
    bench.do(ask.ReadCautions(bench.step))
    bench.do(ask.Answer(bench.step, "clear", True))
    row = summary(bench.state)
    assert row.melt_s is not None
    assert row.melt_s >= 90.0
    assert row.melt_s == pytest.approx(bench.now_s - begun, abs=1.0)
    assert row.words == "smells of smoke"
    assert row.heat == "water-bath"
    assert "replaced" in row.off_plan


def test_a_tick_after_the_last_reading_is_the_end_of_melting() -> None:
    bench = Bench.at("melt:bath")
    begun = bench.state.at_s
    bench.do(ask.Answer(bench.step, "bath", "high enough"))
    for celsius in (40.0, 61.0):
        bench.wait(60.0)
        bench.read(celsius)
    bench.wait(30.0)
    bench.do(ask.Answer(bench.step, "clear", True))
    assert summary(bench.state).melt_s == pytest.approx(bench.now_s - begun)


def test_lots_in_the_order_they_were_used() -> None:
    bench = Bench.at("weigh:beeswax")
    bench.do(ask.Weigh(bench.step, "mass:beeswax", 8.07, "8.07", lot="b7"))
    bench.do(ask.WriteNote("first"))
    bench.do(ask.WriteNote("second"))
    row = summary(bench.state)
    assert row.lots == ("b7",)
    assert row.words == "first\nsecond"
