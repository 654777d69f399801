"""Past batches in the window: from a project's file to the editor, and out as files."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from tests.ui.conftest import NOW
from tests.ui.history.past import led
from workbench import app
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.model import Use
from workbench.core.catalogue.shelf import Shelf
from workbench.core.recipe.model import Brief
from workbench.devices.power import NoAwake
from workbench.devices.sound import SilentSound
from workbench.devices.speech import SilentSpeech
from workbench.testing import VirtualClock, sample_recipe
from workbench.ui.batch_kit import BatchKit
from workbench.ui.context import Context
from workbench.ui.history import HistoryPage
from workbench.ui.house import House
from workbench.ui.preferences import Preferences
from workbench.ui.project_desk import ProjectDesk
from workbench.ui.widgets.ask import ScriptedAsk
from workbench.ui.window import MainWindow, Places

Settle = Callable[[], None]


@pytest.fixture
def house(
    qapp: object, tables: Catalogue, starter: Shelf, tmp_path: Path, settle: Settle, ask: ScriptedAsk
) -> Iterator[House]:
    window = MainWindow(Places(tmp_path))
    clock = VirtualClock(NOW)
    kit = BatchKit(lambda: clock, app.session_rules, SilentSound, SilentSpeech, NoAwake)
    context = Context(tables, starter, Preferences(), lambda: date(2026, 8, 15), ask)
    made = House(context, ProjectDesk(lambda: NOW), starter, app.planner, kit)
    window.furnish(made)
    window.resize(1280, 800)
    window.show()
    made.desk.create(tmp_path / "Kitchen.balmbook", starter)
    project = made.desk.project
    assert project is not None
    project.save_recipe(sample_recipe())
    for batch in led()[:2]:
        project.append(project.new_session(), 1, batch.events)
    made.desk.show_again()
    yield made
    made.model.stack.setClean()
    window.close()
    settle()
    window.deleteLater()


def past(house: House) -> HistoryPage:
    house.to_history("s2")
    assert house.history is not None
    return house.history


def test_what_a_batch_taught_opens_in_the_editor_as_one_change(house: House, qtbot: QtBot) -> None:
    page = past(house)
    page.reader.go_to("next")
    qtbot.waitUntil(page.next.revise.isEnabled)
    page.next.revise.click()
    assert house.window.stack.currentWidget() is house.workplace
    assert house.recipes.name == "Evening ember"
    assert house.model.stack.count() == 1
    changed = house.model.recipe
    assert changed != sample_recipe()
    house.model.stack.undo()
    assert house.model.recipe == sample_recipe()
    house.model.stack.redo()
    assert house.recipes.save()
    assert house.recipes.revision == 2


def test_for_whom_the_recipe_is_now_is_not_put_back_to_what_it_was_when_the_batch_was_made(
    house: House, qtbot: QtBot
) -> None:
    project = house.desk.project
    assert project is not None
    brief = Brief(pregnant=True, allergies=("linalool",))
    now = sample_recipe().model_copy(
        update={
            "uses": (Use.LIPS,),
            "brief": brief,
            "flash_margin_k": 15.0,
            "blend_flash_on_paper_c": 61.0,
        }
    )
    project.save_recipe(now)
    house.desk.show_again()
    page = past(house)
    page.reader.go_to("next")
    qtbot.waitUntil(page.next.revise.isEnabled)
    page.next.revise.click()
    changed = house.model.recipe
    assert (changed.uses, changed.brief) == ((Use.LIPS,), brief)
    assert (changed.flash_margin_k, changed.blend_flash_on_paper_c) == (15.0, 61.0)
    assert changed.base + changed.scent != now.base + now.scent


def test_what_was_typed_in_the_editor_is_asked_about_first(
    house: House, ask: ScriptedAsk, qtbot: QtBot
) -> None:
    house.model.edit("name", lambda recipe: recipe.model_copy(update={"name": "Half a thought"}))
    ask.answers = {"leave recipe": "stay"}
    page = past(house)
    page.reader.go_to("next")
    qtbot.waitUntil(page.next.revise.isEnabled)
    page.next.revise.click()
    assert house.model.recipe.name == "Half a thought"
    assert page.isVisibleTo(house.window)


def test_a_table_is_written_where_the_project_lives_and_said(
    house: House, ask: ScriptedAsk, tmp_path: Path, settle: Settle
) -> None:
    target = tmp_path / "batches.csv"
    ask.answers = {"past table": target}
    page = past(house)
    page.show_list()
    page.list.save.click()
    for _ in range(50):
        settle()
        if not house.window.banner.isHidden():
            break
    assert target.read_text(encoding="utf-8").count("Evening ember") == 2
    assert "batches.csv" in house.window.banner.words.text()


def test_a_fault_is_kept_in_the_file(house: House) -> None:
    page = past(house)
    page.reader.go_to("faults")
    page.faults.choose(next(iter(page.faults.kinds)))
    page.faults.record.click()
    assert house.desk.project is not None
    (kept,) = house.desk.project.documents("fault seen")
    assert kept.key == "s2"
