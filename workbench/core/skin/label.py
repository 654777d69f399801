"""What must stand on the label: allergens by place and day, ingredients in legal order.

Sources
- Allergens: Regulation (EU) 2023/1545 amending Annex III of (EC) 1223/2009: named when they exceed
  0.001 % in a product that stays on; the older, shorter list may be used for products placed on the
  market up to 31 July 2026, which may stay there up to 31 July 2028.  Great Britain keeps the older
  list.  The US has proposed none so far (FD&C Act 609(b), rule not issued).
- Order: Art. 19(1)(g) of (EC) 1223/2009, descending by weight, *less than* 1 % in any order after;
  21 CFR 701.3(f), the same with *1 % or less*.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import numpy as np

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Allergen, Confidence, Place
from workbench.core.recipe.composition import Composition
from workbench.core.skin.tables import SkinTables, Vector, tables_of
from workbench.core.wording import Said, say

LEAVE_ON_PERCENT = 0.001
LAST_DAY_OLD_LIST_NEW_PRODUCTS = date(2026, 7, 31)
LAST_DAY_OLD_LIST_ON_SALE = date(2028, 7, 31)
# "exceeds": exactly 0.001 % is not named; this forgives the last bit of arithmetic
_FORGIVEN = 1 + 1e-9


class ListInForce(StrEnum):
    OLD = "old list"
    NEW = "new list"
    NONE = "no list"


@dataclass(frozen=True, slots=True)
class AllergenRule:
    """Which list counts, and a sentence that says why."""

    which: ListInForce
    says: Said


@dataclass(frozen=True, slots=True)
class Declared:
    """One name that must be printed, with the greatest share of the balm it may have."""

    label_name: str
    concentration_percent: float
    from_materials: tuple[tuple[str, float], ...]
    entry: str
    new_list: bool
    source: str
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class AllergenLabel:
    declared: tuple[Declared, ...]  # most first
    rule: AllergenRule
    unknown: tuple[str, ...]  # materials whose allergens nobody stated


@dataclass(frozen=True, slots=True)
class IngredientList:
    """`names` in legal order; from `free_from` on the order is free."""

    heading: str
    names: tuple[str, ...]
    free_from: int
    without_inci: tuple[str, ...]  # materials named by their trade name, for want of better
    allergens: AllergenLabel

    @property
    def text(self) -> str:
        return f"{self.heading}: {', '.join(self.names)}"


def allergen_rule(place: Place, on: date, on_market_since: date | None = None) -> AllergenRule:
    """Which allergen list counts on a day.

    `on_market_since` is the day the product was first placed on the market, if
    earlier than `on`; then the older list lasts two years longer.
    """
    if place is Place.US:
        return AllergenRule(
            ListInForce.NONE,
            say("The US has no list of fragrance allergens to print yet; the rule is not issued."),
        )
    if place is Place.UK:
        return AllergenRule(ListInForce.OLD, say("Great Britain keeps the older list of allergens."))
    since = on if on_market_since is None else on_market_since
    if on <= LAST_DAY_OLD_LIST_NEW_PRODUCTS:
        return AllergenRule(
            ListInForce.OLD,
            say(
                "The older list is enough up to 31 July 2026; what is new from then on may be printed already."
            ),
        )
    if since <= LAST_DAY_OLD_LIST_NEW_PRODUCTS and on <= LAST_DAY_OLD_LIST_ON_SALE:
        return AllergenRule(
            ListInForce.OLD,
            say("Placed on the market by 31 July 2026, so the older list is enough up to 31 July 2028."),
        )
    return AllergenRule(ListInForce.NEW, say("The longer list counts since 1 August 2026."))


def allergens_to_declare(
    composition: Composition,
    catalogue: Catalogue,
    place: Place,
    on: date,
    on_market_since: date | None = None,
) -> tuple[Declared, ...]:
    """The names to print, most first; see `allergen_label` for the rule and what is unknown."""
    return allergen_label(composition, catalogue, place, on, on_market_since).declared


def allergen_label(
    composition: Composition,
    catalogue: Catalogue,
    place: Place,
    on: date,
    on_market_since: date | None = None,
) -> AllergenLabel:
    """Names strictly above 0.001 % of the balm, every source added up at its maximum.

    One name covers all its substances ("the substance or substances"), and an
    oil with a name of its own is printed beside its constituents.  A
    supplier's allergen sheet replaces our values for the names on it.
    """
    rule = allergen_rule(place, on, on_market_since)
    if rule.which is ListInForce.NONE or not composition.portions:
        return AllergenLabel((), rule, ())
    tables = tables_of(catalogue)
    amounts = tables.percentages(composition)
    sheets = _sheets(tables)
    shares = tables.allergens
    for at, sheet in sheets.items():
        shares = shares.copy() if shares is tables.allergens else shares
        for row, allergen in enumerate(catalogue.allergens):
            shares[row, at] = sheet.get(allergen.label_name.casefold(), shares[row, at])
    inside = amounts @ tables.leaf
    held = shares @ inside
    declared = []
    for row in np.flatnonzero(held > LEAVE_ON_PERCENT * _FORGIVEN).tolist():
        allergen = catalogue.allergens[row]
        if not (allergen.new_list and rule.which is ListInForce.OLD):
            brings = amounts * (tables.leaf @ shares[row])
            declared.append(_declared(tables, allergen, brings, float(held[row])))
    unknown = tuple(
        tables.materials[place]
        for place in np.flatnonzero(inside > 0).tolist()
        if not tables.material(place).composition_known and place not in sheets
    )
    return AllergenLabel(tuple(sorted(declared, key=lambda name: -name.concentration_percent)), rule, unknown)


def ingredient_list(
    composition: Composition,
    catalogue: Catalogue,
    place: Place,
    on: date,
    on_market_since: date | None = None,
) -> IngredientList:
    """The ingredients as the law orders them: descending by weight, the small ones after.

    All scent stands as one word ("Parfum"; in the US "Fragrance") with the
    allergens beside it.  What went in as a leftover is named by its parts.
    EU and UK: below 1 % the order is free; US: at 1 % or below.  Where it is
    free we keep to weight, allergens last.
    """
    allergens = allergen_label(composition, catalogue, place, on, on_market_since)
    tables = tables_of(catalogue)
    inside = tables.percentages(composition) @ tables.leaf if composition.portions else np.zeros(0)
    scent_word = "Fragrance" if place is Place.US else "Parfum"
    shares: dict[str, float] = {}
    without: list[str] = []
    for at in np.flatnonzero(inside > 0).tolist():
        material = tables.material(at)
        if material.kind.is_scent:
            name = scent_word
        elif material.inci is not None:
            name = material.inci.text
        else:
            name = material.name
            without.append(material.key)
        shares[name] = shares.get(name, 0.0) + float(inside[at])
    entries = [*_by_weight(shares.items())]
    entries += [
        (name.label_name, name.concentration_percent)
        for name in allergens.declared
        if name.label_name not in shares
    ]
    ordered = [entry for entry in _by_weight(entries) if not _free(entry[1], place)]
    free = [entry for entry in entries if _free(entry[1], place)]
    return IngredientList(
        heading="Ingredients",
        names=tuple(name for name, _ in [*ordered, *free]),
        free_from=len(ordered),
        without_inci=tuple(without),
        allergens=allergens,
    )


def _free(percent: float, place: Place) -> bool:
    if place is Place.US:
        return percent <= 1.0 * _FORGIVEN
    return percent < 1.0 / _FORGIVEN


def _by_weight(entries: Iterable[tuple[str, float]]) -> list[tuple[str, float]]:
    return sorted(entries, key=lambda entry: -entry[1])


def _sheets(tables: SkinTables) -> dict[int, dict[str, float]]:
    """Shares 0..1 from allergen sheets, by material; of several papers the greater counts."""
    found: dict[int, dict[str, float]] = {}
    for paper in tables.catalogue.shelf.certificates:
        at = tables.index.get(paper.material)
        if at is None or not paper.allergens:
            continue
        sheet = found.setdefault(at, {})
        for name, percent in paper.allergens.items():
            sheet[name.casefold()] = max(sheet.get(name.casefold(), 0.0), percent / 100.0)
    return found


def _declared(tables: SkinTables, allergen: Allergen, brings: Vector, held: float) -> Declared:
    sources = sorted(
        ((tables.materials[at], float(brings[at])) for at in np.flatnonzero(brings > 0).tolist()),
        key=lambda pair: -pair[1],
    )
    return Declared(
        label_name=allergen.label_name,
        concentration_percent=held,
        from_materials=tuple(sources),
        entry=allergen.entry,
        new_list=allergen.new_list,
        source=allergen.source,
        confidence=allergen.confidence,
    )
