"""What a batch suggests for its recipe: the shares that were made, what noses said, what the jug kept, and limits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from tests.core.review.batches import FIRST, led, row
from workbench.core.batch import commands as ask
from workbench.core.batch.events import MassWeighed
from workbench.core.batch.made import composition_made
from workbench.core.batch.record import yields
from workbench.core.batch.session import EMPTY
from workbench.core.batch.state import SessionState
from workbench.core.catalogue.model import Confidence, Note
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.change import accept_remedy
from workbench.core.recipe.model import (
    Amount,
    Measure,
    Recipe,
    ScentLine,
)
from workbench.core.review import revising_made
from workbench.core.review.evidence import Case
from workbench.core.review.faults import FaultKind, Judged, judge
from workbench.core.review.next_revision import Proposal, _worse, apply, check, propose
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.core.skin.assess import assess
from workbench.core.skin.verdict import LimitUse
from workbench.core.trouble import Trouble
from workbench.core.wording import say
from workbench.store.review_tables import load_faults
from workbench.testing import Maker, begin, sample_catalogue, sample_plan

ON = date(2026, 11, 1)
TABLES = sample_catalogue()


def worn(*marks: Mark) -> WearTests:
    test = WearTest(number=1, dabbed=FIRST + timedelta(days=9), marks=marks)
    return WearTests(session="s1", tests=(test,))


def judged(state: SessionState, *kinds: FaultKind) -> list[Judged]:
    return [judge(kind, Case(state, TABLES), load_faults()) for kind in kinds]


def proposed(state: SessionState, **more: Any) -> Proposal:
    return propose(state, TABLES, **more)


def load_of(recipe: Recipe) -> float:
    return work_out(recipe, TABLES).load_percent


# --- what was made ---


def test_a_batch_as_planned_suggests_nothing() -> None:
    found = proposed(led())
    assert found.keys == ()
    assert "It was made as planned, by what the scales can show." in [str(each) for each in found.kept]
    assert apply(found, (), TABLES, ON) == found.recipe


def test_the_composition_as_made_is_what_the_next_batch_comes_to() -> None:
    """Judged by the grams of the events alone, added up by hand."""
    conductor, clock, journal = begin(sample_plan())
    maker = Maker(conductor, clock)
    maker.go_to("weigh:beeswax")
    maker.send(ask.Weigh("weigh:beeswax", "mass:beeswax", 9.4, "9.4"))
    maker.send(ask.FinishStep("weigh:beeswax", sure=True))
    maker.go_to("melt:bath")
    weighed = [each for each in journal.events if isinstance(each, MassWeighed)]
    whole_g = sum(each.mass_g for each in weighed)
    found = proposed(conductor.state)
    assert found.keys == (revising_made.AS_MADE,)
    after = work_out(apply(found, found.keys, TABLES, ON), TABLES).composition
    for each in weighed:
        assert 100 * after.share(each.material) == pytest.approx(100 * each.mass_g / whole_g, abs=0.01)


def test_what_was_added_beyond_the_recipe_becomes_a_line_of_it() -> None:
    state = led(weigh=(("beeswax", 9.4),))
    assert state.plan is not None
    poorer = state.plan.recipe.model_copy(
        update={"base": tuple(each for each in state.plan.recipe.base if each.material != "shea_butter")}
    )
    plainer = poorer.model_copy(
        update={"scent": tuple(each for each in poorer.scent if each.material != "lavender")}
    )
    again = replace(state, plan=state.plan.model_copy(update={"recipe": plainer}))
    after = apply(proposed(again), [revising_made.AS_MADE], TABLES, ON)
    assert [line.material for line in after.base][-1] == "shea_butter"
    assert after.scent[-1].material == "lavender"
    assert after.scent[-1].note in tuple(Note)
    made = composition_made(state)
    found = work_out(after, TABLES).composition
    for portion in made.portions:
        assert found.share(portion.material) == pytest.approx(made.share(portion.material), abs=2e-4)


def test_a_batch_that_was_never_weighed_through_is_no_recipe() -> None:
    conductor, clock, _ = begin(sample_plan())
    nothing = proposed(conductor.state)
    assert nothing.keys == ()
    assert "Nothing was weighed" in str(nothing.kept[0])
    maker = Maker(conductor, clock)
    maker.go_to("weigh:jojoba")
    assert "never weighed" in str(proposed(conductor.state).kept[0])
    with pytest.raises(Trouble, match="never started"):
        propose(EMPTY, TABLES)


# --- what noses said ---


def test_a_note_that_was_hardly_there_gets_a_step_more_and_one_that_drowned_all_a_step_less() -> None:
    marks = worn(Mark(after_min=30, middle=2), Mark(after_min=60, middle=3), Mark(after_min=240, base=9))
    found = proposed(led(), wear=marks)
    assert found.keys == ("more middle", "less base")
    assert "2.5 of 10 (marks: 2)" in found.change("more middle").reason
    before, after = found.recipe, apply(found, ["more middle"], TABLES, ON)

    def share(recipe: Recipe, oil: str) -> float:
        return work_out(recipe, TABLES).scent_composition.share(oil)

    assert share(after, "lavender") == pytest.approx(1.25 * share(before, "lavender"), rel=1e-3)
    assert load_of(after) == pytest.approx(load_of(before))
    less = apply(found, ["less base"], TABLES, ON)
    assert share(less, "cedarwood_virginia") == pytest.approx(0.8 * 0.6, rel=1e-3)


def test_marks_outside_a_notes_own_time_do_not_judge_it() -> None:
    assert proposed(led(), wear=worn(Mark(after_min=0, base=1), Mark(after_min=240, middle=0))).keys == ()


def test_a_note_without_an_oil_is_said_and_not_changed() -> None:
    found = proposed(led(), wear=worn(Mark(after_min=0, top=1)))
    assert found.keys == ()
    assert "the recipe has no oil of it" in " ".join(found.kept)


@pytest.mark.parametrize(
    ("marks", "key", "factor"),
    [
        (worn(Mark(after_min=30, overall=2)), "more fragrance", 1.25),
        (worn(Mark(after_min=10, overall=10)), "less fragrance", 0.8),
        (
            worn(Mark(after_min=0, top=1), Mark(after_min=30, middle=1), Mark(after_min=120, base=2)),
            "more fragrance",
            1.25,
        ),
    ],
)
def test_all_of_it_weak_or_strong_is_the_loads_business(marks: WearTests, key: str, factor: float) -> None:
    found = proposed(led(), wear=marks)
    assert found.keys == (key,)
    assert load_of(apply(found, [key], TABLES, ON)) == pytest.approx(factor * 5.0, abs=0.01)


def test_a_limit_on_skin_holds_the_load_back_and_refuses_what_goes_over() -> None:
    """With an oil that a limit of the tables keeps under 4 %, whichever it is: just under it, then over it."""
    state = led()
    assert state.plan is not None
    plain = state.plan.recipe
    oils = sorted(
        key
        for key, each in TABLES.materials.items()
        if each.kind.is_scent and (found := _most(plain, key)) is not None and 0.2 < found < 4.0
    )
    assert oils, "no oil in the tables has a limit in that range"
    oil = oils[0]
    most = _most(plain, oil)
    assert most is not None
    close = _of(plain, oil, 0.98 * most)
    again = replace(state, plan=state.plan.model_copy(update={"recipe": close}))
    weak = worn(Mark(after_min=30, overall=1))
    held = propose(again, TABLES, wear=weak)
    assert "more fragrance" not in held.keys
    assert any("the limits on skin allow no more than" in str(each) for each in held.kept)
    # a proposal made by older tables: the limit is asked again of the result
    free = propose(again, TABLES, wear=worn(Mark(after_min=10, overall=10)))
    stronger = replace(
        free.change("less fragrance"), key="stronger", edit=lambda recipe, _: _of(recipe, oil, 1.3 * most)
    )
    over = replace(free, changes=(*free.changes, stronger))
    checked = check(over, ["stronger"], TABLES, ON)
    assert checked.refused is not None
    assert "is allowed for this use" in checked.refused
    with pytest.raises(Trouble, match="is allowed for this use"):
        apply(over, ["stronger"], TABLES, ON)
    assert check(over, ["less fragrance"], TABLES, ON).refused is None


def _of(recipe: Recipe, oil: str, load_percent: float) -> Recipe:
    scent = (ScentLine(material=oil, amount=Amount(value=1, measure=Measure.PARTS), note=Note.MIDDLE),)
    return recipe.model_copy(update={"scent": scent, "load_percent": load_percent, "premix": None})


def _most(recipe: Recipe, oil: str) -> float | None:
    """The largest load of one oil alone, by the limits."""
    composition = work_out(_of(recipe, oil, 5.0), TABLES).composition
    return assess(composition, TABLES, recipe.uses, recipe.place).largest_load_percent


def test_the_sum_of_phototoxic_oils_is_not_judged_by_mass() -> None:
    """Less by mass but a larger part of what its oils may use: what a sum allows depends on its oils."""

    def use(held: float, limit: float) -> LimitUse:
        return LimitUse("sum", "sum", held, limit, 100.0 * held / limit, "", "", "", Confidence.MEMORY, ())

    assert _worse(use(4.2, 4.0), use(0.9, 0.7))
    assert not _worse(use(0.9, 0.7), use(4.2, 4.0))


def test_after_a_reaction_nothing_that_adds_fragrance_is_proposed() -> None:
    weak = worn(Mark(after_min=30, overall=1, middle=1), Mark(after_min=240, base=9))
    assert set(proposed(led(), wear=weak).keys) == {"more middle", "less base", "more fragrance"}
    why = say("A skin reaction was reported of this batch.")
    for found in (
        proposed(led(), wear=weak, reacted=why),
        proposed(led(), wear=weak, judged=judged(led(), FaultKind.SKIN_REACTION)),
    ):
        assert found.keys == ("less base",)
        assert any("Find out first what it was" in each for each in found.kept)
    assert proposed(led(), wear=weak, reacted=why).kept[0] == why
    faint = judged(led(), FaultKind.WEAK_SCENT)
    asked = [each.cause.key for each in proposed(led(), judged=faint, reacted=why).by_hand]
    assert "load_low" not in asked


def test_what_cannot_be_judged_on_skin_is_not_proposed_more_of() -> None:
    state = led()
    assert state.plan is not None
    unknown = replace(
        TABLES,
        materials={
            **TABLES.materials,
            "lavender": TABLES.materials["lavender"].model_copy(update={"composition": ()}),
        },
    )
    weak = worn(Mark(after_min=30, overall=1, middle=1))
    found = propose(state, unknown, wear=weak)
    assert found.keys == ()
    assert sum("judged on skin" in each for each in found.kept) == 2
    less = propose(state, unknown, wear=worn(Mark(after_min=10, overall=10)))
    assert any("cannot be judged on skin" in each for each in check(less, less.keys, unknown, ON).warns)


def test_a_remedy_that_was_accepted_for_the_blend_of_the_batch_is_asked_for_again() -> None:
    """Adding above the flash-safe temperature was accepted for other oils than those proposed."""
    state = led()
    assert state.plan is not None
    accepted = accept_remedy(state.plan.recipe, "without ignition", above_flash_safe=True)
    again = replace(state, plan=state.plan.model_copy(update={"recipe": accepted}), set_point_seen_c=50.0)
    found = proposed(again, wear=worn(Mark(after_min=30, overall=1)))
    other = check(found, ["more fragrance"], TABLES, ON).recipe
    assert (other.accepted_remedy, other.add_above_flash_safe) == ("", False)
    same = check(found, ["set point"], TABLES, ON).recipe
    assert same.add_above_flash_safe


def test_what_stays_over_a_limit_is_said() -> None:
    """Less than before is no refusal, but over is over."""
    state = led()
    assert state.plan is not None
    plain = state.plan.recipe
    oil = next(
        key
        for key, each in sorted(TABLES.materials.items())
        if each.kind.is_scent and (found := _most(plain, key)) is not None and 0.2 < found < 4.0
    )
    most = _most(plain, oil)
    assert most is not None
    over = replace(state, plan=state.plan.model_copy(update={"recipe": _of(plain, oil, 2 * most)}))
    less = propose(over, TABLES, wear=worn(Mark(after_min=10, overall=10)))
    checked = check(less, ["less fragrance"], TABLES, ON)
    assert checked.refused is None
    assert any("It stays over its limit" in each for each in checked.warns)


# --- firmness, size, temperatures ---


def test_too_soft_asks_for_a_fifth_more_wax_and_too_hard_for_a_fifth_less() -> None:
    state = led()
    for kind, key, factor in ((FaultKind.TOO_SOFT, "firmer", 1.2), (FaultKind.TOO_HARD, "softer", 0.8)):
        found = proposed(state, judged=judged(state, kind))
        assert found.keys == (key,)
        after = apply(found, [key], TABLES, ON)
        assert after.base[0].amount.value == pytest.approx(20 * factor)
        assert sum(line.amount.value for line in after.base) == pytest.approx(100)
    both = proposed(state, judged=judged(state, FaultKind.TOO_SOFT, FaultKind.TOO_HARD))
    assert both.keys == ()
    assert any("settle which" in str(each) for each in both.kept)


def test_wax_that_finds_no_oil_to_give_way_is_refused() -> None:
    state = led()
    assert state.plan is not None
    waxy = state.plan.recipe.model_copy(
        update={
            "base": (
                state.plan.recipe.base[0].model_copy(
                    update={"amount": Amount(value=90, measure=Measure.PARTS)}
                ),
                state.plan.recipe.base[2].model_copy(
                    update={"amount": Amount(value=10, measure=Measure.PARTS)}
                ),
            )
        }
    )
    again = replace(state, plan=state.plan.model_copy(update={"recipe": waxy}))
    found = propose(again, TABLES, judged=judged(state, FaultKind.TOO_SOFT))
    with pytest.raises(Trouble, match="not enough carrier oil"):
        apply(found, ["firmer"], TABLES, ON)


def test_the_allowance_follows_what_really_stayed_behind() -> None:
    """3.0 g of 42.0 g in the tins: 7.1 %, so 7.5 % to the next half; the middle of three batches counts."""
    state = led()
    past = [row(n, loss_g=loss, in_tins_g=42.0, day=n) for n, loss in ((1, 3.0), (2, 3.0), (3, 0.9))]
    found = proposed(state, past=past)
    assert found.keys == (revising_made.ALLOWANCE,)
    change = found.change(revising_made.ALLOWANCE)
    assert "middle of 4 batches" in change.reason
    lost = sorted((100 * 3 / 42, 100 * 3 / 42, 100 * 0.9 / 42, 100 * state_loss(state)))
    expected = -(-2 * (lost[1] + lost[2]) / 2 // 1) / 2
    after = apply(found, [revising_made.ALLOWANCE], TABLES, ON)
    assert after.size.jug_allowance_percent == expected
    elsewhere = [row(n, loss_g=9.0, vessel="jug_500") for n in range(1, 6)]
    assert proposed(state, past=elsewhere).keys == ()


def state_loss(state: SessionState) -> float:
    made = yields(state)
    return made.loss_g / made.in_tins_g


def test_a_set_point_that_was_seen_is_taken_over() -> None:
    state = replace(led(), set_point_seen_c=46.0)
    found = proposed(state)
    assert found.keys == ("set point",)
    assert "the recipe reckons with" in found.change("set point").reason
    after = check(found, found.keys, TABLES, ON)
    assert after.recipe.observed_set_point_c == 46.0
    assert after.evaluation is not None
    assert after.evaluation.temperatures.set_point.celsius == 46.0  # the observed one wins


def test_a_weak_scent_that_went_in_hot_asks_for_a_wider_margin() -> None:
    state = led()
    hot = replace(state, temperatures=state.temperatures.model_copy(update={"add_below_c": 57.0}))
    found = proposed(hot, judged=judged(hot, FaultKind.WEAK_SCENT))
    assert "margin" in found.keys
    assert apply(found, ["margin"], TABLES, ON).flash_margin_k == 10.0
    assert "added_hot" not in [each.cause.key for each in found.by_hand]


def test_a_sink_hole_of_a_hot_pour_writes_the_pour_into_the_remarks() -> None:
    state = led()
    hot = replace(state, set_point_seen_c=38.0)
    found = proposed(hot, judged=judged(hot, FaultKind.SINK_HOLE))
    assert "pour" in found.keys
    after = apply(found, ["pour"], TABLES, ON)
    assert after.remarks.startswith("Pour at ")
    again = apply(replace(found, recipe=after), ["pour"], TABLES, ON)
    assert again.remarks == after.remarks
    assert hot.plan is not None
    remarked = replace(hot, plan=hot.plan.model_copy(update={"recipe": after}))
    then = proposed(remarked, judged=judged(remarked, FaultKind.SINK_HOLE))
    assert "pour" not in then.keys  # it stands there already
    assert "poured_hot" in [each.cause.key for each in then.by_hand]


def test_what_no_recipe_holds_is_left_to_the_hand() -> None:
    state = led(cooling_k_s=0.4 / 60, cool_to_c=54.0)
    found = proposed(state, judged=judged(state, FaultKind.GRAIN))
    assert "cooled_slowly" in [each.cause.key for each in found.by_hand]


# --- choosing ---


def test_any_choice_in_any_order_gives_the_same_recipe_and_says_what_differs() -> None:
    state = led(weigh=(("beeswax", 9.4),))
    marks = worn(Mark(after_min=30, middle=2, overall=2))
    found = proposed(state, wear=marks, judged=judged(state, FaultKind.TOO_SOFT))
    assert len(found.keys) >= 4
    assert apply(found, found.keys, TABLES, ON) == apply(found, found.keys[::-1], TABLES, ON)
    checked = check(found, found.keys[:1], TABLES, ON)
    assert any("Beeswax" in str(each) for each in checked.says)
    with pytest.raises(KeyError):
        check(found, ["nonsense"], TABLES, ON)


def test_a_window_that_closes_is_said() -> None:
    found = proposed(replace(led(), set_point_seen_c=80.0))
    checked = check(found, ["set point"], TABLES, ON)
    assert checked.refused is None
    assert any("no window is left" in str(each) for each in checked.warns)
