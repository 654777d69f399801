"""Recipes and a context for the tests of the scent page; invented names, the program's own tables."""

from __future__ import annotations

from datetime import date

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe, ScentLine
from workbench.ui.context import Context
from workbench.ui.editor.model import RecipeModel

LIGHT = (
    ("lemon", 6, Note.TOP),
    ("sweet_orange", 5, Note.TOP),
    ("neroli", 2, Note.MIDDLE),
    ("lavender", 3, Note.MIDDLE),
    ("cedarwood_virginia", 1, Note.BASE),
)
HEAVY = (
    ("bergamot_fcf", 2, Note.TOP),
    ("geranium", 2, Note.MIDDLE),
    ("cedarwood_virginia", 5, Note.BASE),
    ("vetiver", 3, Note.BASE),
    ("labdanum", 1, Note.BASE),
)


def balm(
    scent: tuple[tuple[str, float, Note], ...] = LIGHT,
    measure: Measure = Measure.PARTS,
    name: str = "Harbour light",
) -> Recipe:
    return Recipe(
        name=name,
        base=tuple(
            BaseLine(material=key, amount=Amount(value=1, measure=Measure.PARTS))
            for key in ("beeswax", "shea_butter", "jojoba")
        ),
        scent=tuple(
            ScentLine(material=key, note=note, amount=Amount(value=value, measure=measure))
            for key, value, note in scent
        ),
        load_percent=5.0,
        size=BatchSize(mass_g=60.0),
    )


def model_of(recipe: Recipe, tables: Catalogue, shelf: Shelf | None = None) -> RecipeModel:
    return RecipeModel(Context(tables, shelf or Shelf(), None, lambda: date(2026, 11, 25)), recipe)
