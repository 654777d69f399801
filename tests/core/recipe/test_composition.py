from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.recipe.kitchen import kitchen, material
from workbench.core.catalogue.model import MaterialKind
from workbench.core.recipe.composition import Composition, expand
from workbench.core.trouble import Trouble

MATERIALS = kitchen().materials


def test_a_leftover_is_taken_apart_down_to_its_materials() -> None:
    # 40 g of leftover two: 20 g shea and 20 g of leftover one, that is 6 g beeswax, 12 g jojoba
    # and 2 g lavender; 10 g beeswax come on top
    whole = expand(Composition.of({"leftover_two": 40.0, "beeswax": 10.0}), MATERIALS)
    assert whole.as_dict() == pytest.approx({"shea": 20.0, "beeswax": 16.0, "jojoba": 12.0, "lavender": 2.0})


def test_what_is_not_made_of_anything_stays() -> None:
    plain = Composition.of({"beeswax": 1.0, "lemon": 2.0})
    assert expand(plain, MATERIALS) == plain


def test_unknown_and_circular_materials_are_told() -> None:
    with pytest.raises(Trouble, match="no material “nothing”"):
        expand(Composition.of({"nothing": 1.0}), MATERIALS)
    circle = {
        "one": material("one", MaterialKind.LEFTOVER, None, (("two", 100.0),)),
        "two": material("two", MaterialKind.LEFTOVER, None, (("one", 100.0),)),
    }
    with pytest.raises(Trouble, match="made of itself"):
        expand(Composition.of({"one": 1.0}), circle)


def test_the_same_leftover_twice_is_no_circle() -> None:
    rows = {
        **MATERIALS,
        "both": material(
            "both", MaterialKind.LEFTOVER, None, (("leftover_one", 50.0), ("leftover_two", 50.0))
        ),
    }
    assert expand(Composition.of({"both": 10.0}), rows).as_dict() == pytest.approx(
        {"beeswax": 2.25, "jojoba": 4.5, "lavender": 0.75, "shea": 2.5}
    )


@given(st.dictionaries(st.sampled_from(sorted(MATERIALS)), st.floats(0.001, 1000), min_size=1))
def test_taking_apart_loses_no_mass(masses: dict[str, float]) -> None:
    whole = expand(Composition.of(masses), MATERIALS)
    assert whole.mass_g == pytest.approx(sum(masses.values()), rel=1e-12)
    assert not {"leftover_one", "leftover_two", "leftover_odd"} & set(whole.as_dict())


def test_shares_that_miss_a_hundredth_lose_nothing() -> None:
    rows = {
        "thirds": material(
            "thirds", MaterialKind.LEFTOVER, None, (("a", 33.333), ("b", 33.333), ("c", 33.333))
        ),
        **{key: material(key, MaterialKind.WAX, 0.9) for key in "abc"},
    }
    assert expand(Composition.of({"thirds": 30.0}), rows).as_dict() == pytest.approx(
        dict.fromkeys("abc", 10.0), rel=1e-12
    )


def test_portions_of_a_composition() -> None:
    jug = Composition.of([("beeswax", 3.0), ("lemon", 1.0), ("beeswax", 1.0), ("air", 0.0)])
    assert jug.as_dict() == {"beeswax": 4.0, "lemon": 1.0}
    assert jug.share("beeswax") == 0.8
    assert Composition.of({}).share("beeswax") == 0.0
    assert jug.plus({"lemon": 1.0}).as_dict() == {"beeswax": 4.0, "lemon": 2.0}
    assert jug.only(["lemon", "air"]).as_dict() == {"lemon": 1.0}
