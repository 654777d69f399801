"""Which cautions a brief and a recipe give cause for."""

from __future__ import annotations

from datetime import date

import pytest

from tests.core.skin.samples import allergen, base, catalogue, figure, leftover, limit, oil
from workbench.core.catalogue.shelf import Lot
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Brief
from workbench.core.skin.notices import FOLLOW_THE_PAPERS, KEYS, Notice, notices
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue

TODAY = date(2026, 11, 25)
KNOWN = catalogue(
    [
        base(),
        oil("lavender_oil", {"linalool": 30.0}, botanical="Lavandula angustifolia"),
        oil(
            "lemon_oil",
            {"limonene": 70.0},
            restricted_as=("lemon_expressed",),
            peroxide_limit_mmol_l=figure(20.0),
        ),
        oil("mandarin_oil", {"methyl_n_methylanthranilate": 0.5, "limonene": 70.0}),
        leftover("old_balm", {"base": 90.0, "lemon_oil": 10.0}),
    ],
    [
        limit("lemon", 2.0, restricted_as=("lemon_expressed",), group="phototoxic"),
        limit("mnma", 0.1, constituents=("methyl_n_methylanthranilate",), group="phototoxic"),
        limit("linalool", 9.0, constituents=("linalool",)),
    ],
    [allergen("Linalool", ["linalool"])],
)
PLAIN = Composition.of({"base": 95.0, "lavender_oil": 5.0})


def keys(brief: Brief, composition: Composition = PLAIN, lots: tuple[Lot, ...] = ()) -> list[str]:
    return [notice.key for notice in notices(brief, composition, KNOWN, TODAY, lots)]


def one(brief: Brief, composition: Composition = PLAIN, key: str = "allergy_in_brief") -> Notice:
    return next(notice for notice in notices(brief, composition, KNOWN, TODAY) if notice.key == key)


def test_every_notice_has_its_caution_in_the_tables() -> None:
    assert set(KEYS) <= set(load_catalogue().cautions)
    assert "certifies nothing" in FOLLOW_THE_PAPERS


def test_a_plain_scented_balm() -> None:
    assert keys(Brief()) == ["patch_test"]
    assert keys(Brief(), Composition.of({"base": 100.0})) == []
    assert keys(Brief(), Composition(())) == []


@pytest.mark.parametrize(
    ("field", "key"),
    [
        ("pregnant", "pregnancy"),
        ("child", "for_a_child"),
        ("asthma", "asthma"),
        ("broken_skin", "broken_skin"),
        ("pets", "pets_and_oils"),
        ("selling", "selling"),
    ],
)
def test_what_the_brief_says(field: str, key: str) -> None:
    assert key in keys(Brief.model_validate({field: True}))
    assert key not in keys(Brief())
    assert key in KEYS


def test_sun_follows_phototoxic_oils_also_out_of_a_leftover() -> None:
    lemon = Composition.of({"base": 95.0, "lemon_oil": 5.0})
    assert "sun" in keys(Brief(), lemon)
    assert "sun" in keys(Brief(), Composition.of({"base": 50.0, "old_balm": 50.0}))
    assert "sun" in keys(Brief(), Composition.of({"base": 95.0, "mandarin_oil": 5.0}))
    assert "sun" not in keys(Brief(worn_in_sun=False), lemon)
    assert "sun" not in keys(Brief())


def test_an_allergy_is_looked_for_in_names_labels_and_constituents() -> None:
    for word in ("Lavender", "angustifolia", "LINALOOL"):
        assert one(Brief(allergies=(word,))).materials == ("lavender_oil",)
    missed = one(Brief(allergies=("oakmoss",)))
    assert missed.materials == ()
    assert "No name here matches" in missed.because
    assert "allergy_in_brief" not in keys(Brief(allergies=("  ",)))
    citrus = Composition.of({"base": 90.0, "lemon_oil": 5.0, "mandarin_oil": 5.0})
    assert one(Brief(allergies=("limonene",)), citrus).materials == ("lemon_oil", "mandarin_oil")


def test_opened_citrus_lots_are_told_with_their_age() -> None:
    # Annex III 88, 167, 168 (Directive 2008/42): peroxides under 20 mmol/L in the raw material
    old = Lot(key="l1", material="lemon_oil", opened=date(2026, 5, 25))
    closed = Lot(key="l2", material="lemon_oil")
    later = Lot(key="l3", material="lemon_oil", opened=date(2026, 12, 1))
    other = Lot(key="l4", material="lavender_oil", opened=date(2020, 1, 1))
    found = [
        n for n in notices(Brief(), PLAIN, KNOWN, TODAY, (old, closed, later, other)) if n.key == "old_oils"
    ]
    assert [notice.lot for notice in found] == ["l1"]
    assert "6 months" in found[0].because
    assert "20 mmol/L" in found[0].because


def test_an_unknown_material_is_trouble() -> None:
    with pytest.raises(Trouble, match="no material"):
        keys(Brief(), Composition.of({"nowhere": 1.0}))


def test_an_oil_nobody_has_described_does_not_pass_as_free_of_an_allergen() -> None:
    # lavandin is a good part linalool (common practice, no source); the table says nothing of it
    shelf = load_catalogue()
    assert not shelf.material("lavandin").composition_known
    brief = Brief(allergies=("linalool",))

    def told(**grams: float) -> Notice:
        made = Composition.of({"beeswax": 90.0, **grams})
        return next(each for each in notices(brief, made, shelf, TODAY) if each.key == "allergy_in_brief")

    alone = told(lavandin=1.0)
    assert alone.materials == ("lavandin",)
    assert "not known, ask the supplier whether it is in them: Lavandin." in alone.because
    beside = told(bergamot=1.0, lavandin=1.0)
    assert beside.materials == ("bergamot", "lavandin")
    assert "there is some in Bergamot (expressed)." in beside.because
    assert "in them too: Lavandin." in beside.because
