"""What stands in for a missing oil: near in volatility, strength and make, within the limits."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from tests.core.design.scents import balm, with_lots
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Note, Place, Use
from workbench.core.design.substitution import Substitute, profile, substitutes, with_substitute
from workbench.core.recipe.amounts import work_out
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Amount, BatchSize, Measure, ScentLine
from workbench.core.scent.course import course
from workbench.core.scent.volatility import Carrier
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue

BALM = {"sunflower": 95.0, "vetiver": 1.0}


@pytest.fixture(scope="module")
def tables() -> Catalogue:
    return load_catalogue()


def ask(tables: Catalogue, oil: str, grams: float = 1.0, most: int = 3) -> tuple[Substitute, ...]:
    jug = Composition.of({**BALM, oil: grams})
    return substitutes(oil, jug, tables, (Use.PERFUME,), Place.EU, most=most)


@pytest.mark.parametrize(
    ("missing", "expected"),
    [
        ("bergamot", "bergamot_fcf"),  # the same oil without its furocoumarins
        ("clove_bud", "clove_leaf"),  # eugenol both
        ("lavender", "petitgrain"),  # linalool and linalyl acetate both
        ("geranium", "palmarosa"),  # common practice, no source: the cheap stand-in for geranium and rose
    ],
)
def test_the_nearest_is_the_one_of_the_trade(missing: str, expected: str, tables: Catalogue) -> None:
    """Common practice, no source, borne out by what the oils are made of (compositions of the tables)."""
    assert ask(tables, missing)[0].oil == expected


def test_citrus_is_replaced_by_citrus(tables: Catalogue) -> None:
    """Common practice, no source; all of them are mostly limonene."""
    assert ask(tables, "lemon")[0].oil in {"sweet_orange", "grapefruit", "lime"}


def test_a_top_note_is_never_replaced_by_a_base_note(tables: Catalogue) -> None:
    names = {one.oil for one in ask(tables, "lemon", most=20)}
    assert names
    assert not names & {"patchouli", "sandalwood", "benzoin", "cedarwood_virginia"}


def test_differences_are_shown(tables: Catalogue) -> None:
    first = ask(tables, "lavender")[0]
    jug = Composition.of({**BALM, "lavender": 1.0})
    assert first.left_hour_before == pytest.approx(course(jug, tables).left_at("lavender", 3600.0))
    assert 0 < first.in_common < 1
    assert "only your nose can tell" in first.says[2]
    assert "for 1.00 g of" in first.says[0]


def test_limits_are_said_and_what_does_not_fit_comes_last(tables: Catalogue) -> None:
    found = ask(tables, "clove_bud", grams=3.0, most=10)
    fits = [one.within_limits for one in found]
    assert False in fits
    assert fits == sorted(fits, key=lambda one: one is False)
    assert "allow only" in next(one for one in found if one.within_limits is False).says[1]


def test_only_the_shelf_is_offered(tables: Catalogue) -> None:
    shelf = with_lots(tables, {"geranium": None, "petitgrain": None, "lavender": None})
    jug = Composition.of({**BALM, "lavender": 1.0})
    assert {one.oil for one in substitutes("lavender", jug, shelf, (Use.PERFUME,), Place.EU)} <= {
        "geranium",
        "petitgrain",
    }


def test_what_is_past_its_date_stands_in_for_nothing(tables: Catalogue) -> None:
    shelf = with_lots(tables, {"geranium": None, "petitgrain": None, "lavender": None})
    jug = Composition.of({**BALM, "lavender": 1.0})
    day = date(2026, 8, 15)

    def offered(until: date) -> set[str]:
        lots = tuple(
            lot.model_copy(update={"best_before": until}) if lot.material == "petitgrain" else lot
            for lot in shelf.shelf.lots
        )
        dated = replace(shelf, shelf=shelf.shelf.model_copy(update={"lots": lots}))
        return {one.oil for one in substitutes("lavender", jug, dated, (Use.PERFUME,), Place.EU, today=day)}

    assert "petitgrain" in offered(day)
    assert "petitgrain" not in offered(day - timedelta(days=1))


def test_an_oil_not_yet_in_there_counts_as_one_gram(tables: Catalogue) -> None:
    found = substitutes("rosemary", Composition.of(BALM), tables, (Use.PERFUME,), Place.EU)
    assert found
    assert 0.3 < found[0].grams < 3.2


def test_unknown_make_is_trouble(tables: Catalogue) -> None:
    with pytest.raises(Trouble, match="nothing can be called near"):
        ask(tables, "labdanum")


def test_the_profile_rises(tables: Catalogue) -> None:
    for oil in ("lemon", "lavender", "vetiver", "benzoin"):
        assert np.all(np.diff(profile(oil, tables, Carrier({"triglyceride": 1.0}))) >= 0)


@pytest.mark.parametrize("measure", [Measure.PARTS, Measure.DROPS, Measure.GRAMS])
def test_taking_a_substitute_weighs_what_was_said(measure: Measure, tables: Catalogue) -> None:
    scent = (("clove_bud", 10.0), ("lavender", 30.0))
    recipe = balm().model_copy(
        update={
            "scent": tuple(
                ScentLine(material=key, amount=Amount(value=value, measure=measure), note=Note.MIDDLE)
                for key, value in scent
            ),
            "load_from_scent": measure is not Measure.PARTS,
            "size": BatchSize(mass_g=500.0),
        }
    )
    before = work_out(recipe, tables).composition
    found = substitutes("clove_bud", before, tables, (Use.PERFUME,), Place.EU)[0]
    meant_g = before.as_dict()["clove_bud"]
    taken = with_substitute(recipe, "clove_bud", found, meant_g, tables)
    after = work_out(taken, tables).composition.as_dict()
    assert found.oil in after
    assert "clove_bud" not in after
    assert after[found.oil] / after["lavender"] == pytest.approx(
        found.grams / before.as_dict()["lavender"], rel=0.06
    )
