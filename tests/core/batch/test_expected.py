"""Times told before anything is heated, against hand arithmetic and the kitchen's experience."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

import pytest

from workbench.core.batch.expected import Times, What, expected_times
from workbench.core.batch.plan import Plan
from workbench.core.batch.procedure import make_plan
from workbench.core.batch.steps import NeedKind
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Learned, Shelf, WaterTest
from workbench.core.heat.bath import STOVE
from workbench.core.heat.bursts import SHARE_TAKEN, WATTS
from workbench.core.heat.cooling import LOSS
from workbench.core.recipe.model import Heat
from workbench.testing import sample_catalogue, sample_plan, sample_steps


def changed(**fields: object) -> Catalogue:
    catalogue = sample_catalogue()
    return catalogue.over(catalogue.shelf.model_copy(update=fields))


def times(plan: Plan, catalogue: Catalogue | None = None) -> Times:
    return expected_times(plan, catalogue or sample_catalogue())


@lru_cache(maxsize=4)
def usual(heat: Heat = Heat.WATER_BATH, tins: int = 10) -> Times:
    return times(sample_plan(heat=heat, tins=tins))


def median(found: Times, what: What) -> float:
    row = found.of(what)
    assert row is not None
    assert row.median_s is not None
    return row.median_s


def test_every_stretch_has_a_range_around_it() -> None:
    for row in usual().rows:
        assert row.median_s is not None, row
        assert row.low80_s is not None
        assert row.high80_s is not None
        assert 0 <= row.low80_s <= row.median_s <= row.high80_s
        assert row.by
    kinds = [row.what for row in usual().rows]
    assert kinds == [
        What.MELT,
        What.COOL,
        What.WINDOW,
        What.SKIN,
        What.MOVABLE,
        What.ROOM,
        What.OTHER,
        What.TOTAL,
    ]


def test_melting_takes_no_less_than_the_stove_needs_for_the_water() -> None:
    # energy over power: a litre of water from 21 °C to the melt-out of 59 °C on 1200 W, +- a quarter
    least_s = 1000 * 4.186 * (59 - 21) / (1200 * 1.4)
    assert median(usual(), What.MELT) > least_s
    # common practice, no source: a small batch in a bath is molten in five minutes to half an hour
    assert 300 < median(usual(), What.MELT) < 1800


def test_setting_in_its_order_and_by_experience() -> None:
    found = usual()
    assert median(found, What.SKIN) < median(found, What.MOVABLE) < median(found, What.ROOM)
    # common practice, no source: small tins are moved after 10 to 30 minutes and cold after about an hour
    assert 500 < median(found, What.MOVABLE) < 2000
    assert 1500 < median(found, What.ROOM) < 6000


def test_the_total_is_the_sum_of_what_comes_one_after_another() -> None:
    found = usual()
    parts = (What.MELT, What.COOL, What.OTHER, What.MOVABLE)
    total = found.of(What.TOTAL)
    assert total is not None
    assert total.median_s == pytest.approx(sum(median(found, what) for what in parts))
    assert total.low80_s is not None
    assert total.high80_s is not None
    # errors that do not hang together add by root of squares (GUM, 5.1.2), not end to end
    ends = sum(row.high80_s or 0.0 for row in found.rows if row.what in parts)
    assert total.high80_s < ends


def test_a_blend_that_must_cool_first_is_told_so_and_an_empty_window_has_no_time() -> None:
    plan = sample_plan(tins=10)
    lower = plan.temperatures.model_copy(update={"add_below_c": 56.0, "flash_safe_c": 56.0})
    late = times(plan.model_copy(update={"temperatures": lower}))
    assert median(late, What.COOL) > 30
    assert median(late, What.WINDOW) < median(usual(), What.WINDOW)
    shut = lower.model_copy(update={"window_open": False, "add_below_c": 45.0})
    none = times(plan.model_copy(update={"temperatures": shut}))
    row = none.of(What.COOL)
    assert row is not None
    assert row.median_s is None
    assert "no window" in row.says
    assert none.of(What.WINDOW) is None
    total = none.of(What.TOTAL)
    assert total is not None
    assert total.median_s is None


def test_bursts_are_counted_and_too_little_is_refused() -> None:
    found = usual(Heat.MICROWAVE)
    row = found.of(What.MELT)
    assert row is not None
    assert row.median_s is not None
    assert "bursts" in row.by
    assert 120 < row.median_s < 1500
    assert found.oven == "microwave_800"  # never tested with water
    few = usual(Heat.MICROWAVE, 3).of(What.MELT)
    assert few is not None
    assert few.median_s is None
    assert "too little for the microwave" in few.says


def test_what_was_learned_is_used() -> None:
    plan, shelf = sample_plan(tins=10), sample_catalogue().shelf

    def row(what: str, value: float, sd: float = 0.05) -> tuple[Learned, ...]:
        return (Learned(what=what, value=value, sd=sd, batches=5),)

    jug = shelf.vessels[0].model_copy(update={"learned": row(LOSS, 0.4)})
    assert jug.key == plan.recipe.vessel
    leaky = times(plan, changed(vessels=(jug, *shelf.vessels[1:])))
    assert median(leaky, What.WINDOW) < median(usual(), What.WINDOW)
    assert "5 batches" in leaky.assumed[0]
    assert "no batch" in usual().assumed[0]
    assert shelf.stove is plan.stove
    slow = times(plan, changed(stove_learned=row(STOVE, -0.5)))
    assert median(slow, What.MELT) > 1.1 * median(usual(), What.MELT)
    # IEC 60705: 4.187 x 200 g x 28.7 K / 40 s = 600 W
    test = WaterTest(day=date(2026, 3, 1), water_g=200, before_c=15, after_c=43.7, seconds=42)
    oven = shelf.microwaves[0].model_copy(update={"learned": row(SHARE_TAKEN, -0.1), "tests": (test,)})
    quick = times(sample_plan(heat=Heat.MICROWAVE, tins=10), changed(microwaves=(oven,)))
    assert median(quick, What.MELT) < median(usual(Heat.MICROWAVE), What.MELT)
    assert quick.oven == ""
    early = oven.model_copy(update={"learned": row(WATTS, 600.0), "tests": ()})
    low = times(sample_plan(heat=Heat.MICROWAVE, tins=10), changed(microwaves=(early,)))
    assert low.oven == oven.key
    assert "Repeat it once" in low.test_says


def test_what_was_learned_with_other_loads_is_said_and_counts_less() -> None:
    plan, shelf = sample_plan(tins=10), sample_catalogue().shelf
    rows = [Learned(what=LOSS, value=0.3, sd=0.05, batches=5, low_g=low, high_g=low) for low in (15.0, 130.0)]
    far, like = (
        times(
            plan,
            changed(vessels=(shelf.vessels[0].model_copy(update={"learned": (each,)}), *shelf.vessels[1:])),
        )
        for each in rows
    )
    assert any("learned with 15 g" in line for line in far.assumed)
    assert not any("learned with" in line for line in like.assumed)
    one, other = far.of(What.WINDOW), like.of(What.WINDOW)
    assert one is not None
    assert other is not None
    assert (one.high80_s or 0) - (one.low80_s or 0) > (other.high80_s or 0) - (other.low80_s or 0)
    small = WaterTest(day=date(2026, 3, 1), water_g=20, before_c=15, after_c=45, seconds=22)
    oven = shelf.microwaves[0].model_copy(update={"tests": (small,)})
    told = times(sample_plan(heat=Heat.MICROWAVE, tins=10), changed(microwaves=(oven,)))
    assert any("is not counted; repeat it" in line for line in told.assumed)


def test_a_small_batch_is_offered_a_cup_of_water_beside_the_jug_and_played_with_it_once_tested() -> None:
    """Less than 50 g warms by several degrees a second by itself; a second cup of some 250 mL takes its part."""
    plan = sample_plan(heat=Heat.MICROWAVE)  # about 43 g
    untested = next(step for step in plan.steps if step.id == "melt:bursts")
    assert "cup" not in [need.key for need in untested.needs]  # nobody can say what it does in this oven
    told = times(plan)
    assert told.with_cup
    assert told.oven == "microwave_800"
    assert "Water and hot wax must never meet" in told.test_says
    melt = told.of(What.MELT)
    assert melt is not None
    assert melt.median_s is None
    assert "water bath" in melt.says
    # 40 g beside 250 g of water in an oven of 800 W: its part by m / (m + 65 g) of both, by hand 90 W
    watts = 800 * 40 / (40 + 250 + 65)
    test = WaterTest(
        day=date(2026, 3, 1),
        water_g=40,
        before_c=15,
        after_c=15 + watts * 40 / (4.187 * 40),
        seconds=42,
        cup_g=250,
    )
    oven = sample_catalogue().shelf.microwaves[0].model_copy(update={"tests": (test,)})
    known = changed(microwaves=(oven,))
    planned = make_plan(plan.recipe, 1, known, sample_steps())
    step = next(step for step in planned.steps if step.id == "melt:bursts")
    assert [need.key for need in step.needs if need.kind is NeedKind.TICK and not need.required] == ["cup"]
    assert "cup_beside" in step.cautions
    assert step.cautions.index("cup_beside") > step.cautions.index("microwave_fire")
    tested = times(planned, known)
    assert (tested.oven, tested.with_cup) == ("", False)
    assert median(tested, What.MELT) > 0
    assert any("with a cup of 250 g of water beside" in line for line in tested.assumed)
    # a batch that is large enough is not asked for one, nor is one by water bath
    large = make_plan(sample_plan(heat=Heat.MICROWAVE, tins=10).recipe, 1, known, sample_steps())
    for step in large.steps:
        assert "cup" not in [need.key for need in step.needs]
        assert "cup_beside" not in step.cautions
    assert not times(sample_plan()).with_cup


def test_what_is_missing_is_said_and_never_raised() -> None:
    plan = sample_plan(tins=10)
    bare = plan.temperatures.model_copy(
        update={"melt_out_c": None, "why": {"melt_out_c": "There is no wax in it."}}
    )
    steps = tuple(step.model_copy(update={"aim_c": None}) for step in plan.steps)
    found = times(plan.model_copy(update={"temperatures": bare, "steps": steps, "tins": ()}))
    melt, tin = found.of(What.MELT), found.of(What.MOVABLE)
    assert melt is not None
    assert melt.says == "There is no wax in it."
    assert tin is not None
    assert "Choose tins" in tin.says
    stranger = plan.model_copy(
        update={
            "lines": tuple(
                line if line.where == "scent" else line.model_copy(update={"material": "nobody_knows"})
                for line in plan.lines
            )
        }
    )
    lost = times(stranger).of(What.MELT)
    assert lost is not None
    assert lost.median_s is None
    assert lost.says
    assert Shelf().stove_learned == ()
