"""Small catalogues for the flash tests."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import (
    Confidence,
    Constituent,
    Content,
    Figure,
    Material,
    MaterialKind,
    Note,
    PartOf,
)
from workbench.store.resources import load_catalogue

SHIPPED = load_catalogue()
SEEN = Confidence.SEEN


def figure(value: float, confidence: Confidence = SEEN) -> Figure:
    return Figure(value=value, source="for a test", confidence=confidence)


def substance(
    key: str,
    molar_mass: float,
    flash_c: float | None,
    enthalpy: float | None,
    psat_pa: float | None,
    groups: Mapping[str, int] | None = None,
) -> Constituent:
    return Constituent(
        key=key,
        name=key,
        cas="0-00-0",
        molar_mass_g_mol=figure(molar_mass),
        flash_point_c=None if flash_c is None else figure(flash_c),
        dhvap_kj_mol=None if enthalpy is None else figure(enthalpy),
        psat25_pa=None if psat_pa is None else figure(psat_pa),
        unifac=dict(groups or {}),
    )


def oil(
    key: str,
    contents: Mapping[str, float],
    *,
    kind: MaterialKind = MaterialKind.OIL,
    flash: Figure | None = None,
    note: Note | None = None,
) -> Material:
    return Material(
        key=key,
        name=key.replace("_", " ").capitalize(),
        kind=kind,
        composition=tuple(
            Content(constituent=name, percent=share, source="for a test", confidence=SEEN)
            for name, share in contents.items()
        ),
        flash_point_c=flash,
        note=note,
    )


def carrier(key: str, family: str, molar_mass: float | None = None, flash_c: float | None = None) -> Material:
    return Material(
        key=key,
        name=key.capitalize(),
        kind=MaterialKind.CARRIER,
        carrier_family=family,
        molar_mass_g_mol=None if molar_mass is None else figure(molar_mass),
        flash_point_c=None if flash_c is None else figure(flash_c),
    )


def leftover(key: str, parts: Mapping[str, float]) -> Material:
    return Material(
        key=key,
        name=key.capitalize(),
        kind=MaterialKind.LEFTOVER,
        made_of=tuple(PartOf(material=part, share_percent=share) for part, share in parts.items()),
    )


def pot(*materials: Material, constituents: Iterable[Constituent] = ()) -> Catalogue:
    """The shipped constituents and activity table with materials of a test on top."""
    return replace(
        SHIPPED,
        materials={**SHIPPED.materials, **{row.key: row for row in materials}},
        constituents={**SHIPPED.constituents, **{row.key: row for row in constituents}},
    )
