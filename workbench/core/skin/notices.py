"""Which cautions the brief and the recipe give cause for.

A notice names a caution of the tables by its key and says why it is shown
here.  The wording of the caution itself, with its source, stands in
`cautions.toml`.  None of this is medical advice; the supplier's papers and
local rules go first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Material
from workbench.core.catalogue.shelf import Lot
from workbench.core.recipe.composition import Composition
from workbench.core.recipe.model import Brief
from workbench.core.skin.rules import PHOTOTOXIC
from workbench.core.skin.tables import SkinTables, tables_of
from workbench.core.wording import Count, Number, Said, say

PATCH_TEST = "patch_test"
ALLERGY = "allergy_in_brief"
SUN = "sun"
PREGNANCY = "pregnancy"
CHILDREN = "for_a_child"
ASTHMA = "asthma"
BROKEN_SKIN = "broken_skin"
PETS = "pets_and_oils"
SELLING = "selling"
PEROXIDES = "old_oils"

KEYS = (PATCH_TEST, ALLERGY, SUN, PREGNANCY, CHILDREN, ASTHMA, BROKEN_SKIN, PETS, SELLING, PEROXIDES)

# Goes with every verdict.
FOLLOW_THE_PAPERS = say(
    "Typical values, not those of the bottle at hand: follow your supplier's papers and local rules. "
    "This program certifies nothing."
)


@dataclass(frozen=True, slots=True)
class Notice:
    key: str  # of the caution in the tables
    because: Said
    materials: tuple[str, ...] = ()  # what gives cause
    lot: str = ""


def notices(
    brief: Brief,
    composition: Composition,
    catalogue: Catalogue,
    on: date,
    lots: Iterable[Lot] = (),
) -> tuple[Notice, ...]:
    """Everything there is cause to say about a balm, the most personal first.

    `lots` are the lots chosen for the recipe; `on` is today.  Raises `Trouble`
    for a material that is not known.
    """
    tables = tables_of(catalogue)
    inside = (
        tables.percentages(composition) @ tables.leaf
        if composition.portions
        else np.zeros(len(tables.materials))
    )
    present = [tables.material(at) for at in np.flatnonzero(inside > 0).tolist()]
    scent = [material for material in present if material.kind.is_scent]
    found = [*_of_brief(brief, tables, present)]
    if scent:
        sun = _phototoxic(catalogue, scent)
        if sun and brief.worn_in_sun:
            found.append(
                Notice(
                    SUN,
                    say("Sun on skin with {oils} can burn it.", oils=_names(sun)),
                    tuple(material.key for material in sun),
                )
            )
        found.append(Notice(PATCH_TEST, say("Any fragrance can irritate a skin that never met it.")))
    found += _peroxides(catalogue, lots, on)
    if brief.selling:
        found.append(Notice(SELLING, say("This balm is meant to be sold.")))
    return tuple(found)


def _of_brief(brief: Brief, tables: SkinTables, present: list[Material]) -> Iterable[Notice]:
    for allergy in brief.allergies:
        hits = _matching(allergy, tables, present)
        # nobody has said what these hold, so that no name matches proves nothing
        unread = [
            each for each in present if each.kind.is_scent and not each.composition_known and each not in hits
        ]
        if allergy.strip():
            yield Notice(
                ALLERGY,
                _of_allergy(allergy, hits, unread),
                tuple(material.key for material in (*hits, *unread)),
            )
    if brief.pregnant:
        yield Notice(PREGNANCY, say("The brief says pregnant or nursing."))
    if brief.child:
        yield Notice(CHILDREN, say("The brief says that a child will use it or be near it."))
    if brief.asthma:
        yield Notice(ASTHMA, say("The brief says asthma."))
    if brief.broken_skin:
        yield Notice(BROKEN_SKIN, say("The brief says broken or sore skin."))
    if brief.pets:
        yield Notice(PETS, say("The brief says there are pets."))


def _of_allergy(allergy: str, hits: list[Material], unread: list[Material]) -> Said:
    if hits and unread:
        return say(
            "The brief names an allergy to {what}, and there is some in {materials}. What these hold is not known, ask the supplier whether it is in them too: {unread}.",
            what=allergy,
            materials=_names(hits),
            unread=_names(unread),
        )
    if hits:
        return say(
            "The brief names an allergy to {what}, and there is some in {materials}.",
            what=allergy,
            materials=_names(hits),
        )
    if unread:
        return say(
            "The brief names an allergy to {what}. What these hold is not known, ask the supplier whether it is in them: {unread}.",
            what=allergy,
            unread=_names(unread),
        )
    return say(
        "The brief names an allergy to {what}. No name here matches it; ask the suppliers.",
        what=allergy,
    )


def _matching(
    allergy: str,
    tables: SkinTables,
    present: list[Material],
) -> list[Material]:
    """Materials whose name, botanical name, label words or constituents hold the word."""
    word = allergy.strip().casefold()
    if not word:
        return []
    hits = [material for material in present if word in _called(material)]
    for row, allergen in enumerate(tables.catalogue.allergens):
        if word in allergen.label_name.casefold():
            hits += [
                material for material in present if tables.allergens[row, tables.index[material.key]] > 0
            ]
    for key, constituent in tables.catalogue.constituents.items():
        if word in constituent.name.casefold():
            column = tables.constituent_index[key]
            hits += [
                material for material in present if tables.content[tables.index[material.key], column] > 0
            ]
    return [material for material in present if material in hits]


def _called(material: Material) -> str:
    inci = material.inci.text if material.inci is not None else ""
    return " ".join((material.name, material.botanical, inci, material.own_allergen)).casefold()


def _phototoxic(catalogue: Catalogue, scent: list[Material]) -> list[Material]:
    words: set[str] = set()
    constituents: set[str] = set()
    for limit in catalogue.limits:
        if limit.group == PHOTOTOXIC:
            words.update(limit.restricted_as)
            constituents.update(limit.constituents)
    return [
        material
        for material in scent
        if words.intersection(material.restricted_as)
        or any(part.constituent in constituents and part.most > 0 for part in material.composition)
    ]


def _peroxides(catalogue: Catalogue, lots: Iterable[Lot], on: date) -> Iterable[Notice]:
    """Opened lots of oils whose raw material has a peroxide limit (citrus 20, conifers 10 mmol/L)."""
    for lot in lots:
        material = catalogue.material(lot.material)
        if lot.opened is None or material.peroxide_limit_mmol_l is None or lot.opened > on:
            continue
        months = (on - lot.opened).days / 30.44
        yield Notice(
            PEROXIDES,
            say(
                "{name} has been open for {count} months; at most {limit} mmol/L of peroxides may have formed in it, and only a test tells.",
                "{name} has been open for {count} month; at most {limit} mmol/L of peroxides may have formed in it, and only a test tells.",
                name=material.name,
                count=Count(round(months)),
                limit=Number(material.peroxide_limit_mmol_l.value, 0),
            ),
            (material.key,),
            lot.key,
        )


def _names(materials: Iterable[Material]) -> str:
    return ", ".join(material.name for material in materials)
