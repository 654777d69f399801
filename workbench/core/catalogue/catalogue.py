"""The catalogue: every table in one frozen object, with the maker's shelf on top."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from workbench.core.catalogue.model import Allergen, Caution, Constituent, Figure, Limit, Material, Use
from workbench.core.catalogue.scent_rows import ScentTables
from workbench.core.catalogue.shelf import (
    Certificate,
    Lot,
    Microwave,
    Scale,
    Shelf,
    Thermometer,
    Tin,
    Vessel,
)
from workbench.core.trouble import Trouble
from workbench.core.wording import say


@dataclass(frozen=True, slots=True)
class UnifacTable:
    """Original UNIFAC (Fredenslund 1975) parameters for the subgroups that occur in the tables.

    `subgroups`: id -> (main group, R, Q); `interaction`: (main m, main n) -> a_mn in K.
    """

    subgroups: Mapping[str, tuple[int, float, float]] = field(default_factory=dict)
    interaction: Mapping[tuple[int, int], float] = field(default_factory=dict)
    source: str = ""


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All tables.  Look-ups raise `Trouble` with a sentence where a key is not known."""

    materials: Mapping[str, Material]
    constituents: Mapping[str, Constituent]
    limits: tuple[Limit, ...]
    allergens: tuple[Allergen, ...]
    cautions: Mapping[str, Caution]
    categories: Mapping[Use, str]  # intended use -> category of the industry standard
    unifac: UnifacTable = field(default_factory=UnifacTable)
    carriers: Mapping[str, Mapping[str, int]] = field(default_factory=dict)  # carrier family -> UNIFAC groups
    heat: Mapping[str, Figure] = field(default_factory=dict)  # heat.toml: calibrated factors of the forecast
    scent: ScentTables = field(default_factory=ScentTables)  # activity in carriers, published notes
    shelf: Shelf = field(default_factory=Shelf)
    edition: str = ""

    def over(self, shelf: Shelf) -> Catalogue:
        """The same tables with a maker's shelf laid on top; the maker's values win.

        Leftover lots and own materials become materials like any other.
        """
        materials = {**self.materials, **{own.key: own for own in shelf.materials}}
        return replace(self, materials=materials, shelf=shelf)

    def material(self, key: str) -> Material:
        try:
            return self.materials[key]
        except KeyError:
            raise Trouble(
                say("There is no material “{key}” here. Choose another or add it to the shelf.", key=key)
            ) from None

    def tin(self, key: str) -> Tin:
        return _find(self.shelf.tins, key, "tin")

    def vessel(self, key: str) -> Vessel:
        return _find(self.shelf.vessels, key, "vessel")

    def scale(self, key: str) -> Scale:
        return _find(self.shelf.scales, key, "scale")

    def thermometer(self, key: str) -> Thermometer:
        return _find(self.shelf.thermometers, key, "thermometer")

    def microwave(self, key: str) -> Microwave:
        return _find(self.shelf.microwaves, key, "microwave")

    def lot(self, key: str) -> Lot:
        return _find(self.shelf.lots, key, "lot")

    def lots_of(self, material: str) -> tuple[Lot, ...]:
        return tuple(lot for lot in self.shelf.lots if lot.material == material)

    def certificates_of(self, material: str) -> tuple[Certificate, ...]:
        return tuple(paper for paper in self.shelf.certificates if paper.material == material)


_Row = TypeVar("_Row", Tin, Vessel, Scale, Thermometer, Microwave, Lot)


def _find(rows: tuple[_Row, ...], key: str, what: str) -> _Row:
    for row in rows:
        if row.key == key:
            return row
    raise Trouble(
        say("There is no {what} “{key}” on the shelf. Choose another or add it.", what=what, key=key)
    )
