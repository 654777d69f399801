"""Units by one setting, anywhere, at once; nothing lost or rounded behind the numbers that are shown."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit

from tests.gallery.pairs import Look, Place
from tests.gallery.scenes import SCENES
from tests.gallery.stage import Stage
from tests.ui.editor.kitchen import OPEN
from tests.ui.seen import said
from workbench.core.recipe.model import Amount, BatchSize, Measure
from workbench.core.trouble import Trouble
from workbench.core.units import MassUnit, Spoons, TemperatureUnit, Units
from workbench.ui.paper.preview import spoken
from workbench.ui.paper.works import What
from workbench.ui.theme import Scheme
from workbench.ui.widgets.number import NumberEdit
from workbench.ui.writing import Writer

BY_NAME = {scene.name: scene for scene in SCENES}
PLACES = (
    "recipe, brief open", "recipe, no window", "recipe, on skin", "recipe, steps", "recipe, label and cost",
    "scent, how it unfolds", "scent, a wish", "scent, trials", "shelf, materials", "shelf, tins",
    "shelf, kitchen", "preferences", "past batches", "one past batch", "paper, batch sheet",
)  # fmt: skip
OTHER = {
    "mass": MassUnit.OUNCE,
    "temperature": TemperatureUnit.FAHRENHEIT,
    "spoons": Spoons.US,
    "decimal_comma": True,
}
# a mass or a temperature in metric units, or a decimal point
OLD = re.compile(r"\d\s?(g|kg|°C|K)(?![\w/])|(?<![\d.])\d+\.\d+(?![\d.])")
BY_MASS = OPEN.model_copy(
    update={
        "size": BatchSize(mass_g=60.0),
        "observed_set_point_c": 47.5,
        "base": (
            OPEN.base[0].model_copy(update={"amount": Amount(value=12.34, measure=Measure.GRAMS)}),
            OPEN.base[1].model_copy(update={"amount": Amount(value=10.0, measure=Measure.GRAMS)}),
        ),
    }
)


@pytest.fixture
def stage(tmp_path: Path, qapp: QApplication) -> Iterator[Stage]:
    made = Stage(tmp_path)
    made.put_on(Look(Scheme.LIGHT, Place.LARGE, 100))
    yield made
    made.close()


def own_words(stage: Stage) -> set[str]:
    """Names that were typed by a maker, and sources as they were read: these are quoted, not written."""
    shelf, tables = stage.house.context.shelf, stage.house.context.catalogue
    names = {
        one.name for rows in (shelf.tins, shelf.vessels, shelf.scales, shelf.thermometers) for one in rows
    }
    return names | {material.name for material in tables.materials.values()}


def left_in_old_units(stage: Stage) -> list[str]:
    quoted = sorted(own_words(stage), key=len, reverse=True)
    found = []
    for widget, text in said(stage.window):
        if "recalled" in text or "source" in text.lower() or widget.property("role") == "memory":
            continue  # what is quoted from a source stays as it stands there
        if stage.window.stack.currentWidget() is stage.window._pages.get("settings"):
            continue  # where the units themselves are named
        if text.startswith("Density at 20 °C"):
            continue  # the name of the quantity, as handbooks tabulate it, in g/mL
        for name in quoted:
            text = text.replace(name, "")
        if OLD.search(text):
            found.append(f"{type(widget).__name__}: {text[:90]!r}")
    for edit in stage.window.findChildren(QLineEdit):
        if isinstance(edit, NumberEdit) and edit.isVisible() and re.search(r"\d\.\d", edit.text()):
            found.append(f"{edit.accessibleName()}: {edit.text()!r}")
    return found


def test_every_place_follows_at_once(stage: Stage) -> None:
    """Switched while the place is in front, and while another one was."""
    faults: list[str] = []
    house = stage.house
    for name in PLACES:
        house.set_preferences({"mass": "g", "temperature": "°C", "spoons": "metric", "decimal_comma": False})
        BY_NAME[name].put(stage)
        stage.settle()
        before = house.model.recipe, house.context.shelf
        house.set_preferences(dict(OTHER))
        stage.settle()
        faults += [f"{name}: {one}" for one in left_in_old_units(stage)]
        assert house.workplace.editor.commit()
        assert (house.model.recipe, house.context.shelf) == before, name
    for name in ("recipe, steps", "scent, how it unfolds", "shelf, tins", "past batches"):
        BY_NAME[name].put(stage)
        stage.settle()
        faults += [f"{name}, come back to: {one}" for one in left_in_old_units(stage)]
    assert not faults, "\n".join(dict.fromkeys(faults))


def test_what_is_printed_follows_too(stage: Stage) -> None:
    BY_NAME["paper, batch sheet"].put(stage)
    page = stage.house.prints.page
    assert page is not None
    stage.house.set_preferences(dict(OTHER))
    page.go_to(What.SHEET)
    page.refresh()
    assert page.printed is not None
    words = spoken(page.printed.document)
    assert " oz" in words
    assert "°F" in words
    assert not re.search(r"\d\s?(g|°C)(?![\w/])", words)


def test_amounts_in_grams_are_typed_in_the_unit_that_is_shown(stage: Stage) -> None:
    stage.kitchen(BY_MASS)
    editor, house = stage.house.workplace.editor, stage.house
    house.set_preferences(dict(OTHER))
    stage.settle()
    assert house.model.recipe == BY_MASS
    rows = editor.base._rows
    assert [row.measure.currentText() for row in rows] == ["oz", "oz"]
    # 1 oz = 28.349523125 g, by definition (international avoirdupois ounce, 1959)
    for typed in ("1,5", "1.5", "1 1/2"):
        editor.base._rows[0].amount.edit.setText("2")
        assert editor.base._rows[0].amount.commit()
        editor.base._rows[0].amount.edit.setText(typed)
        assert editor.base._rows[0].amount.commit()
        assert house.model.recipe.base[0].amount.value == pytest.approx(1.5 * 28.349523125)
    editor.size_panel.mass.edit.setText("3,5")
    assert editor.size_panel.mass.commit()
    assert house.model.recipe.size.mass_g == pytest.approx(3.5 * 28.349523125)
    # 120 °F = (120 - 32) / 1.8 °C, by definition
    editor.heat.set_point.edit.setText("120")
    assert editor.heat.set_point.commit()
    assert house.model.recipe.observed_set_point_c == pytest.approx((120 - 32) / 1.8)


def test_there_and_back_changes_nothing(stage: Stage) -> None:
    stage.kitchen(BY_MASS)
    house = stage.house
    for _ in range(5):
        for wanted in (OTHER, {"mass": "g", "temperature": "°C", "spoons": "metric", "decimal_comma": False}):
            house.set_preferences(dict(wanted))
            assert house.workplace.editor.commit()
            assert house.settled()
    assert house.model.recipe == BY_MASS
    assert not house.model.stack.canUndo()


def test_numbers_are_typed_either_way_everywhere(stage: Stage) -> None:
    """1,3 and 1.3 are the same number in every field; a tenfold slip is not possible."""
    seen = 0
    for name in (*PLACES, "paper, labels"):
        BY_NAME[name].put(stage)
        for edit in stage.window.findChildren(NumberEdit):
            if not edit.isVisible():
                continue
            seen += 1
            read = []
            for text in ("1,3", "1.3"):
                try:
                    read.append(edit._read(text))
                except Trouble as trouble:
                    read.append(trouble.says)
            assert read[0] == read[1] or getattr(read[0], "value", 0) == getattr(read[1], "value", 1), (
                name,
                edit.accessibleName(),
                read,
            )
    assert seen > 30


def test_boxes_that_show_a_unit_offer_the_one_of_now(stage: Stage) -> None:
    stage.kitchen(BY_MASS)
    stage.house.set_preferences(dict(OTHER))
    offered = {
        box.itemText(at)
        for box in stage.house.workplace.editor.findChildren(QComboBox)
        for at in range(box.count())
    }
    assert "oz" in offered
    assert "g" not in offered


def test_spoons_of_the_kitchen_and_of_the_law() -> None:
    """US customary and US labelling spoons differ; 21 CFR 101.9(b)(5)(viii): 1 tsp is 5 mL on a label."""
    read = {spoons: Writer(Units(spoons=spoons)).read_amount("2 tsp", None, 1.0).value for spoons in Spoons}
    assert read[Spoons.METRIC] == pytest.approx(10.0)
    assert read[Spoons.US_LABELLING] == pytest.approx(10.0)
    assert read[Spoons.US] == pytest.approx(
        2 * 4.92892159375
    )  # 231 in³ / 768, by definition of the US gallon
