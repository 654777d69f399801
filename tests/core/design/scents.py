"""Recipes and wishes for the tests of the composer, with the program's own tables."""

from __future__ import annotations

from collections.abc import Mapping

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.design.wish import Aim, Leaning, Wish
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe
from workbench.core.scent.course import FOUR_HOURS_S, HOUR_S, JUST_ON_S

TWENTY_FIVE = (
    "lavender",
    "bergamot",
    "lemon",
    "sweet_orange",
    "grapefruit",
    "petitgrain",
    "neroli",
    "ylang",
    "geranium",
    "rose",
    "rosemary",
    "peppermint",
    "eucalyptus",
    "clary_sage",
    "cinnamon_bark",
    "clove_bud",
    "nutmeg",
    "cardamom",
    "black_pepper",
    "frankincense",
    "cedarwood_virginia",
    "patchouli",
    "vetiver",
    "sandalwood",
    "benzoin",
)
UNFOLDS = ((JUST_ON_S, Note.TOP, 25.0), (HOUR_S, Note.MIDDLE, 15.0), (FOUR_HOURS_S, Note.BASE, 6.0))


def balm(mass_g: float = 60.0, carrier: str = "jojoba") -> Recipe:
    """Equal parts of wax, butter and oil (common practice, no source)."""
    return Recipe(
        name="A balm",
        base=tuple(
            BaseLine(material=key, amount=Amount(value=1, measure=Measure.PARTS))
            for key in ("beeswax", "shea_butter", carrier)
        ),
        size=BatchSize(mass_g=mass_g),
    )


def wish(
    aims: tuple[tuple[float, Note, float], ...] = UNFOLDS,
    leanings: Mapping[str, Leaning] | None = None,
    **fields: object,
) -> Wish:
    return Wish.model_validate(
        {
            "aims": [Aim(at_s=at, note=note, strength=strength) for at, note, strength in aims],
            "leanings": dict(leanings or {}),
            "oils": TWENTY_FIVE,
            "load_percent": 6.0,
            **fields,
        }
    )


def with_lots(catalogue: Catalogue, grams: Mapping[str, float | None]) -> Catalogue:
    lots = tuple(Lot(key=f"lot_{key}", material=key, left_g=left) for key, left in grams.items())
    return catalogue.over(Shelf(lots=lots))
