"""Look-ups in the catalogue, the maker's shelf on top, and what a row refuses."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import (
    Confidence,
    Content,
    Figure,
    Material,
    MaterialKind,
    PartOf,
    SolidFat,
    Span,
)
from workbench.core.catalogue.shelf import Certificate, Lot, Shelf, VesselMaterial
from workbench.core.trouble import Trouble
from workbench.store.resources import load_catalogue, load_starter_shelf


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue().over(load_starter_shelf())


def test_what_lies_on_the_shelf_is_found(catalogue: Catalogue) -> None:
    assert catalogue.tin("round_15").diameter_mm == 48
    assert catalogue.vessel("steel_jug_400").material is VesselMaterial.STEEL
    assert catalogue.scale("pocket").readability_g == 0.01
    assert catalogue.thermometer("probe").resolution_k == 0.1
    assert catalogue.microwave("microwave_800").rated_w == 800


@pytest.mark.parametrize("what", ["material", "tin", "vessel", "scale", "thermometer", "microwave", "lot"])
def test_an_unknown_key_is_trouble_that_says_what_to_do(catalogue: Catalogue, what: str) -> None:
    with pytest.raises(Trouble, match=r"“nothing”.*Choose another or add it"):
        getattr(catalogue, what)("nothing")


def test_the_maker_s_values_win_and_ours_stay_for_the_rest(catalogue: Catalogue) -> None:
    ours = catalogue.material("lavender")
    flash = Figure(value=71.5, source="supplier's data sheet", confidence=Confidence.SUPPLIER)
    theirs = ours.model_copy(update={"flash_point_c": flash})
    shelf = Shelf(
        materials=(theirs,),
        lots=(Lot(key="lavender_1", material="lavender", price_per_kg=120),),
        certificates=(
            Certificate(material="lavender", edition="51st", category="4", max_percent=20, paper="1"),
        ),
    )
    mine = catalogue.over(shelf)
    assert mine.material("lavender").flash_point_c == flash
    assert mine.material("beeswax") is catalogue.material("beeswax")
    assert catalogue.material("lavender").flash_point_c != flash
    assert mine.lot("lavender_1").price_per_kg == 120
    assert [lot.key for lot in mine.lots_of("lavender")] == ["lavender_1"]
    assert mine.lots_of("beeswax") == ()
    assert [paper.category for paper in mine.certificates_of("lavender")] == ["4"]
    assert mine.certificates_of("beeswax") == ()


def test_only_steel_is_kept_out_of_the_microwave() -> None:
    assert [kind for kind in VesselMaterial if not kind.microwave_safe] == [VesselMaterial.STEEL]


def test_kinds_are_base_or_scent_or_a_leftover() -> None:
    assert [kind for kind in MaterialKind if kind.is_scent and kind.is_base] == []
    assert [kind for kind in MaterialKind if not kind.is_scent and not kind.is_base] == [
        MaterialKind.LEFTOVER
    ]


def test_a_typical_share_without_a_maximum_stands_for_both() -> None:
    part = Content(constituent="linalool", percent=32, source="own", confidence=Confidence.SUPPLIER)
    assert part.most == 32
    assert part.model_copy(update={"percent_max": 45.0}).most == 45


def test_a_material_without_data_is_not_known() -> None:
    oil = Material(key="oil", name="Oil", kind=MaterialKind.OIL)
    assert not oil.composition_known
    rest = Material(
        key="rest",
        name="Rest",
        kind=MaterialKind.LEFTOVER,
        made_of=(PartOf(material="beeswax", share_percent=100),),
    )
    assert rest.composition_known
    assert Material(key="wax", name="Wax", kind=MaterialKind.WAX).composition_known


@pytest.mark.parametrize(
    "points",
    [
        ((20.0, 40.0), (10.0, 20.0)),  # temperatures fall
        ((10.0, 20.0), (20.0, 40.0)),  # solids rise
    ],
)
def test_solid_fat_falls_with_the_temperature(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValidationError, match="sort the points"):
        SolidFat(points=points, source="a table", confidence=Confidence.SEEN)


def test_a_span_is_not_upside_down() -> None:
    with pytest.raises(ValidationError, match="swap them"):
        Span(low=65, high=62, source="a table", confidence=Confidence.SEEN)


def test_what_a_leftover_is_made_of_adds_up() -> None:
    with pytest.raises(ValidationError, match="do not add up to 100"):
        Material(
            key="rest",
            name="Rest",
            kind=MaterialKind.LEFTOVER,
            made_of=(PartOf(material="beeswax", share_percent=90),),
        )
