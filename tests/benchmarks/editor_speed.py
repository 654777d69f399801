"""How long one edit of a recipe of 40 lines takes until every number on the screen is new.

    python -m tests.benchmarks.editor_speed

Prints the median in ms of the model alone and of model, page and answers with
their repaint.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from datetime import date

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication, QSplitter

from tests.ui.editor.kitchen import forty_lines
from workbench.core.recipe import change
from workbench.core.recipe.amounts import Where
from workbench.core.recipe.model import Amount, Measure
from workbench.store.resources import load_catalogue, load_starter_shelf, resources_folder
from workbench.ui import theme
from workbench.ui.context import Context
from workbench.ui.editor.answers import AnswersPage
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.page import EditorPage


def _edits(model: RecipeModel, app: QApplication, times: int, clock: Callable[[], float]) -> list[float]:
    taken = []
    for turn in range(times):
        amount = Amount(value=1.5 + turn, measure=Measure.PARTS)
        begun = clock()
        says = model.edit("amount", lambda recipe, to=amount: change.set_amount(recipe, Where.SCENT, 3, to))  # type: ignore[misc]
        app.processEvents()
        taken.append(1000 * (clock() - begun))
        assert not says
    return taken


def measure(times: int = 15, clock: Callable[[], float] = time.perf_counter) -> dict[str, float]:
    """Median ms of one edit by `clock` (s): the model alone, and with both pages repainted."""
    app = QApplication.instance() or QApplication(["benchmark"])
    assert isinstance(app, QApplication)
    if app.property("theme") is None:
        theme.load_fonts(resources_folder() / "fonts")
        theme.apply(app, theme.Theme())
    context = Context(load_catalogue(), load_starter_shelf(), today=lambda: date(2026, 8, 15))
    model = RecipeModel(context, forty_lines(context.catalogue))
    _edits(model, app, 2, clock)
    alone = statistics.median(_edits(model, app, times, clock))
    editor, answers = EditorPage(model), AnswersPage(model)
    both = QSplitter()
    both.addWidget(editor)
    both.addWidget(answers)
    both.resize(1280, 800)
    both.show()
    _edits(model, app, 2, clock)
    shown = statistics.median(_edits(model, app, times, clock))
    model.finish_jobs()
    model._wait.stop()
    both.close()
    both.deleteLater()
    context.deleteLater()
    return {"model": alone, "model, pages and repaint": shown}


if __name__ == "__main__":
    for name, value in measure().items():
        sys.stdout.write(f"{name:28} {value:8.2f} ms\n")
