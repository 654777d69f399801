"""The page of the scent: its course, a wish, and trials on paper; one after the other in one place."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QWidget

from workbench.ui.editor.model import RecipeModel
from workbench.ui.scent.course_panel import CoursePanel, Earlier
from workbench.ui.scent.kept import Left, Revisions, Trials, as_counted, no_revisions
from workbench.ui.scent.trial_panel import TrialPanel
from workbench.ui.scent.wish_panel import WishPanel
from workbench.ui.theme import GRID_PX
from workbench.ui.widgets.basic import Scroller, button, column, page, row
from workbench.ui.widgets.stack import PageStack


class ScentPage(QWidget):
    """promoted()  a trial became the scent of the recipe, and is to be kept as a revision"""

    promoted = Signal()

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._revisions: Revisions = no_revisions
        self.course = CoursePanel(model)
        self.wish = WishPanel(model)
        self.trials = TrialPanel(model)
        self.trials.promoted.connect(self.promoted)
        self._group = QButtonGroup(self)
        self.stack = PageStack()
        self._ways = row(gap=1)
        self.buttons = {}
        for key, text, panel in (
            ("course", self.tr("How it unfolds"), self.course),
            ("wish", self.tr("A wish"), self.wish),
            ("trials", self.tr("Trials on paper"), self.trials),
        ):
            made = button(text, None, "place")
            made.setCheckable(True)
            made.setProperty("key", key)
            self._group.addButton(made)
            self._ways.addWidget(made)
            self.buttons[key] = made
            self.stack.addWidget(Scroller(page(column(panel), margin=6)))
        self._ways.addStretch(1)
        self._ways.setContentsMargins(6 * GRID_PX, 2 * GRID_PX, 6 * GRID_PX, 0)
        self._group.buttonClicked.connect(self._clicked)
        whole = column(self._ways, self.stack, gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self.go_to("course")

    def go_to(self, key: str) -> None:
        self.buttons[key].setChecked(True)
        self.stack.setCurrentIndex(list(self.buttons).index(key))
        self.show_recipe()

    def _clicked(self, made: QWidget) -> None:
        self.go_to(str(made.property("key")))

    def show_recipe(self) -> None:
        """Show what is in front; called when the recipe or the shelf is another."""
        if self.stack.currentIndex() == 0:
            self.course.set_earlier(self._earlier())
        (self.course, self.wish, self.trials)[self.stack.currentIndex()].show_recipe()

    def _earlier(self) -> list[Earlier]:
        return [
            Earlier(
                str(entry.revision),
                self.tr("Revision {number}").format(number=entry.revision),
                entry.recipe,
            )
            for entry in self._revisions()
        ]

    def furnish(self, trials: Trials, revisions: Revisions, left: Left = as_counted) -> None:
        """Another project is open."""
        self._revisions = revisions
        self.wish.set_left(left)
        self.trials.set_trials(trials)
        self.show_recipe()
