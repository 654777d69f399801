"""A small cupboard of materials for heat tests, apart from the program's own tables.

Values as in the tables: White Wax USP-NF, Dassanayake JAOCS 2009, Beckett's physical constants, Kahwaji &
White 2019; molar masses are effective values, judged.
"""

from __future__ import annotations

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Confidence, Figure, Material, MaterialKind, SolidFat, Span

SOURCE = "test cupboard"


def figure(value: float) -> Figure:
    return Figure(value=value, source=SOURCE, confidence=Confidence.MEMORY)


def _span(low: float, high: float) -> Span:
    return Span(low=low, high=high, source=SOURCE, confidence=Confidence.SEEN)


def _wax(
    key: str,
    melts: tuple[float, float],
    fusion: float,
    molar: float,
    solid: float,
    liquid: tuple[float, float],
    gels: float,
    worth: float,
) -> Material:
    return Material(
        key=key,
        name=key.replace("_", " ").capitalize(),
        kind=MaterialKind.WAX,
        melting_c=_span(*melts),
        heat_of_fusion_j_g=figure(fusion),
        molar_mass_g_mol=figure(molar),
        density_g_ml=figure(solid),
        density_liquid_g_ml=figure(liquid[0]),
        density_liquid_at_c=liquid[1],
        density_slope_g_ml_k=figure(-0.0007),
        cp_solid_kj_kg_k=figure(2.0),
        cp_liquid_kj_kg_k=figure(2.2),
        gels_from_percent=figure(gels),
        beeswax_worth=figure(worth),
    )


def _fat(
    key: str,
    melts: tuple[float, float],
    fusion: float,
    solid: float,
    liquid: tuple[float, float],
    points: tuple[tuple[float, float], ...] = (),
) -> Material:
    return Material(
        key=key,
        name=key.replace("_", " ").capitalize(),
        kind=MaterialKind.BUTTER,
        melting_c=_span(*melts),
        heat_of_fusion_j_g=figure(fusion),
        density_g_ml=figure(solid),
        density_liquid_g_ml=figure(liquid[0]),
        density_liquid_at_c=liquid[1],
        density_slope_g_ml_k=figure(-0.00064),
        cp_solid_kj_kg_k=figure(2.01),
        cp_liquid_kj_kg_k=figure(2.09),
        solid_fat=SolidFat(points=points, source=SOURCE, confidence=Confidence.MEMORY) if points else None,
    )


def _oil(key: str, density: float, family: str = "triglyceride", molar: float | None = None) -> Material:
    return Material(
        key=key,
        name=key.replace("_", " ").capitalize(),
        kind=MaterialKind.CARRIER,
        melting_c=_span(-18, -15),
        density_g_ml=figure(density),
        density_slope_g_ml_k=figure(-0.00064),
        cp_liquid_kj_kg_k=figure(2.05),
        carrier_family=family,
        molar_mass_g_mol=None if molar is None else figure(molar),
    )


CUPBOARD = Catalogue(
    materials={
        row.key: row
        for row in (
            _wax("beeswax", (62, 65), 190, 680, 0.96, (0.822, 98), 3, 1.0),
            _wax("candelilla", (68.5, 72.5), 129, 470, 0.985, (0.88, 80), 2, 1.8),
            _wax("carnauba", (80, 86), 137.6, 760, 0.995, (0.86, 90), 4, 2.0),
            _wax("rice_bran_wax", (77, 79), 190.5, 800, 0.96, (0.84, 90), 1, 1.2),
            _wax("sunflower_wax", (74, 77), 200, 690, 0.96, (0.84, 90), 1, 1.3),
            _wax("soy_wax", (48, 54), 130, 880, 0.9, (0.865, 70), 5, 0.5),
            _fat("shea", (32, 38), 100, 0.93, (0.9, 40), ((20, 40), (25, 25), (30, 12), (35, 3), (38, 0))),
            _fat("cocoa", (32, 36), 157, 0.97, (0.89, 40), ((20, 76), (25, 68), (30, 43), (35, 1), (36, 0))),
            _fat("coconut", (20, 28), 105, 0.925, (0.915, 30), ((10, 80), (20, 35), (25, 5), (28, 0))),
            _oil("sunflower", 0.92),
            _oil("almond", 0.9165),
            _oil("mct", 0.947, molar=500),
            _oil("squalane", 0.81, "hydrocarbon", 423),
        )
    },
    constituents={},
    limits=(),
    allergens=(),
    cautions={},
    categories={},
)
