"""The strip on top: which project and recipe, and where to go.  Two rows where one is too narrow."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QWidget

from workbench.ui.theme import GRID_PX, as_role, theme_now
from workbench.ui.widgets.basic import Words, button, row
from workbench.ui.widgets.choose import ChooseBox

ONE_ROW_EM = 62


class Strip(QWidget):
    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        as_role(self, "desk")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, True)
        self.name = Words("", "head")
        self.name.setWordWrap(False)
        self.recipes = ChooseBox(self.tr("Recipe"), self, 16)
        self.add = button(self.tr("New recipe"), None, "quiet")
        self.ways: dict[str, QPushButton] = {}
        self._what = QWidget()
        line = row(self.name, self.recipes, self.add, 1, gap=3)
        line.setStretch(1, 2)
        line.setStretch(3, 1)
        self._what.setLayout(line)
        self._where = QWidget()
        self._where_line = row(gap=1)
        self._where.setLayout(self._where_line)
        self._where.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(6 * GRID_PX, GRID_PX, 4 * GRID_PX, GRID_PX)
        self._grid.setHorizontalSpacing(3 * GRID_PX)
        self._grid.setVerticalSpacing(0)
        self._grid.setColumnStretch(0, 1)
        self._one_row: bool | None = None
        self._arrange()

    def add_way(self, key: str, text: str) -> QPushButton:
        made = button(text, None, "place")
        made.setCheckable(True)
        self._where_line.addWidget(made)
        self.ways[key] = made
        return made

    def mark(self, key: str) -> None:
        """Show where the window is."""
        for name, made in self.ways.items():
            made.setChecked(name == key)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_grid"):
            self._arrange()

    def _arrange(self) -> None:
        em = theme_now().em()
        self.recipes.setMaximumWidth(em * 26)
        one = self.width() >= ONE_ROW_EM * em
        if one == self._one_row:
            return
        self._one_row = one
        self._grid.removeWidget(self._what)
        self._grid.removeWidget(self._where)
        self._grid.addWidget(self._what, 0, 0)
        if one:
            self._grid.addWidget(self._where, 0, 1)
        else:
            self._grid.addWidget(self._where, 1, 0, Qt.AlignmentFlag.AlignLeft)
