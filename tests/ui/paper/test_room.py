"""From the window to paper: the menu, the page of past batches, and a real project file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from tests.paper.measure import whole_text
from tests.ui.conftest import NOW
from workbench import app
from workbench.core.batch import commands as do
from workbench.core.batch.conductor import Conductor
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Shelf
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.store.project import Project
from workbench.store.writer import DirectJournal
from workbench.testing import Maker, VirtualClock, sample_plan, sample_recipe, sample_rules
from workbench.ui.batch_kit import BatchKit
from workbench.ui.context import Context
from workbench.ui.house import House
from workbench.ui.paper.works import What
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.window import MainWindow, Places


@pytest.fixture
def project(tmp_path: Path, starter: Shelf) -> Path:
    """A project with one finished batch."""
    path = tmp_path / "balms.balmbook"
    with Project.create(path, now=lambda: NOW) as made:
        made.save_shelf(starter)
        made.save_recipe(sample_recipe())
        clock = VirtualClock(NOW)
        conductor = Conductor(made.new_session(), DirectJournal(made), clock, sample_rules())
        assert conductor.send(do.Start(sample_plan(), maker="M", batch_code="K-1")) is None
        Maker(conductor, clock).go_to_end()
    return path


@pytest.fixture
def house(
    tables: Catalogue, starter: Shelf, tmp_path: Path, qtbot: QtBot, settle: Callable[[], None]
) -> Iterator[House]:
    window = MainWindow(Places(tmp_path))
    kit = BatchKit(
        clock=lambda: VirtualClock(NOW), rules=app.session_rules, sound=SilentSound, speech=SilentSpeech,
        awake=NoAwake,
    )  # fmt: skip
    context = Context(tables, starter, Preferences(), lambda: date(2026, 8, 15), ScriptedAsk())
    made = House(context, ProjectDesk(lambda: NOW), starter, app.planner, kit)
    window.furnish(made)
    window.resize(1280, 800)
    window.show()
    yield made
    made.model.stack.setClean()
    window.close()
    window.deleteLater()
    settle()


def test_without_a_project_nothing_happens(house: House) -> None:
    house.prints.labels()
    assert house.prints.page is None


def test_labels_of_the_newest_batch_by_key_and_by_its_button(
    house: House, project: Path, settle: Callable[[], None], tmp_path: Path
) -> None:
    assert house.open_path(project)
    settle()
    QTest.keyClick(house.window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    settle()
    page = house.prints.page
    assert page is not None
    assert house.window.stack.currentWidget() is page
    assert page.batch.key() == "s1"
    ask = house.context.ask
    assert isinstance(ask, ScriptedAsk)
    ask.answers["save pdf"] = tmp_path / "labels.pdf"
    page.save_pdf()
    assert "Batch K-1" in whole_text((tmp_path / "labels.pdf").read_bytes())
    held = house.desk.project
    assert held is not None
    records = held.documents("label")
    assert [record.body["batch_code"] for record in records] == ["K-1"]
    assert records[0].body["final"] is False

    house.to_history("s1")
    settle()
    assert house.history is not None
    QTest.mouseClick(house.history.reader.paper, Qt.MouseButton.LeftButton)
    settle()
    assert house.window.stack.currentWidget() is page
    page.go_to(What.SHEET)
    ask.answers["save pdf"] = tmp_path / "sheet.pdf"
    page.save_pdf()
    text = whole_text((tmp_path / "sheet.pdf").read_bytes())
    assert "Labels printed" in text
    assert "drafts, rules of EU" in text


def test_card_and_sheet_have_their_own_entries(
    house: House, project: Path, settle: Callable[[], None]
) -> None:
    assert house.open_path(project)
    settle()
    texts = [action.text() for action in house.window.batch_menu.actions()]
    assert any("Gift card" in text for text in texts)
    house.prints.card()
    page = house.prints.page
    assert page is not None
    assert page.ways[What.CARD].isChecked()
    house.prints.sheet()
    assert page.ways[What.SHEET].isChecked()


def test_a_sheet_in_front_asks_nothing_of_a_project_that_is_closed(
    house: House, project: Path, settle: Callable[[], None], tmp_path: Path
) -> None:
    """The project opened in its place sets the preferences, and every page in front answers to them."""
    assert house.open_path(project)
    house.prints.sheet()
    page = house.prints.page
    assert page is not None
    assert page.ways[What.SHEET].isChecked()
    with Project.create(tmp_path / "other.balmbook", now=lambda: NOW):
        pass
    assert house.open_path(tmp_path / "other.balmbook")
    settle()
    assert house.window.stack.currentWidget() is not page
    house.prints.labels()
    assert house.window.stack.currentWidget() is page
