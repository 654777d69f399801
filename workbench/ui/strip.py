"""The strip on top: which project and recipe, and where to go.  Two rows where one is too narrow."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, row
from workbench.ui.widgets.beside import Beside
from workbench.ui.widgets.choose import ChooseBox

RECIPES_EM = 26  # at most: the name of a recipe is no longer than a line


class Strip(Beside):
    def __init__(self, parent: QWidget | None = None) -> None:
        what, where = QWidget(), QWidget()
        super().__init__(what, where, parent=parent, even=False, gap=3, below=0)
        self._grid.setContentsMargins(6 * GRID_PX, GRID_PX, 4 * GRID_PX, GRID_PX)
        as_role(self, "desk")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.name = Words("", "head")
        self.name.setWordWrap(False)
        self.recipes = ChooseBox(self.tr("Recipe"), self, 16)
        self.add = button(self.tr("New recipe"), None, "quiet")
        self.ways: dict[str, QPushButton] = {}
        line = row(self.name, self.recipes, self.add, 1, gap=3)
        line.setStretch(1, 2)
        line.setStretch(3, 1)
        what.setLayout(line)
        self._ways = row(gap=1)
        where.setLayout(self._ways)
        where.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self._narrow_the_box()

    def add_way(self, key: str, text: str) -> QPushButton:
        made = button(text, None, "place")
        made.setCheckable(True)
        self._ways.addWidget(made)
        self.ways[key] = made
        return made

    def mark(self, key: str) -> None:
        """Show where the window is."""
        for name, made in self.ways.items():
            made.setChecked(name == key)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "recipes"):
            self._narrow_the_box()

    def _narrow_the_box(self) -> None:
        self.recipes.setMaximumWidth(RECIPES_EM * theme_now().em())
