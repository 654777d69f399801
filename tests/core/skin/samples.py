"""Small catalogues for the skin tests; every number in them is invented unless a test says otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import (
    Allergen,
    Confidence,
    Constituent,
    Content,
    Figure,
    Limit,
    Material,
    MaterialKind,
    PartOf,
    Place,
    Use,
    Wording,
)
from workbench.core.catalogue.shelf import Certificate, Shelf

CATEGORIES = {Use.PERFUME: "4", Use.LIPS: "1", Use.HANDS: "5C", Use.BODY: "5A", Use.FACE: "5B"}
EVERY_CATEGORY = tuple(CATEGORIES.values())
SEEN = Confidence.SEEN


def figure(value: float, confidence: Confidence = SEEN) -> Figure:
    return Figure(value=value, source="invented for a test", confidence=confidence)


def constituent(key: str, allergen: str = "") -> Constituent:
    return Constituent(
        key=key,
        name=key.replace("_", " "),
        cas="0-00-0",
        molar_mass_g_mol=figure(150.0),
        allergen=allergen,
    )


def content(key: str, percent: float, most: float | None = None, confidence: Confidence = SEEN) -> Content:
    return Content(
        constituent=key,
        percent=percent,
        percent_max=most,
        source="invented for a test",
        confidence=confidence,
    )


def material(key: str, kind: MaterialKind = MaterialKind.OIL, **fields: object) -> Material:
    return Material.model_validate(
        {"key": key, "name": key.replace("_", " ").capitalize(), "kind": kind, **fields}
    )


def oil(key: str, contents: Mapping[str, float], **fields: object) -> Material:
    parts = tuple(content(name, share) for name, share in contents.items())
    return material(key, MaterialKind.OIL, composition=parts, **fields)


def leftover(key: str, parts: Mapping[str, float]) -> Material:
    return material(
        key,
        MaterialKind.LEFTOVER,
        made_of=tuple(PartOf(material=part, share_percent=share) for part, share in parts.items()),
    )


def base(key: str = "base", inci: str = "Cera Alba", kind: MaterialKind = MaterialKind.WAX) -> Material:
    return material(key, kind, inci=Wording(text=inci, source="invented for a test", confidence=SEEN))


def limit(
    key: str,
    most: float | Mapping[str, float],
    *,
    constituents: Iterable[str] = (),
    restricted_as: Iterable[str] = (),
    group: str = "",
    places: Iterable[Place] = (),
    confidence: Confidence = SEEN,
) -> Limit:
    by_category = dict(most) if isinstance(most, Mapping) else dict.fromkeys(EVERY_CATEGORY, float(most))
    where = tuple(places)
    return Limit(
        key=key,
        name=key.replace("_", " ").capitalize(),
        constituents=tuple(constituents),
        restricted_as=tuple(restricted_as),
        group=group,
        regime="law" if where else "industry standard",
        places=where,
        max_percent=by_category,
        basis="invented",
        source="invented for a test",
        confidence=confidence,
    )


def allergen(label_name: str, constituents: Iterable[str] = (), *, new: bool = False) -> Allergen:
    return Allergen(
        label_name=label_name,
        constituents=tuple(constituents),
        new_list=new,
        source="invented for a test",
        confidence=SEEN,
    )


def certificate(
    key: str, most: float, category: str = "4", edition: str = "51st Amendment", **fields: object
) -> Certificate:
    return Certificate.model_validate(
        {
            "material": key,
            "edition": edition,
            "category": category,
            "max_percent": most,
            "paper": "paper 1",
            **fields,
        }
    )


def catalogue(
    materials: Iterable[Material],
    limits: Iterable[Limit] = (),
    allergens: Iterable[Allergen] = (),
    certificates: Iterable[Certificate] = (),
    constituents: Iterable[Constituent] = (),
    categories: Mapping[Use, str] = CATEGORIES,
) -> Catalogue:
    rows = list(materials)
    named = {row.key: row for row in constituents}
    for row in rows:
        for part in row.composition:
            named.setdefault(part.constituent, constituent(part.constituent))
    return Catalogue(
        materials={row.key: row for row in rows},
        constituents=named,
        limits=tuple(limits),
        allergens=tuple(allergens),
        cautions={},
        categories=categories,
        shelf=Shelf(certificates=tuple(certificates)),
    )
