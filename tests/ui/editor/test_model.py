"""One frozen recipe, one undo command per edit, one evaluation per change."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.editor.kitchen import OPEN, SHUT
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.design.evaluation import Evaluation
from workbench.core.recipe import change
from workbench.core.recipe.amounts import Where
from workbench.core.recipe.model import Amount, Measure
from workbench.core.trouble import Trouble
from workbench.ui.context import Context
from workbench.ui.editor.answers import find_remedies
from workbench.ui.editor.model import RecipeModel


@pytest.fixture
def model(context: Context) -> Iterator[RecipeModel]:
    made = RecipeModel(context, OPEN)
    yield made
    made.finish_jobs()
    made.deleteLater()


def test_an_edit_is_one_command_and_one_change(model: RecipeModel, qtbot: QtBot) -> None:
    changes: list[None] = []
    model.changed.connect(lambda: changes.append(None))
    before = model.evaluation
    assert model.edit("strength", lambda recipe: change.set_load(recipe, 6)) == ""
    assert model.stack.count() == 1
    assert model.stack.undoText() == "strength"
    assert len(changes) == 1
    assert model.recipe.load_percent == 6
    assert model.evaluation is not None
    assert before is not None
    # what the whole weighs is fixed by the tins, so more scent means less base
    assert model.evaluation.weighed.scent_g > before.weighed.scent_g


def test_undo_and_redo_bring_the_very_recipe_back(model: RecipeModel) -> None:
    amount = Amount(value=30, measure=Measure.PARTS)
    model.edit("amount", lambda recipe: change.set_amount(recipe, Where.BASE, 0, amount))
    model.edit("strength", lambda recipe: change.set_load(recipe, 5))
    edited = model.recipe
    model.stack.undo()
    model.stack.undo()
    assert model.recipe == OPEN
    assert model.stack.isClean()
    model.stack.redo()
    model.stack.redo()
    assert model.recipe == edited


def test_an_edit_that_changes_nothing_is_no_command(model: RecipeModel) -> None:
    assert model.edit("strength", lambda recipe: change.set_load(recipe, recipe.load_percent)) == ""
    assert model.stack.count() == 0


def test_a_refusal_is_a_sentence_and_leaves_everything(model: RecipeModel) -> None:
    says = model.edit("line", lambda recipe: change.set_material(recipe, Where.BASE, 0, "jojoba"))
    assert "already" in says
    assert model.recipe == OPEN
    assert model.stack.count() == 0


def test_a_recipe_that_cannot_be_worked_out_says_why(context: Context) -> None:
    lines = tuple(line.model_copy(update={"material": "moon_wax"}) for line in OPEN.base[:1])
    model = RecipeModel(context, OPEN.model_copy(update={"base": lines}))
    assert model.evaluation is None
    assert model.trouble is not None
    assert "moon_wax" in context.writer.trouble(model.trouble)


def test_the_shelf_is_followed(model: RecipeModel, context: Context) -> None:
    assert model.evaluation is not None
    before = model.evaluation.weighed.batch_g
    tins = tuple(
        tin.model_copy(update={"fill_height_mm": (tin.fill_height_mm or 1) * 2}) for tin in context.shelf.tins
    )
    context.take_shelf(context.shelf.model_copy(update={"tins": tins}))
    assert model.evaluation.weighed.batch_g == pytest.approx(2 * before, rel=1e-6)


def test_slow_work_runs_elsewhere_and_what_comes_late_is_dropped(
    model: RecipeModel, qtbot: QtBot, qapp: QApplication
) -> None:
    gate, where = threading.Event(), []

    def slow(evaluation: Evaluation, _catalogue: Catalogue) -> object:
        where.append(threading.current_thread())
        gate.wait(5)
        return evaluation.recipe.load_percent

    arrived: list[str] = []
    model.arrived.connect(arrived.append)
    model.later("slow", slow)
    model._wait.stop()
    model._start_jobs()  # for a load of 4
    model.edit("strength", lambda recipe: change.set_load(recipe, 7))
    gate.set()
    model.finish_jobs()  # for a load of 7
    qtbot.waitUntil(lambda: "slow" in model.results)
    assert model.results["slow"] == 7
    assert arrived == ["slow"]
    assert threading.main_thread() not in where


def test_trouble_in_slow_work_arrives_as_trouble(model: RecipeModel, qtbot: QtBot) -> None:
    def fails(_evaluation: Evaluation, _catalogue: Catalogue) -> object:
        raise Trouble("No wax melts that low.")

    model.later("fails", fails)
    model.finish_jobs()
    qtbot.waitUntil(lambda: "fails" in model.results)
    held = model.results["fails"]
    assert isinstance(held, Trouble)


def test_a_remedy_is_one_undoable_step_and_is_asked_again_for_another_blend(
    context: Context, qtbot: QtBot
) -> None:
    model = RecipeModel(context, SHUT)
    assert model.evaluation is not None
    assert model.evaluation.temperatures.open is False
    found = find_remedies(model.evaluation, context.catalogue)
    opening = [remedy for remedy in found if remedy.opens]
    assert opening
    model.edit("remedy", lambda _recipe: opening[0].recipe)
    assert model.stack.count() == 1
    assert model.recipe.accepted_remedy
    evaluation = model.evaluation
    assert evaluation.temperatures.open
    model.edit("strength", lambda recipe: change.set_load(recipe, 9))
    assert model.recipe.accepted_remedy == ""
    model.stack.undo()
    assert model.recipe.accepted_remedy
    model.stack.undo()
    assert model.recipe == SHUT


def test_nothing_is_left_after_many_edits(model: RecipeModel, settle: Callable[[], None]) -> None:
    for load in range(1, 30):
        model.edit("strength", lambda recipe, load=load: change.set_load(recipe, load))  # type: ignore[misc]
    settle()
    assert model.stack.count() == 29


def test_a_fault_in_slow_work_is_heard_and_nobody_waits_for_ever(model: RecipeModel, qtbot: QtBot) -> None:
    def breaks(_evaluation: Evaluation, _catalogue: Catalogue) -> object:
        raise ZeroDivisionError

    with qtbot.captureExceptions() as caught:
        model.later("breaks", breaks)
        model.finish_jobs()
        qtbot.waitUntil(lambda: "breaks" in model.results)
    assert [kind for kind, *_ in caught] == [ZeroDivisionError]
    held = model.results["breaks"]
    assert isinstance(held, Trouble)
    assert "mistake of its own" in held.says
