"""The recipe on the left and what follows from it on the right; one after the other where it is narrow."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

from workbench.ui.editor.answers import AnswersPage
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.page import EditorPage
from workbench.ui.widgets.basic import column
from workbench.ui.widgets.order import in_layout_order, set_tab_order
from workbench.ui.widgets.two_pages import TwoPages


class Workplace(QWidget):
    """Two pages on the desk.  `answers` may be replaced by a running batch (see the bench)."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.editor = EditorPage(model)
        self.answers = AnswersPage(model)
        self.pages = TwoPages(self.editor, self.tr("What goes in"), self.answers, self.tr("What follows"), 52)
        self.setLayout(column(self.pages, gap=0))
        self._order = QTimer(self)  # once after each burst of changes
        self._order.setSingleShot(True)
        self._order.setInterval(0)
        self._order.timeout.connect(self._put_in_order)
        self._lines: tuple[object, ...] = ()
        model.changed.connect(self._order.start)
        model.arrived.connect(self._order.start)
        self.answers.cards.chosen.connect(self._order.start)
        self._order.start()

    @property
    def narrow(self) -> bool:
        return self.pages.narrow

    def _put_in_order(self) -> None:
        lines = tuple(in_layout_order(self))
        if lines != self._lines:
            self._lines = lines
            set_tab_order(self)

    def _show_recipe(self) -> None:
        self.pages.show_left()

    def _show_answers(self) -> None:
        self.pages.show_right()
