"""Top, middle, base: classes of the trade, disagreements shown, the maker's word last."""

from __future__ import annotations

import pytest

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note
from workbench.core.recipe.composition import Composition
from workbench.core.scent.course import course
from workbench.core.scent.notes import class_of, note_of, notes_for, place_words, volatile_90_s
from workbench.core.scent.strength import strength
from workbench.core.scent.telling import (
    BAND_NOTE,
    lasting_sentence,
    leading_sentence,
    missing_sentence,
    summary,
)
from workbench.core.scent.volatility import TRIGLYCERIDE, Carrier, Film, volatility_of

ON_OIL = Carrier({TRIGLYCERIDE: 1.0})


@pytest.mark.parametrize("oil", ["lemon", "sweet_orange", "grapefruit"])
def test_citrus_is_top(oil: str, tables: Catalogue) -> None:
    """Common practice, no source: cold-pressed citrus is the pattern of a top note."""
    assert note_of(oil, tables).proposed is Note.TOP


@pytest.mark.parametrize("oil", ["patchouli", "vetiver", "sandalwood"])
def test_woods_and_roots_are_base(oil: str, tables: Catalogue) -> None:
    """Poucher 1955, J. Soc. Cosmet. Chem. 6:80: patchouli, vetiver and sandalwood at 100, the group of 61 to 100."""
    assert note_of(oil, tables).proposed is Note.BASE
    assert tables.scent.tenacity["poucher"].coefficients[oil] == 100


def test_ninety_per_cent_have_left_at_that_time(tables: Catalogue) -> None:
    run = course(Composition.of({"sunflower": 95.0, "lemon": 5.0}), tables)
    at_s = volatile_90_s("lemon", volatility_of(tables), ON_OIL, Film())
    assert at_s is not None
    assert run.left_at("lemon", at_s) == pytest.approx(0.1, abs=0.02)
    assert volatile_90_s("labdanum", volatility_of(tables), ON_OIL, Film()) is None


def test_frankincense_is_shown_with_both(tables: Catalogue) -> None:
    """Lists mean the resin; the distilled oil is mostly monoterpenes."""
    view = note_of("frankincense", tables)
    assert view.proposed is Note.TOP
    assert view.agree is False
    assert {one.place for one in view.listed} == {3.0}
    assert "lists put it at base" in view.says


def test_agreement_and_lack_of_knowledge_are_said(tables: Catalogue) -> None:
    assert note_of("lemon", tables).agree is True
    assert "agree" in note_of("lemon", tables).says
    unknown = note_of("labdanum", tables)
    assert unknown.proposed is None
    assert "Nothing is known" in unknown.says
    assert "base" in unknown.says
    alone = note_of("cinnamon_leaf", tables)
    assert alone.listed == ()
    assert alone.agree is None
    assert "choose its note yourself" in note_of("treemoss", tables).says


def test_the_maker_overrules_list_and_model(tables: Catalogue) -> None:
    assert notes_for(("frankincense",), tables) == {"frankincense": Note.BASE}
    assert notes_for(("frankincense",), tables, {"frankincense": Note.TOP}) == {"frankincense": Note.TOP}


def test_classes_and_their_words() -> None:
    assert [class_of(hours * 3600.0) for hours in (0.5, 1.0, 19.9, 20.0)] == [
        Note.TOP,
        Note.MIDDLE,
        Note.MIDDLE,
        Note.BASE,
    ]
    assert [str(place_words(place)) for place in (1.0, 1.5, 2.0, 2.5, 3.0)] == [
        "top",
        "between top and middle",
        "middle",
        "between middle and base",
        "base",
    ]


@pytest.mark.parametrize(
    ("grams", "expected"),
    [
        ({"bergamot": 4.0, "geranium": 3.0, "sandalwood": 3.0}, "first hour the top note leads"),
        ({"lemon": 8.0}, "after four hours little"),
        ({"lemon": 0.3}, "after an hour little"),
        ({"vetiver": 3.0, "clove_bud": 3.0}, "From just on to four hours the middle note leads"),
        (
            {"eucalyptus": 3.0, "clove_bud": 2.0},
            "Just on the top note leads; from about an hour on it is the middle",
        ),
        ({"lemon": 0.01}, "the scent stays close"),
        ({}, "no oil in here"),
    ],
)
def test_who_leads_in_one_sentence(grams: dict[str, float], expected: str, tables: Catalogue) -> None:
    run = course(Composition.of({"sunflower": 90.0, **grams}), tables)
    said = leading_sentence(strength(run, notes_for(run.oils, tables)))
    assert expected in said
    assert said.count(".") == 1


def test_two_sentences_and_no_hours_promised(tables: Catalogue) -> None:
    run = course(Composition.of({"sunflower": 90.0, "lemon": 4.0, "vetiver": 3.0, "labdanum": 1.0}), tables)
    first, second = summary(strength(run, notes_for(run.oils, tables)))
    assert "Lemon" in second
    assert "Vetiver" in second
    for words in (first, second):
        assert "lasts" not in words
    assert "no hours are promised" in BAND_NOTE
    missing = missing_sentence(run)
    assert missing is not None
    assert "Labdanum" in missing


def test_single_and_no_oil_have_their_own_sentence(tables: Catalogue) -> None:
    def make(grams: dict[str, float]) -> str:
        return lasting_sentence(course(Composition.of({"sunflower": 90.0, **grams}), tables))

    assert "of Lemon (expressed) is left" in make({"lemon": 1.0})
    assert "Nothing is known" in make({})
    assert missing_sentence(course(Composition.of({"sunflower": 1.0}), tables)) is None
