"""Every row of the guard table, and what can set each aside."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.batch.bench import Bench
from workbench.core.batch import commands as ask
from workbench.core.batch.commands import Refused
from workbench.core.batch.guards import (
    NO_SPARK,
    TABLE,
    observed_rate_k_s,
    reading_due_after_s,
    reading_due_at_s,
)
from workbench.core.batch.limits import ceiling, hard_ceiling
from workbench.core.batch.plan import PlannedSkin
from workbench.core.batch.session import decide
from workbench.core.batch.state import Phase, SessionState
from workbench.core.batch.steps import Guard
from workbench.core.recipe.model import Heat
from workbench.testing import sample_plan

MAY_BE_SET_ASIDE = {
    Guard.MELT_CEILING,
    Guard.FLASH_SAFE,
    Guard.FRESH_READING,
    Guard.POUR_FLOOR,
    Guard.SKIN_LIMITS,
}


def test_the_table_names_every_guard_and_who_may_set_it_aside() -> None:
    assert set(TABLE) == set(Guard)
    assert {guard for guard, rule in TABLE.items() if rule.can_set_aside} == MAY_BE_SET_ASIDE
    assert [guard for guard, rule in TABLE.items() if rule.needs_statement] == [Guard.FLASH_SAFE]
    ceilings = {Guard.ABSOLUTE_CEILING, Guard.SCENTED_CEILING, Guard.MELT_CEILING}
    holds = ceilings | {Guard.BOIL_DRY, Guard.FRESH_READING}
    assert {guard for guard, rule in TABLE.items() if rule.holds} == holds


@pytest.mark.parametrize("guard", sorted(set(Guard) - MAY_BE_SET_ASIDE))
def test_the_others_are_never_set_aside(guard: Guard) -> None:
    for step in ("melt:bath", "add", "pour:1", "set"):
        bench = Bench.at(step)
        refused = bench.refused(ask.SetAside(step, guard, "a good reason", NO_SPARK))
        assert "never" in refused.says


@pytest.mark.parametrize("guard", sorted(MAY_BE_SET_ASIDE))
def test_setting_aside_needs_a_reason(guard: Guard) -> None:
    bench = Bench.at("add")
    assert "reason" in bench.refused(ask.SetAside("add", guard, "   ", NO_SPARK)).says


# --- 95 °C and the scented ceiling: never; the step goes to hold ---


@pytest.mark.parametrize("celsius", [95.0, 95.1, 140.0])
def test_at_95_the_step_goes_to_hold(celsius: float) -> None:
    bench = Bench.at("melt:bath").with_temperatures(melt_ceiling_c=95.0)
    assert bench.read(celsius) == ["temperature read", "hold asked", "alarm raised"]
    hold = bench.state.hold
    assert hold is not None
    assert hold.by == "guard"
    assert hold.guard is Guard.ABSOLUTE_CEILING
    assert "out of the bath" in hold.safe_action


def test_just_under_95_goes_on() -> None:
    bench = Bench.at("melt:bath").with_temperatures(melt_ceiling_c=95.0)
    assert "hold asked" not in bench.read(94.9)


def test_the_scented_ceiling_holds_from_the_first_drop_on() -> None:
    bench = Bench.at("add").with_temperatures(scented_ceiling_c=66.0, flash_safe_c=66.0)
    bench.read(64.0)
    assert hard_ceiling(bench.state).guard is Guard.ABSOLUTE_CEILING
    bench.do(ask.Answer("add", "in", True))
    assert bench.state.scented
    kinds = bench.read(66.0)
    assert kinds[:2] == ["temperature read", "hold asked"]
    assert bench.state.hold is not None
    assert bench.state.hold.guard is Guard.SCENTED_CEILING


def test_where_the_scented_ceiling_is_unknown_the_melt_ceiling_stands_in() -> None:
    bench = Bench.at("pour:1").with_temperatures(scented_ceiling_c=None)
    assert hard_ceiling(bench.state).celsius == bench.state.temperatures.melt_ceiling_c


# --- a bath that boils dry: never ---


def test_a_dry_bath_holds_until_it_is_filled() -> None:
    bench = Bench.at("melt:bath")
    bench.read(40.0)
    assert "hold asked" in bench.kinds(ask.Answer("melt:bath", "bath", "boiled dry"))
    assert bench.state.hold is not None
    assert bench.state.hold.guard is Guard.BOIL_DRY
    bench.do(ask.ConfirmSafe())
    bench.read(41.0)
    assert bench.refused(ask.GoOn()).guard is Guard.BOIL_DRY
    bench.do(ask.Answer("melt:bath", "bath", "topped up"))
    assert bench.kinds(ask.GoOn()) == ["went on"]


# --- melt ceiling below 95 °C: a reason ---


def test_the_melt_ceiling_holds_and_a_reason_sets_it_aside() -> None:
    bench = Bench.at("melt:bath")
    limit_c = bench.state.temperatures.melt_ceiling_c
    assert limit_c is not None
    assert limit_c < 95.0
    bench.read(70.0)
    assert "hold asked" in bench.read(limit_c)
    bench.do(ask.ConfirmSafe())
    bench.read(limit_c + 1)
    refused = bench.refused(ask.GoOn())
    assert refused.guard is Guard.MELT_CEILING
    assert refused.can_set_aside
    bench.do(ask.SetAside("melt:bath", Guard.MELT_CEILING, "carnauba would not melt"))
    assert bench.kinds(ask.GoOn()) == ["went on"]
    assert "hold asked" not in bench.read(limit_c + 5)
    assert ceiling(bench.state).guard is Guard.ABSOLUTE_CEILING
    assert "hold asked" in bench.read(95.0)


def test_a_jug_that_only_cools_may_still_be_over_the_melt_ceiling() -> None:
    bench = Bench.at("cool")
    limit_c = bench.state.temperatures.melt_ceiling_c or 0.0
    assert bench.read(limit_c + 2) == ["temperature read"]


# --- fragrance: a stirred reading, 1.5 K under the limit, less than a minute old ---


def test_fragrance_goes_in_with_a_stirred_fresh_reading_under_the_limit() -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=60.0)
    bench.read(58.5)
    assert bench.kinds(ask.Answer("add", "in", True)) == ["answer given"]
    assert bench.state.scented


@pytest.mark.parametrize(
    ("celsius", "stirred", "age_s"),
    [(58.5, False, 0.0), (58.5, True, 60.0), (58.5, True, 600.0)],
)
def test_unstirred_or_old_readings_do_not_count(celsius: float, stirred: bool, age_s: float) -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=60.0)
    bench.read(celsius, stirred=stirred)
    bench.wait(age_s)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.STIRRED_READING
    assert not refused.can_set_aside
    assert not bench.state.scented


def test_59_seconds_are_less_than_a_minute() -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=60.0)
    bench.read(58.5)
    bench.wait(59.0)
    bench.do(ask.Answer("add", "in", True))


@pytest.mark.parametrize("celsius", [58.6, 59.9])
def test_less_than_one_and_a_half_under_the_limit_is_too_close(celsius: float) -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=60.0)
    bench.read(celsius)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.STIRRED_READING
    assert not refused.can_set_aside


# --- flash-safe temperature: a reason and three statements, under the scented ceiling only ---


def test_over_flash_safe_needs_the_maker_to_state_that_nothing_can_light_it() -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=50.0, scented_ceiling_c=70.0)
    bench.read(60.0)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.FLASH_SAFE
    assert refused.can_set_aside
    for stated in ((), NO_SPARK[:2], ("flame is out",)):
        assert (
            bench.refused(ask.SetAside("add", Guard.FLASH_SAFE, "citrus", stated)).guard is Guard.FLASH_SAFE
        )
    bench.do(ask.SetAside("add", Guard.FLASH_SAFE, "citrus", NO_SPARK))
    bench.do(ask.Answer("add", "in", True))
    aside = bench.state.asides[-1]
    assert aside.stated == NO_SPARK
    assert aside.reason == "citrus"


@pytest.mark.parametrize("celsius", [68.6, 69.9])
def test_the_scented_ceiling_stays_when_flash_safe_is_set_aside(celsius: float) -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=50.0, scented_ceiling_c=70.0)
    bench.read(celsius)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.FLASH_SAFE
    assert not refused.can_set_aside
    bench.do(ask.SetAside("add", Guard.FLASH_SAFE, "citrus", NO_SPARK))
    still = bench.refused(ask.Answer("add", "in", True))
    assert still.guard is Guard.SCENTED_CEILING
    bench.read(68.5)
    bench.do(ask.Answer("add", "in", True))


def test_where_the_scented_ceiling_lies_below_flash_safe_it_is_the_limit() -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=80.0, scented_ceiling_c=60.0)
    bench.read(59.0)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.SCENTED_CEILING
    assert not refused.can_set_aside


def test_an_unknown_flash_point_is_no_permission() -> None:
    bench = Bench.at("add").with_temperatures(flash_safe_c=None)
    bench.read(55.0)
    refused = bench.refused(ask.Answer("add", "in", True))
    assert refused.guard is Guard.FLASH_SAFE
    assert "not known" in refused.says
    bench.do(ask.SetAside("add", Guard.FLASH_SAFE, "paper lost", NO_SPARK))
    bench.do(ask.Answer("add", "in", True))


def test_more_fragrance_later_stands_under_the_same_guards() -> None:
    bench = Bench.at("stir").with_temperatures(flash_safe_c=60.0)
    bench.wait(70.0)
    refused = bench.refused(ask.Add("stir", "lavender", 0.1, "0.1", "a little more"))
    assert refused.guard is Guard.STIRRED_READING
    bench.read(56.0)
    assert "added" in bench.kinds(ask.Add("stir", "lavender", 0.1, "0.1", "a little more"))


def test_fragrance_goes_in_at_its_own_step_only() -> None:
    bench = Bench.at("cool")
    bench.read(56.0)
    assert "own step" in bench.refused(ask.Add("cool", "lavender", 0.1, "0.1", "early")).says


# --- a fresh reading while heat is on ---


@pytest.mark.parametrize(
    ("celsius", "limit_c", "rate_k_min", "due_s"),
    [
        (60.0, 80.0, 4.0, 150.0),  # 20 K at 4 K/min take 5 min: half of it
        (75.0, 80.0, 4.0, 60.0),  # 37.5 s would be half: never less than a minute
        (30.0, 80.0, 2.0, 300.0),  # 12.5 min would be half: never more than five
        (60.0, 80.0, -3.0, 300.0),  # cooling says little about the next minutes
        (85.0, 80.0, 4.0, 60.0),
        (60.0, 80.0, None, 75.0),  # no rate yet: the fastest a bath can do, 8 K/min
        (None, 80.0, None, 217.5),  # nothing read yet: a jug at room temperature
    ],
)
def test_due_at_half_the_shortest_time_to_the_ceiling(
    celsius: float | None, limit_c: float, rate_k_min: float | None, due_s: float
) -> None:
    rate = None if rate_k_min is None else rate_k_min / 60
    assert reading_due_after_s(celsius, limit_c, rate) == pytest.approx(due_s)


@given(st.floats(-20, 150), st.floats(30, 95), st.one_of(st.none(), st.floats(-1, 5)))
def test_always_between_one_and_five_minutes(celsius: float, limit_c: float, rate: float | None) -> None:
    due_s = reading_due_after_s(celsius, limit_c, rate)
    assert 60.0 <= due_s <= 300.0
    # and, unless the minute is the reason, before the ceiling can be reached
    if due_s > 60.0 and rate is not None and rate > 1 / 60:
        assert celsius + rate * due_s < limit_c


def test_the_observed_rate_is_the_fastest_of_the_last_ones() -> None:
    bench = Bench.at("melt:bath")
    assert observed_rate_k_s(bench.state) is None
    for celsius in (30.0, 34.0, 35.0):
        bench.wait(60.0)
        bench.read(celsius)
    assert observed_rate_k_s(bench.state) == pytest.approx(4.0 / 60)


def test_an_overdue_reading_stands_in_the_way_and_is_put_off_once() -> None:
    bench = Bench.at("melt:bath")
    bench.read(66.0)
    due_s = reading_due_at_s(bench.state)
    assert due_s is not None
    bench.do(ask.Answer("melt:bath", "bath", "high enough"))
    bench.do(ask.Answer("melt:bath", "butters", True))
    bench.do(ask.Answer("melt:bath", "clear", True))
    assert "No reading" in bench.refused(ask.SetAside(bench.step, Guard.FRESH_READING, "busy")).says
    bench.wait(due_s - bench.now_s + 1.0)
    refused = bench.refused(ask.FinishStep("melt:bath"))
    assert refused.guard is Guard.FRESH_READING
    assert refused.can_set_aside
    bench.do(ask.SetAside("melt:bath", Guard.FRESH_READING, "hands full"))
    assert reading_due_at_s(bench.state) == pytest.approx(
        bench.now_s + (due_s - bench.state.readings[-1].at_s)
    )
    bench.wait((reading_due_at_s(bench.state) or 0.0) - bench.now_s + 1.0)
    again = bench.refused(ask.FinishStep("melt:bath"))
    assert again.guard is Guard.FRESH_READING
    assert not again.can_set_aside
    assert "once already" in bench.refused(ask.SetAside("melt:bath", Guard.FRESH_READING, "again")).says
    bench.read(67.0)
    bench.do(ask.FinishStep("melt:bath"))


def test_a_reading_that_never_comes_puts_the_step_on_hold() -> None:
    bench = Bench.at("melt:bath")
    bench.read(66.0)
    bench.wait(61.0)
    assert bench.state.phase is Phase.RUNNING
    kinds = bench.wait(60.0)
    assert "hold asked" in kinds
    assert bench.state.hold is not None
    assert bench.state.hold.guard is Guard.FRESH_READING


def test_where_no_heat_is_on_no_reading_is_due() -> None:
    assert reading_due_at_s(Bench.at("cool").state) is None
    assert reading_due_at_s(Bench.at("set").state) is None


def test_in_the_microwave_a_reading_is_due_after_every_burst() -> None:
    bench = Bench.at("melt:bursts", heat=Heat.MICROWAVE)
    assert reading_due_at_s(bench.state) is None
    bench.do(ask.StartBurst(bench.step, 5.0))
    bench.wait(5.0)
    bench.do(ask.EndBurst(bench.step))
    assert "Stir" in bench.refused(ask.StartBurst(bench.step, 5.0)).says
    bench.read(25.0, stirred=False)
    assert "Stir" in bench.refused(ask.StartBurst(bench.step, 5.0)).says
    bench.do(ask.Stir(bench.step))
    assert "temperature" in bench.refused(ask.StartBurst(bench.step, 5.0)).says
    bench.read(26.0)
    bench.do(ask.StartBurst(bench.step, 5.0))


# --- pour floor: a reason, or back to the bath ---


def test_under_the_pour_floor_needs_a_reason() -> None:
    bench = Bench.at("pour:1")
    floor_c = bench.state.temperatures.pour_floor_c
    assert floor_c is not None
    assert bench.read(floor_c - 0.1) == ["temperature read", "alarm raised"]
    refused = bench.refused(ask.Pour("pour:1", 1, 12.68, "12.68"))
    assert refused.guard is Guard.POUR_FLOOR
    assert refused.can_set_aside
    bench.do(ask.SetAside("pour:1", Guard.POUR_FLOOR, "the last tin"))
    bench.do(ask.Pour("pour:1", 1, 12.68, "12.68"))


def test_or_the_jug_goes_back_to_the_bath_under_the_scented_ceiling() -> None:
    bench = Bench.at("pour:1")
    bench.read(50.0)
    kinds = bench.kinds(ask.GoBackToBath("pour:1", "set too early"))
    assert kinds[:2] == ["back to the bath", "step begun"]
    step = bench.state.step
    assert step is not None
    assert step.id == "rewarm"
    assert step.scented
    assert step.heat_on
    assert not step.flame_allowed
    assert bench.state.scented
    assert Guard.SCENTED_CEILING in step.guards


def test_on_the_pour_floor_it_still_pours() -> None:
    bench = Bench.at("pour:1")
    bench.read(bench.state.temperatures.pour_floor_c or 0.0)
    bench.do(ask.Pour("pour:1", 1, 12.68, "12.68"))


# --- before the start ---


def test_a_plan_over_a_skin_limit_starts_only_with_a_reason_and_the_record_says_so() -> None:
    over = PlannedSkin(verdict="over", over=("Citral is at 2 % and may be at most 0.6 %.",))
    plan = sample_plan().model_copy(update={"skin": over})
    bench = Bench(SessionState())
    refused = bench.refused(ask.Start(plan))
    assert refused.guard is Guard.SKIN_LIMITS
    assert refused.can_set_aside
    assert refused.says == over.over[0]
    blank = ask.SetAside("", Guard.SKIN_LIMITS, " ")
    assert bench.refused(ask.Start(plan, set_aside=(blank,))).guard is Guard.SKIN_LIMITS
    aside = ask.SetAside("", Guard.SKIN_LIMITS, "for a drawer, not for skin")
    bench.do(ask.Start(plan, set_aside=(aside,)))
    assert bench.state.over_skin_limit
    assert bench.state.asides[0].reason == "for a drawer, not for skin"


@pytest.mark.parametrize("window", [False, None])
def test_without_a_window_only_an_accepted_remedy_starts(window: bool | None) -> None:
    plan = sample_plan()
    temperatures = plan.temperatures.model_copy(update={"window_open": window})
    plan = plan.model_copy(update={"temperatures": temperatures})
    bench = Bench(SessionState())
    refused = bench.refused(ask.Start(plan))
    assert refused.guard is Guard.WINDOW
    assert not refused.can_set_aside
    aside = ask.SetAside("", Guard.WINDOW, "I know what I do")
    assert isinstance(bench.ask(ask.Start(plan, set_aside=(aside,))), Refused)
    # a name of a remedy that left the window empty is no way in
    named = plan.recipe.model_copy(update={"accepted_remedy": "less lemon"})
    assert isinstance(bench.ask(ask.Start(plan.model_copy(update={"recipe": named}))), Refused)
    recipe = plan.recipe.model_copy(update={"add_above_flash_safe": True})
    too_low = temperatures.model_copy(update={"scented_ceiling_c": temperatures.pour_floor_c})
    sets_first = plan.model_copy(update={"recipe": recipe, "temperatures": too_low})
    assert isinstance(bench.ask(ask.Start(sets_first)), Refused)
    bench.do(ask.Start(plan.model_copy(update={"recipe": recipe})))


def test_without_fragrance_no_window_is_needed() -> None:
    plan = sample_plan(scented=False)
    temperatures = plan.temperatures.model_copy(update={"window_open": None})
    Bench(SessionState()).do(ask.Start(plan.model_copy(update={"temperatures": temperatures})))


def test_only_skin_limits_can_be_set_aside_before_the_start() -> None:
    aside = ask.SetAside("", Guard.MELT_CEILING, "why not")
    assert "Only skin" in Bench(SessionState()).refused(ask.Start(sample_plan(), set_aside=(aside,))).says


def test_a_blocked_plan_never_starts() -> None:
    plan = sample_plan().model_copy(update={"blockers": ("The jug is of steel.",)})
    assert Bench(SessionState()).refused(ask.Start(plan)).says == "The jug is of steel."


# --- adding more than the skin limits allow, in a running session ---


def test_more_of_an_oil_than_its_limit_needs_a_reason_too() -> None:
    bench = Bench.at("stir")
    bench.rules = replace(
        bench.rules, judge_skin=lambda plan, made: PlannedSkin(verdict="over", over=("Too much linalool.",))
    )
    bench.read(56.0)
    refused = bench.refused(ask.Add("stir", "lavender", 5.0, "5", "stronger"))
    assert refused.guard is Guard.SKIN_LIMITS
    assert refused.can_set_aside
    bench.do(ask.SetAside("stir", Guard.SKIN_LIMITS, "a test piece"))
    assert bench.state.over_skin_limit
    bench.do(ask.Add("stir", "lavender", 5.0, "5", "stronger"))


# --- going on after a hold ---


def test_a_hot_step_goes_on_only_with_a_reading_of_its_own() -> None:
    bench = Bench.at("cool")
    bench.read(60.0)
    bench.do(ask.Hold("the door bell"))
    assert "on hold" in bench.refused(ask.GoOn()).says
    bench.do(ask.ConfirmSafe())
    assert bench.refused(ask.GoOn()).guard is Guard.FRESH_READING
    bench.read(58.0)
    bench.wait(121.0)
    assert bench.refused(ask.GoOn()).guard is Guard.FRESH_READING
    bench.read(57.0)
    assert bench.kinds(ask.GoOn()) == ["went on"]


def test_cautions_are_read_again_after_a_hold() -> None:
    bench = Bench.at("cool")
    bench.read(60.0)
    bench.do(ask.Hold("the door bell"))
    bench.do(ask.ConfirmSafe())
    bench.read(58.0)
    bench.do(ask.GoOn())
    assert "cautions" in bench.refused(ask.FinishStep("cool")).says
    bench.do(ask.ReadCautions("cool"))
    bench.do(ask.FinishStep("cool"))


def test_a_cold_step_just_goes_on() -> None:
    bench = Bench.at("weigh:beeswax")
    bench.do(ask.Hold("tea"))
    bench.do(ask.ConfirmSafe())
    bench.do(ask.GoOn())


def test_a_guard_that_is_not_in_the_way_is_not_set_aside() -> None:
    bench = Bench.at("weigh:beeswax")
    assert "in the way" in bench.refused(ask.SetAside(bench.step, Guard.POUR_FLOOR, "hm")).says


def test_a_refusal_leaves_the_state_as_it_was() -> None:
    bench = Bench.at("add")
    bench.wait(60.0)
    before = bench.state
    assert isinstance(decide(before, ask.Answer("add", "in", True), bench.moment, bench.rules), Refused)
    assert bench.state is before
