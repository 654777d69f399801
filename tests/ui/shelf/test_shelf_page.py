"""The shelf: what is typed is kept at once, and what cannot be is said beside it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from workbench.core.catalogue.model import Confidence, Note
from workbench.core.catalogue.shelf import Shelf, StoveKind, TinShape
from workbench.core.trouble import Trouble
from workbench.core.units import TemperatureUnit
from workbench.ui.context import Context
from workbench.ui.shelf.fields import FieldEditor, read_day
from workbench.ui.shelf.forms import RowsPage
from workbench.ui.shelf.kinds import slug
from workbench.ui.shelf.page import ShelfPage


@pytest.fixture
def page(context: Context, qtbot: QtBot) -> ShelfPage:
    def keep(shelf: Shelf) -> str:
        context.take_shelf(shelf)
        return ""

    made = ShelfPage(context, keep)
    qtbot.addWidget(made)
    made.resize(1100, 760)
    made.show()
    return made


def editor_of(page: RowsPage, key: str) -> FieldEditor:
    return next(editor for editor in page._editors if editor.spec.key == key)


def type_into(editor: FieldEditor, text: str) -> None:
    field = editor.focus
    assert isinstance(field, QLineEdit)
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_a_lot_with_its_price_and_days(page: ShelfPage, context: Context) -> None:
    page.choose("lots")
    lots = page.pages["lots"]
    lots.add.click()
    editor_of(lots, "material").settled.emit("lavender")
    type_into(editor_of(lots, "supplier_lot"), "LV-0226")
    type_into(editor_of(lots, "price_per_kg"), "142,50")
    type_into(editor_of(lots, "opened"), "1.3.2026")
    type_into(editor_of(lots, "left_g"), "48.5")
    lot = context.shelf.lots[-1]
    assert (lot.material, lot.supplier_lot, lot.price_per_kg, lot.left_g) == (
        "lavender",
        "LV-0226",
        142.5,
        48.5,
    )
    assert lot.opened == date(2026, 3, 1)
    assert lots.list.currentItem().text().endswith("LV-0226")
    type_into(editor_of(lots, "best_before"), "someday")
    assert "not a day" in lots.fault.text()
    assert context.shelf.lots[-1].best_before is None


def test_a_tin_by_its_measures_and_by_water(page: ShelfPage, context: Context) -> None:
    page.choose("tins")
    tins = page.pages["tins"]
    tins.add.click()
    type_into(editor_of(tins, "name"), "Oval tin")
    assert editor_of(tins, "diameter_mm").widget.isVisible()
    assert not editor_of(tins, "water_g").widget.isVisible()
    editor_of(tins, "shape").settled.emit(TinShape.BY_WATER.value)
    assert editor_of(tins, "water_g").widget.isVisible()
    assert not editor_of(tins, "diameter_mm").widget.isVisible()
    type_into(editor_of(tins, "water_g"), "31,4")
    tin = context.shelf.tins[-1]
    assert (tin.name, tin.shape, tin.water_g) == ("Oval tin", TinShape.BY_WATER, 31.4)
    type_into(editor_of(tins, "empty_g"), "0")
    assert "more than 0" in editor_of(tins, "empty_g").focus.accessibleDescription()
    assert context.shelf.tins[-1].empty_g is None
    tins.remove.click()
    assert all(one.name != "Oval tin" for one in context.shelf.tins)


def test_a_probe_that_reads_low_is_corrected_in_the_users_degrees(page: ShelfPage, context: Context) -> None:
    context.take_preferences(
        context.preferences.model_copy(update={"temperature": TemperatureUnit.FAHRENHEIT})
    )
    page.choose("thermometers")
    thermometers = page.pages["thermometers"]
    type_into(editor_of(thermometers, "offset_k"), "-1.8")
    # a difference of 1.8 °F is one of 1 K
    assert context.shelf.thermometers[0].offset_k == pytest.approx(-1.0)


def test_stove_and_room(page: ShelfPage, context: Context) -> None:
    page.choose("kitchen")
    kitchen = page.pages["kitchen"]
    next(one for one in kitchen._editors if one.spec.key == "stove").settled.emit(StoveKind.GAS.value)
    assert context.shelf.stove is StoveKind.GAS
    type_into(next(one for one in kitchen._editors if one.spec.key == "room_c"), "18,5")
    assert context.shelf.room_c is not None
    assert context.shelf.room_c.value == 18.5
    assert context.shelf.room_c.confidence is Confidence.SUPPLIER
    next(one for one in kitchen._editors if one.spec.key == "stove").settled.emit("")
    assert context.shelf.model_copy().stove is None


def test_a_certificate_and_its_allergens(page: ShelfPage, context: Context) -> None:
    page.choose("certificates")
    papers = page.pages["certificates"]
    papers.add.click()
    fields = {editor.spec.key: editor for editor in papers._editors}
    fields["material"].settled.emit("lavender")
    fields["max_percent"].settled.emit(12.5)
    fields["allergens"].settled.emit("Linalool 32, limonene 0.5")
    paper = context.shelf.certificates[0]
    assert (paper.material, paper.max_percent) == ("lavender", 12.5)
    assert paper.allergens == {"Linalool": 32, "Limonene": 0.5}
    fields["allergens"].settled.emit("Moonshine 3")
    assert "Moonshine" in papers.fault.text()
    assert context.shelf.certificates[0].allergens == {"Linalool": 32, "Limonene": 0.5}


def test_a_material_of_ones_own_with_its_composition(page: ShelfPage, context: Context) -> None:
    page.choose("materials")
    materials = page.pages["materials"]
    materials.add.click()
    materials.name.setText("Bay from the garden")
    materials.name.editingFinished.emit()
    key = materials._key
    assert context.catalogue.material(key).name == "Bay from the garden"
    materials._noted(Note.MIDDLE.value)
    materials.composition._add("linalool")
    typical = materials.composition.grid.itemAtPosition(0, 1).widget()
    typical.edit.setText("12")
    typical.commit()
    own = context.catalogue.material(key)
    assert own.composition[0].percent == 12
    assert own.composition[0].confidence is Confidence.SUPPLIER
    assert "12 %" in materials.composition.head.text()
    materials._back()
    assert key not in context.catalogue.materials


def test_a_wax_cannot_melt_before_it_begins_to(page: ShelfPage, context: Context) -> None:
    materials = page.pages["materials"]
    materials._key = "beeswax"
    materials._show_material()
    part, editor, source = next(one for one in materials._parts if one[0].spec.key == "melts_to")
    editor.settled.emit(55.0)
    span = context.catalogue.material("beeswax").melting_c
    assert span is not None
    assert span.low <= span.high == 55
    assert "yours" in source.text()
    assert part.get(context.catalogue.material("beeswax")) == 55


@pytest.mark.parametrize(
    ("text", "day"),
    [("2026-03-01", date(2026, 3, 1)), ("1.3.2026", date(2026, 3, 1)), ("28.02.2027", date(2027, 2, 28))],
)
def test_days_are_read_both_ways(text: str, day: date) -> None:
    # ISO 8601 calendar date, and day.month.year as written in much of Europe
    assert read_day(text) == day


@pytest.mark.parametrize("text", ["3/4/2026", "2026-13-01", "31.2.2026", "today", "2026-03"])
def test_what_could_be_two_days_or_none_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        read_day(text)


def test_keys_are_plain_and_never_taken_twice() -> None:
    assert slug("Große Dose, 30 mL", ()) == "grosse_dose_30_ml"
    assert slug("Tin", ("tin", "tin_2")) == "tin_3"
    assert slug("???", ()) == "own"


def test_a_disk_that_refuses_is_said_where_it_was_typed(
    context: Context, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    made = ShelfPage(context, lambda _shelf: "The disk is full. Make room and try again.")
    qtbot.addWidget(made)
    made.show()
    made.choose("scales")
    scales = made.pages["scales"]
    before = context.shelf.scales
    scales.add.click()
    assert scales.fault.text().startswith("The disk is full")
    assert context.shelf.scales == before
    settle()
