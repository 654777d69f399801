"""What the tables must agree on with one another.

Each check yields (table, key of the row, sentence).  A single row is checked
by its own model; here are only the contradictions between rows and tables.
"""

from __future__ import annotations

from collections.abc import Iterator

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material, MaterialKind, Use
from workbench.core.catalogue.scent_rows import strangers
from workbench.core.wording import Degrees, Said, Share, say

Found = Iterator[tuple[str, str, Said]]

# Poured or dropped by volume, so their density must be known; semi-solid resins are weighed.
NEED_DENSITY = (MaterialKind.OIL, MaterialKind.CARRIER)


def contradictions(catalogue: Catalogue) -> Found:
    """Every contradiction between the rows of `catalogue`."""
    restrictions = {name for limit in catalogue.limits for name in limit.restricted_as}
    labels = {row.label_name for row in catalogue.allergens}
    for material in catalogue.materials.values():
        yield from _material(material, catalogue, restrictions, labels)
    yield from _constituents(catalogue)
    yield from _limits(catalogue)
    yield from _allergens(catalogue)
    yield from _families(catalogue)
    yield from strangers(catalogue.scent, catalogue.materials, catalogue.constituents, catalogue.carriers)
    if catalogue.materials:
        for use in Use:
            if use not in catalogue.categories:
                yield (
                    "categories",
                    str(use),
                    say("There is no category for the use “{use}”; add it.", use=use),
                )


def _material(material: Material, catalogue: Catalogue, restrictions: set[str], labels: set[str]) -> Found:
    key = material.key
    if material.kind in NEED_DENSITY and material.density_g_ml is None:
        yield (
            "material",
            key,
            say("An oil needs its density, or drops cannot be weighed out; add density_g_ml."),
        )
    hold, flash = material.holding_limit_c, material.flash_point_c
    if hold is not None and flash is not None and hold.value > flash.value:
        yield (
            "material",
            key,
            say(
                "The holding limit of {hold} lies above the flash point of {flash}; one of them is wrong.",
                hold=Degrees(hold.value),
                flash=Degrees(flash.value),
            ),
        )
    seen: set[str] = set()
    for part in material.composition:
        name = part.constituent
        if name in seen:
            yield "material", key, say("The composition names “{name}” twice; keep one line.", name=name)
        seen.add(name)
        if name not in catalogue.constituents:
            says = say("The composition names “{name}”, which no table knows; add it.", name=name)
            yield "material", key, says
        if part.percent_max is not None and part.percent_max < part.percent:
            yield (
                "material",
                key,
                say(
                    "The most of “{name}” ({most}) lies under its typical share ({typical}); swap or correct them.",
                    name=name,
                    most=Share(part.percent_max, 2),
                    typical=Share(part.percent, 2),
                ),
            )
    for made in material.made_of:
        if made.material not in catalogue.materials:
            yield (
                "material",
                key,
                say("It is made of “{name}”, which no table knows; add it.", name=made.material),
            )
    for name in material.restricted_as:
        if name not in restrictions:
            yield "material", key, say("No limit is called “{name}”; correct restricted_as.", name=name)
    if material.own_allergen and material.own_allergen not in labels:
        yield "material", key, say("“{name}” is not on the list of allergens.", name=material.own_allergen)
    if material.carrier_family and material.carrier_family not in catalogue.carriers:
        yield (
            "material",
            key,
            say(
                "There is no carrier family “{name}”; add its groups or correct it.",
                name=material.carrier_family,
            ),
        )


def _constituents(catalogue: Catalogue) -> Found:
    labels = {row.label_name: row for row in catalogue.allergens}
    for row in catalogue.constituents.values():
        if row.allergen and row.allergen not in labels:
            yield "constituent", row.key, say("“{name}” is not on the list of allergens.", name=row.allergen)
        elif row.allergen and row.key not in labels[row.allergen].constituents:
            yield (
                "constituent",
                row.key,
                say(
                    "It counts towards “{name}”, but that allergen does not name it; add it there.",
                    name=row.allergen,
                ),
            )
        for group in row.unifac:
            if group not in catalogue.unifac.subgroups:
                yield (
                    "constituent",
                    row.key,
                    say("The group {group} is not in the UNIFAC table.", group=group),
                )


def _limits(catalogue: Catalogue) -> Found:
    categories = set(catalogue.categories.values())
    for limit in catalogue.limits:
        if not limit.constituents and not limit.restricted_as:
            yield (
                "limit",
                limit.key,
                say("This limit names nothing that it limits; add constituents or materials."),
            )
        for name in limit.constituents:
            if name not in catalogue.constituents:
                yield (
                    "limit",
                    limit.key,
                    say("The limit names “{name}”, which no table knows; add it.", name=name),
                )
        for category in limit.max_percent:
            if category not in categories:
                yield (
                    "limit",
                    limit.key,
                    say("No use belongs to the category “{name}”; correct it.", name=category),
                )
        law = limit.regime == "law"
        if limit.regime not in ("law", "industry standard"):
            yield "limit", limit.key, say("A limit is a “law” or an “industry standard”; correct the regime.")
        elif law and not limit.places:
            yield "limit", limit.key, say("A law holds in a place; name the places.")
        elif not law and limit.places:
            yield "limit", limit.key, say("The industry standard holds everywhere; take the places out.")


def _allergens(catalogue: Catalogue) -> Found:
    claimed: dict[str, str] = {}
    for row in catalogue.allergens:
        for name in row.constituents:
            if name not in catalogue.constituents:
                yield (
                    "allergen",
                    row.label_name,
                    say("It names “{name}”, which no table knows; add it.", name=name),
                )
            elif catalogue.constituents[name].allergen != row.label_name:
                yield (
                    "allergen",
                    row.label_name,
                    say(
                        "It names “{name}”, but that constituent does not count towards it; agree on one.",
                        name=name,
                    ),
                )
            if claimed.setdefault(name, row.label_name) != row.label_name:
                yield (
                    "allergen",
                    row.label_name,
                    say(
                        "“{name}” is already counted under “{other}”; keep one.",
                        name=name,
                        other=claimed[name],
                    ),
                )


def _families(catalogue: Catalogue) -> Found:
    for family, groups in catalogue.carriers.items():
        for group in groups:
            if group not in catalogue.unifac.subgroups:
                yield "carriers", family, say("The group {group} is not in the UNIFAC table.", group=group)
