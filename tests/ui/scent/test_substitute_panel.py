"""An oil that is not at hand is replaced by one edit; nothing is claimed of beauty."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.ui.scent.balms import HEAVY, balm, model_of
from workbench.core.catalogue.catalogue import Catalogue
from workbench.core.recipe.model import Recipe
from workbench.ui.scent.substitute_panel import SubstitutePanel


def panel(qtbot: QtBot, tables: Catalogue, recipe: Recipe) -> SubstitutePanel:
    model = model_of(recipe, tables)
    made = SubstitutePanel(model)
    qtbot.addWidget(made)
    model.setParent(made)
    made.show_recipe()
    made.show()
    return made


def ask(qtbot: QtBot, made: SubstitutePanel, oil: str) -> None:
    with qtbot.waitSignal(made._later.came, timeout=20_000):
        made.which.chosen.emit(oil)
    QApplication.processEvents()


def test_the_nearest_is_shown_and_taken_in_one_edit(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables, balm())
    before = made._model.recipe
    ask(qtbot, made, "lavender")
    assert made.found[0].oil == "petitgrain"
    shown, name, text = made._rows[0]
    assert not shown.isHidden()
    assert "Petitgrain" in name.text()
    assert "only your nose" in text.text()
    made.take(0)
    assert [line.material for line in made._model.recipe.scent][3] == "petitgrain"
    assert made._model.stack.count() == 1
    made._model.stack.undo()
    assert made._model.recipe == before


def test_an_oil_of_unknown_make_says_so(qtbot: QtBot, tables: Catalogue) -> None:
    made = panel(qtbot, tables, balm(HEAVY))
    ask(qtbot, made, "labdanum")
    assert "nothing can be called near" in made.fault.text()
    assert made.found == ()
    made.which.chosen.emit("")
    assert made.fault.isHidden()
