"""Cold-spoon corrections."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.goals.cupboard import CUPBOARD
from workbench.core.design.firmness import Spoon, correct_firmness
from workbench.core.heat.blend import Firmness, beeswax_equivalent_percent
from workbench.core.heat.dissolving import ingredients
from workbench.core.recipe.composition import Composition
from workbench.core.trouble import Trouble

BASE = Composition.of({"beeswax": 18, "shea": 20, "almond": 62})


def worth(composition: Composition) -> float:
    return beeswax_equivalent_percent(ingredients(composition, CUPBOARD))


def test_a_soft_spoon_wants_about_a_teaspoon_of_wax() -> None:
    # Common practice, no source: a teaspoon of beeswax (3 to 6 g) stiffens 100 g of soft balm by a step.
    found = correct_firmness(BASE, CUPBOARD, "soft")
    assert found.material == "beeswax"
    assert 3 <= found.grams <= 7
    assert found.set_point.celsius is not None
    assert found.set_point_before.celsius is not None
    assert found.set_point.celsius > found.set_point_before.celsius
    assert "melt" in found.says
    assert f"{found.grams:.1f} g" in found.says


def test_a_hard_spoon_wants_oil_and_sets_lower() -> None:
    found = correct_firmness(BASE, CUPBOARD, Spoon.HARD, scent_g=6)
    assert found.material == "almond"
    assert 10 <= found.grams <= 40
    assert (found.set_point.celsius or 0) < (found.set_point_before.celsius or 0)
    assert any("fragrance" in line for line in found.also)


def test_a_firm_spoon_wants_nothing() -> None:
    found = correct_firmness(BASE, CUPBOARD, "firm")
    assert not found.needed
    assert found.composition == BASE


def test_a_class_can_be_aimed_at() -> None:
    found = correct_firmness(BASE, CUPBOARD, "soft", target=Firmness.FIRM)
    assert found.expected is Firmness.FIRM
    assert worth(found.composition) == pytest.approx(35, abs=1.5)


def test_half_as_much_of_a_stiffer_wax() -> None:
    # Common practice, no source: about half as much candelilla does what beeswax does.
    bees = correct_firmness(BASE, CUPBOARD, "soft", material="beeswax").grams
    candelilla = correct_firmness(BASE, CUPBOARD, "soft", material="candelilla").grams
    assert 0.4 < candelilla / bees < 0.65


@pytest.mark.parametrize(
    ("answer", "material", "words"),
    [
        ("mushy", None, "firm, soft or hard"),
        ("soft", "almond", "a wax"),
        ("hard", "beeswax", "a carrier oil"),
    ],
)
def test_what_cannot_help_is_said(answer: str, material: str | None, words: str) -> None:
    with pytest.raises(Trouble, match=words):
        correct_firmness(BASE, CUPBOARD, answer, material=material)


def test_a_base_without_wax_asks_for_one() -> None:
    with pytest.raises(Trouble, match="Choose a wax"):
        correct_firmness(Composition.of({"shea": 60, "almond": 40}), CUPBOARD, "soft")


@given(st.floats(5, 45), st.floats(0, 40), st.sampled_from(["soft", "hard"]), st.floats(10, 2000))
def test_the_scale_moves_the_way_it_should(wax: float, shea: float, answer: str, mass: float) -> None:
    base = Composition.of(
        {"beeswax": wax * mass / 100, "shea": shea * mass / 100, "almond": (100 - wax - shea) * mass / 100}
    )
    found = correct_firmness(base, CUPBOARD, answer)
    assert found.composition.mass_g == pytest.approx(base.mass_g + found.grams)
    change = worth(found.composition) - worth(base)
    assert change > 0 if answer == "soft" else change < 0
    # and a batch twice as big needs twice as much
    double = Composition.of({p.material: 2 * p.mass_g for p in base.portions})
    assert correct_firmness(double, CUPBOARD, answer).grams == pytest.approx(2 * found.grams)
