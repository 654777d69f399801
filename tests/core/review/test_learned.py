"""What past batches taught: asked of recorded sessions, kept on the shelf, forgotten on request."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

import numpy as np
import pytest

from workbench.core.batch import commands as ask
from workbench.core.batch.events import AnyEvent, SessionStarted
from workbench.core.batch.in_jug import before_scent
from workbench.core.batch.session import fold
from workbench.core.catalogue.model import Confidence, Figure, Note
from workbench.core.catalogue.shelf import Learned, Lesson, Lot, Shelf, StoveKind, WaterTest
from workbench.core.heat.bath import CONTACT, STOVE
from workbench.core.heat.blend import Blend
from workbench.core.heat.bursts import SHARE_TAKEN, WATTS
from workbench.core.heat.cooling import LOSS, Guesses, describe, paths
from workbench.core.heat.learning import MOST_LESSONS
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Amount, Heat, Measure, ScentLine
from workbench.core.review.learned import (
    PastBatch,
    burst_pairs,
    forgotten,
    lessons_of,
    taken_in,
    why_odd,
    with_drops,
    with_water_test,
)
from workbench.core.review.learned_words import all_says
from workbench.testing import Maker, begin, sample_catalogue, sample_plan, sample_recipe

TODAY = date(2026, 3, 20)
JUG = "vessel:beaker_250"
LEAKY = 0.30  # ln: this jug loses a third more than the handbook's


def true_path(ln_loss: float) -> tuple[np.ndarray, np.ndarray]:
    """Seconds and °C of the sample melt in its beaker, cooling from 84 °C by the law with this loss."""
    catalogue, plan = sample_catalogue(), sample_plan()
    whole = Composition.of([(line.material, line.exact_g) for line in plan.lines])
    melt = before_scent(whole, plan)
    thing = describe(Blend.of(melt, catalogue), catalogue.vessel("beaker_250"), melt.mass_g)
    one = np.zeros(1)
    guesses = Guesses(one + 72.0, one + ln_loss, one + 21, one + thing.set_point_c, one, one, one + 0.25, np.zeros((2, 1)))  # fmt: skip
    times = np.arange(0.0, 1500.0, 5.0)
    return times, paths(thing, guesses, times, np.array([0.0, 1500.0]))[:, 0]


@lru_cache(maxsize=8)
def batch(ln_loss: float = LEAKY, *, early: bool = False) -> tuple[AnyEvent, ...]:
    """A batch by water bath, its cooling read every 45 s."""
    conductor, clock, journal = begin(sample_plan())
    maker = Maker(conductor, clock)
    maker.go_to("cool")
    maker.read_cautions()
    times, truth = true_path(ln_loss)
    for seconds in range(45, 45 * 8, 45):
        maker.wait(45.0)
        maker.read(float(np.interp(seconds, times, truth)))
    if early:
        conductor.send(ask.EndBatch("the telephone"))
    else:
        maker.jug_c = 62.0
        maker.go_to_end()
    return tuple(journal.events)


def past(events: tuple[AnyEvent, ...], number: int = 1) -> PastBatch:
    return PastBatch(f"session {number}", number, events)


def with_start(events: tuple[AnyEvent, ...], **changes: object) -> tuple[AnyEvent, ...]:
    first = events[0]
    assert isinstance(first, SessionStarted)
    return (first.model_copy(update=changes), *events[1:])


def loss_of(lessons: tuple[Lesson, ...]) -> Lesson:
    return next(each for each in lessons if each.what == LOSS)


def test_a_real_batch_teaches_its_jug_and_its_stove() -> None:
    found = lessons_of(past(batch()), sample_catalogue())
    assert {(each.about, each.what) for each in found} >= {(JUG, LOSS), (JUG, CONTACT), ("stove", STOVE)}
    loss = loss_of(found)
    # made by the law with a loss larger by exp(0.30): inside what the batch says of it
    assert abs(loss.value - LEAKY) < 2 * loss.sd
    assert loss_of(lessons_of(past(batch(-0.2)), sample_catalogue())).value < loss.value - 0.2
    assert loss.weight == 1.0
    assert loss.day == date(2026, 3, 14)


def test_a_practice_run_teaches_nothing_of_real_things() -> None:
    assert lessons_of(past(with_start(batch(), rehearsal=True)), sample_catalogue()) == ()


def test_a_batch_that_goes_on_is_not_asked() -> None:
    assert lessons_of(past(batch()[:-1]), sample_catalogue()) == ()


def test_a_batch_that_was_given_up_counts_less_and_says_why() -> None:
    found = lessons_of(past(batch(early=True)), sample_catalogue())
    assert found
    assert all(each.weight < 0.5 and "ended early" in each.odd for each in found)
    assert why_odd(fold(batch())) == ""


def test_bursts_are_paired_with_the_readings_around_them() -> None:
    conductor, clock, journal = begin(sample_plan(heat=Heat.MICROWAVE))
    maker = Maker(conductor, clock)
    maker.go_to("melt:bursts")
    maker.read_cautions()
    maker.read(22.0)
    for after in (25.0, 29.5, 36.0):
        seconds = min(12.0, conductor.rules.next_burst_s(maker.state))
        maker.send(ask.StartBurst("melt:bursts", seconds))
        maker.wait(seconds)
        maker.send(ask.EndBurst("melt:bursts"))
        maker.wait(8.0)
        maker.send(ask.Stir("melt:bursts"))
        maker.wait(4.0)
        maker.read(after)
    state = fold(journal.events)
    pairs = burst_pairs(state, journal.events)
    assert [(each.before_c, each.after_c) for each in pairs] == [(22.0, 25.0), (25.0, 29.5), (29.5, 36.0)]
    conductor.send(ask.EndBatch("enough"))
    found = lessons_of(past(tuple(journal.events)), sample_catalogue())
    share = next(each for each in found if each.what == SHARE_TAKEN)
    assert share.about == "microwave:microwave_800"
    assert -3.0 < share.value < 0.5


def test_lessons_stand_where_forecasts_look_for_them_and_can_be_forgotten() -> None:
    catalogue = sample_catalogue()
    shelf = catalogue.shelf
    lessons = tuple(
        each.model_copy(update={"batch": f"session {number}"})
        for number in range(1, 5)
        for each in lessons_of(past(batch()), catalogue)
    )
    taught = taken_in(shelf, lessons, 4, TODAY)
    jug = next(each for each in taught.vessels if each.key == "beaker_250")
    loss = next(row for row in jug.learned if row.what == LOSS)
    assert loss.batches == 4
    assert 0.05 < loss.value < LEAKY + 0.05
    assert taught.learned_up_to == 4
    assert taught.stove_learned[0].what == STOVE
    # the next forecast starts from it
    oil = Blend.of(Composition.of({"jojoba": 50.0}), catalogue)
    assert describe(oil, jug, 50).ln_loss == loss.value
    assert describe(oil, jug, 50).ln_loss_sd < describe(oil, shelf.vessels[0], 50).ln_loss_sd
    says = all_says(taught, JUG, catalogue)
    assert "loses 10.0 °C in about" in says[0] or "loses 10 °C in about" in says[0]
    assert "from 4 batches" in says[0]
    assert "from 4 batches" in all_says(taught, "stove", catalogue)[0]
    again = forgotten(taught, JUG)
    assert next(each for each in again.vessels if each.key == "beaker_250").learned == ()
    assert all(each.about != JUG for each in again.lessons)
    assert again.stove_learned == taught.stove_learned
    assert again.learned_up_to == 4  # what it taught before is not taken in again
    assert all_says(again, JUG, catalogue) == ()
    assert forgotten(taught, "stove").stove_learned == ()


def test_a_jug_that_loses_more_is_said_to_lose_it_sooner() -> None:
    catalogue = sample_catalogue()

    def minutes(ln_loss: float) -> float:
        taught = taken_in(catalogue.shelf, lessons_of(past(batch(ln_loss)), catalogue), 1, TODAY)
        said = all_says(taught, JUG, catalogue)[0]
        return float(said.values["median"].seconds)  # type: ignore[attr-defined]

    assert minutes(LEAKY) < minutes(-0.2)


def test_odd_batches_are_named_beside_what_was_learned() -> None:
    catalogue = sample_catalogue()
    lessons = (*lessons_of(past(batch()), catalogue), *lessons_of(past(batch(early=True), 2), catalogue))
    says = all_says(taken_in(catalogue.shelf, lessons, 2, TODAY), JUG, catalogue)
    assert any("One batch counts for less: it was ended early." in line for line in says)


def test_a_shelf_does_not_grow_without_end() -> None:
    many = tuple(
        Lesson(
            batch=f"s{n}", day=date(2020 + n // 12, 1 + n % 12, 1), about=JUG, what=LOSS, value=0.1, sd=0.2
        )
        for n in range(MOST_LESSONS + 20)
    )
    kept = taken_in(sample_catalogue().shelf, many, 99, TODAY).lessons
    assert len(kept) == MOST_LESSONS
    assert kept[-1].batch == many[-1].batch


def test_a_water_test_keeps_what_blends_took_up_in_watts() -> None:
    shelf = sample_catalogue().shelf
    lesson = Lesson(day=TODAY, about="microwave:microwave_800", what=SHARE_TAKEN, value=-0.7, sd=0.1)
    taught = taken_in(shelf, [lesson], 1, TODAY)
    # IEC 60705, the start of 2 s not counted: 4.187 x 250 g x 22.93 K / 40 s = 600 W
    test = WaterTest(day=TODAY, water_g=250, before_c=15, after_c=15 + 600 * 40 / (4.187 * 250), seconds=42)
    tested, fits = with_water_test(taught, "microwave_800", test, TODAY)
    assert fits
    oven = tested.microwaves[0]
    assert oven.tests == (test,)
    # watts taken up = share x watts, before and after
    assert 600 * np.exp(tested.lessons[0].value) == pytest.approx(800 * np.exp(-0.7))
    assert any("600 W" in line for line in all_says(tested, "microwave:microwave_800", sample_catalogue()))
    assert taken_in(tested, [], 2, TODAY).microwaves[0].tests == (test,)  # no batch overwrites a test
    assert forgotten(tested, "microwave:microwave_800").microwaves[0].tests == ()


def test_a_result_kept_without_its_readings_asks_to_be_repeated_and_says_why() -> None:
    shelf = sample_catalogue().shelf
    early = Learned(what=WATTS, value=600, sd=12, batches=1)
    oven = shelf.microwaves[0].model_copy(update={"learned": (early,)})
    old = shelf.model_copy(update={"microwaves": (oven, *shelf.microwaves[1:])})
    lines = all_says(old, f"microwave:{oven.key}", sample_catalogue())
    assert any("Repeat this test once" in line and "2 to 10 % low" in line for line in lines)
    test = WaterTest(day=TODAY, water_g=250, before_c=15, after_c=15 + 640 * 40 / (4.187 * 250), seconds=42)
    again, _ = with_water_test(old, oven.key, test, TODAY)
    lines = all_says(again, f"microwave:{oven.key}", sample_catalogue())
    assert any("640 W" in line for line in lines)
    assert any("Tested with 250 g" in line for line in lines)
    assert not any("Repeat" in line for line in lines)
    assert again.microwaves[0].learned == ()


def test_a_batch_teaches_with_the_load_it_had() -> None:
    found = lessons_of(past(batch()), sample_catalogue())
    plan = sample_plan()
    melt = before_scent(Composition.of([(line.material, line.exact_g) for line in plan.lines]), plan)
    assert loss_of(found).mass_g == pytest.approx(melt.mass_g, rel=0.02)
    assert next(each for each in found if each.about == "stove").mass_g is None
    shelf = taken_in(sample_catalogue().shelf, found, 1, TODAY)
    row = next(row for row in shelf.vessels[0].learned if row.what == LOSS)
    assert row.low_g == row.high_g == loss_of(found).mass_g


def test_drops_of_a_bottle_are_counted_and_weighed() -> None:
    shelf = sample_catalogue().shelf.model_copy(update={"lots": (Lot(key="lv", material="lavender"),)})
    # 20 drops of essential oils weigh 0.66 g on average (Tisserand Institute, "Drop size")
    weighed = with_drops(shelf, "lv", 20, 0.66, 0.01, TODAY)
    assert weighed.lots[0].learned[0].value == pytest.approx(0.033)
    assert "0.033 g" in all_says(weighed, "lot:lv", sample_catalogue())[0]
    assert "30 drops to a gram" in all_says(weighed, "lot:lv", sample_catalogue())[0]


def test_a_shelf_from_before_opens_as_it_was() -> None:
    old = '{"vessels": [{"key": "a", "name": "A", "material": "glass", "holds_ml": 250}], "stove": "gas"}'
    shelf = Shelf.model_validate_json(old)
    assert shelf.lessons == ()
    assert shelf.learned_up_to == 0
    assert shelf.stove is StoveKind.GAS
    full = shelf.model_copy(
        update={"room_c": Figure(value=20, source="mine", confidence=Confidence.SUPPLIER), "learned_up_to": 3}
    )
    assert Shelf.model_validate_json(full.model_dump_json()) == full


def test_recipes_in_drops_count_with_the_drops_that_were_weighed() -> None:
    catalogue = sample_catalogue()
    recipe = sample_recipe().model_copy(
        update={
            "scent": (
                ScentLine(
                    material="lavender", amount=Amount(value=20, measure=Measure.DROPS), note=Note.MIDDLE
                ),
            ),
            "load_from_scent": True,
        }
    )
    lots = (Lot(key="other", material="cedarwood_virginia"), Lot(key="lv", material="lavender"))
    shelf = catalogue.shelf.model_copy(update={"lots": lots})

    def grams(of: Shelf) -> float:
        lines = work_out(recipe, catalogue.over(of)).lines
        return next(line.exact_g for line in lines if line.material == "lavender")

    assert grams(with_drops(shelf, "lv", 20, 0.8, 0.01, TODAY)) == pytest.approx(0.8)
    assert grams(with_drops(shelf, "other", 20, 0.8, 0.01, TODAY)) == grams(shelf) != pytest.approx(0.8)
