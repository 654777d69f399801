"""Names on the label, against the published thresholds, dates and order."""

from __future__ import annotations

from datetime import date

import pytest

from tests.core.skin.samples import allergen, base, catalogue, certificate, content, leftover, material, oil
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material, MaterialKind, Place, Wording
from workbench.core.catalogue.shelf import Certificate
from workbench.core.recipe.composition import Composition
from workbench.core.skin.label import (
    ListInForce,
    allergen_label,
    allergen_rule,
    allergens_to_declare,
    ingredient_list,
)
from workbench.store.resources import load_catalogue

SHIPPED = load_catalogue()
TODAY = date(2026, 11, 25)


def carrier(key: str, inci: str, kind: MaterialKind = MaterialKind.CARRIER) -> Material:
    return base(key, inci, kind)


def known(*extra: Material, certificates: tuple[Certificate, ...] = ()) -> Catalogue:
    return catalogue(
        [
            base(),
            oil(
                "lavender_oil",
                {"linalool": 20.0, "linalyl_acetate": 40.0},
                own_allergen="Lavandula Oil/Extract",
            ),
            oil("lemongrass_oil", {"geranial": 45.0, "neral": 35.0}),
            *extra,
        ],
        allergens=[
            allergen("Linalool", ["linalool"]),
            allergen("Citral", ["geranial", "neral"]),
            allergen("Linalyl Acetate", ["linalyl_acetate"], new=True),
            allergen("Lavandula Oil/Extract", new=True),
        ],
        certificates=certificates,
    )


def names(
    composition: Composition, place: Place = Place.EU, on: date = TODAY, table: Catalogue | None = None
) -> list[str]:
    return [name.label_name for name in allergens_to_declare(composition, table or known(), place, on)]


def test_boundary_is_strict() -> None:
    # Regulation (EU) 2023/1545: "when its concentration exceeds 0.001 % in leave-on products".
    # Lavender with 20 % linalool: 0.005 % of it is 0.0010 % linalool, 0.0051 % is 0.00102 %.
    at = Composition.of({"base": 99.995, "lavender_oil": 0.005})
    above = Composition.of({"base": 99.9949, "lavender_oil": 0.0051})
    assert "Linalool" not in names(at)
    assert "Linalool" in names(above)
    found = allergens_to_declare(above, known(), Place.EU, TODAY)
    assert next(n for n in found if n.label_name == "Linalool").concentration_percent == pytest.approx(
        0.00102
    )


def test_isomers_add_up_under_one_name() -> None:
    # "the substance or substances": geranial and neral are both Citral, and only together above 0.001 %
    assert "Citral" in names(Composition.of({"base": 99.9985, "lemongrass_oil": 0.0015}))
    assert "Citral" not in names(Composition.of({"base": 99.9988, "lemongrass_oil": 0.0012}))


def test_an_oil_with_its_own_name_is_printed_beside_its_constituents() -> None:
    balm = Composition.of({"base": 99.0, "lavender_oil": 1.0})
    assert names(balm) == ["Lavandula Oil/Extract", "Linalyl Acetate", "Linalool"]


def test_dates_of_the_two_lists() -> None:
    # (EU) 2023/1545: old rule for products placed on the market up to 31 July 2026, on sale up to 31 July 2028
    balm = Composition.of({"base": 99.0, "lavender_oil": 1.0})
    assert names(balm, on=date(2026, 7, 31)) == ["Linalool"]
    assert len(names(balm, on=date(2026, 8, 1))) == 3
    earlier = date(2026, 7, 1)
    old = allergens_to_declare(balm, known(), Place.EU, date(2028, 7, 31), on_market_since=earlier)
    new = allergens_to_declare(balm, known(), Place.EU, date(2028, 8, 1), on_market_since=earlier)
    assert [len(old), len(new)] == [1, 3]
    assert (
        allergen_rule(Place.EU, date(2027, 1, 1), on_market_since=date(2026, 8, 1)).which is ListInForce.NEW
    )


def test_uk_keeps_the_old_list_and_the_us_has_none() -> None:
    balm = Composition.of({"base": 99.0, "lavender_oil": 1.0})
    assert names(balm, Place.UK) == ["Linalool"]
    us = allergen_label(balm, known(), Place.US, TODAY)
    assert us.declared == ()
    assert us.rule.which is ListInForce.NONE
    assert "not issued" in us.rule.says


def test_the_old_list_has_24_names() -> None:
    # 26 names of the older list less the two that were banned (butylphenyl methylpropional and HICC)
    assert sum(not row.new_list for row in SHIPPED.allergens) == 24


def test_entries_seen_at_echa_have_their_numbers() -> None:
    # ECHA Annex III lists of 2024: 122, 348, 349, 351, 353, 357
    numbers = {row.entry: row.label_name for row in SHIPPED.allergens}
    assert numbers["122"] == "Cedrus Atlantica Oil/Extract"
    assert numbers["348"] == "Cinnamomum Cassia Leaf Oil"
    assert numbers["349"] == "Cinnamomum Zeylanicum Bark Oil"
    assert numbers["351"] == "Citrus Aurantium Peel Oil"
    assert numbers["353"] == "Citrus Limon Peel Oil"
    assert numbers["357"] == "Jasmine Oil/Extract"


def test_traps_of_mapping() -> None:
    # Citral is geranial and neral together; nerol is not geraniol; each name covers its isomers
    rows = SHIPPED.constituents
    assert {rows["geranial"].allergen, rows["neral"].allergen} == {"Citral"}
    assert rows["nerol"].allergen == ""
    assert {rows["alpha_pinene"].allergen, rows["beta_pinene"].allergen} == {"Pinene"}
    geraniol = next(row for row in SHIPPED.limits if row.key == "geraniol_standard")
    assert geraniol.constituents == ("geraniol",)
    for key, name in (("cinnamyl_alcohol", "Cinnamyl Alcohol"), ("hydroxycitronellal", "Hydroxycitronellal")):
        assert rows[key].allergen == name


def test_every_constituent_of_shipped_lavender_is_named() -> None:
    balm = Composition.of({"beeswax": 95.0, "lavender": 5.0})
    found = names(balm, table=SHIPPED)
    assert {"Lavandula Oil/Extract", "Linalool", "Linalyl Acetate"} <= set(found)


def test_allergen_sheet_of_the_supplier_replaces_our_values_for_its_names() -> None:
    sheet = certificate("lavender_oil", 20.0, allergens={"linalool": 0.05, "Linalyl Acetate": 33.0})
    again = certificate("lavender_oil", 20.0, category="1", allergens={"Linalool": 0.06})
    balm = Composition.of({"base": 99.0, "lavender_oil": 1.0})
    found = {
        n.label_name: n.concentration_percent
        for n in allergens_to_declare(balm, known(certificates=(sheet, again)), Place.EU, TODAY)
    }
    assert "Linalool" not in found, "0.06 % of 1 % is 0.0006 %, the greater of the two sheets"
    assert found["Linalyl Acetate"] == pytest.approx(0.33)
    assert found["Lavandula Oil/Extract"] == pytest.approx(1.0)


def test_a_blend_of_unknown_make_needs_a_sheet() -> None:
    blend = material("blend", MaterialKind.BLEND)
    balm = Composition.of({"base": 99.0, "blend": 1.0})
    silent = allergen_label(balm, known(blend), Place.EU, TODAY)
    assert silent.unknown == ("blend",)
    assert silent.declared == ()
    told = allergen_label(
        balm,
        known(
            blend,
            certificates=(
                certificate("blend", 5.0, allergens={"Citral": 2.0}),
                certificate("nowhere", 1.0, allergens={"Citral": 1.0}),
            ),
        ),
        Place.EU,
        TODAY,
    )
    assert told.unknown == ()
    assert [name.label_name for name in told.declared] == ["Citral"]
    assert allergen_label(Composition(()), known(), Place.EU, TODAY).declared == ()


def balm_of_the_rules() -> tuple[Composition, Catalogue]:
    table = known(
        carrier("jojoba_oil", "Simmondsia Chinensis Seed Oil"),
        carrier("shea", "Butyrospermum Parkii Butter", MaterialKind.BUTTER),
        carrier("vitamin_e", "Tocopherol", MaterialKind.ADDITIVE),
        leftover("old_balm", {"base": 60.0, "jojoba_oil": 40.0}),
        material("plain_wax", MaterialKind.WAX),
    )
    composition = Composition.of(
        {"base": 30.0, "jojoba_oil": 45.0, "shea": 20.0, "lavender_oil": 4.5, "vitamin_e": 0.5}
    )
    return composition, table


def test_order_of_ingredients() -> None:
    # Worked from Art. 19(1)(g) of (EC) 1223/2009: descending weight, less than 1 % in any order after.
    composition, table = balm_of_the_rules()
    found = ingredient_list(composition, table, Place.EU, TODAY)
    assert found.names == (
        "Simmondsia Chinensis Seed Oil",
        "Cera Alba",
        "Butyrospermum Parkii Butter",
        "Parfum",
        "Lavandula Oil/Extract",
        "Linalyl Acetate",
        "Tocopherol",
        "Linalool",
    )
    assert found.free_from == 6
    assert found.text.startswith("Ingredients: Simmondsia Chinensis Seed Oil, Cera Alba")
    us = ingredient_list(composition, table, Place.US, TODAY)
    assert us.names == (
        "Simmondsia Chinensis Seed Oil",
        "Cera Alba",
        "Butyrospermum Parkii Butter",
        "Fragrance",
        "Tocopherol",
    )


def test_one_per_cent_exactly_is_free_in_the_us_only() -> None:
    # 21 CFR 701.3(f): 1 per cent or less; Art. 19(1)(g): less than 1 %
    _, table = balm_of_the_rules()
    exactly = Composition.of({"base": 59.0, "jojoba_oil": 40.0, "vitamin_e": 1.0})
    assert ingredient_list(exactly, table, Place.EU, TODAY).free_from == 3
    assert ingredient_list(exactly, table, Place.UK, TODAY).free_from == 3
    assert ingredient_list(exactly, table, Place.US, TODAY).free_from == 2


def test_leftovers_are_named_by_their_parts_and_missing_names_are_told() -> None:
    _, table = balm_of_the_rules()
    found = ingredient_list(
        Composition.of({"old_balm": 50.0, "base": 20.0, "plain_wax": 30.0}), table, Place.EU, TODAY
    )
    assert found.names == ("Cera Alba", "Plain wax", "Simmondsia Chinensis Seed Oil")
    assert found.without_inci == ("plain_wax",)
    assert ingredient_list(Composition(()), table, Place.EU, TODAY).names == ()


def test_an_allergen_above_one_per_cent_stands_in_its_place() -> None:
    table = known(oil("orange_oil", {"linalool": 95.0}))
    found = ingredient_list(Composition.of({"base": 90.0, "orange_oil": 10.0}), table, Place.EU, TODAY)
    assert found.names == ("Cera Alba", "Parfum", "Linalool")
    assert found.free_from == 3


def test_a_name_that_is_an_ingredient_already_is_not_repeated() -> None:
    table = catalogue(
        [
            base(),
            carrier("lavender_wax", "Lavandula Oil/Extract", MaterialKind.WAX).model_copy(
                update={"own_allergen": "Lavandula Oil/Extract"}
            ),
        ],
        allergens=[allergen("Lavandula Oil/Extract")],
    )
    found = ingredient_list(Composition.of({"base": 50.0, "lavender_wax": 50.0}), table, Place.EU, TODAY)
    assert found.names.count("Lavandula Oil/Extract") == 1


def test_shipped_base_materials_have_label_names() -> None:
    without = [key for key, row in SHIPPED.materials.items() if row.kind.is_base and row.inci is None]
    assert without == []
    assert isinstance(SHIPPED.materials["beeswax"].inci, Wording)


def test_content_at_its_maximum_counts() -> None:
    ranged = material("ranged", composition=(content("linalool", 1.0, most=30.0),))
    balm = Composition.of({"base": 99.99, "ranged": 0.01})
    assert "Linalool" in names(balm, table=known(ranged))
