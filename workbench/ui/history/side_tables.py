"""Tables with a column for each batch; where there is no room for all, the columns are set in several rows."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QSize
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from workbench.ui.history.tables import PlainTable
from workbench.ui.theme import GRID_PX, theme_now
from workbench.ui.widgets.basic import column

NAME_EM, CELL_EM = 15, 8


@dataclass(frozen=True, slots=True)
class SideCell:
    """What stands in a cell, and by how much it differs ("" where it does not)."""

    text: str
    apart: str = ""


@dataclass(frozen=True, slots=True)
class SideRow:
    title: str
    cells: tuple[SideCell, ...]


class SideTable(QWidget):
    def __init__(self, heading: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heading = heading
        self._letters = ""
        self._rows: tuple[SideRow, ...] = ()
        self._at_once = 0
        self._box = column(gap=4)
        self.setLayout(self._box)

    def show_rows(self, letters: str, rows: tuple[SideRow, ...]) -> None:
        self._letters, self._rows, self._at_once = letters, rows, 0
        self.setVisible(bool(rows))
        if self.isVisible():
            self._arrange()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._arrange()

    def minimumSizeHint(self) -> QSize:
        return QSize((NAME_EM + 2 * CELL_EM) * theme_now().em(), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_box"):
            self._arrange()

    def _arrange(self) -> None:
        """As many batches beside one another as there is room for, evenly shared out."""
        count = len(self._letters)
        if not count or not self.isVisible():
            return
        fits = max(2, int(self.width() / theme_now().em() - NAME_EM) // CELL_EM)
        groups = -(-count // min(fits, count))
        at_once = -(-count // groups)
        if at_once == self._at_once:
            return
        self._at_once = at_once
        while (item := self._box.takeAt(0)) is not None:
            if (gone := item.widget()) is not None:
                gone.hide()
                gone.deleteLater()
        for start in range(0, count, at_once):
            self._box.addWidget(self._table(start, min(count, start + at_once)))

    def _table(self, start: int, end: int) -> PlainTable:
        table = PlainTable(self._heading, tuple(self._letters[start:end]))
        em = theme_now().em()
        table.grid.setVerticalSpacing(2 * GRID_PX)
        for row in self._rows:
            cells = [
                table.figure(f"{cell.text}\n{cell.apart}", "strong") if cell.apart else cell.text
                for cell in row.cells[start:end]
            ]
            table.add(row.title, *cells)
        for at in range(1, end - start + 1):
            table.grid.setColumnMinimumWidth(at, CELL_EM * em)
        return table
