"""A small invented kitchen for the recipe tests; densities are round figures of the trade."""

from __future__ import annotations

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Figure, Material, MaterialKind, Note, PartOf, Use
from workbench.core.catalogue.shelf import Lot, Scale, Shelf, Tin, TinShape, Vessel, VesselMaterial
from workbench.core.recipe.model import Amount, BaseLine, BatchSize, Measure, Recipe, ScentLine


def figure(value: float) -> Figure:
    return Figure(value=value, source="a round figure for tests", confidence=Confidence.MEMORY)


def material(
    key: str, kind: MaterialKind, density: float | None, made_of: tuple[tuple[str, float], ...] = ()
) -> Material:
    return Material(
        key=key,
        name=key.replace("_", " ").capitalize(),
        kind=kind,
        density_g_ml=None if density is None else figure(density),
        made_of=tuple(PartOf(material=part, share_percent=share) for part, share in made_of),
    )


MATERIALS = (
    material("beeswax", MaterialKind.WAX, 0.96),
    material("shea", MaterialKind.BUTTER, 0.93),
    material("jojoba", MaterialKind.CARRIER, 0.8675),
    material("almond", MaterialKind.CARRIER, 0.9165),
    material("lavender", MaterialKind.OIL, 0.883),
    material("lemon", MaterialKind.OIL, 0.852),
    material("vetiver", MaterialKind.OIL, 1.0),
    material("benzoin", MaterialKind.RESIN, 1.1),
    material("bought_blend", MaterialKind.BLEND, None),
    material(
        "leftover_one", MaterialKind.LEFTOVER, None, (("beeswax", 30.0), ("jojoba", 60.0), ("lavender", 10.0))
    ),
    material("leftover_two", MaterialKind.LEFTOVER, None, (("leftover_one", 50.0), ("shea", 50.0))),
    material("leftover_odd", MaterialKind.LEFTOVER, None, (("bought_blend", 10.0), ("shea", 90.0))),
    *(material(f"oil_{n}", MaterialKind.OIL, 0.88 + n / 500) for n in range(40)),
)
KITCHEN_SCALE = Scale(key="kitchen", name="Kitchen scale", readability_g=1, capacity_g=5000)
FINE_SCALE = Scale(key="fine", name="Fine scale", readability_g=0.1, capacity_g=500)
POCKET_SCALE = Scale(key="pocket", name="Pocket scale", readability_g=0.01, capacity_g=50)
ROUND_TIN = Tin(
    key="round", name="Round tin", shape=TinShape.ROUND, diameter_mm=40, fill_height_mm=12, metal=True
)
JAR = Tin(key="jar", name="Glass jar", shape=TinShape.BY_WATER, water_g=14.957, water_c=20, metal=False)
JUG = Vessel(key="jug", name="Glass jug", material=VesselMaterial.GLASS, holds_ml=250)
STEEL_JUG = Vessel(key="steel_jug", name="Steel jug", material=VesselMaterial.STEEL, holds_ml=250)
SMALL_JUG = Vessel(key="small_jug", name="Small jug", material=VesselMaterial.GLASS, holds_ml=70)


def shelf(
    scales: tuple[Scale, ...] = (KITCHEN_SCALE, FINE_SCALE, POCKET_SCALE), lots: tuple[Lot, ...] = ()
) -> Shelf:
    return Shelf(scales=scales, lots=lots, tins=(ROUND_TIN, JAR), vessels=(JUG, STEEL_JUG, SMALL_JUG))


def kitchen(
    scales: tuple[Scale, ...] = (KITCHEN_SCALE, FINE_SCALE, POCKET_SCALE), lots: tuple[Lot, ...] = ()
) -> Catalogue:
    return Catalogue(
        materials={row.key: row for row in MATERIALS},
        constituents={},
        limits=(),
        allergens=(),
        cautions={},
        categories={Use.PERFUME: "4"},
    ).over(shelf(scales, lots))


def base(material_key: str, value: float, measure: Measure = Measure.PARTS) -> BaseLine:
    return BaseLine(material=material_key, amount=Amount(value=value, measure=measure))


def scent(material_key: str, value: float, measure: Measure = Measure.PARTS) -> ScentLine:
    return ScentLine(material=material_key, amount=Amount(value=value, measure=measure), note=Note.MIDDLE)


def simple(**changes: object) -> Recipe:
    """Equal parts with 5 % of two oils, 60 g."""
    fields: dict[str, object] = {
        "name": "Kitchen window",
        "base": (base("beeswax", 1), base("shea", 1), base("jojoba", 1)),
        "scent": (scent("lavender", 3), scent("lemon", 1)),
        "load_percent": 5.0,
        "size": BatchSize(mass_g=60.0),
        **changes,
    }
    return Recipe.model_validate(fields)
