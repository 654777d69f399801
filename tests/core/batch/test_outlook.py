"""What the look ahead asks, says and learns in a running batch, and readings while a jug warms."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.in_jug import in_jug, probe_sd_k, surroundings
from workbench.core.batch.made import composition_now
from workbench.core.batch.needs import off_trend
from workbench.core.batch.outlook import (
    MOST_FITTED,
    Cooling,
    InTins,
    Melting,
    answer,
    question_of,
    readings_to_fit,
)
from workbench.core.batch.readings import Reading, Readings
from workbench.core.batch.session import EMPTY
from workbench.core.catalogue.shelf import Thermometer, ThermometerKind
from workbench.core.recipe.model import Heat
from workbench.core.wording import Said
from workbench.testing import BEGIN, sample_catalogue

TABLES = sample_catalogue()


def cooling(*readings: tuple[float, float], stirred: bool = True) -> Bench:
    bench = Bench.at("cool")
    for wait_s, celsius in readings:
        bench.wait(wait_s)
        bench.do(ask.ReadTemperature("cool", celsius, str(celsius), stirred, sure=True))
    return bench


def test_the_melt_in_the_bath_is_told_before_anything_is_read() -> None:
    bench = Bench.at("melt:bath")
    question = question_of(bench.state, TABLES)
    assert isinstance(question, Melting)
    assert question.readings == ()
    head, remarks = answer(question, TABLES).says(bench.now_s)
    assert isinstance(head, Said)
    # 10 to 20 min over a water bath for a small batch (common practice, no source)
    assert 5 <= float(head.values["median"].amount) <= 20  # type: ignore[attr-defined]
    assert any("Top the bath up" in remark for remark in remarks)


def test_the_window_is_told_with_its_range_and_how_long_it_stays() -> None:
    bench = cooling((5, 85.0), (60, 82.6), (60, 80.3), (60, 78.2))
    question = question_of(bench.state, TABLES)
    assert isinstance(question, Cooling)
    # the gate's own 1.5 K under the limit, not the limit
    assert bench.state.temperatures.add_below_c is not None
    assert question.opens_c == pytest.approx(bench.state.temperatures.add_below_c - 1.5)
    ahead = answer(question, TABLES)
    head, remarks = ahead.says(bench.now_s)
    assert head.startswith("Cool enough in")
    assert "then for" in head
    assert any("Only a stirred reading" in remark for remark in remarks)
    opens_s = ahead.opens_in_s(bench.now_s)
    # 78.2 falls to 71.8 at a little over 2 K a minute, slowing
    assert opens_s is not None
    assert 150 <= opens_s <= 260
    assert ahead.opens_in_s(bench.now_s + 60) == pytest.approx(opens_s - 60)
    fan = ahead.fan(bench.now_s)
    assert fan is not None
    assert fan.seconds[0] >= bench.state.readings[-1].at_s
    assert all(low <= high for low, high in zip(fan.low80_c, fan.high80_c, strict=True))


def test_a_question_changes_with_a_reading_and_not_with_time() -> None:
    bench = cooling((5, 70.0), (60, 68.0))
    before = question_of(bench.state, TABLES)
    bench.wait(30)
    assert question_of(bench.state, TABLES) == before
    bench.read(66.9)
    assert question_of(bench.state, TABLES) != before


def test_unstirred_readings_are_told_as_the_reason_of_a_wide_range() -> None:
    bench = cooling((5, 85.0), (60, 82.6), (60, 80.3), stirred=False)
    question = question_of(bench.state, TABLES)
    assert question is not None
    _, remarks = answer(question, TABLES).says(bench.now_s)
    assert any("Stir 20 s, then read" in remark for remark in remarks)


def test_a_corrected_reading_asks_again_with_the_new_value() -> None:
    bench = cooling((5, 70.0), (60, 86.0))
    slip = bench.state.readings[-1]
    bench.do(ask.Correct(slip.seq, 68.0, "68", "turned round"))
    question = question_of(bench.state, TABLES)
    assert isinstance(question, Cooling)
    assert question.readings[-1].celsius == 68.0


def test_once_fragrance_is_in_only_what_is_left_of_the_pour_is_told() -> None:
    bench = Bench.at("stir")
    bench.wait(30)
    bench.read(60.0)
    question = question_of(bench.state, TABLES)
    assert isinstance(question, Cooling)
    assert question.opens_c is None
    head, remarks = answer(question, TABLES).says(bench.now_s)
    assert "pour" in head
    assert not any("lets the fragrance in" in remark for remark in remarks)


def test_a_poured_tin_says_when_it_may_be_moved() -> None:
    bench = Bench.at("set")
    question = question_of(bench.state, TABLES)
    assert isinstance(question, InTins)
    ahead = answer(question, TABLES)
    head, _ = ahead.says(bench.now_s)
    assert head.startswith("May be moved in about")
    assert ahead.set_ is not None
    assert ahead.set_.movable is not None
    # a poured tin sets in one to two hours (common practice, no source); small ones sooner
    assert 300 <= ahead.set_.movable.median_s <= 2 * 3600
    later, _ = ahead.says(bench.now_s + 6 * 3600)
    assert "firm to the touch" in later


def test_nothing_is_asked_where_nothing_is_hot() -> None:
    assert question_of(Bench.at("prepare").state, TABLES) is None
    assert question_of(Bench.at("melt:bursts", heat=Heat.MICROWAVE).state, TABLES) is None


def test_what_is_in_the_jug_follows_fragrance_and_pour() -> None:
    before = Bench.at("cool").state
    assert "lavender" not in in_jug(before).as_dict()
    poured = Bench.at("set").state
    whole = composition_now(poured).mass_g
    assert in_jug(poured).mass_g == pytest.approx(whole - sum(tin.mass_g for tin in poured.poured.values()))


def test_a_checked_probe_is_trusted_more() -> None:
    probe = Thermometer(key="p", name="P", kind=ThermometerKind.PROBE)
    checked = probe.model_copy(update={"checked": BEGIN.date()})
    assert probe_sd_k(checked) < probe_sd_k(probe) == probe_sd_k(None)
    assert probe_sd_k(checked.model_copy(update={"dropped_since": True})) == probe_sd_k(probe)
    infrared = probe.model_copy(update={"kind": ThermometerKind.INFRARED})
    assert probe_sd_k(infrared) > probe_sd_k(probe)


def test_the_jug_of_the_recipe_is_found_on_the_shelf() -> None:
    plan = Bench.at("prepare").state.plan
    assert plan is not None
    around = surroundings(plan, TABLES)
    assert around.vessel is not None
    assert around.vessel.key == plan.recipe.vessel


# --- readings while a jug warms ---


def test_ordinary_warming_after_one_reading_is_not_questioned() -> None:
    bench = Bench.at("melt:bath")
    bench.read(30.0)
    bench.wait(120)
    assert off_trend(bench.state, 45.0, bench.now_s) is None  # 7.5 K a minute
    assert off_trend(bench.state, 57.0, bench.now_s) == pytest.approx(30.0)  # 13.5: no bath does that
    assert off_trend(bench.state, 19.0, bench.now_s) == pytest.approx(30.0)  # and none cools


def test_a_rise_off_the_heat_is_questioned_as_before() -> None:
    bench = Bench.at("cool")
    last = bench.state.readings[-1]
    assert off_trend(bench.state, bench.state.celsius_of(last) + 13.0, last.at_s + 120) is not None


def test_a_correction_reaches_the_pairs_around_the_bursts() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    bench.read(22.0)
    bench.do(ask.StartBurst("melt:bursts", 5.0))
    bench.wait(5)
    bench.do(ask.EndBurst("melt:bursts"))
    bench.do(ask.Stir("melt:bursts"))
    bench.read(52.0)
    slip = bench.state.readings[-1]
    assert bench.state.burst.past[-1].after_c == 52.0
    bench.do(ask.Correct(slip.seq, 32.0, "32", "misread"))
    assert bench.state.burst.past[-1].after_c == 32.0
    assert bench.state.burst.past[-1].before_c == 22.0


def test_of_a_reading_a_second_no_more_are_fitted_than_a_fit_can_use() -> None:
    """Of the stretch that is asked for, the newest among them; a slow thermometer's are all there."""
    every_second = Readings(Reading(n, "melt", float(n), BEGIN, 60.0, 60.0, "60", True) for n in range(9000))
    fitted = readings_to_fit(replace(EMPTY, readings=every_second), 1000.0, 7000.5)
    assert MOST_FITTED / 2 < len(fitted) <= MOST_FITTED
    assert fitted[0].seconds >= 1000.0
    assert fitted[-1].seconds == 7000.0
    every_minute = Readings(each for each in every_second if each.seq % 60 == 0)
    seen = readings_to_fit(replace(EMPTY, readings=every_minute), 1020.0, 7020.0)
    assert [each.seconds for each in seen] == [float(second) for second in range(1020, 7021, 60)]
