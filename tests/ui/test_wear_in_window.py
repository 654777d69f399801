"""From the quiet line in the window to the mark, and from a tin's word to the caution on the shelf."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from tests.ui.whole import Bench
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.catalogue.shelf import Lot, Shelf
from workbench.core.review.keeping import WEAR_TEST, WORD_FROM_WEARER, body_of
from workbench.core.review.wear import Mark, WearTest, WearTests
from workbench.store.project import Project
from workbench.testing import Maker, begin


@pytest.fixture
def project_file(tmp_path: Path, starter: Shelf) -> Path:
    """One finished batch; somebody dabbed it on a quarter of an hour ago."""
    conductor, clock, journal = begin()
    Maker(conductor, clock).go_to_end()
    dabbed = datetime.now().astimezone() - timedelta(minutes=15)
    just_on = Mark(after_min=0, overall=5)
    test = WearTest(number=1, dabbed=dabbed, marks=(just_on,))
    lots = (Lot(key="oil", material="jojoba", left_g=400.0),)
    path = tmp_path / "kitchen.balmbook"
    with Project.create(path) as project:
        project.save_shelf(starter.model_copy(update={"lots": lots}))
        assert conductor.state.plan is not None
        project.save_recipe(conductor.state.plan.recipe)
        session = project.new_session()
        project.append(session, 1, journal.events)
        kept = WearTests(session=session, recipe_name="Evening ember", tests=(test,))
        project.save_document(WEAR_TEST, session, body_of(kept))
    return path


@pytest.fixture
def bench(tables: Catalogue, starter: Shelf, tmp_path: Path, qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(tables, starter, tmp_path)
    yield made
    made.house.model.stack.setClean()
    made.window.close()
    made.window.deleteLater()


def test_from_a_quiet_line_to_the_mark_and_from_a_word_to_the_shelf(bench: Bench, project_file: Path) -> None:
    """A due mark is said and led to; a reaction is told on the shelf, where what was used is taken off."""
    house, banner = bench.house, bench.window.banner
    assert house.open_path(project_file)
    assert banner.isVisible()
    assert "after 10 min" in banner.words.text()
    assert house.past.wear.looking
    mark = next(one for one in banner.findChildren(QPushButton) if one.text() == "Mark it")
    mark.click()
    assert house.history is not None
    assert house.history.reader.in_front == "wear"
    entry = house.history.wear.entry
    assert entry.moment == 10
    entry.scales[1].pick(4)
    assert house.desk.project is not None
    body = house.desk.project.documents(WEAR_TEST, "s1")[-1].body
    assert [mark["middle"] for mark in body["tests"][0]["marks"]] == [None, 4]

    history = house.history
    history.reader.go_to("words")
    history.words.reaction.setChecked(True)
    history.words.keep.click()
    assert house.desk.project is not None
    assert house.desk.project.documents(WORD_FROM_WEARER)
    house.to_shelf()
    assert house.shelf is not None
    house.shelf.choose("stock")
    page = house.shelf.pages["stock"]
    (left,) = page.stock.lots
    assert left.batches == 1
    assert left.left_g == pytest.approx(400.0 - left.used_g)
    assert left.used_g > 20
    assert page.plan_name.text()

    caution = house.workplace.answers.caution
    assert not caution.isVisibleTo(house.workplace.answers)
    house.to_recipe()
    house.batches.plan()  # as it is a moment after the recipe is shown
    assert caution.isVisibleTo(house.workplace.answers)
    assert "reaction was reported of this recipe" in caution.text()
    history.words.edit(1)
    history.words.words.setPlainText("It was the soap after all.")
    history.words.reaction.setChecked(False)
    history.words.keep.click()
    house.to_recipe()
    house.batches.plan()
    assert not caution.isVisibleTo(house.workplace.answers)
