"""What can stand on the shelf: how each kind is called, listed, begun and typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QCoreApplication

from workbench.core.catalogue.model import Row
from workbench.core.catalogue.shelf import (
    Lot,
    Microwave,
    Scale,
    Thermometer,
    ThermometerKind,
    Tin,
    TinShape,
    Vessel,
    VesselMaterial,
)
from workbench.ui.context import Context
from workbench.ui.shelf.fields import FieldKind, FieldSpec


def tr(text: str) -> str:
    return QCoreApplication.translate("Shelf", text)


@dataclass(frozen=True, slots=True)
class ShelfKind:
    """One kind of row: `attribute` is its place in the `Shelf`."""

    attribute: str
    title: str
    remark: str
    add: str
    fields: tuple[FieldSpec, ...]
    begin: Callable[[Context], Row]
    name_of: Callable[[Any], str]


def slug(name: str, taken: Iterable[str]) -> str:
    """A key from a name, not among `taken`."""
    plain = re.sub(r"[^a-z0-9]+", "_", name.casefold().replace("ß", "ss")).strip("_")[:50] or "own"
    key, number, known = plain, 2, set(taken)
    while key in known:
        key, number = f"{plain}_{number}", number + 1
    return key


def kinds(context: Context) -> tuple[ShelfKind, ...]:
    """Every simple kind; materials and certificates have pages of their own."""
    shelf = context.shelf

    def materials() -> list[tuple[str, str]]:
        return sorted(
            ((m.key, m.name) for m in context.catalogue.materials.values()), key=lambda e: e[1].casefold()
        )

    def fresh(what: str, rows: Iterable[Any]) -> str:
        return slug(what, [row.key for row in rows])

    def lot_name(lot: Lot) -> str:
        material = context.catalogue.materials.get(lot.material)
        name = material.name if material is not None else lot.material
        return f"{name}, {lot.supplier_lot}" if lot.supplier_lot else name

    return (
        ShelfKind(
            "lots", tr("Bottles and bags"), tr("what you have, by the supplier's lot number"), tr("Add a lot"),
            (
                FieldSpec("material", tr("Material"), FieldKind.CHOICE, entries=materials, needed=True),
                FieldSpec("supplier_lot", tr("Supplier's lot number")),
                FieldSpec("price_per_kg", tr("Price per kg"), FieldKind.NUMBER, unit=shelf.currency),
                FieldSpec("left_g", tr("Left when weighed"), FieldKind.MASS),
                FieldSpec("opened", tr("Opened on"), FieldKind.DAY, hint="2026-03-01"),
                FieldSpec("best_before", tr("Best before"), FieldKind.DAY, hint="2027-03-01"),
                FieldSpec("remark", tr("Remark")),
            ),
            lambda c: Lot(key=fresh("lot", c.shelf.lots), material="beeswax"),
            lot_name,
        ),
        ShelfKind(
            "tins", tr("Tins"), tr("inside measures up to where you fill, or the water it holds"), tr("Add a tin"),
            (
                FieldSpec("name", tr("Name"), needed=True),
                FieldSpec("shape", tr("Shape"), FieldKind.CHOICE, entries=lambda: [
                    (TinShape.ROUND.value, tr("round")),
                    (TinShape.RECTANGULAR.value, tr("rectangular")),
                    (TinShape.BY_WATER.value, tr("by the water it holds")),
                ], needed=True),
                FieldSpec("diameter_mm", tr("Inside diameter"), FieldKind.NUMBER, "mm",
                          only_if=lambda t: t.shape is TinShape.ROUND),
                FieldSpec("length_mm", tr("Inside length"), FieldKind.NUMBER, "mm",
                          only_if=lambda t: t.shape is TinShape.RECTANGULAR),
                FieldSpec("width_mm", tr("Inside width"), FieldKind.NUMBER, "mm",
                          only_if=lambda t: t.shape is TinShape.RECTANGULAR),
                FieldSpec("corner_radius_mm", tr("Radius of the corners"), FieldKind.NUMBER, "mm",
                          only_if=lambda t: t.shape is TinShape.RECTANGULAR),
                FieldSpec("fill_height_mm", tr("Height to the fill line"), FieldKind.NUMBER, "mm",
                          only_if=lambda t: t.shape is not TinShape.BY_WATER),
                FieldSpec("water_g", tr("Water it holds"), FieldKind.MASS,
                          only_if=lambda t: t.shape is TinShape.BY_WATER),
                FieldSpec("water_c", tr("Water was at"), FieldKind.HEAT,
                          only_if=lambda t: t.shape is TinShape.BY_WATER),
                FieldSpec("empty_g", tr("Empty it weighs"), FieldKind.MASS),
                FieldSpec("metal", tr("Metal: never into a microwave"), FieldKind.TICK),
            ),
            lambda c: Tin(key=fresh("tin", c.shelf.tins), name=tr("New tin"), shape=TinShape.ROUND,
                          diameter_mm=50, fill_height_mm=10),
            lambda t: t.name,
        ),
        ShelfKind(
            "vessels", tr("Jugs"), tr("what the blend is melted in"), tr("Add a jug"),
            (
                FieldSpec("name", tr("Name"), needed=True),
                FieldSpec("material", tr("Made of"), FieldKind.CHOICE, entries=lambda: [
                    (VesselMaterial.GLASS.value, tr("glass")),
                    (VesselMaterial.STEEL.value, tr("steel, not for a microwave")),
                    (VesselMaterial.PLASTIC.value, tr("plastic")),
                    (VesselMaterial.CERAMIC.value, tr("ceramic")),
                ], needed=True),
                FieldSpec("holds_ml", tr("Holds"), FieldKind.NUMBER, "mL", needed=True),
                FieldSpec("empty_g", tr("Empty it weighs"), FieldKind.MASS),
                FieldSpec("inner_diameter_mm", tr("Inside diameter"), FieldKind.NUMBER, "mm"),
            ),
            lambda c: Vessel(key=fresh("jug", c.shelf.vessels), name=tr("New jug"),
                             material=VesselMaterial.GLASS, holds_ml=250),
            lambda v: v.name,
        ),
        ShelfKind(
            "scales", tr("Scales"), tr("each line is weighed on the one that shows it best"), tr("Add a scale"),
            (
                FieldSpec("name", tr("Name"), needed=True),
                FieldSpec("readability_g", tr("Last digit it shows"), FieldKind.MASS, needed=True),
                FieldSpec("capacity_g", tr("Carries at most"), FieldKind.MASS, needed=True),
            ),
            lambda c: Scale(key=fresh("scale", c.shelf.scales), name=tr("New scale"),
                            readability_g=0.1, capacity_g=2000),
            lambda s: s.name,
        ),
        ShelfKind(
            "thermometers", tr("Thermometers"), tr("checked in ice water and at the boil"),
            tr("Add a thermometer"),
            (
                FieldSpec("name", tr("Name"), needed=True),
                FieldSpec("kind", tr("Kind"), FieldKind.CHOICE, entries=lambda: [
                    (ThermometerKind.PROBE.value, tr("probe, in the melt")),
                    (ThermometerKind.INFRARED.value, tr("infrared: sees only the skin of the melt")),
                ], needed=True),
                FieldSpec("resolution_k", tr("Last digit it shows"), FieldKind.KELVIN, needed=True),
                FieldSpec("slope", tr("Multiply what it shows by"), FieldKind.NUMBER),
                FieldSpec("offset_k", tr("Then add"), FieldKind.KELVIN),
                FieldSpec("checked", tr("Checked on"), FieldKind.DAY, hint="2026-03-01"),
                FieldSpec("dropped_since", tr("Dropped since: check it before the next batch"), FieldKind.TICK),
            ),
            lambda c: Thermometer(key=fresh("thermometer", c.shelf.thermometers), name=tr("New thermometer"),
                                  kind=ThermometerKind.PROBE),
            lambda t: t.name,
        ),
        ShelfKind(
            "microwaves", tr("Microwaves"), tr("for melting in bursts"), tr("Add a microwave"),
            (
                FieldSpec("name", tr("Name"), needed=True),
                FieldSpec("rated_w", tr("Power on its plate"), FieldKind.NUMBER, "W"),
            ),
            lambda c: Microwave(key=fresh("microwave", c.shelf.microwaves), name=tr("New microwave")),
            lambda m: m.name,
        ),
    )  # fmt: skip
