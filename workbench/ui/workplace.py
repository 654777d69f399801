"""The recipe on the left and what follows from it on the right; one after the other where it is narrow."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSplitter, QWidget

from workbench.ui.editor.answers import AnswersPage
from workbench.ui.editor.model import RecipeModel
from workbench.ui.editor.page import EditorPage
from workbench.ui.theme import GRID_PX, theme_now
from workbench.ui.widgets.basic import button, column, row
from workbench.ui.widgets.order import in_layout_order, set_tab_order

TWO_PAGES_EM = 62  # below this width one page is shown at a time


class Workplace(QWidget):
    """Two pages on the desk.  `answers` may be replaced by a running batch (see the bench)."""

    def __init__(self, model: RecipeModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.editor = EditorPage(model)
        self.answers = AnswersPage(model)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setHandleWidth(2 * GRID_PX)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.addWidget(self.editor)
        self.splitter.addWidget(self.answers)
        self.splitter.setStretchFactor(0, 52)
        self.splitter.setStretchFactor(1, 48)
        self.to_recipe = button(self.tr("What goes in"), self._show_recipe, "place")
        self.to_answers = button(self.tr("What follows"), self._show_answers, "place")
        for made in (self.to_recipe, self.to_answers):
            made.setCheckable(True)
        self.switch = QWidget()
        line = row(self.to_recipe, self.to_answers, 1)
        line.setContentsMargins(4 * GRID_PX, 0, 4 * GRID_PX, GRID_PX)
        self.switch.setLayout(line)
        whole = column(self.switch, self.splitter, gap=0)
        whole.setStretch(1, 1)
        self.setLayout(whole)
        self._order = QTimer(self)  # once after each burst of changes
        self._order.setSingleShot(True)
        self._order.setInterval(0)
        self._order.timeout.connect(self._put_in_order)
        self._lines: tuple[object, ...] = ()
        model.changed.connect(self._order.start)
        model.arrived.connect(self._order.start)
        self.answers.cards.chosen.connect(self._order.start)
        self._order.start()
        self._narrow: bool | None = None
        self._on_recipe = True
        self._arrange()  # one page, until there is room for two

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._arrange()

    def _put_in_order(self) -> None:
        lines = tuple(in_layout_order(self))
        if lines != self._lines:
            self._lines = lines
            set_tab_order(self)

    @property
    def narrow(self) -> bool:
        return bool(self._narrow)

    def _arrange(self) -> None:
        narrow = self.width() < TWO_PAGES_EM * theme_now().em()
        if narrow != self._narrow:
            self._narrow = narrow
            self.switch.setVisible(narrow)
            self._show()
            if not narrow:
                self.splitter.setSizes([self.width() * 52 // 100, self.width() * 48 // 100])

    def _show(self) -> None:
        both = not self._narrow
        self.editor.setVisible(both or self._on_recipe)
        self.answers.setVisible(both or not self._on_recipe)
        self.to_recipe.setChecked(self._on_recipe)
        self.to_answers.setChecked(not self._on_recipe)

    def _show_recipe(self) -> None:
        self._on_recipe = True
        self._show()

    def _show_answers(self) -> None:
        self._on_recipe = False
        self._show()
