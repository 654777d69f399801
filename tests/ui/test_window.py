"""The window as a whole, headless: projects, recipes, saving, drafts, preferences, batches."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.editor.kitchen import OPEN, SHUT
from tests.ui.whole import Bench
from workbench.core.recipe import change
from workbench.core.units import TemperatureUnit
from workbench.store.interchange import export_project
from workbench.store.project import Project
from workbench.ui.theme import Scheme, theme_now
from workbench.ui.widgets.ask import Question
from workbench.ui.widgets.number import NumberField
from workbench.ui.window import MainWindow, Places, sample_name

Settle = Callable[[], None]


@pytest.fixture
def bench(make_bench: Callable[..., Bench], tmp_path: Path) -> Bench:
    made = make_bench()
    made.house.desk.create(tmp_path / "Kitchen.balmbook", made.house._starter)
    made.house.model.open(OPEN)
    made.house.batches.plan()
    return made


def test_the_first_page_has_one_thing_to_do(make_bench: Callable[..., Bench]) -> None:
    made = make_bench()
    assert made.window.stack.currentWidget() is made.window.first
    assert not made.window.strip.isVisible()
    assert made.window.first.new.isVisible()
    assert not made.window.first.practise.isVisible()  # there is no sample to practise on


def test_a_last_project_whose_disk_fails_at_being_asked_is_not_offered_and_keeps_no_window_shut(
    make_bench: Callable[..., Bench],
) -> None:
    first = make_bench().window.first
    first.offer(Path("x" * 5000))  # the system refuses the question itself, as for a stick that is failing
    assert not first.last.isVisible()


def test_a_new_project_begins_with_a_recipe_to_work_on(
    make_bench: Callable[..., Bench], tmp_path: Path
) -> None:
    made = make_bench()
    path = tmp_path / "Mine.balmbook"
    made.ask.answers["new project"] = path
    made.window.first.new.click()
    assert path.exists()
    assert made.window.strip.name.text() == "Mine"
    assert made.house.model.evaluation is not None
    assert made.house.workplace.editor.saved.text() == "Not saved yet"
    assert made.house.context.shelf.tins  # the starter shelf


def test_saving_counts_revisions_and_reopening_shows_the_newest(
    bench: Bench, make_bench: Callable[..., Bench], tmp_path: Path
) -> None:
    house = bench.house
    assert house.recipes.save()
    assert house.workplace.editor.saved.text() == "Revision 1"
    house.model.edit("strength", lambda recipe: change.set_load(recipe, 5))
    assert house.workplace.editor.saved.text() == "Changed since revision 1"
    assert house.recipes.save()
    assert house.workplace.editor.saved.text() == "Revision 2"
    assert house.recipes.save()  # nothing changed, so nothing new
    assert house.recipes.revision == 2
    bench.window.close()
    again = make_bench()
    assert again.window.open_path(tmp_path / "Kitchen.balmbook")
    assert again.house.model.recipe.load_percent == 5
    assert again.house.recipes.revision == 2


def test_an_editor_left_open_is_settled_before_saving(bench: Bench) -> None:
    edit = bench.house.workplace.editor.use.load.edit
    edit.setFocus()
    edit.selectAll()
    QTest.keyClicks(edit, "6,5")
    assert bench.house.recipes.save()
    assert bench.house.model.recipe.load_percent == pytest.approx(6.5)


def test_what_cannot_be_read_stops_saving_and_closing(bench: Bench) -> None:
    edit = bench.house.workplace.editor.use.load.edit
    edit.setText("6..5")
    assert not bench.house.recipes.save()
    assert not bench.window.close()
    assert bench.window.isVisible()
    edit.setText("6.5")
    assert bench.window.close()


def test_leaving_unsaved_work_asks(bench: Bench) -> None:
    house = bench.house
    house.recipes.save()
    house.model.edit("strength", lambda recipe: change.set_load(recipe, 9))
    bench.ask.answers["leave recipe"] = "stay"
    house.recipes.new()
    assert house.model.recipe.load_percent == 9
    assert isinstance(bench.ask.asked[-1], Question)
    assert bench.ask.asked[-1].choices[0].key == "stay"  # the cautious answer comes first
    bench.ask.answers["leave recipe"] = "save"
    house.recipes.new()
    assert house.recipes.name is None
    assert house.desk.recipe("Evening ember") is not None
    saved = house.desk.recipe("Evening ember")
    assert saved is not None
    assert saved.recipe.load_percent == 9
    house.recipes.choose("Evening ember")
    assert house.model.recipe.load_percent == 9


def test_unsaved_work_is_offered_next_time(
    bench: Bench, make_bench: Callable[..., Bench], tmp_path: Path, settle: Settle
) -> None:
    bench.house.recipes.save()
    bench.house.model.edit("strength", lambda recipe: change.set_load(recipe, 8.5))
    bench.window.close()
    again = make_bench()
    again.window.open_path(tmp_path / "Kitchen.balmbook")
    assert again.house.model.recipe.load_percent == OPEN.load_percent
    assert "not saved" in again.window.banner.words.text()
    take = again.window.banner._actions[0]
    take.click()  # type: ignore[attr-defined]
    assert again.house.model.recipe.load_percent == 8.5
    again.house.model.stack.undo()
    assert again.house.model.recipe.load_percent == OPEN.load_percent
    settle()


def test_copies_and_recipes_put_away(bench: Bench) -> None:
    house = bench.house
    house.recipes.save()
    house.recipes.copy()
    assert house.model.recipe.name == "Evening ember 2"
    assert house.recipes.save()
    assert [entry[0] for entry in house.recipes.entries()] == ["Evening ember", "Evening ember 2"]
    house.recipes.put_away()
    assert [entry[0] for entry in house.recipes.entries()] == ["Evening ember"]
    assert house.model.recipe.name == "Evening ember"


def test_an_exported_file_is_copied_and_never_changed(
    bench: Bench, make_bench: Callable[..., Bench], tmp_path: Path
) -> None:
    bench.house.recipes.save()
    source = tmp_path / "samples" / "harbour-walk.json"
    source.parent.mkdir()
    assert bench.house.desk.project is not None
    export_project(bench.house.desk.project, source)
    before = source.read_bytes()
    again = make_bench((source,))
    assert again.window.first.practise.isVisible()
    assert again.window.open_path(source)
    assert again.house.model.recipe == OPEN
    assert source.read_bytes() == before
    assert (tmp_path / "harbour-walk.balmbook").exists()
    assert sample_name(source) == "Harbour walk"


def test_a_file_that_is_no_project_is_said_and_the_old_one_stays(bench: Bench, tmp_path: Path) -> None:
    wrong = tmp_path / "notes.balmbook"
    wrong.write_text("shopping list", encoding="utf-8")
    assert not bench.window.open_path(wrong)
    assert bench.window.banner.isVisible()
    assert "notes.balmbook" in bench.window.banner.words.text()
    assert bench.window.strip.name.text() == "Kitchen"
    assert wrong.read_text(encoding="utf-8") == "shopping list"


def test_a_second_window_reads_only(bench: Bench, make_bench: Callable[..., Bench], tmp_path: Path) -> None:
    bench.house.recipes.save()
    other = make_bench()
    other.window.open_path(tmp_path / "Kitchen.balmbook")
    assert other.window.banner.isVisible()
    other.house.model.edit("strength", lambda recipe: change.set_load(recipe, 3))
    assert not other.house.recipes.save()
    assert bench.house.desk.project is not None
    assert [entry.recipe.load_percent for entry in bench.house.desk.project.recipes()] == [4]


def test_looks_and_units_take_effect_at_once_and_are_kept(bench: Bench, qapp: QApplication) -> None:
    house = bench.house
    house.to_settings()
    house.set_preferences({"scheme": "dark", "text_percent": 150, "temperature": "°F"})
    assert theme_now().scheme is Scheme.DARK
    assert theme_now().text_percent == 150
    assert bench.kept[-1].temperature is TemperatureUnit.FAHRENHEIT
    assert "°F" in house.workplace.answers.stove.window_words.text()
    house._larger()
    assert bench.kept[-1].text_percent == 175
    house._smaller()
    house._smaller()
    assert bench.kept[-1].text_percent == 130


def test_a_correction_on_the_shelf_reaches_the_recipe(bench: Bench) -> None:
    house = bench.house
    house.to_shelf()
    assert house.shelf is not None
    page = house.shelf.pages["materials"]
    page._key = "lavender"
    page._show_material()
    assert house.model.evaluation is not None
    before = house.model.evaluation.temperatures.neat_flash.celsius
    page.paper.setText("data sheet of 2026-02-01")
    part, editor, _source = next(one for one in page._parts if one[0].spec.key == "flash")
    editor.settled.emit(40.0)
    mine = next(one for one in house.context.shelf.materials if one.key == "lavender")
    assert mine.flash_point_c is not None
    assert mine.flash_point_c.value == 40
    assert mine.flash_point_c.confidence.value == "supplier"
    assert mine.flash_point_c.source == "data sheet of 2026-02-01"
    assert part.get(mine) == 40
    assert bench.house.desk.project is not None
    assert bench.house.desk.project.shelf() == house.context.shelf
    after = house.model.evaluation.temperatures.neat_flash.celsius
    assert before is not None
    assert after is not None
    page._back()
    assert not house.context.shelf.materials
    assert house.model.evaluation.temperatures.neat_flash.celsius == pytest.approx(before)


def test_a_recipe_without_a_window_cannot_start_before_a_remedy(bench: Bench) -> None:
    house = bench.house
    house.model.open(SHUT)
    house.batches.plan()
    answers = house.workplace.answers
    assert not answers.make.isEnabled()
    assert "no window" in answers.why_not.text().lower()
    house.batches.make(False)
    assert house.batches.room is None


def test_a_batch_is_begun_with_its_revision_and_taken_up_again(
    bench: Bench, make_bench: Callable[..., Bench], tmp_path: Path, settle: Settle, qtbot: QtBot
) -> None:
    house = bench.house
    house.batches.make(False)
    room = house.batches.room
    assert room is not None
    assert bench.window.stack.currentWidget() is room
    assert house.recipes.revision == 1  # saved first: the session keeps the very revision
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    qtbot.waitUntil(lambda: room.running)  # shown once it is stored
    settle()
    assert house.desk.project is not None
    qtbot.waitUntil(lambda: bool(house.desk.project and house.desk.project.sessions()))
    entry = house.desk.project.sessions()[0]
    assert (entry.recipe_name, entry.recipe_revision, entry.rehearsal) == ("Evening ember", 1, False)
    house.to_recipe()
    assert bench.window.strip.ways["batch"].isVisible()
    bench.window.close()
    again = make_bench()
    again.window.open_path(tmp_path / "Kitchen.balmbook")
    assert "was not ended" in again.window.banner.words.text()
    again.window.banner._actions[0].click()  # type: ignore[attr-defined]
    assert again.house.batches.room is not None
    assert again.house.batches.room.page.resume is not None


def test_a_practice_run_is_marked_and_may_run_faster(bench: Bench, settle: Settle, qtbot: QtBot) -> None:
    house = bench.house
    house.batches.make(True)
    room = house.batches.room
    assert room is not None
    assert room.pace is not None
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    settle()
    assert room.pace.isVisible()
    assert "4" in room.pace.button.text()  # what pressing it does
    room.pace.button.click()
    assert "4" in room.pace.words.text()  # what it is
    before = room.pace._clock.read().running_s
    bench.clock.advance(10)
    assert room.pace._clock.read().running_s - before == pytest.approx(40)
    qtbot.waitUntil(lambda: bool(house.desk.project and house.desk.project.sessions()))
    assert house.desk.project is not None
    assert house.desk.project.sessions()[0].rehearsal
    room.over.emit()
    assert house.batches.room is None


def test_an_earlier_revision_comes_back_as_one_edit(bench: Bench) -> None:
    house = bench.house
    house.recipes.save()
    house.model.edit("strength", lambda recipe: change.set_load(recipe, 9))
    house.recipes.save()
    house._list_earlier()
    texts = [action.text() for action in house.earlier.actions()]
    assert [text.split(",")[0] for text in texts] == ["Revision 2", "Revision 1"]
    house.earlier.actions()[1].trigger()
    assert house.model.recipe.load_percent == OPEN.load_percent
    house.model.stack.undo()
    assert house.model.recipe.load_percent == 9


def test_a_fault_of_ours_puts_a_running_batch_on_hold(bench: Bench, settle: Settle, qtbot: QtBot) -> None:
    house = bench.house
    bench.window.tell_fault("ValueError: nothing runs")
    assert "start it again" in bench.window.banner.words.text()
    house.batches.make(False)
    room = house.batches.room
    assert room is not None
    assert room.page.preflight is not None
    room.page.preflight.begin.click()
    qtbot.waitUntil(lambda: room.running)
    bench.window.tell_fault("ValueError: the spoon is bent")
    assert "on hold" in bench.window.banner.words.text()
    assert room.page.runner is not None
    assert room.page.runner.state.hold is not None
    settle()


def test_the_project_can_be_looked_through(bench: Bench, qtbot: QtBot) -> None:
    bench.house.recipes.save()
    bench.house.keeping.check()
    assert "Looking through" in bench.window.banner.words.text()
    qtbot.waitUntil(lambda: "sound" in bench.window.banner.words.text())
    assert "Recipes: 1" in bench.window.banner.words.text()


def test_every_menu_shows_its_shortcut_and_none_is_given_twice(bench: Bench) -> None:
    taken: dict[str, str] = {}
    for menu in (
        bench.window.project_menu,
        bench.window.recipe_menu,
        bench.window.batch_menu,
        bench.window.view_menu,
    ):
        for action in menu.actions():
            for key in action.shortcuts():
                assert key.toString() not in taken, (key.toString(), action.text(), taken)
                taken[key.toString()] = action.text()
    assert len(taken) >= 12


def test_the_window_lives_before_it_is_furnished(qtbot: QtBot, tmp_path: Path) -> None:
    window = MainWindow(Places(tmp_path))
    qtbot.addWidget(window)
    window.show()
    assert not window.first.isEnabled()
    assert not window.open_path(tmp_path / "later.balmbook")
    assert window._wanted == tmp_path / "later.balmbook"
    assert window.close()


def test_read_only_project_leaves_no_draft(bench: Bench, tmp_path: Path) -> None:
    bench.house.recipes.save()
    with Project.open(tmp_path / "Kitchen.balmbook", read_only=True) as project:
        assert project.drafts() == ()
    assert replace(bench.house.desk.entries[0]).name == "Evening ember"


def test_keys_alone_reach_the_answers(bench: Bench, qtbot: QtBot) -> None:
    cards = bench.house.workplace.answers.cards
    cards.cards["stove"].setFocus()
    qtbot.waitUntil(cards.cards["stove"].hasFocus)
    QTest.keyClick(cards.cards["stove"], Qt.Key.Key_Right)
    assert cards.cards["skin"].isChecked()
    qtbot.waitUntil(cards.cards["skin"].hasFocus)


def test_a_field_of_the_shelf_that_cannot_be_read_stops_nobody_without_a_word(
    bench: Bench, settle: Settle
) -> None:
    """Neither a batch nor the end of the program waits for a number on a page that is not in sight."""
    house = bench.house
    bench.window.activateWindow()
    house.to_shelf()
    assert house.shelf is not None
    page = house.shelf.pages["materials"]
    flash = next(
        field for field in page.findChildren(NumberField) if field.edit.accessibleName().startswith("Flash")
    )
    flash.edit.setText("5o")
    house.shelf.choose("tins")
    house.to_recipe()
    house.batches.make(False)
    settle()
    assert house.batches.room is None
    assert bench.window.stack.currentWidget() is house.shelf
    assert page.isVisibleTo(bench.window)
    assert "Esc" in bench.window.banner.words.text()
    assert "digit 0" in flash.says.text()
    QTest.keyClick(flash.edit, Qt.Key.Key_Escape)
    house.batches.make(False)
    assert house.batches.room is not None
