"""What a recipe read from a file may not be, whoever wrote it."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from tests.core.recipe.kitchen import base, scent, simple
from workbench.core.recipe.model import BatchSize, Measure, Recipe, TinCount


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"base": (base("shea", 1), base("shea", 2))}, "shea stands on two lines"),
        ({"scent": (scent("shea", 1),)}, "shea stands on two lines"),
        ({"base": (base("shea", 3, Measure.DROPS),)}, "cannot be in drops"),
        ({"uses": ()}, "at least one intended use"),
        ({"load_percent": float("inf")}, "load_percent"),
    ],
)
def test_contradictions_are_refused(changes: dict[str, object], reason: str) -> None:
    with pytest.raises(ValidationError, match=reason):
        simple(**changes)


def test_a_batch_has_tins_or_a_mass() -> None:
    jars = (TinCount(tin="jar", count=1),)
    for fields in ({}, {"tins": jars, "mass_g": 60.0}):
        with pytest.raises(ValidationError, match="not both"):
            BatchSize.model_validate(fields)


def test_a_recipe_survives_json() -> None:
    recipe = simple()
    assert Recipe.model_validate_json(recipe.model_dump_json()) == recipe
