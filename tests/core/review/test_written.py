"""A recipe written as it was made: the same shares in any measure, and no change where a scale sees none."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from datetime import date

import pytest

from tests.core.review.batches import led
from workbench.core.batch.made import composition_made
from workbench.core.catalogue.model import Note
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe, ScentLine, TinCount
from workbench.core.recipe.weighed import Drops, Line, WayOut
from workbench.core.review import revising_made
from workbench.core.review.next_revision import Proposal, apply, check, propose
from workbench.core.review.revising import Ground
from workbench.core.review.written import digit_g, written
from workbench.core.trouble import Trouble
from workbench.testing import sample_catalogue

ON = date(2026, 11, 1)
TABLES = sample_catalogue()


# --- the same shares ---


@pytest.mark.parametrize("measure", [Measure.PERCENT, Measure.PARTS, Measure.GRAMS])
def test_whatever_measure_the_recipe_is_written_in(measure: Measure) -> None:
    state = led(weigh=(("beeswax", 9.4),), add=("shea_butter", 1.0))
    assert state.plan is not None
    plain = state.plan.recipe
    weighed = work_out(plain, TABLES)
    total = {"base": weighed.base_g, "scent": weighed.scent_g}
    lines = {(line.where.value, line.index): line for line in weighed.lines}

    def as_written(where: str, index: int) -> Amount:
        grams = lines[where, index].exact_g
        value = {Measure.PERCENT: 100 * grams / total[where], Measure.PARTS: grams, Measure.GRAMS: grams}
        return Amount(value=round(value[measure], 6), measure=measure)

    recipe = plain.model_copy(
        update={
            "base": tuple(
                line.model_copy(update={"amount": as_written("base", at)})
                for at, line in enumerate(plain.base)
            ),
            "scent": tuple(
                line.model_copy(update={"amount": as_written("scent", at)})
                for at, line in enumerate(plain.scent)
            ),
        }
    )
    again = replace(state, plan=state.plan.model_copy(update={"recipe": recipe}))
    found = propose(again, TABLES)
    revised = apply(found, [revising_made.AS_MADE], TABLES, ON)
    before = [line.amount for line in recipe.base] + [line.amount for line in recipe.scent]
    for amount in [line.amount for line in revised.base] + [line.amount for line in revised.scent]:
        if amount not in before:
            assert amount.value == float(f"{amount.value:.4g}")  # as one writes it down in a kitchen
    after = work_out(revised, TABLES).composition
    made = composition_made(state)
    for portion in made.portions:
        assert after.share(portion.material) == pytest.approx(made.share(portion.material), abs=2e-4)


def mixed(chance: random.Random) -> Recipe:
    """Three base lines and three of scent, each in any measure that a line may have."""

    def amount(measures: tuple[Measure, ...], grams: tuple[float, float]) -> Amount:
        measure = chance.choice(measures)
        low, high = {Measure.PARTS: (1.0, 30.0), Measure.PERCENT: (5.0, 30.0)}.get(measure, grams)
        if measure is Measure.DROPS:
            return Amount(value=chance.randint(4, 40), measure=measure)
        return Amount(value=chance.uniform(low, high), measure=measure)

    base = (Measure.PARTS, Measure.PERCENT, Measure.GRAMS, Measure.MILLILITRES)
    scent = (Measure.PARTS, Measure.PERCENT, Measure.GRAMS, Measure.DROPS)
    tins = BatchSize(tins=(TinCount(tin="round_15", count=5),))
    return Recipe(
        name="Mixed",
        base=tuple(
            BaseLine(material=each, amount=amount(base, (0.5, 8.0)))
            for each in ("beeswax", "shea_butter", "jojoba")
        ),
        scent=tuple(
            ScentLine(material=each, amount=amount(scent, (0.2, 1.5)), note=Note.MIDDLE)
            for each in ("lavender", "lemon", "cedarwood_virginia")
        ),
        load_percent=chance.uniform(3.0, 12.0),
        load_from_scent=chance.random() < 0.4,
        size=chance.choice((tins, BatchSize(mass_g=80.0))),
    )


def test_measures_mixed_in_any_way_come_to_the_same_shares() -> None:
    """Whole drops and three decimals are all that may be between them: 0.2 points, a drop of 80 g."""
    chance, count = random.Random(3), 0
    for _ in range(300):
        recipe = mixed(chance)
        try:
            weighed = work_out(recipe, TABLES)
        except Trouble:  # measures that contradict each other: no recipe
            continue
        made = Composition.of(
            {line.material: line.exact_g * chance.uniform(0.85, 1.2) for line in weighed.lines}
        )
        after = work_out(written(recipe, made.as_dict(), TABLES), TABLES).composition
        for portion in made.portions:
            assert after.share(portion.material) == pytest.approx(made.share(portion.material), abs=2e-3)
        count += 1
    assert count > 150


# --- what a scale cannot tell ---


GROUND = Ground.of(led(), TABLES, None, (), ())
LINES = GROUND.weighed.lines


def told(off_g: dict[str, float], recipe: Recipe = GROUND.recipe) -> list[str]:
    """What is offered, in sentences, where each line was weighed to what the scale shows, some off by grams."""
    weighed = work_out(recipe, TABLES)
    made_g = {each.material: each.weigh_g + off_g.get(each.material, 0.0) for each in weighed.lines}
    ground = replace(GROUND, recipe=recipe, weighed=weighed, made_g=made_g)
    changes, kept = revising_made.as_made(ground)
    assert changes or kept == (revising_made.AS_PLANNED,)
    found = Proposal(recipe, 1, tuple(changes), (), ())
    return [str(each) for each in check(found, found.keys, TABLES, ON).says]


def in_measure(measure: Measure) -> Recipe:
    """The same recipe in parts, or in per cent of each group."""
    if measure is Measure.PARTS:
        return GROUND.recipe
    shares = {"base": (20.0, 20.0, 60.0), "scent": (60.0, 40.0)}
    return GROUND.recipe.model_copy(
        update={
            where: tuple(
                line.model_copy(update={"amount": Amount(value=share, measure=measure)})
                for line, share in zip(getattr(GROUND.recipe, where), shares[where], strict=True)
            )
            for where in shares
        }
    )


@pytest.mark.parametrize("measure", [Measure.PARTS, Measure.PERCENT])
@pytest.mark.parametrize("line", LINES, ids=lambda line: line.material)
def test_a_digit_of_the_scale_is_no_change(line: Line, measure: Measure) -> None:
    assert line.readability_g == 0.01
    assert told({line.material: 0.01 if line.weigh_g <= line.exact_g else -0.01}, in_measure(measure)) == []


@pytest.mark.parametrize("measure", [Measure.PARTS, Measure.PERCENT])
def test_noise_on_every_line_is_no_change(measure: Measure) -> None:
    """No line is more than half a digit from what was meant: a careful hand, read off a scale in order."""
    chance = random.Random(11)
    for _ in range(40):
        off = {each.material: chance.uniform(-0.005, 0.005) + each.exact_g - each.weigh_g for each in LINES}
        assert told(off, in_measure(measure)) == []


def test_where_a_digit_is_less_than_what_is_shown_the_same_figure_is_no_change() -> None:
    """20 kg on a scale of 0.01 g: 0.1 g more of an oil is seen by the scale and by nobody on the screen."""
    whole = GROUND.recipe.model_copy(update={"size": BatchSize(mass_g=20_000)})
    assert told({"lavender": 0.1}, whole) == []


def test_one_line_that_came_out_heavier_is_the_only_amount_told() -> None:
    """Parts say proportions only, so lines that were weighed as planned need not be rewritten for it."""
    says = told({"jojoba": 0.6})
    assert [each.split(":")[0] for each in says if ":" in each] == ["Jojoba oil"]
    revised = written(
        GROUND.recipe,
        {each.material: each.weigh_g + 0.6 * (each.material == "jojoba") for each in LINES},
        TABLES,
    )
    jojoba = next(line.amount.value for line in revised.base if line.material == "jojoba")
    # by hand: 24.22 + 0.6 g beside 8.07 g that stand for 20 parts
    assert jojoba == pytest.approx(20 * 24.82 / 8.07, abs=0.05)
    assert [line.amount for line in revised.scent] == [line.amount for line in GROUND.recipe.scent]


def test_no_change_is_told_with_the_same_figure_twice() -> None:
    chance, count = random.Random(5), 0
    for _ in range(60):
        off = {each.material: round(chance.gauss(0.0, 0.02), 2) for each in LINES}
        for sentence in told(off, in_measure(chance.choice((Measure.PARTS, Measure.PERCENT)))):
            figures = re.findall(r"[\d.]+ (?:%|parts?)", sentence)
            assert len(set(figures)) == 2, sentence
            count += 1
    assert count > 20


def test_what_is_counted_is_seen_to_half_a_drop() -> None:
    """Whatever the scale shows that could not weigh it."""
    line = LINES[-1]
    counted = replace(
        line,
        exact_g=0.1,
        readability_g=0.1,
        weighable=False,
        ways_out=(WayOut("drops", "", Drops(typical=3, low_g=0.05, high_g=0.15)),),
    )
    assert digit_g(counted) == pytest.approx(0.1 / 3 / 2)
    assert digit_g(replace(counted, weighable=True)) == 0.1
    assert digit_g(None) == 0.01
