"""The page of the stock: what is left, weighing again, what the recipe in hand takes, the list to take along."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.core.review.test_stock import batch
from tests.ui.editor.kitchen import OPEN
from workbench.core.batch.record import SessionSummary
from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.recipe.amounts import work_out
from workbench.core.review.keeping import WORD_FROM_WEARER, body_of
from workbench.core.review.reactions import Flags, flags, reactions
from workbench.core.review.wearer import WordFromWearer, WordsFromWearers
from workbench.core.trouble import Trouble
from workbench.core.units import MassUnit
from workbench.store.project import Project
from workbench.store.resources import load_catalogue
from workbench.testing import Maker, begin, sample_plan
from workbench.ui.context import Context
from workbench.ui.preferences import Preferences
from workbench.ui.shelf.page import ShelfPage
from workbench.ui.shelf.stock_data import (
    STOCK_COLUMNS,
    Planned,
    StockPorts,
    caution_among,
    flags_of,
    planned_of,
)
from workbench.ui.shelf.stock_page import StockPage
from workbench.ui.widgets.ask import ScriptedAsk

CATALOGUE = load_catalogue()
NOW = datetime(2026, 8, 15, 12, 0, tzinfo=timezone(timedelta(hours=2)))
LOTS = (
    Lot(key="b1", material="beeswax", supplier_lot="BW-1", left_g=100.0, price_per_kg=20.0),
    Lot(key="j1", material="jojoba", left_g=60.0, price_per_kg=32.0),
    Lot(key="s1", material="shea_butter", left_g=500.0, price_per_kg=10.0, best_before=date(2026, 9, 1)),
    Lot(key="l1", material="lavender", left_g=9.0, price_per_kg=190.0),
    Lot(key="c1", material="cedarwood_virginia", price_per_kg=100.0),
)


def made() -> dict[str, SessionSummary]:
    rows = {"s1": batch(1, ("beeswax", "b1", 8.0), ("jojoba", "j1", 51.1), ("rose", "", 0.4))}
    return {key: replace(row, lots=("b1", "j1")) for key, row in rows.items()}


def sore() -> Flags:
    word = WordFromWearer(number=1, reaction=True)
    words = WordsFromWearers(session="s1", batch_code="EE-1", said=(word,))
    return flags(reactions({"EE-1": body_of(words)}, {}), made(), CATALOGUE.materials)


@pytest.fixture
def kitchen(context: Context) -> Context:
    context.take_shelf(context.shelf.model_copy(update={"lots": LOTS}))
    return context


@pytest.fixture
def page(qtbot: QtBot, kitchen: Context, tmp_path: Path) -> Iterator[StockPage]:
    def keep(shelf: Shelf) -> str:
        kitchen.take_shelf(shelf)
        return ""

    def planned() -> Planned:
        return planned_of(OPEN, work_out(OPEN, kitchen.catalogue))

    shown = StockPage(kitchen, keep, StockPorts(made, sore, planned, lambda: NOW, lambda: tmp_path))
    qtbot.addWidget(shown)
    shown.resize(900, 700)
    shown.show()
    yield shown
    shown.close()


def test_what_is_left_and_what_wants_doing(page: StockPage) -> None:
    rows = page._rows
    assert rows["j1"].left.text() == "8.90 g"
    assert "Not enough" in rows["j1"].says.text()
    assert "EE-1" in rows["b1"].sore.text()
    assert rows["l1"].says.isHidden()
    assert list(rows)[-1] == "l1"  # all is well with it: it stands last
    assert "0.40 g of Rose" in page.unbooked.text()
    assert "its lot is not known" in page.unbooked.text()
    assert made()["s1"].batch_code in page.unbooked.text()


def test_a_batch_without_a_code_is_known_by_its_day(qtbot: QtBot, kitchen: Context) -> None:
    rows = {"s1": replace(made()["s1"], batch_code="")}
    begun = rows["s1"].started
    assert begun is not None
    shown = StockPage(kitchen, lambda _shelf: "", StockPorts(lambda: rows))
    qtbot.addWidget(shown)
    shown.show()
    assert f"in batch {begun:%Y-%m-%d %H:%M}" in shown.unbooked.text()
    assert "s1" not in shown.unbooked.text()


def test_a_bottle_that_was_not_named_is_said_and_may_have_been_the_one(
    qtbot: QtBot, kitchen: Context
) -> None:
    """Two bottles of one oil: what was weighed without a name is taken off neither, and flags both."""
    two = (*LOTS, Lot(key="l2", material="lavender", left_g=20.0))
    kitchen.take_shelf(kitchen.shelf.model_copy(update={"lots": two}))
    rows = {"s1": replace(made()["s1"], used=(("beeswax", "", 8.0), ("lavender", "", 1.5)), lots=())}
    word = WordsFromWearers(session="s1", batch_code="EE-1", said=(WordFromWearer(number=1, reaction=True),))
    sore_of_it = flags(reactions({"EE-1": body_of(word)}, {}), rows, CATALOGUE.materials)
    shown = StockPage(kitchen, lambda _shelf: "", StockPorts(lambda: rows, lambda: sore_of_it))
    qtbot.addWidget(shown)
    shown.show()
    for lot in ("b1", "l1", "l2"):
        assert "Perhaps it was in a balm that skin reacted to" in shown._rows[lot].doubt.text()
        assert shown._rows[lot].sore.isHidden()
    assert shown._rows["j1"].doubt.isHidden()
    assert "that it was this one is not known" in shown._rows["b1"].loose.text()
    assert shown._rows["l1"].loose.isHidden()
    assert "1.50 g of Lavender" in shown.unbooked.text()


def test_weighing_again_is_what_is_left(page: StockPage, kitchen: Context) -> None:
    field = page._rows["j1"].field
    field.edit.setFocus()
    QTest.keyClicks(field.edit, "71,5")
    QTest.keyClick(field.edit, Qt.Key.Key_Return)
    lot = next(lot for lot in kitchen.shelf.lots if lot.key == "j1")
    assert (lot.left_g, lot.counted) == (71.5, NOW)
    assert page._rows["j1"].left.text() == "71.5 g"
    assert page._rows["j1"].field is field  # the page stays as it is under the hand
    assert field.edit.text() == ""


def test_weighed_in_the_unit_that_is_shown(page: StockPage, kitchen: Context) -> None:
    """One avoirdupois ounce is 28.349523125 g (international yard and pound agreement, 1959)."""
    field = page._rows["j1"].field
    kitchen.take_preferences(Preferences(mass=MassUnit.OUNCE))
    page.show_rows()
    assert page._rows["j1"].field is field
    field.edit.setFocus()
    QTest.keyClicks(field.edit, "2")
    QTest.keyClick(field.edit, Qt.Key.Key_Return)
    lot = next(lot for lot in kitchen.shelf.lots if lot.key == "j1")
    assert lot.left_g == pytest.approx(2 * 28.349523125)
    assert "oz" in page._rows["j1"].left.text()


def test_the_recipe_in_the_editor_and_what_to_buy(page: StockPage) -> None:
    assert page.plan_name.text() == "Evening ember"
    bought = {each.material for each in page.bought}
    assert bought == {"jojoba"}
    assert "materials for" in page.costs.text()
    page.copy.click()
    assert "Jojoba oil" in QGuiApplication.clipboard().text()
    assert page.good.isVisible()


def test_the_tables_are_saved(page: StockPage, ask: ScriptedAsk, tmp_path: Path) -> None:
    ask.answers["stock table"] = tmp_path / "stock.csv"
    page.table.click()
    with (tmp_path / "stock.csv").open(encoding="utf-8") as file:
        head, *rows = csv.reader(file)
    assert tuple(head) == STOCK_COLUMNS
    assert {row[0]: row[3] for row in rows}["j1"] == "8.9"
    page.take.click()
    with (tmp_path / "stock.csv").open(encoding="utf-8") as file:
        assert next(csv.reader(file))[0] == "material"


def test_a_project_that_cannot_be_read_is_said(qtbot: QtBot, kitchen: Context) -> None:
    def broken() -> dict[str, SessionSummary]:
        raise Trouble("The file is gone.")

    shown = StockPage(kitchen, lambda _shelf: "", StockPorts(broken))
    qtbot.addWidget(shown)
    shown.show()
    assert "gone" in shown.fault.text()
    assert "not known whether skin reacted" in shown.fault.text()
    assert not shown.plan_head.isVisible()


def test_an_amount_typed_on_the_page_of_lots_is_a_count(qtbot: QtBot, kitchen: Context) -> None:
    kept: list[Shelf] = []

    def keep(shelf: Shelf) -> str:
        kept.append(shelf)
        return ""

    shelf = ShelfPage(kitchen, keep, stock=StockPorts(now=lambda: NOW))
    qtbot.addWidget(shelf)
    typed = (LOTS[0].model_copy(update={"left_g": 77.0}), *LOTS[1:])
    assert shelf._keep_rows("lots", typed) == ""
    assert [lot.counted for lot in kept[0].lots] == [NOW, None, None, None, None]


def test_the_caution_for_a_recipe_is_read_from_the_project(tmp_path: Path) -> None:
    said = WordsFromWearers(
        session="s1",
        batch_code="EE-1",
        recipe_name=OPEN.name,
        said=(WordFromWearer(number=1, reaction=True),),
    )
    renamed = OPEN.model_copy(update={"name": "Harbour"})
    with Project.create(tmp_path / "a.balmbook", now=lambda: NOW) as project:
        assert caution_among(flags_of(project, CATALOGUE), OPEN, CATALOGUE) is None
        project.save_document(WORD_FROM_WEARER, "EE-1", body_of(said))
        assert "EE-1" in str(caution_among(flags_of(project, CATALOGUE), OPEN, CATALOGUE))
        # nothing is known of what was in that batch, so only the name can say it
        assert caution_among(flags_of(project, CATALOGUE), renamed, CATALOGUE) is None
    assert caution_among(flags_of(None, CATALOGUE), OPEN, CATALOGUE) is None


def test_a_batch_that_is_not_over_flags_a_renamed_copy_by_what_was_weighed(tmp_path: Path) -> None:
    """Its summary is not there yet: what is in it is read from its events."""
    conductor, clock, journal = begin(sample_plan())
    maker = Maker(conductor, clock)
    while not conductor.state.scented:
        maker.do_step()
    with Project.create(tmp_path / "a.balmbook", now=lambda: NOW) as project:
        session = project.new_session()
        project.append(session, 1, journal.events)
        assert project.sessions()[0].summary is None
        word = WordFromWearer(number=1, reaction=True)
        project.save_document(
            WORD_FROM_WEARER, session, body_of(WordsFromWearers(session=session, said=(word,)))
        )
        assert conductor.state.plan is not None
        copy = conductor.state.plan.recipe.model_copy(update={"name": "Copy"})
        assert "whole fragrance" in str(caution_among(flags_of(project, CATALOGUE), copy, CATALOGUE))
