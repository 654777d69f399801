"""Commands about what is in the jug and in the tins: what is taken, what is refused and in which words."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.core.batch.bench import Bench, started
from workbench.core.batch import commands as ask
from workbench.core.batch.made import composition_made
from workbench.core.batch.plan import PlannedSkin
from workbench.core.recipe.model import Heat
from workbench.core.trouble import Trouble
from workbench.testing import sample_plan

WAX = "mass:beeswax"


# --- the jug ---


def test_the_heat_is_changed_only_where_that_is_possible() -> None:
    refusing = sample_plan().model_copy(update={"heat_refused": {"microwave": "The jug is of steel."}})
    bench = Bench.at("melt:bath")
    bench.state = replace(bench.state, plan=refusing)
    assert bench.refused(ask.ChangeHeat(bench.step, Heat.MICROWAVE, "x")).says == "The jug is of steel."
    one_way = sample_plan().model_copy(update={"steps_by_heat": {}})
    bench.state = replace(bench.state, plan=one_way)
    assert "only one way" in bench.refused(ask.ChangeHeat(bench.step, Heat.MICROWAVE, "x")).says
    scented = Bench.at("melt:bath")
    scented.state = replace(scented.state, scented=True)
    assert "only the water bath" in scented.refused(ask.ChangeHeat(bench.step, Heat.MICROWAVE, "x")).says


def test_back_to_the_bath_needs_a_reason_and_something_to_warm() -> None:
    bench = Bench.at("pour:1")
    assert "reason" in bench.refused(ask.GoBackToBath("pour:1", "")).says
    add = Bench.at("add")
    assert "warm it as before" in add.refused(ask.GoBackToBath("add", "cold")).says


def test_after_going_back_from_the_stir_everything_waiting_still_waits() -> None:
    bench = Bench.at("stir")
    waiting = [each.step.id for each in bench.state.steps[bench.state.index + 1 :]]
    bench.do(ask.GoBackToBath("stir", "set at once"))
    after = [each.step.id for each in bench.state.steps[bench.state.index + 1 :]]
    assert after == waiting


def test_adding_needs_a_known_material_a_mass_and_a_reason() -> None:
    bench = Bench.at("spoon")
    assert "reason" in bench.refused(ask.Add("spoon", "beeswax", 1.0, "1", " ")).says
    assert "more than 0 g" in bench.refused(ask.Add("spoon", "beeswax", -1.0, "-1", "x")).says
    assert "not part of this plan" in bench.refused(ask.Add("spoon", "gold", 1.0, "1", "x")).says


def test_an_addition_that_lowers_the_scented_ceiling_under_the_jug_is_refused() -> None:
    bench = Bench.at("stir")
    bench.read(60.0)
    low = bench.state.temperatures.model_copy(update={"scented_ceiling_c": 61.0})
    bench.rules = replace(
        bench.rules,
        reckon=lambda plan, made: low,
        judge_skin=lambda plan, made: PlannedSkin(verdict="within"),
    )
    refused = bench.refused(ask.Add("stir", "lavender", 3.0, "3", "stronger"))
    assert "61.0 °C" in refused.says  # 1.5 K under it is 59.5
    bench.read(59.5)
    bench.do(ask.Add("stir", "lavender", 3.0, "3", "stronger"))


def test_more_fragrance_moves_the_limits_of_the_jug() -> None:
    bench = Bench.at("stir")
    bench.rules = replace(bench.rules, judge_skin=None)
    bench.read(60.0)
    before = bench.state.temperatures.scented_ceiling_c or 0.0
    assert bench.kinds(ask.Add("stir", "lavender", 2.0, "2", "stronger")) == [
        "added",
        "temperatures reckoned",
    ]
    assert (bench.state.temperatures.scented_ceiling_c or 0.0) < before


def test_limits_that_cannot_be_reckoned_stay_in_force() -> None:
    def fails(plan: object, made: object) -> None:
        raise Trouble("no such material")

    bench = Bench.at("spoon")
    bench.rules = replace(bench.rules, reckon=fails)  # type: ignore[arg-type]
    before = bench.state.temperatures
    assert bench.kinds(ask.Add("spoon", "beeswax", 2.0, "2", "soft")) == ["added"]
    assert bench.state.temperatures == before


def test_a_set_point_the_maker_saw_wins() -> None:
    bench = Bench.at("cool")
    for wrong in (0.0, 96.0, math.nan):
        assert "set point lies" in bench.refused(ask.SeeSetPoint("cool", wrong, "x")).says
    bench.do(ask.SeeSetPoint("cool", 52.0, "52"))
    t = bench.state.temperatures
    assert t.set_point_c == 52.0
    assert t.pour_floor_c == 55.0  # set point + 3 K
    # it stays when limits are reckoned anew, and can be corrected
    bench.do(ask.Add("cool", "beeswax", 1.0, "1", "x"))
    assert bench.state.temperatures.pour_floor_c == 55.0
    seen = next(entry for entry in bench.state.entries if entry.kind == "set point seen")
    bench.do(ask.Correct(seen.seq, 50.0, "50", "misread"))
    assert bench.state.temperatures.pour_floor_c == 53.0


def test_of_two_set_points_the_one_seen_last_counts_whichever_is_corrected() -> None:
    bench = Bench.at("cool")
    bench.do(ask.SeeSetPoint("cool", 55.0, "55"))
    bench.do(ask.SeeSetPoint("cool", 52.0, "52"))
    first, last = (entry for entry in bench.state.entries if entry.kind == "set point seen")
    bench.do(ask.Correct(first.seq, 56.0, "56", "misread"))
    assert bench.state.temperatures.set_point_c == 52.0
    bench.do(ask.Correct(last.seq, 51.0, "51", "misread"))
    assert bench.state.temperatures.set_point_c == 51.0
    for wrong in (0.0, 125.0, 5000.0, math.nan, "52"):  # 125 °F typed where °C are meant
        assert "set point lies" in bench.refused(ask.Correct(last.seq, wrong, "x", "x")).says


# --- pouring ---


def test_tins_are_poured_once_after_a_reading() -> None:
    bench = Bench.at("pour:1")
    assert "temperature" in bench.refused(ask.Pour("pour:1", 1, 12.68, "12.68")).says
    bench.read(60.0)
    assert "no tin 9" in bench.refused(ask.Pour("pour:1", 9, 12.68, "12.68")).says
    assert bench.refused(ask.Pour("pour:1", 1, 126.8, "126.8")).ask_sure
    assert "more than 0 g" in bench.refused(ask.Pour("pour:1", 1, 0.0, "0")).says
    bench.do(ask.Pour("pour:1", 1, 12.7, "12.7"))
    assert "poured already" in bench.refused(ask.Pour("pour:1", 1, 12.7, "12.7")).says
    assert "does not ask" in bench.refused(ask.Weigh("pour:1", "tin:2", 12.0, "12")).says


def test_topping_up_adds_to_the_tin() -> None:
    bench = Bench.at("mend")
    before = bench.state.poured[1].mass_g
    bench.do(ask.Pour("mend", 1, 0.5, "0.5"))
    assert bench.state.poured[1].mass_g == pytest.approx(before + 0.5)
    poured = [entry for entry in bench.state.entries if entry.kind == "tin poured"]
    bench.do(ask.Correct(poured[-1].seq, 0.7, "0.7", "misread"))
    assert bench.state.poured[1].mass_g == pytest.approx(before + 0.7)


def test_what_is_left_is_kept_with_its_composition_as_made() -> None:
    bench = Bench.at("clean")
    assert "more than 0 g" in bench.refused(ask.KeepLeftover("clean", 0.0, "0")).says
    bench.do(ask.KeepLeftover("clean", 2.1, "2.1"))
    bench.do(ask.KeepLeftover("clean", 1.0, "1"))
    first, second = bench.state.leftovers
    assert first.lot != second.lot
    assert first.lot.startswith("leftover_evening_ember_2026")
    shares = {part.material: part.share_percent for part in first.material.made_of}
    assert sum(shares.values()) == pytest.approx(100.0)
    made = composition_made(bench.state)
    for material, share in shares.items():
        assert share == pytest.approx(100 * made.share(material))


def test_nothing_weighed_leaves_nothing_over() -> None:
    bench = started(sample_plan())
    bench.do(ask.EndBatch("never mind"))
    assert "Nothing was weighed" in bench.refused(ask.KeepLeftover("prepare", 2.0, "2")).says
