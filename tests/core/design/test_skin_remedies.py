"""What brings a balm within its limits on skin; each proposal is judged again from its grams.

The limit on expressed bergamot in what stays on skin, 0.4 %, is that of the
industry's standard as the abstract of "Phototoxic contact dermatitis from
5-methoxypsoralen in aromatherapy oil" quotes it.
"""

from __future__ import annotations

from datetime import date

import pytest

from workbench.core.catalogue.model import Note
from workbench.core.design.evaluation import Evaluation, evaluate
from workbench.core.design.skin_remedies import LESS_OF_ALL, LESS_OF_SOME, SkinRemedy, skin_remedies
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe, ScentLine
from workbench.core.skin.verdict import Verdict
from workbench.testing import sample_catalogue

CATALOGUE = sample_catalogue()
TODAY = date(2026, 8, 15)
BERGAMOT_MOST = 0.4  # % of what stays on skin


def scent(measure: Measure, *amounts: tuple[str, float]) -> tuple[ScentLine, ...]:
    return tuple(
        ScentLine(material=key, amount=Amount(value=value, measure=measure), note=Note.TOP)
        for key, value in amounts
    )


def balm(*lines: ScentLine, own: bool = True) -> Recipe:
    return Recipe(
        name="Quay",
        base=(
            BaseLine(material="beeswax", amount=Amount(value=1, measure=Measure.PARTS)),
            BaseLine(material="jojoba", amount=Amount(value=3, measure=Measure.PARTS)),
        ),
        scent=lines,
        load_percent=7.0,
        load_from_scent=own,
        size=BatchSize(mass_g=45.0),
    )


def judged(recipe: Recipe) -> Evaluation:
    return evaluate(recipe, CATALOGUE, TODAY)


def found(recipe: Recipe) -> dict[str, SkinRemedy]:
    return {each.kind: each for each in skin_remedies(judged(recipe), CATALOGUE)}


OWN_GRAMS = balm(*scent(Measure.GRAMS, ("bergamot", 2.0), ("lavender", 1.0)))
OWN_DROPS = balm(*scent(Measure.DROPS, ("bergamot", 40), ("lavender", 20)))
BY_LOAD = balm(*scent(Measure.PARTS, ("bergamot", 3), ("lavender", 2)), own=False)
TWO_OVER = balm(*scent(Measure.GRAMS, ("bergamot", 1.0), ("clove_bud", 1.0), ("lavender", 1.0)))


@pytest.mark.parametrize("recipe", [OWN_GRAMS, OWN_DROPS, BY_LOAD, TWO_OVER])
def test_every_proposal_is_within_and_no_more_than_it_must_be_is_taken(recipe: Recipe) -> None:
    assert judged(recipe).skin.verdict is Verdict.OVER
    remedies = found(recipe)
    assert set(remedies) == {LESS_OF_SOME, LESS_OF_ALL}
    for remedy in remedies.values():
        after = judged(remedy.recipe)
        assert after.skin.verdict is Verdict.WITHIN
        assert after.skin == remedy.skin
        tightest = after.skin.tightest
        assert tightest is not None
        assert (tightest.used_percent or 0) > 90  # a drop or a hundredth of a gram more would be too much
        bergamot_g = after.weighed.composition.as_dict()["bergamot"]
        assert 100 * bergamot_g / after.weighed.batch_g <= BERGAMOT_MOST * (1 + 1e-6)
    kept = {kind: judged(each.recipe).weighed.load_percent for kind, each in remedies.items()}
    assert kept[LESS_OF_SOME] > kept[LESS_OF_ALL]


def test_the_other_oils_keep_what_the_maker_wrote() -> None:
    after = found(OWN_GRAMS)[LESS_OF_SOME].recipe
    amounts = {line.material: line.amount for line in after.scent}
    assert amounts["lavender"] == Amount(value=1.0, measure=Measure.GRAMS)
    assert amounts["bergamot"].measure is Measure.GRAMS
    assert amounts["bergamot"].value == round(amounts["bergamot"].value, 2)  # a scale can show it
    both = {line.material: line.amount.value for line in found(TWO_OVER)[LESS_OF_SOME].recipe.scent}
    assert both["bergamot"] < 1.0
    assert both["clove_bud"] < 1.0
    assert both["lavender"] == 1.0


def test_drops_stay_whole() -> None:
    for remedy in found(OWN_DROPS).values():
        values = [line.amount.value for line in remedy.recipe.scent]
        assert all(value >= 1 and value == int(value) for value in values)


def test_a_scent_of_one_oil_can_only_be_less_as_a_whole() -> None:
    assert set(found(balm(*scent(Measure.DROPS, ("bergamot", 40))))) == {LESS_OF_ALL}


def test_less_than_a_drop_leaves_the_oil_out() -> None:
    small = balm(*scent(Measure.DROPS, ("bergamot", 5), ("lavender", 5)))
    small = small.model_copy(update={"size": BatchSize(mass_g=4.0)})
    assert judged(small).skin.over
    remedy = found(small)[LESS_OF_SOME]
    assert [line.material for line in remedy.recipe.scent] == ["lavender"]
    assert str(remedy.says).startswith("Leave out")


def test_the_words_say_what_becomes_of_the_scent() -> None:
    some, every = found(OWN_GRAMS)[LESS_OF_SOME], found(OWN_GRAMS)[LESS_OF_ALL]
    assert "Bergamot" in str(some.says)
    assert "66.7" in str(some.costs)  # 2 g of 3 g
    assert "fainter" in str(every.costs)
    load = judged(every.recipe).weighed.load_percent
    assert f"{load:.1f}" in str(every.says)


def test_nothing_is_proposed_where_nothing_is_over() -> None:
    assert skin_remedies(judged(balm(*scent(Measure.GRAMS, ("lavender", 1.0)))), CATALOGUE) == ()
